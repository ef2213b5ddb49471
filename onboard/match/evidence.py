"""How alike: the evidence that two people are one, and what it means.

One model serves one pair and a whole file: `judge` takes columns, `compare` is `judge` on one pair.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onboard.match import frequencies, given_names, names, weights
from onboard.match.columns import Columns, Flags, Index, columns
from onboard.match.folds import Folded, fold
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.levels import FIELDS, LEVEL, Levels
from onboard.match.likeness import compare as compare_levels
from onboard.match.weights import Weights
from onboard.model import Evidence, Part, Person, Verdict

# From so sure on, nobody is asked; and from so unsure on, nobody either. Chosen on the harsher of
# the sign-ups that the weights were not learned from (docs/duplicates.md has the figures).
SURE = 0.96
IN_DOUBT = 0.06

TWO_GIVEN_NAMES = tuple(
    LEVEL["given"][level]
    for level in ("differs", "initial", "own", "sexes", "mailbox", "middle", "joint")
)
TWO_MIDDLE_NAMES = tuple(LEVEL["middle"][level] for level in ("differs", "initial"))
TWO_FAMILY_NAMES = tuple(LEVEL["family"][level] for level in ("differs", "man"))
TWO_MAILBOXES = tuple(LEVEL["email"][level] for level in ("differs", "letters", "domain"))

NEIGHBORS = tuple(LEVEL["address"][level] for level in ("slip", "units"))
# Of the fields by which nobody need be known again: what does not tell two people.
_AGREEING: Mapping[str, tuple[int, ...]] = {
    field: tuple(LEVEL[field][level] for level in ("unknown", *levels))
    for field, levels in {
        "place": ("same",), "address": ("building", "same", "unit"), "phone": ("same",),
        "born": ("same",), "personal": ("same",), "middle": ("letter", "same"), "suffix": ("untold", "same"),
    }.items()
}  # fmt: skip

CHANCE = "most people who have something in common are two people"


@dataclass(frozen=True, slots=True)
class EvidenceTable:
    """The evidence on many pairs, one row a pair."""

    levels: Mapping[str, Levels]
    parts: NDArray[np.float64]  # bits, one column a field of FIELDS
    weight: NDArray[np.float64]  # bits, chance included
    confidence: NDArray[np.float64]
    one_of_two: Flags  # one side signed up jointly, with somebody whom the other does not name

    @property
    def same(self) -> Flags:
        """Which may be decided alone: where the sum is sure, or all is said `again`.

        Nobody is taken for another by contact details alone: where the given names are two, or one
        of a joint sign-up comes alone, a person is asked however sure the sum is, as the price of a
        mistake is somebody else's account. So it is where something speaks hard `against` it, where
        the last names are two `unbound`, and where what they are reached by is `only_near`.
        """
        two_names = np.isin(self.levels["given"], TWO_GIVEN_NAMES) | self.one_of_two
        alone = ~two_names & ~self.unbound & ~self.against & ~self.only_near
        return np.asarray(((self.confidence >= SURE) | self.again) & alone)

    @property
    def again(self) -> Flags:
        """Where one says all that the other does: the whole name, the mailbox, phone or home, and nothing else.

        A father and a son can have one name and one home. But of two forms that differ in nothing, the
        second is the first sent again: it says nobody new.
        """
        levels = self.levels
        names = (levels["given"] >= LEVEL["given"]["common"]) & (
            levels["family"] >= LEVEL["family"]["common"]
        )
        found = names & (levels["email"] >= LEVEL["email"]["one"])
        found &= (levels["phone"] == LEVEL["phone"]["same"]) | (
            levels["address"] >= LEVEL["address"]["same"]
        )
        for field, agreeing in _AGREEING.items():
            found &= np.isin(levels[field], agreeing)
        return np.asarray(found)

    @property
    def only_near(self) -> Flags:
        """Where a phone or a house number is one typo apart, and no mailbox binds the two together.

        Relatives of one name live next door, and have phones that were bought together. One typo of a
        form that is sent again is likely, where the rest is the same; two are not, nor is one beside another mailbox.
        """
        levels = self.levels
        phone = levels["phone"] == LEVEL["phone"]["near"]
        home = np.isin(levels["address"], NEIGHBORS)
        mailbox = levels["email"] >= LEVEL["email"]["one"]
        two = np.isin(levels["email"], TWO_MAILBOXES)
        slip = levels["email"] == LEVEL["email"]["near"]
        own = mailbox | self.vouched | (levels["personal"] == LEVEL["personal"]["same"])
        slips = phone.astype(np.int8) + home + slip
        is_near = ((phone | home) & two) | (slips >= 2)
        return np.asarray(is_near & ~own)

    @property
    def unbound(self) -> Flags:
        """Where the last names are two, and nothing binds the people together that is one person's own.

        A woman who marries mostly keeps her mailbox; two women of one first name may share a phone or a
        home. With the first name in two spellings, the home must be the same as well.
        """
        levels = self.levels
        two = np.isin(levels["family"], TWO_FAMILY_NAMES)
        mailbox = levels["email"] >= LEVEL["email"]["one"]
        mailbox &= (levels["given"] >= LEVEL["given"]["common"]) | (
            levels["address"] >= LEVEL["address"]["building"]
        )
        own = mailbox | (levels["personal"] == LEVEL["personal"]["same"]) | self.vouched
        return np.asarray(two & ~own)

    @property
    def against(self) -> Flags:
        """Where something speaks hard against one person: another birth date, or Sr and Jr."""
        return np.asarray(
            (self.levels["born"] == LEVEL["born"]["differs"])
            | (self.levels["suffix"] == LEVEL["suffix"]["differs"])
        )

    @property
    def vouched(self) -> Flags:
        """Where the birth date or the suffix, which tell two people of one name apart, agree."""
        return np.asarray(
            (self.levels["born"] >= LEVEL["born"]["near"])
            | (self.levels["suffix"] == LEVEL["suffix"]["same"])
        )

    @property
    def namesake(self) -> Flags:
        """Where they may be a father and a son: one name, and one home, phone or mailbox, but a suffix that only one has.

        Whoever has one often leaves it out. How often tells no more than how likely they are two: whose a form
        is, only a person can say, unless another birth date or middle name does.
        """
        levels, given = self.levels, self.levels["given"]
        found = levels["suffix"] == LEVEL["suffix"]["one"]
        if not found.any():  # hardly anybody has one
            return np.asarray(found)
        found &= (given >= LEVEL["given"]["shorts"]) & (given != LEVEL["given"]["joint"])
        found &= levels["family"] >= LEVEL["family"]["part"]
        found &= ~np.isin(levels["middle"], TWO_MIDDLE_NAMES) & ~self.against & ~self.vouched
        is_near = (levels["address"] >= LEVEL["address"]["building"]) | (
            levels["phone"] == LEVEL["phone"]["same"]
        )
        return np.asarray(found & (is_near | (levels["email"] >= LEVEL["email"]["one"])))

    @property
    def different(self) -> Flags:
        """Which are not worth a question."""
        return self.confidence < IN_DOUBT

    @property
    def household(self) -> Flags:
        """Which are two people who share a home, a phone or a mailbox."""
        address, phone, email = (self.levels[field] for field in ("address", "phone", "email"))
        shared = (
            (address >= LEVEL["address"]["same"])
            | (phone == LEVEL["phone"]["same"])
            | (email >= LEVEL["email"]["one"])
        )
        return np.asarray(shared & self.different)


def judge(
    people: Columns,
    here: Index,
    there: Index,
    shares: Frequencies | None = None,
    shorts: ShortForms | None = None,
    worth: Weights | None = None,
) -> EvidenceTable:
    """The evidence on the pairs `here[n]`, `there[n]` of these people.

    `shares` are how common names are, those of the Census unless given; `shorts` which given names
    are short for which, and `worth` what levels of likeness are worth, as shipped unless given.
    """
    levels = compare_levels(
        people, here, there, shares or frequencies.shipped(), shorts or given_names.shipped()
    )
    worth = worth or weights.shipped()
    parts = worth.parts(levels)
    weight = worth.chance + parts.sum(axis=1)
    return EvidenceTable(
        levels, parts, weight, 1 / (1 + np.exp2(-weight)), names.one_of_two(people, here, there)
    )


def compare(
    one: Person,
    other: Person,
    shares: Frequencies | None = None,
    shorts: ShortForms | None = None,
) -> Evidence:
    """The evidence that both are one person; the same whichever comes first.

    >>> ana = Person("member:1", given="Ana", family="Quill", phone="2025550143", zip5="45801")
    >>> found = compare(ana, ana._replace(owner="row:2"))
    >>> found.verdict.value
    'same'
    """
    return beside(fold(one), [fold(other)], shares, shorts).evidence(0, one, other)


class Pairs:
    """Pairs of people judged all at once, and told one by one, as words cost more than sums."""

    def __init__(
        self,
        folded: Sequence[Folded],
        here: Index,
        there: Index,
        shares: Frequencies | None = None,
        shorts: ShortForms | None = None,
    ) -> None:
        self.folded, self.here, self.there = folded, here, there
        self.shares = shares or frequencies.shipped()
        self.judged = judge(columns(folded), here, there, self.shares, shorts)
        self.weight = self.judged.weight
        self.same, self.different = self.judged.same, self.judged.different
        self.household, self.one_of_two = self.judged.household, self.judged.one_of_two
        self.namesake = self.judged.namesake
        self.against, self.vouched = self.judged.against, self.judged.vouched

    def evidence(self, pair: int, one: Person, other: Person) -> Evidence:
        """The evidence on a pair, counted from 0, said of these two people, whose fields are those of the pair."""
        verdict = Verdict.DIFFERENT if self.different[pair] else Verdict.UNCLEAR
        folded = (self.folded[self.here[pair]], self.folded[self.there[pair]])
        return Evidence(
            parts=told(self.judged, pair, (one, other), folded, self.shares),
            weight=float(self.weight[pair]),
            confidence=float(self.judged.confidence[pair]),
            verdict=Verdict.SAME if self.same[pair] else verdict,
            household=bool(self.household[pair]),
            one_of_two=bool(self.one_of_two[pair]),
            namesake=bool(self.namesake[pair]),
        )


def beside(
    one: Folded,
    others: Sequence[Folded],
    shares: Frequencies | None = None,
    shorts: ShortForms | None = None,
) -> Pairs:
    """One person beside others, a pair each, in their order."""
    here = np.zeros(len(others), np.int32)
    there = np.arange(1, len(others) + 1, dtype=np.int32)
    return Pairs([one, *others], here, there, shares, shorts)


def told(
    judged: EvidenceTable,
    pair: int,
    people: tuple[Person, Person],
    folded: tuple[Folded, Folded],
    shares: Frequencies,
) -> tuple[Part, ...]:
    """The evidence on one pair, counted from 0, in words and bits: what each known field adds to those before it."""
    parts = [Part("chance", "", "", weights.shipped().chance, CHANCE)]
    swapped = _are_swapped(*folded)
    for at, (field, levels) in enumerate(FIELDS.items()):
        level = int(judged.levels[field][pair])
        if level == 0:
            continue
        words = levels[level][1]
        if field == "given" and level >= LEVEL[field]["common"]:
            words += _one_in(shares.given, *({who.given, who.called} for who in folded))
        if field == "family" and level >= LEVEL[field]["common"]:
            words += _one_in(shares.family, *({who.family, who.former} for who in folded))
        if swapped and field in SWAPPED and level == LEVEL[field]["near"]:
            words = SWAPPED[field]
        here, there = (said(person, field) for person in people)
        parts.append(Part(field, here, there, float(judged.parts[pair, at]), words))
    return tuple(parts)


SWAPPED = {
    "family": "the last name is the first name of the other",
    "given": "the first name is the last name of the other",
}


def _are_swapped(one: Folded, other: Folded) -> bool:
    """Whether first and last name are in each other's place, as far as one of them is spelled alike."""
    a, b, c, d = one.given, other.family, other.given, one.family
    return a != c and ((bool(a) and a == b) or (bool(c) and c == d))


def _one_in(shares: Mapping[str, float], here: set[str], there: set[str]) -> str:
    """How many people it takes, on average, to find the name that both bear."""
    both = (here & there) - {""}
    if not both:  # the names of a joint sign-up, in another order
        return ""
    share = min(shares.get(name, 0.0) for name in both)
    return f": 1 in {round(1 / max(share, frequencies.UNLISTED)):,}"


def said(person: Person, field: str) -> str:
    """What stood in the fields that are compared as `field`."""
    match field:
        case "place":
            return " ".join(filter(None, (person.city, person.zip5)))
        case "address":
            return " ".join(filter(None, (person.street, person.unit)))
        case "number":
            return person.email
        case "personal":  # read for a whole sheet only, and never kept
            return ""
        case "given":
            called = f" ({person.called})" if person.called else ""
            return " and ".join((person.given + called, *person.joint))
        case "family" if person.former:
            return f"{person.family} ({person.former})"
        case _:
            return str(getattr(person, field))

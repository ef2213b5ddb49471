"""Everybody known, and who of them is like a person."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from itertools import chain, combinations
from operator import attrgetter
from typing import NamedTuple, TypeAlias

import numpy as np

from onboard.match import keys
from onboard.match.evidence import Pairs, beside
from onboard.match.folds import Folded, fold
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.model import Evidence, Match, Owner, Person, Verdict


class Spelt(NamedTuple):
    """What matching makes of a person from nothing but what is said of them."""

    folded: Folded
    keys: tuple[str, ...]


def spelt(person: Person) -> Spelt:
    """What matching makes of a person: to be worked out ahead, wherever there is time; see
    `Known.expect`."""
    folded = fold(person)
    return Spelt(folded, tuple(dict.fromkeys(keys.of_folded(folded))))


class _Spelling:
    """A person with what matching makes of them, made once, and whose spelling it is."""

    __slots__ = ("folded", "keys", "owner", "person")

    def __init__(
        self, person: Person, owner: Owner, folded: Folded, found: Collection[str]
    ) -> None:
        self.person, self.owner, self.folded, self.keys = person, owner, folded, found

    def of_owner(self) -> Person:
        if self.person.owner == self.owner:
            return self.person
        return self.person._replace(owner=self.owner)


class Known:
    """An index of people by the keys that they share.

    A key of more than `keys.CROWD` owners is passed over, whoever asks and whoever came first, so
    the work for one person is bounded and likeness stays the same both ways.

    How common names are is what `shares` say, the Census unless given, and which are short for
    which, what `shorts` say, as shipped unless given.
    """

    def __init__(self, shares: Frequencies | None = None, shorts: ShortForms | None = None) -> None:
        self._shares, self._shorts = shares, shorts
        self._made: dict[Person, _Spelling] = {}
        self._spellings: dict[Owner, dict[Person, _Spelling]] = {}  # of each owner
        # By identity those who share a key; one alone, as with most keys, stands there itself.
        self._by_key: dict[str, _Spelling | dict[int, _Spelling]] = {}
        self._crowds: set[str] = set()  # keys of crowds that are known elsewhere
        self._full: set[str] = set()  # keys of crowds that are known here
        self._parted: list[Owner] = []  # owners with a key that has become a crowd's
        # Where the evidence on two foldings stands, by their identities.
        self._ahead: dict[tuple[int, int], tuple[Pairs, int]] = {}

    def pass_over(self, crowds: Collection[str]) -> None:
        """Find nobody by these keys: more than `keys.CROWD` owners have each, here or elsewhere."""
        self._crowds.update(crowds)

    def expect(self, person: Person, made: Spelt) -> None:
        """Somebody who is going to be asked about, with what `spelt` made of them ahead."""
        self._made.setdefault(person, _Spelling(person, person.owner, *made))

    def keys_of(self, person: Person) -> Collection[str]:
        """The person's keys, as `keys.of` gives them."""
        return self._spelling(person).keys

    def add(
        self, person: Person, owner: Owner | None = None, *, by: Collection[str] | None = None
    ) -> None:
        """Know this spelling of this owner, who is the person's unless another is named.

        Knowing it already changes nothing. With `by`, it is found by no other keys than these.
        """
        owner = owner or person.owner
        mine = self._spellings.setdefault(owner, {})
        made = mine.get(person)
        if made is None:
            made = self._spelling(person)
            if owner != person.owner:
                made = _Spelling(person, owner, made.folded, made.keys)
            mine[person] = made
        me, known = id(made), self._by_key
        for key in made.keys if by is None else by:
            together = known.setdefault(key, made)
            if together is made:
                continue
            if isinstance(together, _Spelling):
                together = known[key] = {id(together): together}
            together[me] = made
            if len(together) > keys.CROWD and key not in self._full and _is_crowd(made, together):
                self._full.add(key)
                if by is None:
                    self._parted.extend(other.owner for other in together.values())

    def forget(self, owner: Owner) -> None:
        """Know none of the owner's spellings any more."""
        for made in self._spellings.pop(owner, {}).values():
            for key in made.keys:
                self._take(key, made)

    def hand_over(self, owner: Owner, to: Owner) -> None:
        """Know the owner's spellings as another's, by the keys by which they were found."""
        for person, made in self._spellings.pop(owner, {}).items():
            self.add(person, to, by=[key for key in made.keys if self._take(key, made)])

    def _take(self, key: str, made: _Spelling) -> bool:
        """Find a spelling by this key no more; whether it was found by it."""
        together = self._by_key.get(key)
        if isinstance(together, dict):
            return together.pop(id(made), None) is not None
        if together is made:
            del self._by_key[key]
        return together is made

    def parted(self) -> list[Owner]:
        """The owners of every key that became a crowd's since this was last asked.

        Some may have been like each other by it, and are not any more. A key is told once.
        """
        parted, self._parted = self._parted, []
        return list(dict.fromkeys(parted))

    def alike(self, person: Person) -> list[Person]:
        """The spellings of others that share a key with this person, by owner."""
        return [other.of_owner() for other in self._alike(self._spelling(person))]

    def look_ahead(self, people: Sequence[Person]) -> None:
        """Judge at once the pairs that `match` is going to ask about for these people.

        With everybody known now, and among themselves, as they may become known one after the
        other. It changes no answer: many pairs at once cost little more than one.
        """
        mine = [self._spelling(person) for person in people]
        counts = Counter(chain.from_iterable([made.keys for made in mine]))
        shared = {key for key, many in counts.items() if 1 < many <= keys.CROWD} - self._crowds
        crowd: dict[str, list[Folded]] = {}
        pairs: dict[tuple[int, int], tuple[Folded, Folded]] = {}
        for made in mine:
            one = made.folded
            for key in shared.intersection(made.keys):
                crowd.setdefault(key, []).append(one)
            for other in self._alike(made):
                pairs[id(one), id(other.folded)] = (one, other.folded)
        for together in crowd.values():
            for pair in combinations(together, 2):
                pairs[id(pair[0]), id(pair[1])] = pair
        new = {where: pair for where, pair in pairs.items() if where not in self._ahead}
        if not new:
            return
        place: dict[int, int] = {}
        everybody: list[Folded] = []
        for pair in new.values():
            for folded in pair:
                if place.setdefault(id(folded), len(everybody)) == len(everybody):
                    everybody.append(folded)
        here, there = (
            np.fromiter((place[where[side]] for where in new), np.int32, len(new))
            for side in (0, 1)
        )
        judged = Pairs(everybody, here, there, self._shares, self._shorts)
        self._ahead.update((where, (judged, at)) for at, where in enumerate(new))

    def go_on(self) -> None:
        """Keep nothing of what was judged ahead: other people will be asked about."""
        self._ahead.clear()

    def judged(self, folded: Folded, others: Sequence[Folded]) -> list[tuple[Pairs, int]]:
        """Where the evidence on the person beside each of the others stands."""
        me, ahead = id(folded), self._ahead
        found = [ahead.get((me, id(other))) or ahead.get((id(other), me)) for other in others]
        missing = [other for other, where in zip(others, found, strict=True) if where is None]
        now = beside(folded, missing, self._shares, self._shorts) if missing else None
        count = iter(range(len(missing)))
        return [where or (now, next(count)) for where in found]  # type: ignore[misc]

    def _spelling(self, person: Person) -> _Spelling:
        made = self._made.get(person)
        if made is None:
            made = self._made[person] = _Spelling(person, person.owner, *spelt(person))
        return made

    def _alike(self, made: _Spelling) -> list[_Spelling]:
        found: dict[int, _Spelling] = {}
        for key in self._by_key.keys() & made.keys:
            together = self._by_key[key]
            if key in self._crowds:
                continue
            if isinstance(together, _Spelling):
                found[id(together)] = together
            elif len(together) < keys.CROWD or not _is_crowd(made, together):
                found |= together
        others = [other for other in found.values() if other.owner != made.owner]
        return sorted(others, key=_order) if len(others) > 1 else others


def _is_crowd(made: _Spelling, together: dict[int, _Spelling]) -> bool:
    owners = {made.owner}
    for other in together.values():
        owners.add(other.owner)
        if len(owners) > keys.CROWD:
            return True
    return False


_order = attrgetter("owner", *(f"person.{field}" for field in Person._fields if field != "owner"))


Judged: TypeAlias = tuple[_Spelling, Pairs, int]  # a spelling, and where the evidence on it stands


def match(person: Person, known: Known) -> tuple[Match, ...]:
    """Those known who are or may be the person, or share a home with them; the likeliest first.

    One `Match` an owner, by the spelling that `_telling` chooses.
    """
    made = known._spelling(person)
    alike = known._alike(made)
    judged = known.judged(made.folded, [other.folded for other in alike])
    by_owner: dict[str, list[Judged]] = {}
    for other, (pairs, at) in zip(alike, judged, strict=True):
        by_owner.setdefault(other.owner, []).append((other, pairs, at))
    found = [some[0] if len(some) == 1 else _telling(some) for some in by_owner.values()]
    found = [
        (other, pairs, at)
        for other, pairs, at in found
        if not pairs.different[at] or pairs.household[at] or pairs.namesake[at]
    ]
    found.sort(key=lambda b: (-b[1].weight[b[2]], b[0].owner))
    return tuple(
        Match(other.of_owner(), pairs.evidence(at, person, other.of_owner()))
        for other, pairs, at in found
    )


def best(people: Iterable[Person], known: Known, apart: Collection[str] = ()) -> tuple[Match, ...]:
    """The best match with each owner over all spellings of one person, but with those told `apart`; the
    likeliest first."""
    found: dict[str, Match] = {}
    for person in people:
        for one in match(person, known):
            owner = one.person.owner
            if owner in apart:
                continue
            had = found.get(owner)
            if had is None or _tells_more(one.evidence, had.evidence):
                found[owner] = one
    return tuple(sorted(found.values(), key=lambda m: (-m.evidence.weight, m.person.owner)))


def _tells_more(one: Evidence, other: Evidence) -> bool:
    """Whether it says more of who somebody is: the one that is sure, if one of two people is all that the other
    shows; else the heavier one."""
    if one.one_of_two != other.one_of_two and Verdict.SAME in (one.verdict, other.verdict):
        return other.one_of_two
    return one.weight > other.weight


def _telling(spellings: Sequence[Judged]) -> Judged:
    """Of one owner's spellings the one most like the person.

    An owner has a birth date and a suffix whatever form leaves them out, so what speaks hard against
    one spelling does so against all, unless the spelling that is most alike has it as the person does.
    """

    def weight(judged: Judged) -> float:
        _, pairs, at = judged
        return float(pairs.weight[at])

    best = max(spellings, key=weight)
    if best[1].one_of_two[best[2]]:
        best = max((one for one in spellings if one[1].same[one[2]]), key=weight, default=best)
    against = [one for one in spellings if one[1].against[one[2]]]
    return max(against, key=weight) if against and not best[1].vouched[best[2]] else best

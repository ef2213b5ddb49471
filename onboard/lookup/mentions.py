"""Where a text speaks of somebody: by name in any order and spelling, by email, phone, sign-in name or
member number.

A text says "Lee, Pat", "pat … lee", "Mrs Lee (Pat)" or "Pattie Lee" of one Pat Lee. Whether it is that
Pat Lee cannot always be told: a namesake may be meant, and "Green" is a color too. So a mention is
sure, or it is not, and then a person decides.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import product
from typing import NamedTuple

from onboard import tables
from onboard.lookup.spans import AS_TWO, Run, Word, apart, digits, fold, forms, read, runs, words_of
from onboard.match.folds import PARTICLES, TITLES
from onboard.match.given_names import kin, sex
from onboard.model import Person

NEAR = 4  # words between a first and a last name that still are one name
LOCAL = 7  # digits of a phone number said without its area code

_EMAIL = re.compile(r"[\w.+%'-]+@[\w-]+(?:\.[\w-]+)*")
_PHONE = re.compile(r"\+?\(?\d[\d\s().\-/]{5,}\d")
_NUMBER = re.compile(r"\bmember[:\s]\s*(\d{1,18})\b", re.IGNORECASE)
_BETWEEN = re.compile(r"[\s.,()\-_'’\"“”…/&]{0,5}")  # what parts the words of one mention
_BEGINS = re.compile(r"(?:^|[.!?:;\n\"“(])\s*$")  # what stands before a sentence
_TITLES = TITLES | {"sr", "sra", "srta", "senor", "senora", "senorita", "don", "dona"}


class Mention(NamedTuple):
    """A place in a text that speaks of somebody."""

    start: int
    end: int
    is_sure: bool = True


@dataclass(frozen=True, slots=True)
class Known:
    """By what a text could speak of somebody, and what others of the roster share with them."""

    people: tuple[Person, ...]  # every spelling
    handles: frozenset[str] = frozenset()
    numbers: frozenset[int] = frozenset()
    places: frozenset[str] = frozenset()  # folded words of sites and towns: no last name alone
    shared_name: bool = False  # somebody else has the first and the last name
    shared_family: bool = False  # somebody else has the last name
    relatives: frozenset[str] = frozenset()  # folded first names of those who have
    shared_letter: bool = (
        False  # somebody else has the first name, and the last name's first letter
    )
    shared: frozenset[str] = frozenset()  # emails and phones that somebody else has too


@dataclass(frozen=True)
class Whom:
    """What is known of somebody, ready to be looked for in texts."""

    known: Known

    @cached_property
    def given(self) -> frozenset[str]:
        """First names as one folded word each, and the words of a double one."""
        said = {
            text for p in self.known.people for text in (p.given, p.called, *p.joint) if text
        }  # fmt: skip
        return frozenset(form for text in said for form in forms(text)) - {""}

    @cached_property
    def kin(self) -> frozenset[str]:
        """Short and long forms of the first names."""
        return frozenset().union(*map(kin, self.given)) - self.given

    @cached_property
    def middle(self) -> frozenset[str]:
        """Middle names, folded."""
        return frozenset(fold(word) for p in self.known.people for word in words_of(p.middle)) - {
            ""
        }

    @cached_property
    def family(self) -> frozenset[str]:
        """Last names as one folded word each, and the parts of a double one; the first name of whoever
        has no other."""
        found: set[str] = set()
        for person in self.known.people:
            for text in (person.family, person.former):
                words = words_of(text)
                for spelt in (text, text.translate(AS_TWO)):
                    found.add(fold(spelt))
                if len(words) > 1:
                    parts = map(fold, words)
                    found |= {part for part in parts if len(part) > 2 and part not in PARTICLES}
            if not person.family and not person.former:
                found.add(fold(person.given))
        return frozenset(found - {""})

    @cached_property
    def written(self) -> frozenset[str]:
        """What is one word, and theirs alone: sign-in names, and both names without a blank."""
        return frozenset(map(fold, self.known.handles)) - {""}

    @cached_property
    def as_one(self) -> frozenset[str]:
        """Both names without a blank, in either order."""
        both = [*product(self.given, self.family), *product(self.family, self.given)]
        return frozenset(one + other for one, other in both) - self.written

    @cached_property
    def emails(self) -> frozenset[str]:
        """Their emails that nobody else has, in small letters."""
        found = {person.email.casefold() for person in self.known.people}
        return frozenset(found - {""} - {text.casefold() for text in self.known.shared})

    @cached_property
    def phones(self) -> frozenset[str]:
        """The digits of their phones that nobody else has."""
        found = {digits(person.phone) for person in self.known.people}
        return frozenset(found - {""} - {digits(text) for text in self.known.shared})

    @cached_property
    def _needles(self) -> tuple[str, ...]:
        """One of these stands in every text that speaks of them, blanks and signs left out."""
        numbers = {f"member{number}" for number in self.known.numbers}
        phones = {phone[-LOCAL:] for phone in self.phones}
        emails = {fold(email) for email in self.emails}
        lettered = {one + other[0] for one, other in product(self.given, self.family)}
        return tuple(self.family | self.written | emails | phones | numbers | lettered)

    def may_stand_in(self, text: str) -> bool:
        """Whether it is worth reading: quick, and never wrong where it says no."""
        folded = fold(text)
        return any(needle in folded for needle in self._needles)

    def mentions(self, text: str) -> list[Mention]:
        """Where the text speaks of them, in order; what is not sure is one mention of the whole text.

        >>> from onboard.model import Owner
        >>> pat = Whom(Known((Person(Owner("member:1"), "Pat", family="Quill"),)))
        >>> [text[m.start:m.end] for text in ["ask Mrs. Quill (Pat), today"] for m in pat.mentions(text)]
        ['Mrs. Quill (Pat)']
        """
        if not self.may_stand_in(text):
            return []
        spans = [*self._written_in(text), *self._named_in(text)]
        doubtful = any(not one.is_sure for one in spans)
        sure = _merged(text, [one for one in spans if one.is_sure])
        return [*sure, *([Mention(0, len(text), False)] if doubtful else [])]

    def is_named(self, text: str) -> bool:
        """Whether the text names them in full, or has what only one person has: for a row of a
        spreadsheet, in which a last name alone is anybody's."""
        if not self.may_stand_in(text):
            return False
        words = read(text)
        one = {word.folded for word in words} & (self.written | self.as_one)
        if one or any(True for _ in self._written_in(text)):
            return True
        family, given = (list(runs(text, words, names)) for names in (self.family, self.given))
        return any(a != b and apart(a, b) <= 1 for a, b in product(given, family))

    def masked(self, text: str, word: str) -> tuple[str, int]:
        """The text with the word in place of every mention that is sure, and how many these are."""
        found = [one for one in self.mentions(text) if one.is_sure]
        for one in reversed(found):
            text = text[: one.start] + word + text[one.end :]
        return text, len(found)

    # ---------------------------------------------------------------- what is theirs alone

    def _written_in(self, text: str) -> Iterator[Mention]:
        for found in _EMAIL.finditer(text):
            if found.group().casefold().rstrip(".") in self.emails:
                yield Mention(*found.span())
        for found in _PHONE.finditer(text):
            said = digits(found.group())
            if len(said) >= LOCAL and any(
                phone.endswith(said) or said.endswith(phone) for phone in self.phones
            ):
                yield Mention(*found.span())
        for found in _NUMBER.finditer(text):
            if int(found.group(1)) in self.known.numbers:
                yield Mention(*found.span())

    # ---------------------------------------------------------------- names

    def _named_in(self, text: str) -> list[Mention]:
        words = read(text)
        found = list(runs(text, words, self.family))
        others = [run for run in found if self._is_anothers(words, run)]
        family = [run for run in found if run not in others]
        given = [
            run for run in _names_among(words, list(runs(text, words, self.given)), family)
            if not _names_another(text, words, run, family)
        ]  # fmt: skip
        marked = {
            n: True for n, word in enumerate(words) if word.folded in self.written
        }  # by number of the word, whether it is sure
        for run in others:
            if words[run.first - 1].folded not in self.known.relatives:
                _mark(marked, run, False)  # who that is, nobody here knows
        both = not self.known.shared_name
        marked |= {n: both for n, word in enumerate(words) if word.folded in self.as_one}
        if family:
            alone = self._alone(text, words, family)
            together = self._together(family, given)
            paired = {run for pair in together for run in pair}
            close = self._is_surely_a_name(words, together)
            for run in family:
                in_name = run in paired or (together and not self.known.shared_family)
                _mark(marked, run, close if in_name else alone[run])
            if together or any(alone.values()):
                for run in given:
                    _mark(marked, run, close if together else both)
            self._mark_kin(text, words, family, given, marked)
        self._mark_lettered(text, words, marked)
        return [
            Mention(*_with_title(words, n, self.middle, marked), sure)
            for n, sure in sorted(marked.items())
        ]

    def _together(self, family: Sequence[Run], given: Sequence[Run]) -> list[tuple[Run, Run]]:
        """The first and last names that stand together; where others have the last name too, only
        with a middle name between."""
        most = 1 if self.known.shared_family else NEAR
        return [
            (one, other)
            for one, other in product(given, family)
            if one != other and apart(one, other) <= most
        ]

    def _is_anothers(self, words: Sequence[Word], run: Run) -> bool:
        """Whether the last name is another person's, whose first name is before it: "Kim Lee"."""
        before = [word.folded for word in words[max(run.first - 2, 0) : run.first]]
        if not before or any(self._is_theirs(folded) for folded in before):
            return False
        return bool(sex(before[-1])) and words[run.first - 1].is_small is words[run.first].is_small

    def _is_theirs(self, folded: str) -> bool:
        """Whether it is a first or middle name of theirs, or a form of one: Otto of Ottoline."""
        if folded in self.given | self.kin | self.middle:
            return True
        return len(folded) > 2 and any(name.startswith(folded) for name in self.given)

    def _is_surely_a_name(self, words: Sequence[Word], together: Sequence[tuple[Run, Run]]) -> bool:
        """Whether it can be nobody else, and no two plain words."""
        plain = all(
            words[n].is_small and _is_plain_word(words[n].folded)
            for one, other in together for n in (one.first, other.first)
        )  # fmt: skip
        return not self.known.shared_name and not plain

    def _alone(
        self, text: str, words: Sequence[Word], family: Sequence[Run]
    ) -> dict[Run, bool | None]:
        """Whether each last name is surely theirs without a first name; None if it is no name."""
        found: dict[Run, bool | None] = {}
        for run in family:
            first = words[run.first]
            titled = run.first > 0 and words[run.first - 1].folded in _TITLES
            is_word = run.after - run.first == 1 and (
                _is_plain_word(first.folded) or first.folded in self.known.places
            )
            begins = bool(_BEGINS.search(text[: first.start]))
            no_name = is_word and not titled and (
                first.is_small or begins or first.folded in self.known.places
            )  # fmt: skip
            found[run] = None if no_name else not self.known.shared_family
        return found

    def _mark_kin(
        self,
        text: str,
        words: Sequence[Word],
        family: Sequence[Run],
        given: Sequence[Run],
        marked: dict[int, bool],
    ) -> None:
        """Short forms and first letters right beside the last name: "Pattie Lee", "Lee, P."."""
        initials, ours = {one[0] for one in self.given}, self.given | self.middle
        for run in family:
            for n in (run.first - 1, run.after):
                if not 0 <= n < len(words) or any(one.first <= n < one.after for one in given):
                    continue
                folded = words[n].folded
                is_form = len(folded) > 1 and self._is_theirs(folded) and folded not in ours
                if is_form or (len(folded) == 1 and folded in initials):
                    low, high = (n, run.first) if n < run.first else (run.after - 1, n)
                    if _BETWEEN.fullmatch(text[words[low].end : words[high].start]):
                        sure = not self._could_be_a_relative(folded)
                        _mark(marked, Run(n, n + 1), sure)
                        _mark(marked, run, sure)

    def _could_be_a_relative(self, folded: str) -> bool:
        """Whether the short form or first letter may stand for somebody else of the last name."""
        if not self.known.relatives:
            return self.known.shared_family
        if len(folded) == 1:
            return any(name.startswith(folded) for name in self.known.relatives)
        alike = {folded, *kin(folded)}
        return any(name in alike or name.startswith(folded) for name in self.known.relatives)

    def _mark_lettered(self, text: str, words: Sequence[Word], marked: dict[int, bool]) -> None:
        """A first name with the first letter of the last: "Pat L."."""
        initials = {one[0] for one in self.family}
        for run in runs(text, words, self.given):
            n = run.after
            if n < len(words) and words[n].folded in initials and not words[n].is_small:
                between = text[words[n - 1].end : words[n].start]
                if between == " " and not words[run.first].is_small:
                    _mark(marked, Run(run.first, n + 1), not self.known.shared_letter)


# ---------------------------------------------------------------- words


def _names_among(words: Sequence[Word], given: Sequence[Run], family: Sequence[Run]) -> list[Run]:
    """The first names that are no plain word: in "Mrs Green will call" nobody is called Will."""
    small = all(words[run.first].is_small for run in family)
    return [
        run for run in given
        if small or not (words[run.first].is_small and _is_plain_word(words[run.first].folded))
    ]  # fmt: skip


def _names_another(text: str, words: Sequence[Word], run: Run, family: Sequence[Run]) -> bool:
    """Whether the first name is another person's, whose last name is behind it: "Pat Moor"."""
    if run.after >= len(words) or any(apart(one, run) <= 1 for one in family):
        return False
    before, behind = words[run.after - 1], words[run.after]
    return text[before.end : behind.start] == " " and not (behind.is_small or before.is_small)


def _mark(marked: dict[int, bool], run: Run, sure: bool | None) -> None:
    """Note the words of a run; what is sure stays so, and what is no name is left."""
    if sure is not None:
        for n in range(run.first, run.after):
            marked[n] = marked.get(n, False) or sure


def _with_title(
    words: Sequence[Word], n: int, middle: frozenset[str], marked: dict[int, bool]
) -> tuple[int, int]:
    """The place of a word, with the title before it, and a middle name up to the next word."""
    start, end = words[n].start, words[n].end
    if n and words[n - 1].folded in _TITLES:
        start = words[n - 1].start
    if (follows := n + 1) < len(words) and follows not in marked:
        folded = words[follows].folded
        if folded in middle or (len(folded) == 1 and follows + 1 in marked):
            end = words[follows].end
    return start, end


def _merged(text: str, mentions: Iterable[Mention]) -> list[Mention]:
    """The mentions in order; those that only signs divide are one, with the whole email around it."""
    emails = [found.span() for found in _EMAIL.finditer(text)]
    merged: list[Mention] = []
    for start, end, _ in sorted(mentions):
        for first, after in emails:
            if first < end and start < after:
                start, end = min(start, first), max(end, after)
        if merged and (start <= merged[-1].end or _BETWEEN.fullmatch(text[merged[-1].end : start])):
            merged[-1] = Mention(merged[-1].start, max(end, merged[-1].end))
        else:
            merged.append(Mention(start, end))
    return [_closed(text, one) for one in merged]


def _closed(text: str, mention: Mention) -> Mention:
    """With the bracket that ends what was begun in it, and without one that nothing ends."""
    start, end, _ = mention
    said = text[start:end]
    if said.count("(") > said.count(")") and text[end : end + 1] == ")":
        end += 1
    return Mention(start, end)


def _is_plain_word(folded: str) -> bool:
    return folded in _plain_words()


@cache
def _plain_words() -> frozenset[str]:
    return frozenset(word for (word,) in tables.rows("family_words"))

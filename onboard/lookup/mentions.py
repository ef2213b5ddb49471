"""Where a text speaks of somebody: by name in any order and spelling, by email, phone, sign-in name or
member number.

A text says "Lee, Pat", "pat … lee", "Mrs Lee (Pat)" or "Pattie Lee" of one Pat Lee. Whether it is that
Pat Lee cannot always be told: a namesake may be meant, and "Green" is a color too. So a mention is
sure, or it is not, and then a person decides.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import pairwise, product

from onboard import tables
from onboard.lookup.mention import BETWEEN, Mention, merged
from onboard.lookup.reached import Contacts
from onboard.lookup.spans import AS_TWO, Run, Word, apart, digits, fold, forms, read, runs, words_of
from onboard.match.folds import PARTICLES, TITLES
from onboard.match.given_names import kin, sex
from onboard.model import Person

NEAR = 4  # words between a first and a last name that still are one name

_LETTERED = re.compile(r"([^\W\d_]{2,})['’]? ([^\W\d_])(?![^\W\d_])")  # "Pat L."
_BEGINS = re.compile(r"(?:^|[.!?:;\n\"“(])\s*$")  # what stands before a sentence
_WORDS_OF_ONE = frozenset("ai")  # letters that are words: "Pat I saw"
_TITLES = TITLES | {"sr", "sra", "srta", "senor", "senora", "senorita", "don", "dona"}


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
    lettered: frozenset[str] = (
        frozenset()
    )  # first names of others, and a last name's letter: "pat l"
    shared: frozenset[str] = (
        frozenset()
    )  # emails of others that are theirs too, and phones that end like theirs


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
    def _contacts(self) -> Contacts:
        """All their emails and phones, and which of them others have too."""
        emails = {person.email.casefold() for person in self.known.people} - {""}
        phones = {digits(person.phone) for person in self.known.people} - {""}
        shared = {text.casefold() if "@" in text else digits(text) for text in self.known.shared}
        return Contacts(frozenset(emails), frozenset(phones), frozenset(shared), self.known.numbers)

    @cached_property
    def _initials(self) -> frozenset[str]:
        return frozenset(name[0] for name in self.family)

    @cached_property
    def _needles(self) -> tuple[str, ...]:
        """One of these stands in every text that speaks of them, blanks and signs left out."""
        return tuple(self.family | self.written | self._contacts.needles)

    def may_stand_in(self, text: str) -> bool:
        """Whether it is worth reading: quick, and never wrong where it says no."""
        folded = fold(text)
        if any(needle in folded for needle in self._needles):
            return True
        pairs = _LETTERED.findall(text)
        return any(fold(a) in self._initials and self.may_be_called(fold(n)) for n, a in pairs)

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
        sure = merged(text, [one for one in spans if one.is_sure])
        return [*sure, *([Mention(0, len(text), False)] if doubtful else [])]

    def reaches_others(self, text: str) -> bool:
        """Whether the text has an email or a phone of theirs that somebody else has too."""
        return any(not is_theirs for _, _, is_theirs in self._contacts.found_in(text))

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
        for start, end, is_theirs in self._contacts.found_in(text):
            if is_theirs:
                yield Mention(start, end)

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
        if not before or any(self.may_be_called(folded) for folded in before):
            return False
        return bool(sex(before[-1])) and words[run.first - 1].is_small is words[run.first].is_small

    def may_be_called(self, folded: str) -> bool:
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
                is_form = len(folded) > 1 and self.may_be_called(folded) and folded not in ours
                if is_form or (len(folded) == 1 and folded in initials):
                    low, high = (n, run.first) if n < run.first else (run.after - 1, n)
                    if BETWEEN.fullmatch(text[words[low].end : words[high].start]):
                        sure = not self._could_be_a_relative(folded)
                        _mark(marked, Run(n, n + 1), sure)
                        _mark(marked, run, sure)

    def _could_be_a_relative(self, folded: str) -> bool:
        """Whether the short form or first letter may stand for somebody else of the last name."""
        if not self.known.relatives:
            return self.known.shared_family
        return _may_stand_for(folded, self.known.relatives)

    def _mark_lettered(self, text: str, words: Sequence[Word], marked: dict[int, bool]) -> None:
        """A first name, or a form of it, with the first letter of the last: "Pat L."."""
        for n, (name, letter) in enumerate(pairwise(words)):
            is_initial = letter.folded in self._initials and not letter.is_small
            if not is_initial or name.is_small or text[name.end : letter.start] != " ":
                continue
            is_word = letter.folded in _WORDS_OF_ONE and text[letter.end : letter.end + 1].isspace()
            if self.may_be_called(name.folded) and not is_word:
                _mark(marked, Run(n, n + 2), self._is_sure_with_letter(name.folded, letter.folded))

    def _is_sure_with_letter(self, name: str, letter: str) -> bool:
        """Whether "Pat L." is nobody else: no middle name, and no name of its own."""
        others = {one[:-2] for one in self.known.lettered if one.endswith(f" {letter}")}
        is_form = name in self.given | self.kin or not sex(name)
        return is_form and not _may_stand_for(name, others)


def _may_stand_for(folded: str, names: Collection[str]) -> bool:
    """Whether a first letter, or a form of a name, may stand for one of the names."""
    alike = {folded, *kin(folded)}
    return any(name in alike or name.startswith(folded) for name in names)


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


def _is_plain_word(folded: str) -> bool:
    return folded in _plain_words()


@cache
def _plain_words() -> frozenset[str]:
    return frozenset(word for (word,) in tables.rows("family_words"))

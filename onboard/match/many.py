"""Everybody of a file at once: the same keys and the same evidence, as columns.

Each step takes and gives plain arrays, so parts of a file may be folded anywhere, in this process,
in others, on other machines, and joined here:

    parts = [folded(some) for some in …]        # anywhere
    everybody = together(parts)
    here, there = everybody.alike()
    judged = everybody.judge(here, there)       # in blocks, so memory stays bounded
"""

from __future__ import annotations

import mmap
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from onboard.match import blocks, folds, frequencies, given_names, texts
from onboard.match.blocks import Keys
from onboard.match.columns import Column, Columns, Index, as_objects
from onboard.match.evidence import SURE, EvidenceTable, judge
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.judged import Judged, heads_of
from onboard.match.piles import Piles
from onboard.match.texts import Numbers, Texts
from onboard.match.weights import Weights
from onboard.model import Person

# Pairs judged at a time: some 60 MB.
BLOCK = 100_000
# With fewer, judging would be over before another process has begun.
MANY_PAIRS = 500_000
# A ZIP or a city that more than this share of so many people have tells nobody from anybody.
ALL_ALIKE = 0.5
MANY = 50
# A personal number that more rows than this give is a filler ("99999"), or a household's.
MOST_ROWS = 12


class Steps(Protocol):
    """Who hears how far a work is, in things of its steps, such as rows that were read."""

    def expect(self, **things: float) -> None: ...

    def go(self, step: str, things: float) -> None: ...

    def part(self, step: str, share: float) -> None: ...

    def over(self, step: str) -> None: ...


class _NoSteps:
    def expect(self, **things: float) -> None: ...

    def go(self, step: str, things: float) -> None: ...

    def part(self, step: str, share: float) -> None: ...

    def over(self, step: str) -> None: ...


NO_STEPS: Steps = _NoSteps()


# A work on each of many values, in order, here or elsewhere.
Each: TypeAlias = Callable[[Callable[[Any], Any], Iterable[Any]], Iterator[Any]]
Links: TypeAlias = Iterable[tuple[int, int]]  # rows that a person has put together


@dataclass(frozen=True, slots=True)
class Folded:
    """Some of the people of a file, in order: their fields and their keys."""

    fields: Mapping[str, Texts]  # those of `folds.Folded`
    joint: Mapping[int, tuple[str, ...]]  # counted from the first of these people
    keys: Mapping[int, Keys]  # by the place of their rule

    @property
    def size(self) -> int:
        return len(self.fields["given"].numbers)


def folded(people: Iterable[Person]) -> Folded:
    """These people, ready to be compared."""
    some = list(people)
    return folded_columns(
        {said: [getattr(person, said) for person in some] for said, _, _ in folds.FOLDINGS},
        {row: person.joint for row, person in enumerate(some) if person.joint},
        len(some),
    )


FIELDS = tuple(field for field in folds.Folded._fields if field != "joint")
# The texts that are folded, by what they are called in a `Person`.
SAID = (
    "given", "middle", "family", "suffix", "called", "former", "email", "phone", "street", "unit",
    "city", "zip5", "born",
)  # fmt: skip


def folded_columns(
    said: Mapping[str, Sequence[str]], joint: Mapping[int, tuple[str, ...]], size: int
) -> Folded:
    """So many people, ready to be compared, out of the texts of each field in their order.

    Fields are those of a `Person`, and "personal"; one that is missing is not known of anybody.
    """
    columns: dict[str, Sequence[str]] = {}
    for text, fold, fields in (*folds.FOLDINGS, folds.PERSONAL):
        if not said.get(text):
            continue
        folded = _each(fold, said[text])
        for field, column in zip(
            fields, zip(*folded, strict=True) if len(fields) > 1 else (folded,), strict=True
        ):
            fill(columns, field, column)
    nothing = [""] * size
    written = {field: texts.texts(columns.get(field, nothing)) for field in FIELDS}
    others = {row: folds.joint_names(names) for row, names in joint.items()}
    others = {row: names for row, names in others.items() if names}
    return Folded(written, others, blocks.numbered(written, others))


def fill(columns: dict[str, Sequence[str]], field: str, values: Sequence[str]) -> None:
    """Put these values where a column that is there says nothing."""
    own = columns.get(field)
    columns[field] = (
        values if own is None else [here or value for here, value in zip(own, values, strict=True)]
    )


def _each(fold: Callable[[str], Any], values: Sequence[str]) -> list[Any]:
    """What each text folds to; a text that comes again is folded once."""
    fold = getattr(fold, "__wrapped__", fold)  # the same memory a second time would be waste
    known = {text: fold(text) for text in set(values)}
    return [known[text] for text in values]


@dataclass(frozen=True, slots=True)
class Everybody:
    """All people of a file."""

    size: int
    fields: Mapping[str, Texts]
    joint: Mapping[int, tuple[str, ...]]
    keys: Mapping[int, Keys]  # by the place of their rule
    shares: Frequencies
    shorts: ShortForms
    untold: Mapping[str, Numbers]  # values that tell nobody from anybody, by field

    def without(self, field: str, values: Iterable[str]) -> Everybody:
        """The same people, of whom these values, folded, tell nobody from anybody: a helper's phone."""
        more = texts.texts(list(values)).numbers
        old = self.untold.get(field, more[:0])
        return replace(self, untold={**self.untold, field: np.union1d(old, more)})

    def alike(self) -> tuple[Index, Index]:
        """All pairs that share a key, as two arrays of places from 0, the earlier person in the first."""
        return self.apart(blocks.pairs(self.keys, self.size))

    def apart(self, pairs: NDArray[np.int64]) -> tuple[Index, Index]:
        """The two people of each pair out of the numbers that `blocks.pairs` gives."""
        here, there = np.divmod(pairs, max(self.size, 1))
        return here.astype(np.int32), there.astype(np.int32)

    def judge(
        self, here: Index, there: Index, worth: Weights | None = None
    ) -> Iterator[EvidenceTable]:
        """The evidence on the pairs, block after block; by the shipped weights unless given."""
        for start in range(0, len(here), BLOCK):
            some = slice(start, start + BLOCK)
            rows, at = np.unique(np.concatenate([here[some], there[some]]), return_inverse=True)
            mine, theirs = np.split(at.astype(np.int32), 2)
            yield judge(self.columns(rows), mine, theirs, self.shares, self.shorts, worth)

    def found(
        self,
        least: float,
        worth: Weights,
        tied: float,
        linked: Links = (),
        course: Steps = NO_STEPS,
        each: Each = map,
    ) -> tuple[Judged, int]:
        """Of all pairs that share a key, those of at least `least` confidence with their evidence, and those
        whose rows hang together by ties and `linked` rows; and how many were judged. `each` does the judging,
        wherever that is."""
        order = self._by_name()
        places = np.empty_like(order)
        places[order] = np.arange(self.size)
        pairs = blocks.pairs(
            self.keys, self.size, places, lambda share: course.part("alike", share)
        )
        del places
        self._let_go()
        course.over("alike")
        course.expect(judge=len(pairs))
        some = (
            self._rows(pairs[start : start + BLOCK], order)
            for start in range(0, max(len(pairs), 1), BLOCK)
        )
        judged = []
        for one in (each if len(pairs) >= MANY_PAIRS else map)(
            partial(_judged, self, least, worth), some
        ):
            judged.append(one)
            course.go("judge", len(one.here))
        compared = len(pairs)
        del pairs, order
        told = heads_of((one.tied_rows(min(tied, SURE)) for one in judged), linked)
        for at, one in enumerate(judged):  # one by one, as there may be many
            judged[at] = one.wanted(*told)
        return Judged.joined(judged), compared

    def _let_go(self) -> None:
        """What lies in files need not stay in memory as well: who judges reads it again, in whatever process."""
        for written in self.fields.values():
            _let_go(written.numbers, written.ends, written.letters)
        for keys in self.keys.values():
            _let_go(*keys)

    def _by_name(self) -> NDArray[np.int64]:
        """The people in an order in which those of one name stand side by side: compared like this, a block of pairs
        is of few people, whose texts are looked at once."""
        family, given = (self.fields[field].numbers for field in ("family", "given"))
        half = np.uint64(32)
        return np.argsort((family >> half << half) | (given >> half))

    def _rows(self, pairs: NDArray[np.int64], order: NDArray[np.int64]) -> tuple[Index, Index]:
        """The two people of each pair of places in this order, the earlier person in the first."""
        one, other = (order[side] for side in np.divmod(pairs, max(self.size, 1)))
        return np.minimum(one, other).astype(np.int32), np.maximum(one, other).astype(np.int32)

    def columns(self, rows: NDArray[Any]) -> Columns:
        """The people of these rows, counted from 0, as columns that can be compared."""
        joint = [self.joint.get(row, ()) for row in rows.tolist()] if self.joint else []
        return Columns(
            len(rows),
            {field: self._column(field, rows) for field in self.fields},
            tuple(joint) if any(joint) else (),
        )

    def _column(self, field: str, rows: NDArray[Any]) -> Column:
        written = self.fields[field]
        numbers = written.numbers[rows]
        if field in self.untold:
            numbers = np.where(np.isin(numbers, self.untold[field]), np.uint64(0), numbers)
        distinct, first, codes = np.unique(numbers, return_index=True, return_inverse=True)
        if len(distinct) and distinct[0] == 0:
            found = ["", *written.at(rows[first[1:]])]
        else:
            found, codes = ["", *written.at(rows[first])], codes + 1
        return Column(codes.astype(np.int32), as_objects(found))


def _let_go(*arrays: NDArray[Any]) -> None:
    for array in arrays:
        if isinstance(array.base, mmap.mmap) and hasattr(mmap, "MADV_DONTNEED"):
            array.base.madvise(mmap.MADV_DONTNEED)


def _judged(people: Everybody, least: float, worth: Weights, rows: tuple[Index, Index]) -> Judged:
    return Judged.of(people, *rows, least, worth)


class Gathering:
    """The people of a file as their parts come, in order; their columns are kept in `piles`."""

    def __init__(self, piles: Piles | None = None) -> None:
        self._piles = Piles() if piles is None else piles
        self._size = 0
        self._joint: dict[int, tuple[str, ...]] = {}
        self._rules: set[int] = set()
        self.add(folded(()))  # so that there is each field, whoever comes

    def add(self, part: Folded) -> None:
        """Put some people behind those before them."""
        for field, written in part.fields.items():
            self._piles.add_texts(field, written)
        for rule, (numbers, owners) in part.keys.items():
            self._piles.add(f"key {rule}.numbers", numbers)
            self._piles.add(f"key {rule}.owners", owners + np.int32(self._size))
            self._rules.add(rule)
        self._joint |= {row + self._size: names for row, names in part.joint.items()}
        self._size += part.size

    def everybody(
        self, shares: Frequencies | None = None, shorts: ShortForms | None = None
    ) -> Everybody:
        """All of them, who are not kept here; see `together`."""
        whole = self._piles.whole
        return _everybody(
            self._size,
            {field: self._piles.texts(field) for field in FIELDS},
            self._joint,
            {
                rule: (whole(f"key {rule}.numbers"), whole(f"key {rule}.owners"))
                for rule in sorted(self._rules)
            },
            shares,
            shorts or given_names.shipped(),
        )


def together(
    parts: Iterable[Folded],
    piles: Piles | None = None,
    shares: Frequencies | None = None,
    shorts: ShortForms | None = None,
) -> Everybody:
    """The people of all parts, in order; their columns are kept in `piles`.

    How common names are is counted among them, smoothed by `shares`, the Census unless given.
    `shorts` are which given names are short for which, as shipped unless given.
    """
    gathering = Gathering(piles)
    for part in parts:
        gathering.add(part)
    return gathering.everybody(shares, shorts)


def _everybody(
    size: int,
    fields: Mapping[str, Texts],
    joint: Mapping[int, tuple[str, ...]],
    keys: Mapping[int, Keys],
    outside: Frequencies | None,
    shorts: ShortForms,
) -> Everybody:
    """The people of these columns, with how common their names are among themselves."""
    counts = {field: _counts(fields[field]) for field in ("given", "family")}
    untold = {
        field: of_most(*np.unique(fields[field].numbers, return_counts=True), size)
        for field in ("zip5", "city")
    }
    numbers, times = np.unique(fields["personal"].numbers, return_counts=True)
    untold["personal"] = numbers[times > MOST_ROWS]
    shares = frequencies.among(counts["given"], counts["family"], outside)
    return Everybody(size, fields, joint, keys, shares, shorts, untold)


def _counts(field: Texts) -> dict[str, int]:
    """How many people bear each name."""
    _, first, counts = np.unique(field.numbers, return_index=True, return_counts=True)
    names = dict(zip(field.at(first), counts.tolist(), strict=True))
    names.pop("", None)
    return names


def of_most(numbers: Numbers, counts: NDArray[np.integer], size: int) -> Numbers:
    """The value that most of so many people share, if they do; `counts` says how many have each."""
    most = (counts > (ALL_ALIKE * size if size >= MANY else size)) & (numbers != 0)
    return np.asarray(numbers[most])

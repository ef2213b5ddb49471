"""Everybody of a file at once: the same keys and the same evidence, as columns.

Each step takes and gives plain arrays, so parts of a file may be folded anywhere, in this process,
in others, on other machines, and joined here:

    parts = [folded(some) for some in …]        # anywhere
    everybody = together(parts)
    here, there = everybody.alike()
    judged = everybody.judge(here, there)       # in blocks, so memory stays bounded
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from onboard.match import blocks, frequencies
from onboard.match.columns import Column, Columns, Index, columns, joined
from onboard.match.evidence import Judged, judge
from onboard.match.folds import fold
from onboard.match.frequencies import Frequencies
from onboard.model import Person

# Pairs judged at a time: some 60 MB.
BLOCK = 100_000
# A ZIP or a city that more than this share of so many people have tells nobody from anybody.
ALL_ALIKE = 0.5
MANY = 50


@dataclass(frozen=True, slots=True)
class Folded:
    """Some of the people of a file, in order: their columns and their keys."""

    people: Columns
    keys: NDArray[np.uint64]
    owners: Index  # whose each key is, counted from the first of these people


def folded(people: Iterable[Person]) -> Folded:
    """These people, ready to be compared."""
    some = [fold(person) for person in people]
    return Folded(columns(some), *blocks.hashed(some))


@dataclass(frozen=True, slots=True)
class Everybody:
    """All people of a file."""

    people: Columns
    shares: Frequencies
    keys: tuple[NDArray[np.uint64], ...]
    owners: tuple[Index, ...]

    def alike(self) -> tuple[Index, Index]:
        """All pairs that share a key, the earlier person first."""
        return blocks.pairs(self.keys, self.owners, self.people.size)

    def judge(self, here: Index, there: Index) -> Iterator[Judged]:
        """The evidence on the pairs, block after block."""
        for start in range(0, len(here), BLOCK):
            some = slice(start, start + BLOCK)
            yield judge(self.people, here[some], there[some], self.shares)


def together(parts: Sequence[Folded]) -> Everybody:
    """The people of all parts, in order."""
    people = joined([part.people for part in parts])
    starts = np.cumsum([0, *(part.people.size for part in parts)])
    owners = tuple(
        part.owners + np.int32(start) for part, start in zip(parts, starts, strict=False)
    )
    fields = people.fields | {name: _telling(people.fields[name]) for name in ("zip5", "city")}
    return Everybody(
        replace(people, fields=fields),
        frequencies.of_people(people),
        tuple(part.keys for part in parts),
        owners,
    )


def _telling(field: Column) -> Column:
    """The column, without a value that most people share."""
    counts = np.bincount(field.codes, minlength=len(field.texts))
    counts[0] = 0
    most = int(counts.argmax())
    if len(field.codes) < MANY or counts[most] <= ALL_ALIKE * len(field.codes):
        return field
    return Column(np.where(field.codes == most, 0, field.codes).astype(np.int32), field.texts)

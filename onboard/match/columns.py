"""People's folded fields as columns to compare: each distinct text once, and an index a person."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from onboard.match.folds import Folded

Index: TypeAlias = NDArray[np.int32]
Flags: TypeAlias = NDArray[np.bool_]
Texts: TypeAlias = NDArray[Any]  # of str objects
Sides: TypeAlias = tuple[NDArray[np.integer], NDArray[np.integer]]


@dataclass(frozen=True, slots=True)
class Column:
    """One field of everybody: `texts[codes[person]]`; code 0 is "", not known."""

    codes: Index
    texts: Texts


def column(values: Sequence[str]) -> Column:
    """The column of these values.

    >>> column(["b", "", "a", "b"]).codes.tolist()
    [1, 0, 2, 1]
    """
    place = {"": 0}
    codes = [place.setdefault(text, len(place)) for text in values]
    return Column(np.array(codes, np.int32), as_objects(list(place)))


def as_objects(texts: Sequence[str]) -> Texts:
    """The texts as an array of str objects."""
    found = np.empty(len(texts), dtype=object)
    found[:] = texts
    return found


@dataclass(frozen=True, slots=True)
class Columns:
    """The folded fields of everybody, one column a field."""

    size: int
    fields: dict[str, Column]
    joint: tuple[tuple[str, ...], ...]  # empty if nobody signed up jointly

    def __getitem__(self, field: str) -> Column:
        return self.fields[field]


def columns(people: Sequence[Folded]) -> Columns:
    """The columns of these people, in their order."""
    turned = list(zip(*people, strict=True)) or [()] * len(Folded._fields)
    fields = dict(zip(Folded._fields, turned, strict=True))
    joint = fields.pop("joint")
    return Columns(
        len(people),
        {name: column(values) for name, values in fields.items()},
        joint if any(joint) else (),
    )


def below_each_other(parts: Sequence[Column]) -> Column:
    """One column of the values of all these."""
    place: dict[str, int] = {"": 0}
    codes = []
    for part in parts:
        here = [place.setdefault(text, len(place)) for text in part.texts]
        codes.append(np.array(here, np.int32)[part.codes])
    return Column(np.concatenate([np.empty(0, np.int32), *codes]), as_objects(list(place)))


@dataclass(frozen=True, slots=True)
class Pairs:
    """Pairs of texts out of one column; what is neither the same nor unknown once each."""

    same: Flags
    unknown: Flags
    left: Texts  # the distinct pairs that must be looked at,
    right: Texts  # each the earlier in the alphabet first
    sides: Sides  # and their places among the texts of the column
    at: Index  # where they are, in `same`
    which: Index  # which distinct pair stands there

    def alike(self, part: Sequence[Hashable]) -> Flags:
        """Of which distinct pairs both texts have the same part; `part` has that of each text of the column.

        None is the same as nothing.
        """
        numbers = numbered(part)
        left, right = (numbers[side] for side in self.sides)
        return np.asarray((left == right) & (left > 0))

    def spread(self, found: NDArray[Any], into: NDArray[Any]) -> None:
        """Put what was found for each distinct pair where the pair occurs; `into` has a value for every pair."""
        into[self.at] = found[self.which]


def pairs(field: Column, here: Index, there: Index) -> Pairs:
    """The texts of `field` for the people `here` beside those of the people `there`, a pair for each n:
    `here[n]`, `there[n]`, which are places of people, from 0."""
    a, b = field.codes[here], field.codes[there]
    unknown = (a == 0) | (b == 0)
    same = (a == b) & ~unknown
    at = np.flatnonzero(~(same | unknown)).astype(np.int32)
    low, high = np.minimum(a[at], b[at]).astype(np.int64), np.maximum(a[at], b[at])
    distinct, which = np.unique(low * len(field.texts) + high, return_inverse=True)
    low, high = np.divmod(distinct, len(field.texts))
    turned = (field.texts[low] > field.texts[high]).astype(np.bool_)
    low, high = np.where(turned, high, low), np.where(turned, low, high)  # whoever is asked first
    return Pairs(
        same, unknown, field.texts[low], field.texts[high], (low, high), at, which.astype(np.int32)
    )


def numbered(values: Iterable[Hashable]) -> Index:
    """A number for each value, the same for the same; 0 for None.

    >>> numbered(["oh", None, "la", "oh"]).tolist()
    [1, 0, 2, 1]
    """
    place: dict[Hashable, int] = {None: 0}
    return np.array([place.setdefault(value, len(place)) for value in values], np.int32)

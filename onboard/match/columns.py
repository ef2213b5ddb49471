"""Many people's folded fields as columns: each distinct text once, and an index a person.

The indices follow the alphabet, so that a pair of texts has one order whoever is asked first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from onboard.match.folds import Folded

Index: TypeAlias = NDArray[np.int32]
Flags: TypeAlias = NDArray[np.bool_]
Texts: TypeAlias = NDArray[Any]  # of str objects


@dataclass(frozen=True, slots=True)
class Column:
    """One field of everybody: `texts[codes[person]]`; code 0 is "", not known."""

    codes: Index
    texts: Texts


def column(values: Sequence[str]) -> Column:
    """The column of these values.

    >>> column(["b", "", "a", "b"]).codes.tolist()
    [2, 0, 1, 2]
    """
    distinct = sorted({"", *values})
    place = {text: at for at, text in enumerate(distinct)}
    texts = np.empty(len(distinct), dtype=object)
    texts[:] = distinct
    return Column(np.fromiter(map(place.__getitem__, values), np.int32, len(values)), texts)


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


def joined(parts: Sequence[Columns]) -> Columns:
    """The columns of all these people, part after part."""
    fields = {}
    for name in Folded._fields:
        if name != "joint":
            fields[name] = below_each_other([part.fields[name] for part in parts])
    joint: list[tuple[str, ...]] = []
    if any(part.joint for part in parts):
        for part in parts:
            joint += part.joint or [()] * part.size
    return Columns(sum(part.size for part in parts), fields, tuple(joint))


def below_each_other(parts: Sequence[Column]) -> Column:
    """One column of the values of all these."""
    distinct = sorted({text for part in parts for text in part.texts} | {""})
    place = {text: at for at, text in enumerate(distinct)}
    texts = np.empty(len(distinct), dtype=object)
    texts[:] = distinct
    codes = [np.array([place[t] for t in part.texts], np.int32)[part.codes] for part in parts]
    return Column(np.concatenate([np.empty(0, np.int32), *codes]), texts)


@dataclass(frozen=True, slots=True)
class Pairs:
    """Pairs of texts out of one column; what is neither the same nor unknown once each."""

    same: Flags
    unknown: Flags
    left: Texts  # the distinct pairs that must be looked at,
    right: Texts  # each the earlier in the alphabet first
    at: Index  # where they are, in `same`
    which: Index  # which distinct pair stands there

    def spread(self, found: NDArray[Any], into: NDArray[Any]) -> None:
        """Put what was found for each distinct pair where the pair occurs."""
        into[self.at] = found[self.which]


def pairs(field: Column, here: Index, there: Index) -> Pairs:
    """The texts of `field` for the people `here` beside those of the people `there`."""
    a, b = field.codes[here], field.codes[there]
    unknown = (a == 0) | (b == 0)
    same = (a == b) & ~unknown
    at = np.flatnonzero(~(same | unknown)).astype(np.int32)
    low, high = np.minimum(a[at], b[at]).astype(np.int64), np.maximum(a[at], b[at])
    distinct, which = np.unique(low * len(field.texts) + high, return_inverse=True)
    low, high = np.divmod(distinct, len(field.texts))
    return Pairs(same, unknown, field.texts[low], field.texts[high], at, which.astype(np.int32))

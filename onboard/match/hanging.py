"""Who hangs together by pairs of rows, be they many millions: arrays in, arrays out."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from onboard.match.columns import Flags, Index

Rows: TypeAlias = NDArray[np.integer]


def hanging(one: Rows, other: Rows) -> tuple[Index, Index]:
    """The rows of these pairs in order; and beside each the place among them of the first who hangs together with it.

    >>> rows, top = hanging(np.array([1, 5, 2, 3]), np.array([2, 7, 5, 4]))
    >>> rows.tolist(), top.tolist()
    ([1, 2, 3, 4, 5, 7], [0, 0, 2, 2, 0, 0])
    """
    rows, at = np.unique(np.concatenate([one, other]).astype(np.int32), return_inverse=True)
    left, right = np.split(at.astype(np.int32), 2)
    top = np.arange(len(rows), dtype=np.int32)
    while len(left):
        # The later of two tops is put below the earlier one; then everybody is put right below their top.
        np.minimum.at(top, np.maximum(top[left], top[right]), np.minimum(top[left], top[right]))
        while (top[top] != top).any():
            top = top[top]
        apart = top[left] != top[right]
        left, right = left[apart], right[apart]
    return rows, top


def among(rows: Index, some: Rows) -> tuple[Index, Flags]:
    """Where each of some rows is among these, which are in order, and whether it is."""
    if not len(rows):
        return np.zeros(len(some), np.int32), np.zeros(len(some), np.bool_)
    at = np.minimum(np.searchsorted(rows, some), len(rows) - 1).astype(np.int32)
    return at, rows[at] == some


def together(rows: Index, top: Index, one: Rows, other: Rows) -> Flags:
    """Which pairs are of two who hang together, as `hanging` says."""
    (here, known), (there, too) = among(rows, one), among(rows, other)
    if not len(rows):
        return known
    return np.asarray(known & too & (top[here] == top[there]))

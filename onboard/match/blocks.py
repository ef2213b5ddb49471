"""The pairs of a whole file that share a key.

Keys are hashed and sorted, so that people who share one stand side by side; memory is 12 bytes a
key and 8 bytes a pair, and no block of a key is larger than `keys.CROWD` people.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from onboard.match import keys
from onboard.match.columns import Index
from onboard.match.folds import Folded


def hashed(people: Iterable[Folded]) -> tuple[NDArray[np.uint64], Index]:
    """The keys of these people as numbers, and at which place in the order each belongs.

    64 bits: in a million people two keys fall together about once in a million files, and then
    two people are compared who share no key, which harms nobody.
    """
    numbers: list[int] = []
    counts: list[int] = []
    for who in people:
        found = {key.encode() for key in keys.of_folded(who)}
        numbers += [crc32(key) << 32 | crc32(key[::-1]) for key in found]
        counts.append(len(found))
    owners = np.repeat(np.arange(len(counts), dtype=np.int32), counts)
    return np.array(numbers, np.uint64), owners


def pairs(
    numbers: Sequence[NDArray[np.uint64]], owners: Sequence[Index], size: int
) -> tuple[Index, Index]:
    """Each pair of the `size` people who share a key once, the earlier one first, in order."""
    number, owner = (
        np.concatenate([*numbers, np.empty(0, np.uint64)]),
        np.concatenate([*owners, np.empty(0, np.int32)]),
    )
    order = np.argsort(number, kind="stable")  # and so by owner within a key
    number, owner = number[order], owner[order]
    starts = np.flatnonzero(np.r_[True, number[1:] != number[:-1]]) if len(number) else number
    lengths = np.diff(np.r_[starts, len(number)]).astype(np.int64)
    found = [np.empty(0, np.int64)]
    for length in np.unique(lengths[(lengths > 1) & (lengths <= keys.CROWD)]):
        block = owner[starts[lengths == length].astype(np.int64)[:, None] + np.arange(length)]
        first, second = np.triu_indices(length, 1)
        for some in np.array_split(np.arange(len(first)), 1 + len(first) * len(block) // 1_000_000):
            both = block[:, first[some]].astype(np.int64) * size + block[:, second[some]]
            found.append(np.unique(both))
    distinct = np.unique(np.concatenate(found))
    here, there = np.divmod(distinct, max(size, 1))
    return here.astype(np.int32), there.astype(np.int32)

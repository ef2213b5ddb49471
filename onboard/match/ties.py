"""Ties between two owners: how sure it is that they are one person."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onboard.match.columns import Flags, Index


@dataclass(frozen=True, slots=True)
class Tie:
    """The confidence that two owners are one person."""

    one: str
    other: str
    confidence: float


@dataclass(frozen=True, slots=True)
class Ties:
    """Many ties, of owners by their places, from 0."""

    one: Index
    other: Index
    confidence: NDArray[np.float64]

    @classmethod
    def joined(cls, some: Sequence[Ties]) -> Ties:
        """All these, of which there is at least one."""
        return cls(
            np.concatenate([ties.one for ties in some]),
            np.concatenate([ties.other for ties in some]),
            np.concatenate([ties.confidence for ties in some]),
        )

    def only(self, these: Flags | NDArray[np.intp]) -> Ties:
        """Some of them, as flags or places say."""
        return Ties(self.one[these], self.other[these], self.confidence[these])

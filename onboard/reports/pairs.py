"""Pairs of rows that are or may be one person, of which there may be very many: as arrays, and each made, with its
evidence in words, only when it is asked for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, overload

import numpy as np
from numpy.typing import NDArray

from onboard.match.called import Called
from onboard.match.columns import Flags, Index
from onboard.match.evidence import CHANCE
from onboard.match.levels import FIELDS
from onboard.match.made_late import MadeLate
from onboard.match.weights import Weights
from onboard.model import Verdict

AT_ONCE = 20_000  # pairs made at a time
SETTLED = "; a surer pair of the same people settles this one"
VERDICTS = tuple(Verdict)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two rows that are or may be one person."""

    one: str  # their ids
    other: str
    confidence: float
    verdict: Verdict
    evidence: str  # in words; the bits are for (+) or against (-) their being one
    weight: float  # bits, the sum of the evidence
    ruling: str = ""  # what a person said of them: "same", "different"


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Pairs(MadeLate[Pair]):
    """Pairs in an order; equal to any sequence of the same."""

    at_once = AT_ONCE
    called: Called  # all rows
    here: Index  # the rows, from 0, the earlier one
    there: Index
    confidence: NDArray[np.float64]
    verdicts: NDArray[np.int8]  # by their places in `VERDICTS`
    ruled: Flags  # of which a person said so
    settled: Flags  # which surer pairs settle
    levels: NDArray[np.int8]  # of likeness, a column a field of `FIELDS`
    worth: Weights  # of the levels

    def __len__(self) -> int:
        return len(self.here)

    @overload
    def __getitem__(self, place: int) -> Pair: ...
    @overload
    def __getitem__(self, place: slice) -> Pairs: ...
    def __getitem__(self, place: int | slice) -> Pair | Pairs:
        if isinstance(place, slice):
            return self._only(place)
        return MadeLate.__getitem__(self, place)

    def some(self, start: int, end: int) -> Iterator[Pair]:
        yield from self._only(slice(start, end))._made()

    def __repr__(self) -> str:
        return f"<{len(self)} pairs>"

    def of(self, verdict: Verdict) -> Pairs:
        """Those of which this is said."""
        return self._only(self.verdicts == VERDICTS.index(verdict))

    def rows(self) -> Flags:
        """Which of all rows are in any of them."""
        found = np.zeros(len(self.called), np.bool_)
        found[self.here] = found[self.there] = True
        return found

    def alone(self) -> Pairs:
        """The same, that know of no rows but their own, to be sent to another process."""
        rows, at = np.unique(np.concatenate([self.here, self.there]), return_inverse=True)
        here, there = np.split(at.astype(np.int32), 2)
        return replace(self, called=self.called.only(rows), here=here, there=there)

    def _only(self, these: Flags | slice) -> Pairs:
        return replace(
            self, here=self.here[these], there=self.there[these], confidence=self.confidence[these],
            verdicts=self.verdicts[these], ruled=self.ruled[these], settled=self.settled[these],
            levels=self.levels[these],
        )  # fmt: skip

    def _made(self) -> Iterator[Pair]:
        """Each of them; what is said of two is said of all who are as alike."""
        distinct, which = _distinct(self.levels)
        parts = self.worth.parts(dict(zip(FIELDS, distinct.T, strict=True)))
        bits = parts.astype(np.float32).tolist()
        words = [
            _words(self.worth.chance, *both) for both in zip(distinct.tolist(), bits, strict=True)
        ]
        weights = [self.worth.chance + sum(some) for some in bits]
        for one, other, confidence, verdict, ruled, settled, at in zip(
            self.called.at(self.here), self.called.at(self.there), self.confidence.tolist(),
            self.verdicts.tolist(), self.ruled.tolist(), self.settled.tolist(), which.tolist(), strict=True,
        ):  # fmt: skip
            evidence = words[at] + SETTLED if settled else words[at]
            said = VERDICTS[verdict]
            yield Pair(
                one, other, confidence, said, evidence, weights[at], str(said) if ruled else ""
            )


def _distinct(levels: NDArray[np.int8]) -> tuple[NDArray[np.int8], NDArray[np.integer[Any]]]:
    """The rows of levels, each once, and which of them each is."""
    whole = np.ascontiguousarray(levels).view(f"V{levels.shape[1]}").ravel()
    _, first, which = np.unique(whole, return_index=True, return_inverse=True)
    return levels[first], which


def _words(chance: float, levels: Sequence[int], parts: Sequence[float]) -> str:
    """The evidence in words, each with its bits, which add up to the confidence."""
    return f"{CHANCE} ({chance:+.1f})" + "".join(
        f"; {names[level][1]} ({bits:+.1f})"
        for names, level, bits in zip(FIELDS.values(), levels, parts, strict=True)
        if level
    )

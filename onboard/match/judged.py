"""Pairs that were judged, and who hangs together by them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from onboard.match import groups
from onboard.match.columns import Flags, Index
from onboard.match.evidence import EvidenceTable
from onboard.match.hanging import hanging, together
from onboard.match.levels import FIELDS
from onboard.match.ties import Ties
from onboard.match.weights import Weights

# Where more rows than this hang together, those who share no key are not compared either.
LARGEST = 100


class Judging(Protocol):
    """Who knows the people, and can say how alike they are."""

    def judge(self, here: Index, there: Index, worth: Weights | None) -> Iterator[EvidenceTable]:
        """The evidence on the pairs `here[n]`, `there[n]`, which are rows from 0, block after block."""


@dataclass(frozen=True, slots=True)
class Judged:
    """Pairs of rows that were judged; the evidence is kept of those worth telling."""

    here: Index  # the rows, from 0, the earlier one
    there: Index
    confidence: NDArray[np.float64]
    same: Flags  # which may be decided alone
    against: Flags  # where something speaks hard against it
    told: Index  # places of pairs in those above
    levels: NDArray[np.int8]  # of those, a column a field

    @classmethod
    def of(cls, people: Judging, here: Index, there: Index, least: float, worth: Weights) -> Judged:
        """These pairs, judged; those of at least so much confidence are worth telling."""
        confidence, told_at = [np.empty(0)], [np.empty(0, np.int32)]
        same, against = [np.empty(0, np.bool_)], [np.empty(0, np.bool_)]
        levels = [np.empty((0, len(FIELDS)), np.int8)]
        start = 0
        for judged in people.judge(here, there, worth):
            told = np.flatnonzero(judged.confidence >= least)
            confidence.append(judged.confidence)
            told_at.append((told + start).astype(np.int32))
            same.append(judged.same)
            against.append(judged.against)
            levels.append(np.stack([judged.levels[field][told] for field in FIELDS], axis=1))
            start += len(judged.confidence)
        return cls(
            here, there, np.concatenate(confidence), np.concatenate(same), np.concatenate(against),
            np.concatenate(told_at), np.concatenate(levels),
        )  # fmt: skip

    def wanted(self, rows: Index, heads: Index) -> Judged:
        """The pairs worth telling, and all whose rows hang together, as `heads_of` says."""
        return self.only(self.worth_telling() | together(rows, heads, self.here, self.there))

    def only(self, these: Flags) -> Judged:
        """Some of the pairs."""
        place = (np.cumsum(these) - 1).astype(np.int32)
        told = these[self.told]
        return Judged(
            self.here[these], self.there[these], self.confidence[these], self.same[these],
            self.against[these], place[self.told[told]], self.levels[told],
        )  # fmt: skip

    @classmethod
    def joined(cls, some: Sequence[Judged]) -> Judged:
        """The pairs of all these, of which there is at least one, in the order of their rows."""
        starts = np.cumsum([0, *(len(one.here) for one in some)])
        here = np.concatenate([one.here for one in some])
        there = np.concatenate([one.there for one in some])
        order = np.lexsort((there, here))
        place = np.empty(len(order), np.int32)
        place[order] = np.arange(len(order), dtype=np.int32)
        at = [one.told + start for one, start in zip(some, starts, strict=False)]
        told = place[np.concatenate(at)]
        turn = np.argsort(told)
        return cls(
            here[order], there[order],
            np.concatenate([one.confidence for one in some])[order],
            np.concatenate([one.same for one in some])[order],
            np.concatenate([one.against for one in some])[order],
            told[turn],
            np.concatenate([one.levels for one in some])[turn],
        )  # fmt: skip

    def tied(self, least: float) -> Flags:
        """Which pairs are close enough to be put together."""
        return np.asarray(self.confidence >= least)

    def tied_rows(self, least: float) -> tuple[Index, Index]:
        """The rows of these, the earlier ones and the later ones."""
        tied = self.tied(least)
        return self.here[tied], self.there[tied]

    def rows(self, pairs: Flags, size: int) -> Flags:
        """Which of so many rows are in these pairs."""
        found = np.zeros(size, np.bool_)
        found[self.here[pairs]] = found[self.there[pairs]] = True
        return found

    def worth_telling(self) -> Flags:
        """Which pairs are told."""
        found = np.zeros(len(self.here), np.bool_)
        found[self.told] = True
        return found

    def sure(self, rows: Flags) -> Ties:
        """What needs no question about these rows, and what speaks against it."""
        no = self.against | (self.confidence < groups.AGAINST)
        ties = Ties(self.here, self.there, np.where(no, 0.0, self.confidence))
        return ties.only((self.same | no) & self._among(rows))

    def ties(self, rows: Flags, tied: float) -> Ties:
        """What holds these rows together, and what speaks against it."""
        tells = self.tied(tied) | (self.confidence < groups.AGAINST)
        return Ties(self.here, self.there, self.confidence).only(tells & self._among(rows))

    def _among(self, rows: Flags) -> Flags:
        return np.asarray(rows[self.here] & rows[self.there])


def heads_of(
    tied: Iterable[tuple[Index, Index]], linked: Iterable[tuple[int, int]]
) -> tuple[Index, Index]:
    """The rows that hang together by pairs of `tied` rows and `linked` ones, in order; and beside each a number that is
    the same for all who do."""
    pairs = [*tied, tuple(np.array(list(linked), np.int32).reshape(-1, 2).T)]
    return hanging(*(np.concatenate(side) for side in zip(*pairs, strict=True)))


def never_compared(found: Judged, size: int, least: float) -> tuple[Index, Index]:
    """The pairs that hang together by other rows, and share no key themselves."""
    rows, top = hanging(*found.tied_rows(least))
    side_by_side = rows[np.argsort(top, kind="stable")]
    _, starts, sizes = np.unique(np.sort(top), return_index=True, return_counts=True)
    pairs = [np.empty(0, np.int64)]
    for many in range(3, LARGEST + 1):
        hang = side_by_side[starts[sizes == many][:, None] + np.arange(many)].astype(np.int64)
        one, other = np.triu_indices(many, 1)
        pairs.append((hang[:, one] * size + hang[:, other]).ravel())
    within = together(rows, top, found.here, found.there)
    compared = found.here[within].astype(np.int64) * size + found.there[within]
    here, there = np.divmod(np.setdiff1d(np.concatenate(pairs), compared), max(size, 1))
    return here.astype(np.int32), there.astype(np.int32)

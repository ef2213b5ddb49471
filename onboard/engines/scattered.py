"""The people of a file, a part on each worker of a cluster: the same questions as `many.Everybody` answers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias, TypeVar

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from onboard.engines.cluster import Cluster
from onboard.engines.parts import parts as in_parts
from onboard.match import many, spread
from onboard.match.cells import Told
from onboard.match.columns import Index
from onboard.match.evidence import SURE, EvidenceTable
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.judged import Judged, heads_of
from onboard.match.many import NO_STEPS, Steps
from onboard.match.weights import Weights

if TYPE_CHECKING:
    from distributed import Future

Made: TypeAlias = tuple[many.Folded, Told]
Index64: TypeAlias = NDArray[np.int64]
Array = TypeVar("Array", bound=NDArray[Any])

AT_ONCE = 16  # counts that are added up in one go
PIECE = 500_000  # rows of an array that goes to the workers


class Scattered:
    """The people of these parts, in order, and what is known of all of them."""

    def __init__(
        self,
        cluster: Cluster,
        parts: Iterable[Callable[[], Made]],
        told: list[Told],
        outside: tuple[Frequencies | None, ShortForms | None] = (None, None),
        course: Steps = NO_STEPS,
    ) -> None:
        """Makes the parts on the workers; what is told of each is put into `told`. `course` hears
        how far the work is."""
        self._cluster, self._outside = cluster, outside
        self._parts: list[Future] = []
        telling: list[Future] = []
        for part in parts:
            made = cluster.submit(_made, part)
            self._parts.append(cluster.submit(_folded, made))
            telling.append(cluster.submit(_told, made))
        del made
        sizes: list[int] = []
        for some in in_parts(telling, AT_ONCE):
            for one in cluster.results(some):
                told.append(one)
                sizes.append(len(one.called.ends))
                course.go("read", one.size)
        del telling
        course.over("read")
        self.size = sum(sizes)
        course.expect(alike=self.size, judge=self.size)
        self._firsts = np.cumsum([0, *sizes[:-1]]).astype(np.int64)
        self._cells = spread.cells(self._firsts, sizes)
        buckets = self._shuffled_keys()
        self._known = cluster.submit(
            spread.known,
            self._added(spread.summed, [cluster.submit(spread.counts, one) for one in self._parts]),
            [cluster.submit(spread.fillers, one) for one in buckets],
            *outside,
        )
        self._later, self._pairs = self._shuffled_pairs(buckets)
        course.over("alike")

    def _shuffled_pairs(self, buckets: Sequence[Future]) -> tuple[Index64, list[Future]]:
        """The first rows of ranges of rows, and the pairs whose later row is in each."""
        cluster = self._cluster
        pieces = cluster.results([cluster.submit(spread.pieces_of, one) for one in buckets])
        pairs = [
            cluster.submit(spread.pairs_of, one, self.size, piece)
            for one, several in zip(buckets, pieces, strict=True) for piece in range(several)
        ]  # fmt: skip
        cells = cluster.submit(_as_it_is, self._cells)
        counted = [cluster.submit(spread.met, one, cells) for one in pairs]
        (met,) = cluster.results([self._added(spread.added, counted)])
        heaviest = cluster.results([cluster.submit(spread.heaviest, one) for one in self._parts])
        later = self._ranges(met * np.concatenate(heaviest))
        homed = [cluster.submit(spread.at_home, one, later) for one in pairs]
        return later, cluster.shuffled(homed, spread.PAIRS, len(later))

    def _ranges(self, weights: Index64) -> Index64:
        return spread.ranges(self._cells, self._firsts, weights, spread.BLOCK)

    def _of(self, starts: Index64) -> Iterator[tuple[Future, int]]:
        """The part in which each range is that begins with one of these rows, and its first row."""
        for at in spread.home(starts, self._firsts).tolist():
            yield self._parts[at], int(self._firsts[at])

    def _added(self, adding: Callable[[Sequence[Any]], Any], some: list[Future]) -> Future:
        while len(some) > 1:
            some = [self._cluster.submit(adding, few) for few in in_parts(some, AT_ONCE)]
        return some[0]

    def _each(self) -> Iterator[tuple[Future, int]]:
        return zip(self._parts, self._firsts.tolist(), strict=True)

    def _shuffled_keys(self) -> list[Future]:
        homes = len(self._parts)
        return self._cluster.shuffled(
            [self._cluster.submit(spread.keys_of, one, first, homes) for one, first in self._each()],
            spread.KEYS, homes,
        )  # fmt: skip

    def found(
        self,
        least: float,
        worth: Weights,
        tied: float,
        linked: many.Links = (),
        course: Steps = NO_STEPS,
    ) -> tuple[Judged, int]:
        """Of all pairs that share a key, those of at least `least` confidence with their evidence, and those
        whose rows hang together by ties and `linked` rows; and how many were judged."""
        cluster = self._cluster
        cells = cluster.submit(_as_it_is, self._cells)
        at_home = list(zip(self._pairs, self._of(self._later), strict=True))
        counted = [cluster.submit(spread.meeting, pairs, *whose, cells) for pairs, whose in at_home]
        (bytes_met,) = cluster.results([self._added(spread.added, counted)])
        earlier = self._ranges(bytes_met)
        meet = cluster.shuffled(
            [cluster.submit(spread.guests, pairs, *whose, earlier) for pairs, whose in at_home],
            spread.GUESTS, len(earlier),
        )  # fmt: skip
        judged = [
            cluster.submit(spread.judged, some, *whose, self._known, least, worth)
            for some, whose in zip(meet, self._of(earlier), strict=True)
        ]
        course.expect(judge=len(judged))
        compared = cluster.results(
            [cluster.submit(_count, one) for one in judged], lambda some: course.go("judge", some)
        )
        del meet
        ties = self._cluster.results(
            [self._cluster.submit(Judged.tied_rows, one, min(tied, SURE)) for one in judged]
        )
        told = [self._pieces(side) for side in heads_of(ties, linked)]
        wanted = [self._cluster.submit(spread.wanted, one, *told) for one in judged]
        return Judged.joined(self._cluster.results(wanted)), sum(compared)

    def _pieces(self, values: NDArray[np.int32]) -> list[Future]:
        pieces = np.array_split(values, 1 + len(values) // PIECE)
        return [self._cluster.submit(_as_it_is, one) for one in pieces]

    def judge(
        self, here: Index, there: Index, worth: Weights | None = None
    ) -> Iterator[EvidenceTable]:
        """The evidence on a few pairs, judged here; by the shipped weights unless given."""
        if not len(here):
            return
        rows, at = np.unique(np.concatenate([here, there]), return_inverse=True)
        home = np.searchsorted(self._firsts, rows, "right") - 1
        tables = self._cluster.results([
            self._cluster.submit(_records, part, rows[home == place] - first)
            for place, (part, first) in enumerate(self._each()) if (home == place).any()
        ])  # fmt: skip
        (known,) = self._cluster.results([self._known])
        people = spread.everybody(spread.folded_of(pa.concat_tables(tables)), known)
        mine, theirs = np.split(at.astype(np.int32), 2)
        yield from people.judge(mine, theirs, worth)


def _count(judged: Judged) -> int:
    return len(judged.here)


def _made(part: Callable[[], Made]) -> Made:
    return part()


def _folded(made: Made) -> many.Folded:
    return made[0]


def _told(made: Made) -> Told:
    return made[1]


def _as_it_is(value: Array) -> Array:
    return value


def _records(part: many.Folded, rows: NDArray[np.integer]) -> pa.Table:
    return pa.table(spread.records(part, rows))

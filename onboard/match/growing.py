"""How groups grow, tie by tie, as long as nobody in them speaks against anybody else."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onboard.match.called import Called
from onboard.match.columns import Index
from onboard.match.hanging import among, hanging, together
from onboard.match.ties import Ties


@dataclass(frozen=True, slots=True)
class Ruled:
    """What a person has said of pairs of owners, by their places, the earlier one first."""

    firm: Mapping[tuple[int, int], float]  # who stays together, and how sure it is
    never: Collection[tuple[int, int]]

    def firmly(self) -> tuple[Index, Index]:
        """The owners of the firm pairs, the earlier ones and the later ones."""
        pairs = np.array(list(self.firm), np.int32).reshape(-1, 2)
        return pairs[:, 0], pairs[:, 1]


def grown(
    called: Called, holds: Ties, doubts: Ties, ruled: Ruled, chains: bool
) -> tuple[Index, NDArray[np.float64]]:
    """Of each owner, by place, the first one of their group, themselves if they are in none; and for the first one of
    each group, how sure its weakest tie is.

    `holds` are the ties that may hold groups together, `doubts` those that speak against. Without `chains` every two of a
    group are held together.
    """
    head, weakest = np.arange(len(called), dtype=np.int32), np.ones(len(called))
    firm = ruled.firmly()
    rows, top = hanging(
        np.concatenate([holds.one, firm[0]]), np.concatenate([holds.other, firm[1]])
    )
    doubts = doubts.only(together(rows, top, doubts.one, doubts.other))
    top_of = top[among(rows, holds.one)[0]]
    # Most of all that is found are two rows with one tie, and nothing else.
    times = np.bincount(top_of, minlength=len(rows))
    times[top[among(rows, np.concatenate([firm[0], doubts.one]))[0]]] = 0
    alone = times[top_of] == 1
    two, rest = holds.only(alone), holds.only(~alone)
    one, other = np.minimum(two.one, two.other), np.maximum(two.one, two.other)
    head[other], weakest[one] = one, np.minimum(two.confidence, 1.0)
    some = np.unique(np.concatenate([rest.one, rest.other, *firm]))
    growing = _Growing(some, rest, doubts, ruled, chains)
    growing.grow(rest, called.at(some))
    head[some] = some[growing.head]
    weakest[some] = growing.weakest
    return head, weakest


class _Growing:
    """Groups of these owners that grow; each is counted as its first owner, by their places among these."""

    def __init__(
        self, owners: Index, holds: Ties, doubts: Ties, ruled: Ruled, chains: bool
    ) -> None:
        self._owners = owners
        self.head = list(range(len(owners)))
        self.weakest = [1.0] * len(owners)
        self._members: dict[int, list[int]] = {}  # of groups of two and more
        place = (
            {owner: at for at, owner in enumerate(owners.tolist())}
            if ruled.never or ruled.firm
            else {}
        )
        self._firm = [(place[one], place[other], sure) for (one, other), sure in ruled.firm.items()]
        self._never = _noted(
            (place[one], place[other]) for one, other in ruled.never if {one, other} <= place.keys()
        )
        self._doubts = _noted(self._pairs(doubts))
        self._holds = (
            None
            if chains
            else {*self._pairs(holds), *((one, other) for one, other, _ in self._firm)}
        )

    def _pairs(self, ties: Ties) -> Iterator[tuple[int, int]]:
        """The owners of ties, by their places among these, the earlier one first."""
        one, other = (np.searchsorted(self._owners, side) for side in (ties.one, ties.other))
        return zip(np.minimum(one, other).tolist(), np.maximum(one, other).tolist(), strict=True)

    def grow(self, holds: Ties, names: Sequence[str]) -> None:
        """Join the groups of firm pairs, then those of ties, the surest first; equal ones in the order of their names."""
        for one, other, confidence in sorted(
            self._firm, key=lambda pair: (names[pair[0]], names[pair[1]])
        ):
            self._join(one, other, confidence, doubted=False)
        rank = np.empty(len(names), np.int64)
        rank[sorted(range(len(names)), key=names.__getitem__)] = np.arange(len(names))
        sides = [rank[np.searchsorted(self._owners, side)] for side in (holds.one, holds.other)]
        order = np.lexsort((np.maximum(*sides), np.minimum(*sides), -holds.confidence))
        surest = holds.only(order)
        for (here, there), confidence in zip(
            self._pairs(surest), surest.confidence.tolist(), strict=True
        ):
            self._join(here, there, confidence, doubted=True)

    def _join(self, one: int, other: int, confidence: float, *, doubted: bool) -> None:
        """Make the groups of two owners one, if nothing speaks against it."""
        a, b = sorted((self.head[one], self.head[other]))
        if a == b:
            return
        ours, theirs = self._members.get(a, [a]), self._members.get(b, [b])
        few, many = sorted((ours, theirs), key=len)
        if not self._may_join(few, many, doubted):
            return
        self.weakest[a] = min(confidence, self.weakest[a], self.weakest[b])
        for owner in theirs:
            self.head[owner] = a
        ours += theirs
        self._members[a] = ours
        self._members.pop(b, None)

    def _may_join(self, few: Sequence[int], many: Sequence[int], doubted: bool) -> bool:
        if _any_against(self._never, few, many):
            return False
        if not doubted:
            return True
        if _any_against(self._doubts, few, many):
            return False
        holds = self._holds
        return holds is None or all(
            (min(one, other), max(one, other)) in holds for one in few for other in many
        )


def _noted(pairs: Iterable[tuple[int, int]]) -> dict[int, set[int]]:
    """Who is in a pair with whom."""
    found: dict[int, set[int]] = {}
    for one, other in pairs:
        found.setdefault(one, set()).add(other)
        found.setdefault(other, set()).add(one)
    return found


def _any_against(pairs: Mapping[int, set[int]], few: Sequence[int], many: Sequence[int]) -> bool:
    return any(owner in pairs and not pairs[owner].isdisjoint(many) for owner in few)

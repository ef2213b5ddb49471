"""Groups that were found, of which there may be very many: as arrays, each made only when it is asked for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onboard.match.called import Called
from onboard.match.columns import Flags, Index
from onboard.match.made_late import MadeLate


@dataclass(frozen=True, slots=True)
class Group:
    """Owners who are one person.

    The group is called by the member who came first, so adding rows never renames it; and one that
    was found before keeps its name, in whatever order rows come now.
    """

    id: str
    members: tuple[str, ...]  # in the order they came
    weakest: float  # confidence of the weakest tie that holds it together; 1 for rulings


class Groups(MadeLate[Group]):
    """Groups in the order of their first members; equal to any sequence of the same."""

    def __init__(
        self,
        called: Called,
        members: Index,
        ends: NDArray[np.int64],
        weakest: NDArray[np.float64],
        names: Mapping[int, str],
    ) -> None:
        """`members` are the places of owners, group by group, and `ends` where each group ends there; `names` are those
        of groups that are not called by their first member."""
        self._called, self._members, self._weakest, self._names = called, members, weakest, names
        self._bounds = np.concatenate([np.zeros(1, np.int64), ends])

    def __len__(self) -> int:
        return len(self._weakest)

    def __repr__(self) -> str:
        return f"<{len(self)} groups>"

    def of_owners(self) -> Index:
        """Of each owner, by place, in which group they are, from 0; -1 for who is in none."""
        found = np.full(len(self._called), -1, np.int32)
        sizes = np.diff(self._bounds)
        found[self._members] = np.repeat(np.arange(len(self), dtype=np.int32), sizes)
        return found

    def with_any(self, owners: Flags) -> int:
        """How many groups have any of these owners."""
        found = self.of_owners()[owners]
        return len(np.unique(found[found >= 0]))

    def names(self, groups: NDArray[np.integer]) -> list[str]:
        """What these groups are called."""
        firsts = self._called.at(self._members[self._bounds[groups]])
        return [self._names.get(at, name) for at, name in zip(groups.tolist(), firsts, strict=True)]

    def some(self, start: int, end: int) -> Iterator[Group]:
        bounds = self._bounds[start : end + 1].tolist()
        members = self._called.at(self._members[bounds[0] : bounds[-1]])
        for at, weakest in enumerate(self._weakest[start:end].tolist()):
            ours = tuple(members[bounds[at] - bounds[0] : bounds[at + 1] - bounds[0]])
            yield Group(self._names.get(start + at, ours[0]), ours, weakest)

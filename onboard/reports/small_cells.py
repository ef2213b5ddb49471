"""Numbers about few people: what of a table may be shown, so that nobody can be made out.

A group of fewer than five is not shown by itself but together with others, so every group that is shown has five or more,
and all of them add up to the whole. In a group, a number that says something of one to four people, or of all but one to
four, is left out; and where it would be the only one that is, so that it could be taken from the whole, another one is left
out too. Five is a common floor for published tables about people.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

LEAST = 5
OTHERS = "all others together"

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Cell:
    """How many of how many; neither where it may not be shown."""

    count: int | None
    of: int | None


HIDDEN = Cell(None, None)


def grouped(groups: Mapping[str, Sequence[T]]) -> list[tuple[str, list[T]]]:
    """The groups that may be shown, the largest first, with the small ones as one; none if that leaves one alone.

    >>> grouped({"Lima": range(9), "Ada": range(3), "Kent": range(2), "Troy": range(6)})[-1]
    ('all others together', [0, 1, 2, 0, 1])
    >>> grouped({"Lima": range(9), "Ada": range(3), "Kent": range(6)})[-1][1] == [0, 1, 2, 0, 1, 2, 3, 4, 5]
    True
    """
    ordered = sorted(groups.items(), key=lambda group: (-len(group[1]), group[0]))
    large = [(name, list(some)) for name, some in ordered if len(some) >= LEAST]
    rest = [one for _, some in ordered if 0 < len(some) < LEAST for one in some]
    while rest and len(rest) < LEAST and large:
        rest += large.pop()[1]
    if rest:
        large.append((OTHERS, rest))
    return large if len(large) > 1 else []


def shown(cells: Sequence[tuple[int, int]]) -> list[Cell]:
    """Of each group (how many, of how many): what may be shown beside the sum of them all.

    >>> shown([(9, 20), (2, 12), (6, 14)])
    [Cell(count=9, of=20), Cell(count=None, of=None), Cell(count=None, of=None)]
    """
    hidden = {at for at, cell in enumerate(cells) if is_small(*cell)}
    if len(hidden) == 1 and len(cells) > 1:
        # What is left of the sum would tell it.
        others = [at for at in range(len(cells)) if at not in hidden]
        hidden.add(min(others, key=lambda at: (cells[at][1], at)))
    return [HIDDEN if at in hidden else Cell(*cell) for at, cell in enumerate(cells)]


def is_small(count: int, of: int) -> bool:
    """Whether a number speaks of too few people, or leaves too few out.

    >>> is_small(0, 9), is_small(9, 9), is_small(3, 9), is_small(6, 9), is_small(4, 4)
    (False, False, True, True, True)
    """
    return of < LEAST or 0 < count < LEAST or 0 < of - count < LEAST

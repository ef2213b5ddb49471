"""The outlines of the states and territories, in degrees."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from itertools import accumulate
from typing import TypeAlias

from onboard.tables import rows

Ring: TypeAlias = tuple[tuple[float, float], ...]  # longitude and latitude, point by point


@cache
def outlines() -> Mapping[str, tuple[Ring, ...]]:
    """The rings of each state and territory by its two letters, the largest ring first.

    >>> len(outlines()), len(outlines()["UT"])
    (56, 1)
    """
    return {state: tuple(map(_ring, said.split(";"))) for state, _, said in rows("state_outlines")}


def _ring(said: str) -> Ring:
    steps = [tuple(map(int, step.split(","))) for step in said.split(" ")]
    points = accumulate(steps, lambda a, b: (a[0] + b[0], a[1] + b[1]))
    return tuple((x / 1000, y / 1000) for x, y in points)

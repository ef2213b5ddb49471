"""How alike two birth dates are."""

from __future__ import annotations

import numpy as np

from onboard.match import measures
from onboard.match.columns import Column, Index, as_objects, pairs
from onboard.match.levels import LEVEL, Levels


def born(field: Column, here: Index, there: Index) -> Levels:
    """The level of each pair of birth dates (`columns.pairs`), which are ISO 8601 where they can be read."""
    names = LEVEL["born"]
    if len(field.texts) == 1:
        return np.full(len(here), names["unknown"], np.int8)
    found = pairs(field, here, there)
    levels = measures.at_first("born", found)
    if len(found.left):
        judged = np.full(len(found.left), names["differs"], np.int8)
        judged[measures.flags(_part_of_date, found.left, found.right)] = names["part"]
        judged[measures.slips(found.left, found.right, 1) <= 1] = names["near"]
        # Typed without hyphens, two digits may be turned across one.
        left, right = (
            as_objects([text.replace("-", "") for text in side])
            for side in (found.left, found.right)
        )
        judged[measures.slips(left, right, 1) <= 1] = names["near"]
        judged[measures.flags(_day_month_turned, found.left, found.right)] = names["near"]
        found.spread(judged, levels)
    return levels


def _part_of_date(one: str, other: str) -> bool:
    """Two of year, month and day agree."""
    return sum(a == b for a, b in zip(one.split("-"), other.split("-"), strict=False)) >= 2


def _day_month_turned(one: str, other: str) -> bool:
    return one[:5] == other[:5] and one[5:7] == other[8:] and one[8:] == other[5:7]

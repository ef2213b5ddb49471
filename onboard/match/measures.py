"""What the texts of many pairs are measured by at once: slips, likeness, length."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import OSA, JaroWinkler
from rapidfuzz.process import cpdist

from onboard.match.columns import Pairs, Texts
from onboard.match.levels import LEVEL, Levels


def at_first(field: str, found: Pairs) -> Levels:
    """All unknown or the same; what is neither, differs until it is looked at."""
    names = LEVEL[field]
    into = np.full(len(found.same), names["differs"], np.int8)
    into[found.unknown] = names["unknown"]
    into[found.same] = names.get("same", 0)
    return into


def slips(left: Texts, right: Texts, most: int) -> NDArray[np.int32]:
    """Slips of the finger (a letter more, less, other, or two turned) between each pair, counted up to
    `most`; `most` + 1 stands for more. One number a pair, as in all that is here."""
    return cpdist(
        left, right, scorer=OSA.distance, score_cutoff=most, dtype=np.int32, workers=_workers(left)
    )


def likeness(left: Texts, right: Texts) -> NDArray[np.float32]:
    """How alike each pair is, 0 to 1, beginnings counting for more."""
    return cpdist(
        left, right, scorer=JaroWinkler.similarity, dtype=np.float32, workers=_workers(left)
    )


def _workers(texts: Texts) -> int:
    """All processors for many texts; for a few, starting threads takes longer than the work."""
    return -1 if len(texts) > 10_000 else 1


def flags(test: Callable[[str, str], bool], left: Texts, right: Texts) -> NDArray[np.bool_]:
    """Whether the test holds of each pair."""
    return np.fromiter(map(test, left, right), np.bool_, len(left))


def lengths(texts: Texts) -> NDArray[np.int32]:
    """How many letters each text has."""
    return np.fromiter(map(len, texts), np.int32, len(texts))


def lift(levels: Levels, where: NDArray[np.bool_], to: int) -> None:
    """Lift what is lower; levels run from the least to the most alike."""
    levels[where & (levels < to)] = to

"""What each level of likeness is worth, in bits.

The model after Fellegi and Sunter ("A Theory for Record Linkage", 1969) sums one weight a field,
as if fields were independent. They are not: housemates share address, ZIP, phone and surname at
once. So each pair of fields has a correction of its own as well, and a field's part of the
evidence is what it adds to the fields told before it:

    part(given) = own[given] + both[place, given] + both[address, given] + … + both[family, given]

A field that is not known for both is worth nothing, alone or beside another. The weights are
learned by `tests/tables/match_weights.py`, which says from what and how.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from onboard import tables
from onboard.match.levels import FIELDS, LEVEL, Levels

# How firmly a weight is held where it is, and steps of the way to where rulings take it.
HOLD = 2.0
STEPS = 100


@dataclass(frozen=True, slots=True)
class Weights:
    """Bits for and against two people being one."""

    chance: float  # before anything is looked at but that they share a key
    own: Mapping[str, NDArray[np.float64]]  # [level]
    both: Mapping[tuple[str, str], NDArray[np.float64]]  # [level of the first, of the second]

    def parts(self, levels: Mapping[str, Levels]) -> NDArray[np.float64]:
        """The bits that each field (column) adds for each pair (row) of people."""
        found = np.stack([self.own[field][levels[field]] for field in FIELDS], axis=1)
        place = {field: at for at, field in enumerate(FIELDS) if levels[field].any()}
        for (first, second), bits in self.both.items():
            if first in place and second in place:
                found[:, place[second]] += bits[levels[first], levels[second]]
        return found


def adapted(base: Weights, levels: Mapping[str, Levels], same: NDArray[np.bool_]) -> Weights:
    """The weights after a person has said of some pairs whether each is one person.

    The weight of each level, and chance, move as far as the rulings speak for it: logistic
    regression from where the weights are, held there as if by a ruling or two each way (HOLD).
    What two levels are worth together stays. With few rulings hardly anything changes. `levels` has
    by field, and `same` alone, one value for each pair; weights are in bits.
    """
    known = np.stack([levels[field] for field in FIELDS], axis=1)
    sizes = [len(words) for words in FIELDS.values()]
    starts = np.concatenate([[0], np.cumsum(sizes)])
    stands = np.zeros((len(same), starts[-1] + 1))
    stands[:, -1] = 1.0  # chance
    for at in range(len(sizes)):
        rows = np.flatnonzero(known[:, at])
        stands[rows, starts[at] + known[rows, at]] = 1.0
    bits = (base.chance + base.parts(levels).sum(axis=1)) * np.log(2)
    moved = np.zeros(starts[-1] + 1)
    for _ in range(STEPS):  # Newton's method; the loss has one minimum
        sure = 1 / (1 + np.exp(-np.clip(bits + stands @ moved, -500, 500)))
        slope = stands.T @ (sure - same) + HOLD * moved
        bend = (stands.T * (sure * (1 - sure))) @ stands + HOLD * np.eye(len(moved))
        step = np.linalg.solve(bend, slope)
        moved -= step * min(1.0, 2.0 / max(float(np.abs(step).max()), 1e-9))
        if np.abs(step).max() < 1e-6:
            break
    moved /= np.log(2)
    own = {
        field: base.own[field] + moved[starts[at] : starts[at + 1]]
        for at, field in enumerate(FIELDS)
    }
    return Weights(base.chance + float(moved[-1]), own, base.both)


@cache
def shipped() -> Weights:
    """The weights that come with the package."""
    chance = 0.0
    own = {field: np.zeros(len(levels)) for field, levels in FIELDS.items()}
    both: dict[tuple[str, str], NDArray[np.float64]] = {}
    for field, level, beside, beside_level, bits in tables.rows("match_weights"):
        if field == "chance":
            chance = float(bits)
        elif beside == "-":
            own[field][LEVEL[field][level]] = float(bits)
        else:
            table = both.setdefault(
                (field, beside), np.zeros((len(FIELDS[field]), len(FIELDS[beside])))
            )
            table[LEVEL[field][level], LEVEL[beside][beside_level]] = float(bits)
    return Weights(chance, own, both)

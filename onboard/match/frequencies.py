"""How common a name is: two people called John Smith are less alike than two called Ada Quill."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from onboard import tables

# A name on no list: rarer than the rarest there, about as rare as the tail of the Census lists.
UNLISTED = 1e-5
# So many people of a roster weigh as much as the Census.
CENSUS_WEIGHT = 2_000


@dataclass(frozen=True, slots=True)
class Frequencies:
    """The share of people who bear a given or a family name, 0 to 1."""

    given: Mapping[str, float]
    family: Mapping[str, float]


@cache
def shipped() -> Frequencies:
    """The shares of the 1990 US Census."""
    given, family = {}, {}
    for name, as_given, as_family in tables.rows("census_names"):
        if as_given != "0":
            given[name] = int(as_given) / 100_000
        if as_family != "0":
            family[name] = int(as_family) / 100_000
    return Frequencies(given, family)


def among(given: Mapping[str, int], family: Mapping[str, int]) -> Frequencies:
    """The shares among people of whom so many bear each name.

    Smoothed by the Census: the fewer they are, the more so.
    """
    census = shipped()
    return Frequencies(_smoothed(given, census.given), _smoothed(family, census.family))


def _smoothed(counts: Mapping[str, int], census: Mapping[str, float]) -> dict[str, float]:
    size = sum(counts.values()) + CENSUS_WEIGHT
    return {
        name: (count + CENSUS_WEIGHT * census.get(name, UNLISTED)) / size
        for name, count in counts.items()
    }

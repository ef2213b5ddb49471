"""How common a name is: two people called John Smith are less alike than two called Ada Quill."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from onboard import tables
from onboard.match.folds import Folded

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


def of_people(people: Iterable[Folded]) -> Frequencies:
    """The shares among these people, smoothed by the Census: the fewer they are, the more so."""
    given: Counter[str] = Counter()
    family: Counter[str] = Counter()
    for who in people:
        given[who.given] += 1
        family[who.family] += 1
    census = shipped()
    return Frequencies(_smoothed(given, census.given), _smoothed(family, census.family))


def _smoothed(counts: Counter[str], census: Mapping[str, float]) -> Mapping[str, float]:
    known = sum(counts.values()) - counts[""]
    return {
        name: (count + CENSUS_WEIGHT * census.get(name, UNLISTED)) / (known + CENSUS_WEIGHT)
        for name, count in counts.items()
    }

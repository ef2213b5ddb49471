"""How common a name is: two people called John Smith are less alike than two called Ada Quill."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from onboard import tables

# A name on no list: rarer than the rarest there, about as rare as the tail of the Census lists.
UNLISTED = 1e-5
# So many people of a roster weigh as much as the Census, or another list of names.
OUTSIDE_WEIGHT = 2_000


@dataclass(frozen=True, slots=True)
class Frequencies:
    """The share of people who bear a given or a family name, 0 to 1."""

    given: Mapping[str, float]
    family: Mapping[str, float]

    @classmethod
    def counted(cls, given: Mapping[str, float], family: Mapping[str, float]) -> Frequencies:
        """The shares among people of whom so many bear each name, folded as `folds` does.

        Where no given or no family name is counted, those of the Census.

        >>> found = Frequencies.counted({"ana": 3, "bo": 1}, {})
        >>> found.given, found.family == shipped().family
        ({'ana': 0.75, 'bo': 0.25}, True)
        """
        census = shipped()
        return cls(_shares(given) or census.given, _shares(family) or census.family)


def _shares(counts: Mapping[str, float]) -> dict[str, float]:
    size = sum(counts.values())
    return {name: count / size for name, count in counts.items()}


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


def borne(name: str) -> tuple[float, float]:
    """The shares of people who bear a name as a given and as a family name, in the 1990 Census or else in that of
    2020; 0 for a use that neither has.

    >>> borne("zbigniew")[0] > 20 * borne("zbigniew")[1], borne("kaczmarek")[1] > 0
    (True, True)
    """
    # In the 2020 Census: names that the lists of 1990 lack as given or as family names.
    _, given, family = tables.row("names_2020", name) or ("", "0", "0")
    census = shipped()
    return census.given.get(name, int(given) / 1e7), census.family.get(name, int(family) / 1e7)


def among(
    given: Mapping[str, int],
    family: Mapping[str, int],
    outside: Frequencies | None = None,
    sizes: Sequence[int] = (),
) -> Frequencies:
    """The shares among people of whom so many bear each name.

    Smoothed by the shares outside, those of the Census unless given: the fewer they are, the
    more so. `sizes` say how many have a given and a family name, where not all names are counted.
    """
    outside = outside or shipped()
    of_given, of_family = sizes or (sum(given.values()), sum(family.values()))
    return Frequencies(
        _smoothed(given, of_given, outside.given), _smoothed(family, of_family, outside.family)
    )


def _smoothed(
    counts: Mapping[str, int], people: int, outside: Mapping[str, float]
) -> dict[str, float]:
    size = people + OUTSIDE_WEIGHT
    return {
        name: (count + OUTSIDE_WEIGHT * outside.get(name, UNLISTED)) / size
        for name, count in counts.items()
    }

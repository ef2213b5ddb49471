"""Where the drop sites are, and where a reader is who types a ZIP code, a town or a state.

A page has room for a few thousand places: every ZIP code by its first three digits, and one by one those that are
nearest to a drop site. Distances are between the middles of ZIP areas, in a straight line.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from math import cos, radians
from statistics import fmean
from typing import NamedTuple

from onboard.clean import place as places
from onboard.model import Place
from onboard.settings import Settings, Site
from onboard.tables import rows, zip_codes

NEAR = 120.0  # miles; farther places are known by three digits of their ZIP code
_SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
_SPANISH = {
    "NH": "nuevo hampshire", "NJ": "nueva jersey", "NM": "nuevo mexico", "NY": "nueva york", "NC": "carolina del norte",
    "SC": "carolina del sur", "ND": "dakota del norte", "SD": "dakota del sur", "WV": "virginia occidental",
    "HI": "hawai", "PA": "pensilvania", "LA": "luisiana", "MS": "misisipi", "MO": "misuri", "OR": "oregon",
    "TX": "tejas", "VI": "islas virgenes",
}  # fmt: skip


class Spot(NamedTuple):
    """A drop site and where it is; no degrees if its ZIP code is unknown."""

    number: int  # on the map and in the list
    site: Site
    place: Place | None

    @property
    def degrees(self) -> tuple[float, float] | None:
        """Latitude and longitude."""
        here = self.place
        if here is None or here.latitude is None or here.longitude is None:
            return None
        return here.latitude, here.longitude


def spots(settings: Settings) -> tuple[Spot, ...]:
    """The open drop sites by state and name, numbered."""
    found = [(site, places.find(site.zip5)) for site in settings.sites if not site.closed]
    found.sort(key=lambda one: ((one[1].state if one[1] else "~"), one[0].name))
    return tuple(Spot(n, site, place) for n, (site, place) in enumerate(found, 1))


def known() -> dict[str, object]:
    """The places that every page knows, packed for scripts/where.js; `near` adds those that there is room for."""
    return {"prefixes": _prefixes(), "near": "", "states": _states()}


def near(of: Sequence[Spot], room: int) -> str:
    """The ZIP codes nearest to a drop site, as many as so many signs hold: 9 signs (code, latitude, longitude) and the
    town, a line each; no town where it is that of the line before, and behind a slash the state where that is another
    one."""
    sites = [spot.degrees for spot in of if spot.degrees]
    by_distance = sorted(
        (distance, one) for one in _all() if (distance := _nearest(one, sites)) <= NEAR
    )
    kept = []
    for _, one in by_distance:
        room -= 14 + len(
            one[1]
        )  # the end of a line is two signs in JSON, and a slash with a state three
        if room < 0:
            break
        kept.append(one)
    return "\n".join(_lines(sorted(kept)))


@cache
def _prefixes() -> str:
    """For each of the 1,000 beginnings of a ZIP code its middle in 4 signs, or 4 spaces."""
    found: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for zip5, _, _, north, east in _all():
        found[int(zip5[:3])].append((north, east))
    return "".join(
        _number((_mean(found[n])[0] + 20) * 40, 2) + _number((_mean(found[n])[1] + 220) * 25, 2)
        if n in found else "    " for n in range(1000)
    )  # fmt: skip


@cache
def _states() -> dict[str, list[object]]:
    """By its letters: the middle of a state, and its names."""
    found: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for _, _, state, north, east in _all():
        found[state].append((north, east))
    return {
        code: [*(round(x, 1) for x in _mean(found[code])), name.lower()]
        + ([_SPANISH[code]] if code in _SPANISH else [])
        for code, name, _ in rows("address_states") if code in found and code not in ("AA", "AE", "AP")
    }  # fmt: skip


def _lines(kept: Iterable[tuple[str, str, str, float, float]]) -> Iterator[str]:
    town = state = ""
    for zip5, city, there, north, east in kept:
        name = "" if (city, there) == (town, state) else city.lower()
        name += "" if there == state else f"/{there}"
        yield _number(int(zip5), 3) + _number((north + 20) * 1000, 3) + _number((east + 220) * 1000, 3) + name  # fmt: skip
        town, state = city, there


def _nearest(
    one: tuple[str, str, str, float, float], sites: Sequence[tuple[float, float]]
) -> float:
    """About how many miles it is to the nearest site: on a plane, as only the order counts."""
    _, _, _, north, east = one
    narrow = cos(radians(north))
    return min(
        (69 * ((north - y) ** 2 + (narrow * (east - x)) ** 2) ** 0.5 for y, x in sites),
        default=float("inf"),
    )


@cache
def _all() -> tuple[tuple[str, str, str, float, float], ...]:
    """The ZIP codes in use where people live: code, town, state, latitude, longitude west of Greenwich."""
    found = []
    for line in zip_codes.lines().values():
        zip5, city, state, kind, north, east, *_ = line.split("\t")
        if kind in "SPU" and north and east:
            x = float(east)
            found.append((zip5, city, state, float(north), x - 360 if x > 0 else x))
    return tuple(found)


def _mean(points: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return fmean(y for y, _ in points), fmean(x for _, x in points)


def _number(value: float, signs: int) -> str:
    """A whole number in base 64."""
    number, text = round(value), ""
    for _ in range(signs):
        number, digit = divmod(number, 64)
        text = _SIGNS[digit] + text
    return text

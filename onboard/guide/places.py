"""Where the drop sites are, and where a reader is who types a ZIP code, a town or a state.

A page has room for a few thousand places: every ZIP code by its first three digits, and one by one those that are
nearest to a drop site. Distances are between the middles of ZIP areas, in a straight line.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from math import cos, radians
from statistics import median
from typing import NamedTuple

from onboard.clean import place as places
from onboard.model import Place
from onboard.settings import Settings, Site
from onboard.tables import rows, zip_codes

BY_EVERY_NAME = (
    30.0  # miles; farther ZIP codes are known by the post office's name of their town alone
)
NEAR = 120.0  # miles; farther places are known by three digits of their ZIP code
_SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_"
_SPANISH = {
    "NH": "nuevo hampshire", "NJ": "nueva jersey", "NM": "nuevo mexico", "NY": "nueva york", "NC": "carolina del norte",
    "SC": "carolina del sur", "ND": "dakota del norte", "SD": "dakota del sur", "WV": "virginia occidental",
    "HI": "hawai", "PA": "pensilvania", "LA": "luisiana", "MS": "misisipi", "MO": "misuri", "OR": "oregon",
    "TX": "tejas", "VI": "islas virgenes",
}  # fmt: skip


def says_town(address: str, zip5: str) -> bool:
    """Whether an address has the town of a ZIP code in it, by any name that is in use for it.

    >>> says_town("7 Elm St, Cridersville, OH", "45806"), says_town("7 Elm St", "45806")
    (True, False)
    """
    return any(name.lower() in address.lower() for name in places.names(zip5))


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
    """The ZIP codes nearest to a drop site, as many as so many signs hold, each as `_packed` has it."""
    sites = [spot.degrees for spot in of if spot.degrees]
    by_distance = sorted(
        (distance, one) for one in _homes() if (distance := _nearest(one, sites)) <= NEAR
    )
    # Most towns are told once, so more fit than each by itself would take.
    for guess in (1.12, 1.09, 1.06, 1.03, 1.0, 0.9, 0.8):
        packed = "|".join(_packed(sorted(_nearest_in(by_distance, room * guess))))
        if len(packed) <= room:
            break
    return packed


def _nearest_in(by_distance: Iterable[tuple[float, _Zip]], room: float) -> list[_Zip]:
    """As many of them as so many signs hold, if each were told by itself."""
    kept: list[_Zip] = []
    for distance, one in by_distance:
        if distance > BY_EVERY_NAME:
            one = one._replace(others=())
        room -= 7 + len(one.town) + sum(len(name) + 1 for name in one.others)
        if room < 0:
            break
        kept.append(one)
    return kept


@cache
def _prefixes() -> str:
    """For each of the 1,000 beginnings of a ZIP code its middle in 4 signs, or 4 spaces."""
    found: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for one in _all():
        found[int(one.zip5[:3])].append((one.north, one.east))
    return "".join(_spot(*_middle(found[n])) if n in found else "    " for n in range(1000))


@cache
def _states() -> dict[str, list[object]]:
    """By its letters: the middle of a state, and its names."""
    found: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for one in _all():
        found[one.state].append((one.north, one.east))
    return {
        code: [*(round(x, 1) for x in _middle(found[code])), name.lower()]
        + ([_SPANISH[code]] if code in _SPANISH else [])
        for code, name, _ in rows("address_states") if code in found and code not in ("AA", "AE", "AP")
    }  # fmt: skip


def _packed(kept: Iterable[_Zip]) -> Iterator[str]:
    """Each code: by how much it is more than the one before (1 sign, or a hyphen and 3), latitude and longitude (2 signs
    each), and the town; no town where it is that of the code before, other names of it behind equals signs, and behind a
    slash the state where that is another."""
    last, town, state = 0, "", ""
    for one in kept:
        more = int(one.zip5) - last
        step = _number(more, 1) if more < 62 else "-" + _number(more, 3)
        name = "" if (one.town, one.state) == (town, state) else one.town.lower()
        yield (
            step
            + _spot(one.north, one.east)
            + name
            + "".join(f"={other.lower()}" for other in one.others)
            + ("" if one.state == state else f"/{one.state}")
        )
        last, town, state = int(one.zip5), one.town, one.state


def _spot(north: float, east: float) -> str:
    """Latitude and longitude in 2 signs each: within a mile and a half."""
    return _number((north + 20) * 40, 2) + _number((east + 220) * 25, 2)


def _nearest(one: _Zip, sites: Sequence[tuple[float, float]]) -> float:
    """About how many miles it is to the nearest site: on a plane, as only the order counts."""
    narrow = cos(radians(one.north))
    return min(
        (69 * ((one.north - y) ** 2 + (narrow * (one.east - x)) ** 2) ** 0.5 for y, x in sites),
        default=float("inf"),
    )


class _Zip(NamedTuple):
    """A ZIP code in use, and its middle; longitude is west of Greenwich, beyond the date line too."""

    zip5: str
    town: str
    state: str
    kind: str
    north: float
    east: float
    others: tuple[str, ...]  # names of the town that people use besides


@cache
def _all() -> tuple[_Zip, ...]:
    found = []
    for line in zip_codes.lines().values():
        zip5, city, state, kind, north, east, _, others = line.split("\t")
        if kind in "SPU" and north and east:
            x = float(east)
            east_of = x - 360 if x > 0 else x
            names = tuple(filter(_is_a_towns, others.split(";")))
            found.append(_Zip(zip5, city, state, kind, float(north), east_of, names))
    return tuple(found)


def _is_a_towns(name: str) -> bool:
    """Whether a name could be that of a town, and not of a building, an estate or a firm."""
    return (
        bool(name) and len(name) <= 24 and name.replace(" ", "").replace("-", "").isalpha()
        and not name.startswith(("URB ", "JARD ", "EXT ", "VILLA ", "BO "))
    )  # fmt: skip


@cache
def _homes() -> tuple[_Zip, ...]:
    """The ZIP codes where people live; one for boxes only if its town has no other."""
    towns = {(one.town, one.state) for one in _all() if one.kind == "S"}
    return tuple(
        one
        for one in _all()
        if one.kind == "S" or (one.kind == "P" and (one.town, one.state) not in towns)
    )


def _middle(points: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """The middle of most of them: where few are far away, it stays with the many."""
    return median(y for y, _ in points), median(x for _, x in points)


def _number(value: float, signs: int) -> str:
    """A whole number in base 64."""
    number, text = round(value), ""
    for _ in range(signs):
        number, digit = divmod(number, 64)
        text = _SIGNS[digit] + text
    return text

"""Drop sites on the map: which are near to a ZIP code, and where the members of a site could go.

Distances are those of `onboard.clean.place`: over the great circle, between the middles of ZIP areas. Roads are longer, and
a ZIP area may be wide: so two sites whose distances hardly differ are both close, and a person decides.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from onboard.clean import place as places
from onboard.clean import sites as named
from onboard.model import Place
from onboard.settings import Site

BOTH_CLOSE = (
    3.0  # miles that two distances may differ by, and the middles of ZIP areas decide nothing
)
FAR = 30.0  # miles beyond which nobody is sent without being asked first
ROADS = "Distances are in a straight line, from the middle of one ZIP code to the middle of the other. Roads are longer."


_ZIP = re.compile(r"(?<!\d)(?<!\bBOX )(\d{5})(?:-\d{4})?\s*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Near:
    """An open site, and how far it is."""

    site: Site
    miles: float
    is_close: bool  # as close as the nearest, as far as anybody can tell by ZIP codes


@dataclass(frozen=True, slots=True)
class Home:
    """Where a member lives, as far as the roster knows."""

    member_id: int
    zip5: str  # "" if it is not on file
    site: str  # the site of now; "" if none


@dataclass(frozen=True, slots=True)
class Where:
    """Where a member could go whose site closes."""

    home: Home
    near: tuple[Near, ...]  # the open sites, the nearest first; none if the ZIP code is not known
    site: Site | None  # the nearest with room
    miles: float | None
    why: str = ""  # why there is none, or why it is not the nearest

    @property
    def is_far(self) -> bool:
        """Whether they are asked first: nobody is sent there by a notice."""
        return self.miles is not None and self.miles > FAR


@dataclass(frozen=True, slots=True)
class Nearer:
    """A member who lives nearer to a new site than to their own."""

    home: Home
    miles: float  # to the new one
    own: float | None  # to their own; None: they have none that is open


def zip_of(address: Sequence[str]) -> str:
    """The ZIP code at the end of an address; "" if it has none. The number of a box is none.

    >>> zip_of(("12 N MAIN ST", "LIMA OH 45801-1234")), zip_of(("PO BOX 45802", "LIMA OH"))
    ('45801', '')
    """
    below = address[1:] or address  # the first of several lines is the street, or the box
    zips = [match[1] for line in reversed(below) if (match := _ZIP.search(line))]
    return zips[0] if zips else ""


def near(zip5: str, sites: Sequence[Site]) -> tuple[Near, ...]:
    """The open sites with their distance from a ZIP code, the nearest first; none where we don't know the ZIP code.

    Sites whose own ZIP code we don't know are left out.
    """
    there = places.find(zip5)
    return _near(there, tuple(sites)) if there else ()


@lru_cache(maxsize=4096)  # a site has hundreds of members, and few ZIP codes
def _near(there: Place, sites: tuple[Site, ...]) -> tuple[Near, ...]:
    found = named.nearest(sites, there)
    return tuple(
        Near(site, far, far <= FAR and far - found[0][1] < BOTH_CLOSE) for site, far in found
    )


def unplaced(sites: Iterable[Site]) -> list[Site]:
    """The open sites of which nobody can say how far they are: we don't know their ZIP code."""
    return [site for site in sites if not site.closed and not is_on_map(site.zip5)]


def is_on_map(zip5: str) -> bool:
    """Whether we know where a ZIP code is."""
    there = places.find(zip5)
    return there is not None and there.latitude is not None


def room(site: Site, members: int) -> int | None:
    """For how many more members a site has room; None where nobody said how many it holds.

    >>> room(Site("Lima Hall", "", "45801", "Lake", "", capacity=30), 32)
    0
    """
    return max(0, site.capacity - members) if site.capacity else None


def places_for(
    homes: Sequence[Home], sites: Sequence[Site], counts: Mapping[str, int]
) -> list[Where]:
    """Where each of these members could go, in their order; `sites` are those that they may go to, and `counts` how many
    members each has now.

    Whoever has the shortest way has the first choice; a site takes no more than it has room for.
    """
    ways = [near(home.zip5, sites) for home in homes]
    left = {site.name: room(site, counts.get(site.name, 0)) for site in sites}
    pairs = sorted(
        (one.miles, at, rank) for at, way in enumerate(ways) for rank, one in enumerate(way)
    )
    goes: dict[int, Near] = {}
    for _, at, rank in pairs:
        one = ways[at][rank]
        free = left[one.site.name]
        if at in goes or free == 0:
            continue
        goes[at] = one
        if free is not None:
            left[one.site.name] = free - 1
    return [_where(home, ways[at], goes.get(at)) for at, home in enumerate(homes)]


def _where(home: Home, way: tuple[Near, ...], goes: Near | None) -> Where:
    if not home.zip5:
        return Where(home, way, None, None, "no ZIP code is on file: ask where they live")
    if not is_on_map(home.zip5):
        return Where(
            home, way, None, None, f"we don't know ZIP code {home.zip5}: ask where they live"
        )
    if goes is None:
        why = "every open site is full" if way else "there is no other open site on the map"
        return Where(home, way, None, None, why)
    why = f"{way[0].site.name} is closer, and full" if goes is not way[0] else ""
    if goes.miles > FAR:
        why = "; ".join(filter(None, (why, "far: ask them first")))
    elif not why and len(close := [one.site.name for one in way if one.is_close]) > 1:
        why = (
            f"both are close: {' and '.join(close)}"
            if len(close) == 2
            else f"all are close: {', '.join(close)}"
        )
    return Where(home, way, goes.site, goes.miles, why)


def nearer(homes: Iterable[Home], sites: Sequence[Site], new: Site, least: float) -> list[Nearer]:
    """Those who live at least so many miles nearer to the new site than to their own; of members without a site, or whose
    site is closed, those to whom it is the nearest."""
    by_name = {site.name: site for site in sites if not site.closed}
    found = []
    for home in homes:
        far = miles(home.zip5, new)
        if far is None or home.site == new.name:
            continue
        own_site = by_name.get(home.site)
        own = miles(home.zip5, own_site) if own_site else None
        if own_site is None:
            closest = near(home.zip5, sites)
            if closest and closest[0].site.name == new.name and far <= FAR:
                found.append(Nearer(home, far, None))
        elif own is not None and own - far >= least:
            found.append(Nearer(home, far, own))
    return found


def miles(zip5: str, site: Site) -> float | None:
    """How far it is from a ZIP code to a site; None where nobody knows one of the two."""
    here, there = places.find(zip5), places.find(site.zip5)
    if here is None or there is None:
        return None
    far = places.miles(here, there)
    return None if far == float("inf") else far


def say_miles(far: float) -> str:
    """A distance as a person would say it.

    >>> say_miles(0.2), say_miles(1.2), say_miles(12.6)
    ('less than 1 mile', 'about 1 mile', 'about 13 miles')
    """
    if far < 1:
        return "less than 1 mile"
    return "about 1 mile" if far < 1.5 else f"about {far:,.0f} miles"

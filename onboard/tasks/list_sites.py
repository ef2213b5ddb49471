"""The drop sites: whose, how full, when they order next, and how far they are from a ZIP code."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from shlex import quote
from zoneinfo import ZoneInfo

from onboard import nearby, windows
from onboard.clean import place as places
from onboard.model import Cleaned, Place
from onboard.nearby import Home
from onboard.office import Office
from onboard.roster import at_sites
from onboard.roster.at_sites import AtSite
from onboard.settings import Settings, Site
from onboard.windows import Standing


@dataclass(frozen=True, slots=True)
class Listed:
    """A drop site, and how it stands."""

    site: Site
    members: int
    zone: ZoneInfo
    standing: Standing  # the window that is open, or the next
    miles: float | None = None  # from the ZIP code that was asked about
    is_close: bool = False  # as close as the nearest, as far as anybody can tell

    @property
    def room(self) -> int | None:
        """For how many more it has room; None where the settings don't say what it holds."""
        return nearby.room(self.site, self.members)


@dataclass(frozen=True, slots=True)
class SitesReport:
    """The drop sites in the order of the settings, or the open ones from the nearest on."""

    sites: tuple[Listed, ...]
    near: str  # the place that was asked about, in words; "" if none was
    remarks: tuple[str, ...]  # good to know
    findings: tuple[str, ...]  # what a person should look at


def list_sites(office: Office, near: str = "") -> SitesReport:
    """The drop sites, each with its members, what it can hold and its next window; with `near`, a ZIP code or a town,
    the open ones with their distance, the nearest first.

    Raises `StoreTrouble`.
    """
    settings = office.settings
    with office.reading() as connection:
        counts = at_sites.counts(connection)
    listed = {site.name: _listed(office, site, counts.get(site.name, 0)) for site in settings.sites}
    if not near.strip():
        found = tuple(listed.values())
        return SitesReport(
            found, "", (*_full(found), *_off_the_map(settings)), tuple(_misplaced(settings, counts))
        )
    read = _read(near, settings)
    there = read.value
    if there is None or not nearby.is_on_map(there.zip5):
        several = there is not None and not there.zip5 and there.area_codes
        why = (
            f"{near[:60]} could be in several ZIP codes. Give the ZIP code."
            if several
            else f"We don't know where {near[:60]} is. Check it, or give another ZIP code close by."
        )
        found = tuple(_listed(office, site, counts.get(site.name, 0)) for site in settings.sites)
        return SitesReport(found, "", (), (why,))
    nearest = [
        _listed(office, one.site, counts.get(one.site.name, 0), one.miles, one.is_close)
        for one in nearby.near(there.zip5, settings.sites)
    ]
    # A ZIP code says all that is asked; the city that goes with it is no question.
    said = "" if near.strip()[:5].isdecimal() else " ".join(f.note for f in read.findings)
    remarks = [words for words in (said,) if words]
    if not nearest or (nearest[0].miles or 0) > nearby.FAR:
        remarks.append(f"No open drop site is within {nearby.FAR:.0f} miles.")
    return SitesReport(
        tuple(nearest), places.show(there), (*remarks, *_full(nearest), *_off_the_map(settings)), ()
    )


def _read(near: str, settings: Settings) -> Cleaned[Place]:
    """The place that is meant; a town without a state is in one of those where the co-op has drop sites."""
    read = places.clean(near)
    if read.value and (read.value.state or read.value.zip5):
        return read
    ours = Counter(
        place.state
        for site in settings.sites
        if (place := places.find(site.zip5)) and not site.closed
    )
    for state, _ in ours.most_common():
        in_it = places.clean(city=near, state=state)
        if in_it.value and (in_it.value.zip5 or in_it.value.area_codes):
            return in_it
    return read


def home(found: AtSite) -> Home:
    """Where a member lives: the ZIP code at the end of the address on file, if there is one."""
    return Home(found.member_id, nearby.zip_of(found.address), found.site)


def full(settings: Settings, counts: Mapping[str, int], of: Collection[str]) -> Iterator[str]:
    """A sentence for each of these sites that has no more room, or more members than it can hold."""
    for site in settings.sites:
        members = counts.get(site.name, 0)
        if site.name not in of or site.closed or nearby.room(site, members) != 0:
            continue
        more = "more than it can serve" if members > site.capacity else "and no more room"
        yield (
            f"{site.name} is full: it has {members:,} of {site.capacity:,} members, {more}. Ask its host, or offer "
            f"new members another one: onboard sites --near {site.zip5}"
        )


def _listed(
    office: Office, site: Site, members: int, miles: float | None = None, is_close: bool = False
) -> Listed:
    zone, group = office.settings.zone(site), office.settings.group(site.group)
    standing = windows.standing_at(group, office.now(), zone) if group else Standing(None, None)
    return Listed(site, members, zone, standing, miles, is_close)


def _full(listed: Collection[Listed]) -> Iterator[str]:
    for one in listed:
        if one.room == 0 and not one.site.closed:
            more = one.members - one.site.capacity
            yield f"{one.site.name} is full" + (
                f", with {more:,} more than it can serve." if more > 0 else "."
            )


def _off_the_map(settings: Settings) -> Iterator[str]:
    for site in nearby.unplaced(settings.sites):
        yield f"We don't know where ZIP code {site.zip5} of {site.name} is, so nobody can say how far it is. Check it in the settings."


def _misplaced(settings: Settings, counts: Mapping[str, int]) -> Iterator[str]:
    """Members whose drop site is closed, or not in the settings."""
    for site in settings.sites:
        if site.closed and (left := counts.get(site.name, 0)):
            are = "1 member is" if left == 1 else f"{left:,} members are"
            yield (
                f"{are} still at {site.name}, which is closed. To see where they could go: "
                f"onboard sites --close {quote(site.name)}"
            )
    known = {site.name for site in settings.sites}
    for name, left in sorted(counts.items()):
        if name and name not in known:
            are = "1 member has" if left == 1 else f"{left:,} members have"
            yield f"{are} the drop site {name[:60]}, which is not in the settings. Put it back there, with closed = true."

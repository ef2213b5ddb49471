"""When each group may order, as the guide tells it: by group and by the clock of its drop sites."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from onboard.guide import moments
from onboard.settings import Group, Settings, Site, Window
from onboard.windows import closing, horizon, opening, say_end, say_start, upcoming


@dataclass(frozen=True, slots=True)
class Days:
    """The days of a group, where clocks go by one zone."""

    group: Group
    title: str  # its name; with that of the clock, where the group has several
    zone: ZoneInfo
    sites: tuple[Site, ...]  # the open drop sites of the group whose clocks these are
    windows: tuple[Window, ...]  # open or to come, in the next 18 months
    told: tuple[dict[str, object], ...]  # each as a line of the table
    stands: str  # how it stands at the moment when the page is made
    zone_name: str

    @property
    def spans(self) -> list[tuple[int, int]]:
        """The moments at which each opens and closes, in seconds since 1970, UTC."""
        return [_span(window, self.zone) for window in self.windows]


def days(settings: Settings, now: datetime, language: str) -> Iterator[Days]:
    """The days of each group; of one whose drop sites have several clocks, once for each."""
    for group in settings.groups:
        zones: dict[str, list[Site]] = {}
        for site in settings.sites:
            if site.group == group.name and not site.closed:
                zones.setdefault(settings.zone(site).key, []).append(site)
        clocks: dict[object, Days] = {}
        for key, sites in (zones or {settings.timezone: []}).items():
            one = _of_zone(settings, group, ZoneInfo(key), sites, now, language)
            # Two zones of one name, such as those of Detroit and New York, are one clock while they go alike.
            alike = clocks.setdefault((one.zone_name, *one.spans), one)
            if alike is not one:
                clocks[one.zone_name, *one.spans] = replace(alike, sites=(*alike.sites, *sites))
        for one in clocks.values():
            named = f"{group.name} ({one.zone_name})" if len(clocks) > 1 else group.name
            yield replace(one, title=named)


def _of_zone(
    settings: Settings,
    group: Group,
    zone: ZoneInfo,
    sites: list[Site],
    now: datetime,
    language: str,
) -> Days:
    today = now.astimezone(settings.zone()).date()
    last = horizon(today)
    windows = tuple(
        one for one in upcoming(group, today)
        if one.opens <= last and closing(one, zone).timestamp() > now.timestamp()
    )  # fmt: skip
    return Days(
        group, group.name, zone, tuple(sites), windows,
        tuple(_line(one, zone, settings, language) for one in windows),
        moments.standing(windows, zone, now, language),
        moments.say_zone(zone, now, language),
    )  # fmt: skip


def _line(window: Window, zone: ZoneInfo, settings: Settings, language: str) -> dict[str, object]:
    span = _span(window, zone)
    return {
        "from": span[0],
        "to": span[1],
        "opens": say_start(window, language, settings.region),
        "closes": say_end(window, language, settings.region),
    }


def _span(window: Window, zone: ZoneInfo) -> tuple[int, int]:
    return int(opening(window, zone).timestamp()), int(closing(window, zone).timestamp())

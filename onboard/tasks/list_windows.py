"""The ordering windows of the next 18 months: whose, when, and what a person should look at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from onboard import windows
from onboard.office import Office
from onboard.settings import Group, Settings, Window
from onboard.windows import How, Standing


@dataclass(frozen=True, slots=True)
class Listed:
    """A window that is open or still to come, where clocks go by one zone."""

    group: str
    window: Window
    how: How
    turn: date | None  # the month whose turn it is, its first day; None of a written window
    zone: ZoneInfo
    sites: tuple[str, ...]  # the open drop sites of the group whose clocks these are
    open_now: bool

    @property
    def opens(self) -> datetime:
        """The moment from which people may order, in the zone."""
        return windows.opening(self.window, self.zone)

    @property
    def closes(self) -> datetime:
        """The moment from which nobody may order any more, in the zone."""
        return windows.closing(self.window, self.zone)


@dataclass(frozen=True, slots=True)
class Ordering:
    """How a group stands, where clocks go by one zone."""

    group: str
    sites: tuple[str, ...]
    zone: ZoneInfo
    standing: Standing


@dataclass(frozen=True, slots=True)
class WindowsReport:
    """The windows from today on, month by month."""

    today: date
    windows: tuple[Listed, ...]  # by opening day
    groups: tuple[Ordering, ...]
    quiet: tuple[str, ...]  # months of the rotation in which nobody can order, and why
    findings: tuple[str, ...]  # what a person should look at
    remarks: tuple[str, ...] = ()  # what may well be as it should


def list_windows(office: Office) -> WindowsReport:
    """The windows that are open now or open in the next 18 months, and all later ones that are written out.

    A group whose drop sites are in several time zones has each window once for each zone.
    """
    settings, today, now = office.settings, office.today(), office.now()
    listed, groups = [], []
    for group in settings.groups:
        for zone, sites in clocks(settings, group):
            groups.append(Ordering(group.name, sites, zone, windows.standing_at(group, now, zone)))
            coming = set(windows.upcoming(group, today))
            listed += [
                Listed(
                    group.name, one.window, one.how, one.turn, zone, sites,
                    windows.is_open(one.window, now, zone),
                )
                for one in windows.made(group, windows.horizon(today))
                if one.window in coming and not one.kept_out_by
                and windows.closing(one.window, zone) > now
            ]  # fmt: skip
    return WindowsReport(
        today,
        tuple(sorted(listed, key=lambda one: (one.window.opens, one.group, one.zone.key))),
        tuple(groups),
        windows.gap(settings, today),
        windows.check(settings, today),
        windows.remarks(settings, today),
    )


def clocks(settings: Settings, group: Group) -> Sequence[tuple[ZoneInfo, tuple[str, ...]]]:
    """The time zones of a group's open drop sites, each with the sites; the co-op's if it has none."""
    found: dict[str, list[str]] = {}
    for site in settings.sites:
        if site.group == group.name and not site.closed:
            found.setdefault(settings.zone(site).key, []).append(site.name)
    if not found:
        return [(settings.zone(), ())]
    return [(ZoneInfo(key), tuple(names)) for key, names in found.items()]

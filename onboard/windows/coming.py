"""Which windows of a group come next, and how it stands today or at a moment."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from onboard.settings import Group, Window
from onboard.windows.moments import closing, is_open
from onboard.windows.turns import How, made

MONTHS_AHEAD = 18  # for which windows are made by rule


@dataclass(frozen=True, slots=True)
class Standing:
    """How a group stands: the window that is open, and the one that opens next, if any."""

    open: Window | None
    next: Window | None


def horizon(today: date) -> date:
    """The last day for which windows are told that a rule makes.

    >>> horizon(date(2026, 8, 31))
    datetime.date(2028, 2, 29)
    """
    months = today.year * 12 + today.month - 1 + MONTHS_AHEAD
    year, month = months // 12, months % 12 + 1
    return date(year, month, min(today.day, calendar.monthrange(year, month)[1]))


def upcoming(group: Group, today: date) -> tuple[Window, ...]:
    """The group's windows that are open or still to come, the next one first: all that are written out, and those
    by rule that open in the next 18 months.

    >>> lake = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),))
    >>> upcoming(lake, date(2026, 12, 6)) == lake.windows, upcoming(lake, date(2026, 12, 7))
    (True, ())
    """
    last = horizon(today)
    return tuple(
        one.window
        for one in made(group, last)
        if not one.kept_out_by
        and one.window.closes >= today
        and (one.how is How.WRITTEN or one.window.opens <= last)
    )


def past(group: Group, today: date) -> tuple[Window, ...]:
    """The group's windows that closed before today, the first one first."""
    return tuple(
        one.window
        for one in made(group, today)
        if not one.kept_out_by and one.window.closes < today
    )


def first_to_reach(group: Group, there: date) -> Window | None:
    """The first window in which somebody can order who knows how from the day `there` on; None if
    none is set.

    >>> lake = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),))
    >>> first_to_reach(lake, date(2026, 12, 6)) == lake.windows[0]
    True
    """
    return next(iter(upcoming(group, there)), None)


def standing(group: Group, today: date) -> Standing:
    """Whether the group may order on a day, or on a part of it, and when it may next.

    >>> lake = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),))
    >>> standing(lake, date(2026, 12, 6)).open == lake.windows[0]
    True
    """
    coming = upcoming(group, today)
    return Standing(
        open=next((w for w in coming if w.opens <= today), None),
        next=next((w for w in coming if w.opens > today), None),
    )


def standing_at(group: Group, moment: datetime, zone: ZoneInfo) -> Standing:
    """Whether the group may order at a moment, and when it may next, where clocks go by a zone."""
    coming = [
        window
        for window in upcoming(group, moment.astimezone(zone).date())
        if closing(window, zone).astimezone(UTC) > moment.astimezone(UTC)
    ]
    now = next((window for window in coming if is_open(window, moment, zone)), None)
    return Standing(open=now, next=next((window for window in coming if window is not now), None))


def open_now(group: Group, today: date) -> Window | None:
    """The window that is open on a day, or None."""
    return standing(group, today).open

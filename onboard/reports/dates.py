"""Days and times as people here read them."""

from __future__ import annotations

from datetime import date, datetime, tzinfo


def day(when: date) -> str:
    """The day, as it is written in the US.

    >>> day(date(2026, 11, 9))
    'Nov 9, 2026'
    """
    return f"{when:%b} {when.day}, {when.year}"


def moment(when: datetime | str, zone: tzinfo) -> str:
    """The day and the time in a time zone; `when` may be as the tables write it (ISO 8601, UTC).

    >>> from zoneinfo import ZoneInfo
    >>> moment("2026-11-29T20:15:00Z", ZoneInfo("America/Chicago"))
    'Nov 29, 2026, 2:15 PM'
    """
    at = datetime.fromisoformat(when) if isinstance(when, str) else when
    return f"{day(at.astimezone(zone))}, {clock(at, zone)}"


def clock(when: datetime, zone: tzinfo) -> str:
    """The time of day in a time zone: "2:15 PM"."""
    there = when.astimezone(zone)
    return f"{there.hour % 12 or 12}:{there:%M} {'AM' if there.hour < 12 else 'PM'}"

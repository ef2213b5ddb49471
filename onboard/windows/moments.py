"""The moments at which a window opens and closes, by the time zone of a drop site."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from onboard.settings import Window


def opening(window: Window, zone: ZoneInfo) -> datetime:
    """The moment from which people may order, in the zone.

    A time that the clocks leave out when they go forward is told by the offset before it; of a time that comes
    twice when they go back, the first counts (RFC 5545, 3.3.5).

    >>> night = Window(date(2027, 3, 14), date(2027, 3, 15), opens_at=time(2, 30))
    >>> opening(night, ZoneInfo("America/New_York")).isoformat()
    '2027-03-14T03:30:00-04:00'
    """
    return _moment(window.opens, window.opens_at or time(), zone)


def closing(window: Window, zone: ZoneInfo) -> datetime:
    """The moment from which nobody may order any more, in the zone; see `opening`.

    >>> day = Window(date(2026, 12, 1), date(2026, 12, 6))
    >>> closing(day, ZoneInfo("America/Phoenix")).isoformat()
    '2026-12-07T00:00:00-07:00'
    """
    if window.closes_at is None:
        return _moment(window.closes + timedelta(1), time(), zone)
    return _moment(window.closes, window.closes_at, zone)


def is_open(window: Window, moment: datetime, zone: ZoneInfo) -> bool:
    """Whether people may order at a moment, which has a time zone of its own."""
    # In UTC: two moments of one zone are compared by their clocks, which an hour may show twice.
    return (
        opening(window, zone).astimezone(UTC)
        <= moment.astimezone(UTC)
        < closing(window, zone).astimezone(UTC)
    )


def _moment(day: date, at: time, zone: ZoneInfo) -> datetime:
    # There and back, for a time that the clocks leave out.
    return datetime.combine(day, at, zone).astimezone(UTC).astimezone(zone)

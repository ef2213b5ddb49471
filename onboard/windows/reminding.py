"""When reminders of ordering windows are due: from which moment, and until when they are worth sending.

A reminder that could not go out when it became due may still go out as long as what it says helps: that a window opens
soon, until it opens. After that it never goes out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from onboard.model import ReminderKind
from onboard.settings import ReminderRule, Window
from onboard.windows.known import Known
from onboard.windows.moments import closing, opening

WORTH = timedelta(
    7
)  # after it became due, that a window closed without an order is no news any more


@dataclass(frozen=True, slots=True)
class Reminding:
    """A reminder of a window, where clocks go by one zone."""

    kind: ReminderKind
    known: Known
    due: datetime  # in the zone
    until: datetime  # from here on it comes too late

    def is_due(self, moment: datetime) -> bool:
        """Whether it may go out at a moment, which has a time zone of its own."""
        # In UTC: two moments of one zone are compared by their clocks, which an hour may show twice.
        at = moment.astimezone(UTC)
        return self.due.astimezone(UTC) <= at < self.until.astimezone(UTC)

    def falls_on(self, day: date) -> bool:
        """Whether it becomes due on a day."""
        return self.due.date() == day


def reminders(known: Sequence[Known], rule: ReminderRule, zone: ZoneInfo) -> tuple[Reminding, ...]:
    """The reminders of the windows of one group, by the moment at which they become due; none of a canceled window.

    No two reminders of a window are due at the same moment: that it is open gives way to that it closes soon. Of a
    window that closes on the day on which it opens nobody hears that it closes soon.

    >>> lake = Known("u1", "Lake", "", Window(date(2026, 12, 1), date(2026, 12, 6)), 0, datetime(2026, 11, 1, tzinfo=UTC))
    >>> [f"{one.kind}: {one.due.date()}" for one in reminders([lake], ReminderRule(), ZoneInfo("America/Phoenix"))]
    ['opens soon: 2026-11-28', 'open now: 2026-12-01', 'closes soon: 2026-12-04', 'no order: 2026-12-07']
    """
    stand = sorted((one for one in known if not one.canceled), key=lambda one: one.window.opens)
    found: list[Reminding] = []
    for number, one in enumerate(stand):
        after = stand[number + 1] if number + 1 < len(stand) else None
        found += _of(one, after, rule, zone)
    return tuple(sorted(found, key=lambda one: one.due.astimezone(UTC)))


def _of(one: Known, after: Known | None, rule: ReminderRule, zone: ZoneInfo) -> Iterator[Reminding]:
    window = one.window
    opens, closes = opening(window, zone), closing(window, zone)
    if rule.opens_soon:
        due = _day(window.opens - timedelta(rule.opens_soon), zone)
        yield Reminding(ReminderKind.OPENS_SOON, one, due, opens)
    ends = _day(max(window.closes - timedelta(rule.closes_soon), window.opens + timedelta(1)), zone)
    if not rule.closes_soon or ends.astimezone(UTC) >= closes.astimezone(UTC):
        ends = closes
    if rule.open_now:
        yield Reminding(ReminderKind.OPEN_NOW, one, opens, ends)
    if ends is not closes:
        yield Reminding(ReminderKind.CLOSES_SOON, one, ends, closes)
    if rule.no_order:
        due = _day(window.closes + timedelta(rule.no_order), zone)
        until = due + WORTH
        if after and opening(after.window, zone).astimezone(UTC) < until.astimezone(UTC):
            until = opening(after.window, zone)
        yield Reminding(ReminderKind.NO_ORDER, one, due, until)


def _day(day: date, zone: ZoneInfo) -> datetime:
    return opening(Window(day, day), zone)

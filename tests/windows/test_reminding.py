"""When reminders are due: by day and by clock, also where clocks change, and never after the fact."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onboard.model import ReminderKind
from onboard.settings import ReminderRule, Window
from onboard.windows import Known, Reminding, closing, opening, reminders

NEW_YORK = ZoneInfo("America/New_York")
MADE = datetime(2026, 1, 1, tzinfo=UTC)


def known(opens: date, closes: date, *at: time | None, uid: str = "u", **more: bool) -> Known:
    return Known(uid, "Lake", "", Window(opens, closes, *at), 0, MADE, **more)


def by_kind(
    *windows: Known, rule: ReminderRule | None = None, zone: ZoneInfo = NEW_YORK
) -> dict[str, Reminding]:
    return {str(one.kind): one for one in reminders(windows, rule or ReminderRule(), zone)}


DECEMBER = known(date(2026, 12, 1), date(2026, 12, 6), time(8), time(21))


def test_each_is_due_from_its_day_on_and_until_it_would_come_too_late() -> None:
    spans = {
        kind: (f"{one.due:%m-%d %H:%M}", f"{one.until:%m-%d %H:%M}")
        for kind, one in by_kind(DECEMBER).items()
    }
    assert spans == {
        "opens soon": ("11-28 00:00", "12-01 08:00"),
        "open now": ("12-01 08:00", "12-04 00:00"),
        "closes soon": ("12-04 00:00", "12-06 21:00"),
        "no order": ("12-07 00:00", "12-14 00:00"),
    }


def test_a_minute_past_the_opening_nobody_hears_that_it_opens_soon() -> None:
    soon = by_kind(DECEMBER)["opens soon"]
    eight = datetime(2026, 12, 1, 8, tzinfo=NEW_YORK)
    assert soon.is_due(eight - timedelta(minutes=1))
    assert not soon.is_due(eight)
    assert by_kind(DECEMBER)["open now"].is_due(eight.astimezone(UTC))


def test_what_is_off_is_not_sent() -> None:
    off = ReminderRule(opens_soon=0, open_now=False, closes_soon=0, no_order=0)
    assert not off.sends
    assert not by_kind(DECEMBER, rule=off)
    assert by_kind(DECEMBER, rule=ReminderRule(closes_soon=0))["open now"].until == closing(
        DECEMBER.window, NEW_YORK
    )


def test_of_a_canceled_window_nobody_hears() -> None:
    assert not by_kind(known(date(2026, 12, 1), date(2026, 12, 6), canceled=True))


def test_of_one_day_nobody_hears_that_it_closes_soon() -> None:
    assert set(by_kind(known(date(2026, 12, 1), date(2026, 12, 1)))) == {
        "opens soon",
        "open now",
        "no order",
    }
    two = by_kind(known(date(2026, 12, 1), date(2026, 12, 2)))
    assert two["closes soon"].due == datetime(2026, 12, 2, tzinfo=NEW_YORK)


def test_that_nobody_ordered_is_no_news_once_the_next_window_is_open() -> None:
    after = known(date(2026, 12, 9), date(2026, 12, 12), uid="v")
    first = next(
        one
        for one in reminders([after, DECEMBER], ReminderRule(), NEW_YORK)
        if one.kind is ReminderKind.NO_ORDER
    )
    assert first.until == datetime(2026, 12, 9, tzinfo=NEW_YORK)


@pytest.mark.parametrize(
    "zone", ["America/New_York", "America/Phoenix", "America/Puerto_Rico", "Pacific/Honolulu"]
)
def test_days_begin_at_midnight_of_the_drop_site_also_when_clocks_change(zone: str) -> None:
    spring = known(date(2027, 3, 14), date(2027, 3, 16), time(2, 30), time(2, 30))
    for one in by_kind(spring, zone=ZoneInfo(zone)).values():
        assert one.kind is ReminderKind.OPEN_NOW or (one.due.hour, one.due.minute) == (0, 0)
        assert one.due.astimezone(UTC) < one.until.astimezone(UTC)


@given(
    first=st.dates(date(2026, 1, 1), date(2028, 1, 1)), days=st.integers(0, 20), soon=st.integers(0, 28), ends=st.integers(0, 14),
    after=st.integers(0, 14), opens_at=st.sampled_from([None, time(8), time(2, 30)]), closes_at=st.sampled_from([None, time(21), time(23, 59)]),
    zone=st.sampled_from(["America/New_York", "America/Phoenix", "America/Los_Angeles"]),
)  # fmt: skip
def test_at_no_moment_are_two_of_a_window_due_and_none_lies(
    first: date,
    days: int,
    soon: int,
    ends: int,
    after: int,
    opens_at: time | None,
    closes_at: time | None,
    zone: str,
) -> None:
    one = known(first, first + timedelta(days), opens_at, closes_at)
    clocks = ZoneInfo(zone)
    found = reminders(
        [one], ReminderRule(opens_soon=soon, closes_soon=ends, no_order=after), clocks
    )
    opens, closes = (
        opening(one.window, clocks).astimezone(UTC),
        closing(one.window, clocks).astimezone(UTC),
    )
    spans = [(each.due.astimezone(UTC), each.until.astimezone(UTC), each.kind) for each in found]
    assert all(due < until for due, until, _ in spans)
    assert all(until <= due for (_, until, _), (due, _, _) in pairwise(spans))
    for due, until, kind in spans:
        if kind is ReminderKind.OPENS_SOON:
            assert until == opens
        elif kind is ReminderKind.NO_ORDER:
            assert due >= closes
        else:
            assert opens <= due < until <= closes

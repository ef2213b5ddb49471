"""Windows open and close at a clock time where the drop site is, also in nights when the clocks change."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from onboard.settings import Group, Window
from onboard.windows import closing, is_open, opening, standing_at

MINUTE = timedelta(minutes=1)
NEW_YORK, CHICAGO = ZoneInfo("America/New_York"), ZoneInfo("America/Chicago")
PHOENIX, PUERTO_RICO = ZoneInfo("America/Phoenix"), ZoneInfo("America/Puerto_Rico")
FORWARD, BACK = date(2027, 3, 14), date(2027, 11, 7)  # 15 U.S.C. 260a: at 2 in the morning


def utc(*when: int) -> datetime:
    return datetime(*when, tzinfo=UTC)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("zone", "day", "at", "moment"),
    [
        # The hour from 2 to 3 is left out in March; what is said of it counts by the clock before.
        (NEW_YORK, FORWARD, time(1, 59), utc(2027, 3, 14, 6, 59)),
        (NEW_YORK, FORWARD, time(2, 30), utc(2027, 3, 14, 7, 30)),
        (NEW_YORK, FORWARD, time(3), utc(2027, 3, 14, 7)),
        (CHICAGO, FORWARD, time(2, 30), utc(2027, 3, 14, 8, 30)),
        (CHICAGO, FORWARD, time(8), utc(2027, 3, 14, 13)),
        # The hour from 1 to 2 comes twice in November; the first counts.
        (NEW_YORK, BACK, time(1, 30), utc(2027, 11, 7, 5, 30)),
        (NEW_YORK, BACK, time(2), utc(2027, 11, 7, 7)),
        (CHICAGO, BACK, time(1, 30), utc(2027, 11, 7, 6, 30)),
        # Neither changes its clocks.
        (PHOENIX, FORWARD, time(2, 30), utc(2027, 3, 14, 9, 30)),
        (PHOENIX, BACK, time(1, 30), utc(2027, 11, 7, 8, 30)),
        (PUERTO_RICO, FORWARD, time(2, 30), utc(2027, 3, 14, 6, 30)),
        (PUERTO_RICO, BACK, time(1, 30), utc(2027, 11, 7, 5, 30)),
    ],
)
def test_a_clock_time_is_one_moment_and_a_minute_past_it_is_another(
    zone: ZoneInfo, day: date, at: time, moment: datetime
) -> None:
    opens = Window(day, day + timedelta(3), opens_at=at)
    # Python calls no two moments equal of which one comes twice; in UTC none does.
    assert opening(opens, zone).astimezone(UTC) == moment
    assert opening(opens, zone).tzinfo is zone
    assert [is_open(opens, moment + n * MINUTE, zone) for n in (-1, 0, 1)] == [False, True, True]
    closes = Window(day - timedelta(3), day, closes_at=at)
    assert closing(closes, zone).astimezone(UTC) == moment
    assert [is_open(closes, moment + n * MINUTE, zone) for n in (-1, 0, 1)] == [True, False, False]


@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [(NEW_YORK, FORWARD, 23), (NEW_YORK, BACK, 25), (CHICAGO, FORWARD, 23), (CHICAGO, BACK, 25),
     (PHOENIX, FORWARD, 24), (PHOENIX, BACK, 24), (PUERTO_RICO, FORWARD, 24), (PUERTO_RICO, BACK, 24)],
)  # fmt: skip
def test_a_whole_day_is_as_long_as_it_is_there(zone: ZoneInfo, day: date, hours: int) -> None:
    window = Window(day, day)
    begun, ended = opening(window, zone), closing(window, zone)
    assert ended.astimezone(UTC) - begun.astimezone(UTC) == timedelta(hours=hours)
    assert not is_open(window, begun - MINUTE, zone)
    assert is_open(window, begun, zone)
    assert is_open(window, ended - MINUTE, zone)
    assert not is_open(window, ended, zone)
    assert not is_open(window, ended + MINUTE, zone)


def test_sites_of_one_group_open_by_their_own_clocks() -> None:
    lake = Group("Lake", (Window(date(2027, 1, 4), date(2027, 1, 10), time(8), time(21)),))
    moment = utc(2027, 1, 4, 13, 1)  # a minute past 8 in New York, past 6 in Phoenix
    assert standing_at(lake, moment, NEW_YORK).open
    assert not standing_at(lake, moment, PHOENIX).open
    assert standing_at(lake, moment, PHOENIX).next
    over = utc(2027, 1, 11, 2, 1)  # a minute past 9 in the evening in New York
    assert standing_at(lake, over, NEW_YORK) == standing_at(Group("None"), over, NEW_YORK)
    assert standing_at(lake, over, PHOENIX).open

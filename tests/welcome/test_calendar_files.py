"""Calendar files to subscribe to, and windows that move in a calendar that has them (RFC 5545, 5546, 7986)."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import given
from hypothesis import settings as effort
from hypothesis import strategies as st
from icalendar import Calendar
from packets_made import COOP, make

from onboard import windows
from onboard.settings import Group, Settings, Window, WindowRule
from onboard.welcome.calendar import calendar, changes, published
from onboard.windows import Known, follow

NOW = datetime(2026, 11, 25, 15, tzinfo=UTC)
RULE = WindowRule(("Lake", "Hill"), starts="2026-12", opens_at="8:00 AM", closes_at="9:00 PM")
TIMED = replace(COOP, groups=tuple(Group(name, (), RULE) for name in RULE.rotation), windows=RULE)
WHOLE = replace(COOP, groups=(Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),)),))


def file(
    settings: Settings, group: str = "Lake", now: datetime = NOW, known: tuple[Known, ...] = ()
) -> bytes:
    of_group = [one for one in follow(known, settings, now) if one.group == group]
    return published(f"Growers: {group}", of_group, settings, "en", now)


def test_a_timed_window_has_its_zone_written_out_and_reads_back_in_two_parsers() -> None:
    raw = file(TIMED)
    assert b"DTSTART;TZID=America/New_York:20261207T080000\r\n" in raw
    assert b"DTEND;TZID=America/New_York:20261213T210000\r\n" in raw
    assert raw.count(b"BEGIN:VTIMEZONE") == 1
    expected = [
        (
            windows.opening(w, ZoneInfo("America/New_York")),
            windows.closing(w, ZoneInfo("America/New_York")),
        )
        for w in windows.upcoming(TIMED.groups[0], NOW.date())
    ]
    ours = [
        (e.decoded("dtstart"), e.decoded("dtend")) for e in Calendar.from_ical(raw).walk("VEVENT")
    ]
    # The other one takes the zone from the file, not from this machine.
    theirs = [(e.dtstart.value, e.dtend.value) for e in vobject.readOne(raw.decode()).vevent_list]
    for found in (ours, theirs):
        assert [[at.astimezone(UTC) for at in ends] for ends in found] == [
            [at.astimezone(UTC) for at in ends] for ends in expected
        ]


def test_a_whole_day_window_is_all_day_and_has_no_zone() -> None:
    raw = file(WHOLE)
    assert b"DTSTART;VALUE=DATE:20261201\r\n" in raw
    assert b"DTEND;VALUE=DATE:20261207\r\n" in raw
    assert b"TZID" not in raw
    assert vobject.readOne(raw.decode()).vevent.dtend.value == date(2026, 12, 7)


def test_a_file_to_subscribe_to_says_so() -> None:
    raw = file(TIMED).decode()
    (read,) = Calendar.from_ical(raw, multiple=True)
    for line in (
        "VERSION:2.0", "METHOD:PUBLISH", "NAME:Growers: Lake", "X-WR-CALNAME:Growers: Lake",
        "REFRESH-INTERVAL;VALUE=DURATION:P1D", "X-PUBLISHED-TTL:P1D", "LAST-MODIFIED:20261125T150000Z",
    ):  # fmt: skip
        assert f"\r\n{line}\r\n" in raw, line
    assert "ATTENDEE" not in raw
    for event in read.walk(
        "VEVENT"
    ):  # RFC 5546, 3.2.1: what a published event must and may not have
        assert all(
            event.get(name) for name in ("dtstamp", "dtstart", "organizer", "summary", "uid")
        )
        assert event["sequence"] == 0
        assert event["organizer"] == f"mailto:{COOP.sender}"
    assert max(len(line.encode()) for line in raw.split("\r\n")) <= 75
    assert re.fullmatch(r"(?:[^\r\n]*\r\n)+", raw), "each line ends in CRLF"


def test_stamps_are_in_utc() -> None:
    lines = re.findall(r"\r\n(DTSTAMP|LAST-MODIFIED):(.*?)\r\n", file(TIMED).decode())
    assert lines
    assert {re.sub(r"\d", "0", said) for _, said in lines} == {"00000000T000000Z"}


def moved(settings: Settings, *ranges: tuple[date, date]) -> Settings:
    return replace(settings, groups=(Group("Lake", tuple(Window(*days) for days in ranges)),))


def test_a_number_rises_when_a_window_changes_and_only_then() -> None:
    first = follow((), WHOLE, NOW)
    again = follow(first, WHOLE, NOW + timedelta(days=1))
    assert again == first
    later = follow(
        again, moved(WHOLE, (date(2026, 12, 8), date(2026, 12, 13))), NOW + timedelta(days=2)
    )
    (before,), (after,) = first, later
    assert (after.uid, after.sequence) == (before.uid, before.sequence + 1)
    assert after.changed == NOW + timedelta(days=2)
    assert not after.canceled
    back = follow(later, WHOLE, NOW + timedelta(days=3))
    assert [(one.uid, one.sequence) for one in back] == [(before.uid, before.sequence + 2)]


def test_a_window_that_is_no_more_stays_in_the_file_as_canceled() -> None:
    first = follow((), WHOLE, NOW)
    gone = follow(first, moved(WHOLE), NOW + timedelta(days=1))
    (one,) = gone
    assert (one.uid, one.sequence, one.canceled) == (first[0].uid, 1, True)
    raw = published("Lake", gone, WHOLE, "en", NOW)
    assert b"\r\nSTATUS:CANCELLED\r\n" in raw
    assert b"\r\nSEQUENCE:1\r\n" in raw
    assert follow(gone, moved(WHOLE), NOW + timedelta(days=2)) == gone


def test_a_turn_keeps_its_uid_wherever_it_moves() -> None:
    first = follow((), TIMED, NOW)
    rule = replace(RULE, opens="third Friday", closes="2 weeks later")
    later = follow(
        first, replace(TIMED, groups=tuple(replace(g, rule=rule) for g in TIMED.groups)), NOW
    )
    assert [one.uid for one in later] == [one.uid for one in first]
    assert all(one.sequence == 1 for one in later)
    assert {one.turn for one in first} >= {"2026-12", "2027-01"}


def test_windows_that_a_rule_makes_now_in_place_of_written_ones_are_the_same_windows() -> None:
    written = tuple(windows.upcoming(Group("Lake", (), RULE), NOW.date()))
    by_hand = replace(TIMED, groups=(Group("Lake", written), TIMED.groups[1]))
    first = follow((), by_hand, NOW)
    later = follow(first, TIMED, NOW)
    assert [(one.uid, one.sequence) for one in later] == [(one.uid, one.sequence) for one in first]


def test_a_new_window_on_the_old_days_of_a_moved_one_has_a_uid_of_its_own() -> None:
    first = follow((), WHOLE, NOW)
    later = follow(first, moved(WHOLE, (date(2026, 12, 8), date(2026, 12, 13))), NOW)
    both = follow(
        later,
        moved(
            WHOLE, (date(2026, 12, 1), date(2026, 12, 6)), (date(2026, 12, 8), date(2026, 12, 13))
        ),
        NOW,
    )
    assert len({one.uid for one in both}) == 2
    assert next(one for one in both if one.window.opens == date(2026, 12, 8)).uid == first[0].uid


@given(st.lists(st.integers(0, 400), min_size=2, max_size=10, unique=True), st.data())
@effort(max_examples=80, deadline=None)
def test_whatever_is_changed_no_uid_is_lost_or_doubled_and_no_number_falls(
    edges: list[int], data: st.DataObject
) -> None:
    def coop(some: list[int]) -> Settings:
        days = [date(2026, 12, 1) + timedelta(n) for n in sorted(some)]
        return moved(WHOLE, *zip(days[::2], days[1::2], strict=False))

    known: tuple[Known, ...] = ()
    for step in range(3):
        known_before = known
        known = follow(known, coop(edges), NOW + timedelta(days=step))
        now = {one.uid: one for one in known}
        assert len(now) == len(known)
        for one in known_before:
            assert now[one.uid].sequence >= one.sequence
            assert (now[one.uid] == one) == (now[one.uid].sequence == one.sequence)
        stand = [one.window for one in known if not one.canceled]
        assert stand == list(coop(edges).groups[0].windows)
        edges = data.draw(st.lists(st.integers(0, 400), max_size=10, unique=True))


def test_changes_move_in_a_calendar_that_has_the_window() -> None:
    group = WHOLE.groups[0]
    first = follow((), WHOLE, NOW)
    had = Calendar.from_ical(calendar(group, WHOLE, "en", NOW.date(), known=first)).walk("VEVENT")[
        0
    ]
    later = follow(first, moved(WHOLE, (date(2026, 12, 8), date(2026, 12, 13))), NOW)
    raw = changes(later, WHOLE, "en", NOW, WHOLE.zone())
    (event,) = Calendar.from_ical(raw).walk("VEVENT")
    assert event["uid"] == had["uid"]
    assert event["sequence"] > had["sequence"]
    assert event.decoded("dtstart") == date(2026, 12, 8)
    assert b"METHOD:PUBLISH" in raw


@pytest.mark.parametrize(
    ("opens_at", "closes_at", "alarms"),
    [
        (None, None, ["PT9H", "-PT15H"]),
        (time(8), time(21), ["P0D", "-PT12H"]),  # as it opens; at 9 on the last morning
        (None, time(9, 30), ["PT9H", "-PT3H"]),  # it closes before anybody would look
        (time(20), None, ["P0D", "-PT15H"]),
    ],
)
def test_reminders_come_while_something_can_be_done(
    opens_at: time | None, closes_at: time | None, alarms: list[str]
) -> None:
    group = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6), opens_at, closes_at),))
    raw = calendar(group, WHOLE, "en", NOW.date()).decode()
    assert re.findall(r"TRIGGER[^:]*:(\S+)", raw) == alarms


@pytest.mark.parametrize(
    ("zone", "rules"),
    [
        # 15 U.S.C. 260a(a): from the second Sunday of March to the first Sunday of November
        (
            "America/New_York",
            ["FREQ=YEARLY;BYDAY=1SU;BYMONTH=11", "FREQ=YEARLY;BYDAY=2SU;BYMONTH=3"],
        ),
        (
            "America/Chicago",
            ["FREQ=YEARLY;BYDAY=1SU;BYMONTH=11", "FREQ=YEARLY;BYDAY=2SU;BYMONTH=3"],
        ),
        ("America/Phoenix", []),
        ("America/Puerto_Rico", []),
        (
            "Europe/Berlin",
            ["FREQ=YEARLY;BYDAY=-1SU;BYMONTH=10", "FREQ=YEARLY;BYDAY=-1SU;BYMONTH=3"],
        ),
    ],
)
def test_a_time_zone_tells_its_rule_and_both_parsers_keep_every_hour(
    zone: str, rules: list[str]
) -> None:
    there = replace(TIMED, timezone=zone)
    known = [one for one in follow((), there, NOW) if one.group == "Lake"]
    raw = published("Lake", known, there, "en", NOW)
    assert re.findall(r"\r\nRRULE:(.*?)\r\n", raw.decode()) == rules
    assert b"RDATE" not in raw
    for found in (
        [e.decoded("dtend") for e in Calendar.from_ical(raw).walk("VEVENT")],
        [e.dtend.value for e in vobject.readOne(raw.decode()).vevent_list],
    ):
        assert [at.astimezone(UTC) for at in found] == [
            windows.closing(one.window, ZoneInfo(zone)).astimezone(UTC) for one in known
        ]


@pytest.mark.parametrize(
    ("today", "said"),
    [
        (date(2026, 12, 7), False),
        (date(2026, 12, 8), True),
        (date(2026, 12, 12), True),
        (date(2026, 12, 13), False),
    ],
)
def test_a_packet_says_open_now_only_of_days_that_are_open_from_morning_to_night(
    today: date, said: bool
) -> None:
    coop = replace(
        COOP,
        groups=(
            replace(
                TIMED.groups[0],
                name="Ottawa River",
                rule=replace(RULE, rotation=("Ottawa River", "Hill")),
            ),
            COOP.groups[1],
        ),
    )
    assert ("(open now)" in " ".join(make(settings=coop, today=today).text.split())) is said

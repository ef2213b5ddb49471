"""The rules of RFC 5545 in every kind of calendar file that we write: in a packet, to subscribe to, of windows that moved."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from icalendar import Calendar
from packets_made import COOP

from onboard.settings import Group, Settings, Window, WindowRule
from onboard.welcome.calendar import calendar, changes, published
from onboard.windows import follow

NOW = datetime(2026, 11, 25, 15, tzinfo=UTC)
RULE = WindowRule(("Lake; ñandú, 王",), starts="2026-12", opens_at="8:00 AM", closes_at="9:00 PM")
TIMED = replace(COOP, groups=(Group(RULE.rotation[0], (), RULE),), windows=RULE)
WHOLE = replace(
    COOP, groups=(Group(RULE.rotation[0], (Window(date(2026, 12, 31), date(2026, 12, 31)), Window(date(2027, 3, 13), date(2027, 3, 15)))),)
)  # fmt: skip
ZONES = ("America/New_York", "America/Chicago", "America/Phoenix", "America/Puerto_Rico")


def files(coop: Settings, language: str) -> dict[str, bytes]:
    group, known = coop.groups[0], follow((), coop, NOW)
    gone = follow(known, replace(coop, groups=(Group(group.name),), windows=WindowRule()), NOW)
    return {
        "packet": calendar(group, coop, language, NOW.date(), known=known),
        "subscribed": published(group.name, known, coop, language, NOW),
        "moved": changes(known, coop, language, NOW, coop.zone()),
        "canceled": changes(gone, coop, language, NOW, coop.zone()),
        "canceled, subscribed": published(group.name, gone, coop, language, NOW),
    }


WRITTEN = {
    f"{name}, {kind}, {zone}, {language}": raw
    for kind, coop in (("timed", TIMED), ("whole days", WHOLE))
    for zone in ZONES
    for language in ("en", "es")
    for name, raw in files(replace(coop, timezone=zone), language).items()
}


@pytest.mark.parametrize("raw", WRITTEN.values(), ids=WRITTEN)
def test_every_file_keeps_the_rules(raw: bytes) -> None:
    assert raw.endswith(b"\r\n")
    for line in raw.split(b"\r\n"):
        assert len(line) <= 75  # 3.1
        line.decode()  # folded between characters
    text = raw.decode().replace("\r\n ", "")
    assert "\n" not in text.replace("\r\n", "")
    assert not re.search(r"TZID[^:]*VALUE=DATE\b|VALUE=DATE;[^:]*TZID", text)  # 3.2.19
    assert "Lake\\; ñandú\\, 王" in text  # 3.3.11
    assert len(re.findall(r"\r\nVERSION:2\.0\r\n", text)) == 1
    assert not re.search(r"\r\n(RRULE|EXDATE|ATTENDEE)", text.split("BEGIN:VEVENT", 1)[1])
    events = Calendar.from_ical(raw).walk("VEVENT")
    assert events
    assert len({event["uid"] for event in events}) == len(events)
    for event in events:
        start, end = event.decoded("dtstart"), event.decoded("dtend")
        assert type(start) is type(end)  # 3.8.2.2
        assert end > start
        assert event.decoded("dtstamp").utcoffset() == timedelta(0)
        assert event["sequence"] >= 0
    assert re.findall(r"\r\nDTSTAMP:(.*?)\r\n", text) == re.findall(
        r"\r\nDTSTAMP:(\d{8}T\d{6}Z)\r\n", text
    )
    for alarm in Calendar.from_ical(raw).walk("VALARM"):  # 3.6.6
        assert alarm["action"] == "DISPLAY"
        assert alarm["description"]
        assert ("repeat" in alarm) == ("duration" in alarm)


@pytest.mark.parametrize("zone", ZONES)
def test_a_night_in_which_clocks_change_is_told_by_the_clock_there(zone: str) -> None:
    coop = replace(WHOLE, timezone=zone, groups=(
        Group("Lake", (Window(date(2027, 3, 13), date(2027, 3, 14)),)),
    ))  # fmt: skip
    raw = published("Lake", follow((), coop, NOW), coop, "en", NOW)
    assert b"DTSTART;VALUE=DATE:20270313" in raw  # a day is a day, however long
    assert b"DTEND;VALUE=DATE:20270315" in raw
    timed = replace(TIMED, timezone=zone)
    told = Calendar.from_ical(published("Lake", follow((), timed, NOW), timed, "en", NOW))
    for event in told.walk("VEVENT"):
        assert (event.decoded("dtstart").hour, event.decoded("dtend").hour) == (8, 21)
        summer = event.decoded("dtstart").dst()
        if zone in ("America/Phoenix", "America/Puerto_Rico"):
            assert not summer

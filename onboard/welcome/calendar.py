"""The ordering windows as a calendar file, after RFC 5545."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from icalendar import Alarm, Calendar, Event

from onboard.errors import SettingsTrouble
from onboard.settings import Group, Settings, Window
from onboard.welcome import blocks, words

# Reminders at 9 in the morning of the first day, and of the last: DTEND is the midnight after it.
AT_OPENING = timedelta(hours=9)
AT_CLOSING = timedelta(hours=-15)


def coming(group: Group, today: date) -> tuple[Window, ...]:
    """The windows of a group that have not closed yet, by opening day; one may be open now."""
    return tuple(
        sorted((w for w in group.windows if w.closes >= today), key=lambda w: (w.opens, w.closes))
    )


def calendar(
    group: Group,
    windows: Sequence[Window],
    settings: Settings,
    language: str,
    stamp: date,
    values: dict[str, object],
) -> bytes:
    """An iCalendar file with an all-day event for each window; b"" when there is none.

    Events keep their UID for as long as group and opening day stay, so that a later file updates
    them (RFC 5545 3.8.4.7). `stamp` is the day on which the file is made. Raises
    `SettingsTrouble` for a template that is broken.
    """
    if not windows:
        return b""
    name = f"{language}/{words.CALENDAR}"
    said = blocks.read(words.markdown(name, settings, values))
    with words.told(name, settings):
        summary = next((b.text for b in said if b.kind == "title"), "")
        description = "\n".join(b.text for b in said if b.kind == "paragraph")
        reminders = [line for b in said if b.kind == "points" for line in b.text.split("\n")]
        if not summary or len(reminders) != 2:
            raise SettingsTrouble("it needs a title (# …) and two points (- …), in this order")
    file = Calendar()
    file.add("prodid", "-//onboard//ordering windows//EN")
    file.add("version", "2.0")
    file.add("calscale", "GREGORIAN")
    for window in windows:
        event = Event()
        event.add("uid", _uid(group, window, settings))
        # 3.8.7.2: in UTC. Midnight of the day, so that the same day gives the same file.
        event.add("dtstamp", datetime.combine(stamp, time(), UTC))
        event.add("dtstart", window.opens)  # a DATE has no time zone (3.2.19)
        event.add("dtend", window.closes + timedelta(days=1))  # not inclusive (3.6.1, 3.8.2.2)
        event.add("summary", summary)
        event.add("description", description)
        event.add("url", settings.ordering_page)
        event.add("transp", "TRANSPARENT")  # nobody is busy all day (3.8.2.7)
        event.add("class", "PUBLIC")
        event.add_component(_alarm(reminders[0], AT_OPENING, "START"))
        event.add_component(_alarm(reminders[1], AT_CLOSING, "END"))
        file.add_component(event)
    return file.to_ical()


def _uid(group: Group, window: Window, settings: Settings) -> str:
    """A UID as RFC 7986 5.3 asks for: no trace of a host or a person in it."""
    named = f"{settings.ordering_page} {group.name} {window.opens.isoformat()}"
    return str(uuid.uuid5(uuid.NAMESPACE_URL, named))


def _alarm(description: str, trigger: timedelta, related: str) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")  # needs a DESCRIPTION (3.6.6)
    alarm.add("description", description)
    alarm.add("trigger", trigger, parameters={} if related == "START" else {"related": related})
    return alarm

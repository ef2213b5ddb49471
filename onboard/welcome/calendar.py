"""The ordering windows as a calendar file, after RFC 5545."""

from __future__ import annotations

import uuid
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache

from icalendar import Alarm, Calendar, Event

from onboard.errors import SettingsTrouble
from onboard.settings import Group, Settings, Window
from onboard.welcome import blocks, words
from onboard.windows import upcoming

# Reminders at 9 in the morning of the first day, and of the last: DTEND is the midnight after it.
AT_OPENING = timedelta(hours=9)
AT_CLOSING = timedelta(hours=-15)


@lru_cache(maxsize=256)
def calendar(group: Group, settings: Settings, language: str, today: date) -> bytes:
    """An iCalendar file with an all-day event for each window that has not closed; b"" if none.

    Events keep their UID for as long as group and opening day stay, so that a later file updates
    them (RFC 5545 3.8.4.7). `today` is the day on which the file is made. Raises
    `SettingsTrouble` for a template that is broken.
    """
    windows = upcoming(group, today)
    if not windows:
        return b""
    summary, description, (at_opening, at_closing) = _words(group, settings, language)
    file = Calendar()
    file.add("prodid", "-//onboard//ordering windows//EN")
    file.add("version", "2.0")
    file.add("calscale", "GREGORIAN")
    for window in windows:
        event = Event()
        event.add("uid", _uid(group, window, settings))
        # 3.8.7.2: in UTC. Midnight of the day, so that the same day gives the same file.
        event.add("dtstamp", datetime.combine(today, time(), UTC))
        # 3.8.7.4: a later file has a higher number, so that it wins where a window was changed.
        event.add("sequence", max(0, (today - date(2020, 1, 1)).days))
        event.add("dtstart", window.opens)  # a DATE has no time zone (3.2.19)
        event.add("dtend", window.closes + timedelta(days=1))  # not inclusive (3.6.1, 3.8.2.2)
        event.add("summary", summary)
        event.add("description", description)
        event.add("url", settings.ordering_page)
        event.add("transp", "TRANSPARENT")  # nobody is busy all day (3.8.2.7)
        event.add("class", "PUBLIC")
        event.add_component(_alarm(at_opening, AT_OPENING, "START"))
        event.add_component(_alarm(at_closing, AT_CLOSING, "END"))
        file.add_component(event)
    return bytes(file.to_ical())


def _words(group: Group, settings: Settings, language: str) -> tuple[str, str, tuple[str, str]]:
    """Title and description of an event, and its two reminders."""
    name = f"{language}/{words.CALENDAR}"
    values = {
        "coop": settings.coop,
        "group": group.name,
        "ordering_page": settings.ordering_page,
        "phone": settings.reply_phone,
    }
    said = blocks.read(words.markdown(name, settings, values))
    title = next((b.text for b in said if b.kind == "title"), "")
    points = [point for b in said if b.kind == "points" for point in b.text.split("\n")]
    if not title or len(points) != 2:
        raise SettingsTrouble(
            f"{words.where(name, settings)}: it needs a title (“# …”), and two points (“- …”) for "
            "the first day and the last. Fix it there, or delete the file."
        )
    description = "\n".join(b.text for b in said if b.kind == "paragraph")
    return title, description, (points[0], points[1])


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

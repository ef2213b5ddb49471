"""The ordering windows as calendar files, after RFC 5545."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, Event, vCalAddress, vDuration, vText

from onboard.errors import SettingsTrouble
from onboard.settings import Group, Settings, Window
from onboard.welcome import blocks, words
from onboard.welcome.timezone import timezone
from onboard.windows import Known, closing, fresh, opening, upcoming

if TYPE_CHECKING:
    from onboard.settings import Site

PRODID = "-//onboard//ordering windows//EN"
PUBLISH = "PUBLISH"
# Reminders at 9 in the morning of the first day, and of the last: DTEND is the midnight after it.
AT_OPENING = timedelta(hours=9)
AT_CLOSING = timedelta(hours=-15)
MORNING = time(9)
BEFORE = timedelta(hours=-3)  # the reminder of a window that closes before the morning is over
REFRESH = timedelta(days=1)  # how often whoever subscribes should look again
KEPT = timedelta(days=31)  # how long a window stays in a file that is subscribed to


@lru_cache(maxsize=256)
def calendar(
    group: Group,
    settings: Settings,
    language: str,
    today: date,
    zone: ZoneInfo | None = None,
    known: tuple[Known, ...] | None = None,
) -> bytes:
    """An iCalendar file with an event for each window of the group that has not closed; b"" if none.

    An event is all day, or timed in the `zone` where windows open or close at a time. `known` are the windows as
    calendars know them already; without them, a file that is made on a later day wins over an earlier one. `today`
    is the day on which the file is made. Raises `SettingsTrouble` for a template that is broken.
    """
    if known is None:
        if not upcoming(group, today):
            return b""
        now = datetime.combine(today, time(12), settings.zone())
        # 3.8.7.4: a later file has a higher number, so that it wins where a window was changed.
        known = fresh(group, settings, now, first=max(0, (today - date(2020, 1, 1)).days))
    coming = [
        one for one in known if one.group == group.name and not (one.canceled or one.is_over(today))
    ]
    if not coming:
        return b""
    said = {group.name: said_of(group.name, settings, language)}
    # 3.8.7.2: in UTC. Midnight of the day, so that the same day gives the same file.
    stamp = datetime.combine(today, time(), UTC)
    return _file(Calendar(), coming, said, zone or settings.zone(), stamp, reminders=True)


def published(
    name: str,
    known: Sequence[Known],
    settings: Settings,
    language: str,
    now: datetime,
    site: Site | None = None,
) -> bytes:
    """An iCalendar file to lay on the co-op's web space, for people to subscribe to: the windows of one group, by the
    clock of one `site` or else of the co-op; b"" if there is none.

    Windows that closed a short time ago are in it too, and those that were canceled, marked so. `name` is what the
    calendar is called. Raises `SettingsTrouble` for a template that is broken.
    """
    today = now.astimezone(settings.zone()).date()
    kept = [one for one in known if one.window.closes >= today - KEPT]
    if not kept:
        return b""  # RFC 5545, 3.4: a file holds one thing at least
    file = _publication()
    file.add("name", name)  # RFC 7986, 5.1
    file.add("x-wr-calname", name)  # what most programs read in its place
    file.add("url", settings.ordering_page)  # RFC 7986, 5.5
    file.add("uid", str(uuid.uuid5(uuid.NAMESPACE_URL, f"{settings.ordering_page} {name}")))  # 5.3
    file.add("last-modified", max(one.changed for one in kept))  # 5.4
    file.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})  # 5.7
    file.add("x-published-ttl", vDuration(REFRESH))
    group = known[0].group
    said = {group: said_of(group, settings, language)}
    return _file(file, kept, said, settings.zone(site), now, organizer=settings)


def changes(
    known: Sequence[Known], settings: Settings, language: str, now: datetime, zone: ZoneInfo
) -> bytes:
    """An iCalendar file with windows that changed: they move in a calendar that has them, and those that
    were canceled are marked so there. Raises `SettingsTrouble` for a template that is broken."""
    said = {group: said_of(group, settings, language) for group in {one.group for one in known}}
    return _file(_publication(), known, said, zone, now, organizer=settings, reminders=True)


def _publication() -> Calendar:
    """A calendar that is only read: nobody answers it (RFC 5546, 3.2.1)."""
    file = Calendar()
    file.add("method", PUBLISH)
    return file


@dataclass(frozen=True, slots=True)
class Said:
    """What an event says."""

    title: str
    description: str
    page: str  # where to order
    reminders: tuple[str, str]  # of the first day, and of the last


def _file(
    file: Calendar,
    known: Sequence[Known],
    said: Mapping[str, Said],  # by group
    zone: ZoneInfo,
    stamp: datetime,
    *,
    organizer: Settings | None = None,
    reminders: bool = False,
) -> bytes:
    file.add("prodid", PRODID)
    file.add("version", "2.0")
    file.add("calscale", "GREGORIAN")
    timed = [one.window for one in known if is_timed(one.window)]
    if timed:
        first = min(window.opens for window in timed)
        last = max(window.closes for window in timed)
        file.add_component(timezone(zone, first, last))
    for one in known:
        event = _event(one, said[one.group], zone, stamp, reminders)
        if organizer:  # RFC 5546, 3.2.1, asks for one
            event.add("organizer", _organizer(organizer))
        file.add_component(event)
    return bytes(file.to_ical())


def _event(one: Known, said: Said, zone: ZoneInfo, stamp: datetime, reminders: bool) -> Event:
    window, event = one.window, Event()
    event.add("uid", one.uid)
    event.add("dtstamp", stamp.astimezone(UTC))
    event.add("sequence", one.sequence)
    event.add("last-modified", one.changed.astimezone(UTC))
    if is_timed(window):
        event.add("dtstart", opening(window, zone))
        event.add("dtend", closing(window, zone))
    else:
        event.add("dtstart", window.opens)  # a DATE has no time zone (3.2.19)
        event.add("dtend", window.closes + timedelta(days=1))  # not inclusive (3.6.1, 3.8.2.2)
    event.add("summary", said.title)
    event.add("description", said.description)
    event.add("url", said.page)
    event.add("transp", "TRANSPARENT")  # nobody is busy all day (3.8.2.7)
    event.add("class", "PUBLIC")
    event.add("status", "CANCELLED" if one.canceled else "CONFIRMED")
    if reminders and not one.canceled:
        at_opening, at_closing = said.reminders
        opens, closes = _reminded(window, zone)
        event.add_component(_alarm(at_opening, opens, "START"))
        event.add_component(_alarm(at_closing, closes, "END"))
    return event


def is_timed(window: Window) -> bool:
    """Whether a window opens or closes at a time of day."""
    return window.opens_at is not None or window.closes_at is not None


def _reminded(window: Window, zone: ZoneInfo) -> tuple[timedelta, timedelta]:
    """How long after the opening, and before the closing, people are reminded: in the morning of the day."""
    if not is_timed(window):
        return AT_OPENING, AT_CLOSING
    opens, closes = opening(window, zone), closing(window, zone)
    morning = datetime.combine(window.opens, MORNING, zone)
    after = max(timedelta(0), morning - opens) if window.opens_at is None else timedelta(0)
    before = datetime.combine(window.closes, MORNING, zone).astimezone(UTC) - closes.astimezone(UTC)
    return after, min(before, BEFORE)


def _organizer(settings: Settings) -> vCalAddress:
    organizer = vCalAddress(f"mailto:{settings.sender}")
    organizer.params["CN"] = vText(settings.coop)
    return organizer


@lru_cache(maxsize=64)
def said_of(group: str, settings: Settings, language: str) -> Said:
    """Title and description of an event, and its two reminders. Raises `SettingsTrouble`."""
    name = f"{language}/{words.CALENDAR}"
    values = {
        "coop": settings.coop,
        "group": group,
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
    return Said(title, description, settings.ordering_page, (points[0], points[1]))


def _alarm(description: str, trigger: timedelta, related: str) -> Alarm:
    alarm = Alarm()
    alarm.add("action", "DISPLAY")  # needs a DESCRIPTION (3.6.6)
    alarm.add("description", description)
    alarm.add("trigger", trigger, parameters={} if related == "START" else {"related": related})
    return alarm

"""The change log, read: who did what, when, to whom and why, a page at a time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from onboard.model import Owner
from onboard.office import Act, Office
from onboard.roster import log_page, search
from onboard.roster.log_page import Line, Wanted
from onboard.tasks import meant


@dataclass(frozen=True, slots=True)
class Asked:
    """What somebody looks for; whatever is empty does not matter."""

    member: str = ""  # a sign-in name or number
    who: str = ""
    what: str = ""
    day: date | None = None  # at the co-op


@dataclass(frozen=True, slots=True)
class LogPage:
    """A page of the change log, newest first."""

    lines: tuple[Line, ...]
    older: int  # below which number the next page begins; 0 if this is the last
    handles: Mapping[int, str]  # sign-in names, by member
    kinds: tuple[str, ...]  # what was done of late
    people: tuple[str, ...]  # and by whom


def change_log(office: Office, asked: Asked, below: int = 0) -> LogPage:
    """The newest lines that fit, of those with numbers below that one (0: of all).

    Raises `NotAllowed`, `FileTrouble` for a member whom nobody knows, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    with office.reading() as connection:
        about = ""
        if asked.member:
            about = str(Owner.of_member(meant.member(connection, asked.member).id))
        since = until = None
        if asked.day:
            zone = ZoneInfo(office.settings.timezone)
            since = datetime.combine(asked.day, time(), zone)
            until = datetime.combine(asked.day + timedelta(1), time(), zone)
        wanted = Wanted(about, asked.who, asked.what, since, until)
        lines, older = log_page.page(connection, wanted, below)
        into = {line.after.get("merged_into") for line in lines}
        numbers = {number for line in lines if (number := line.about.member_id)}
        numbers |= {number for number in into if isinstance(number, int)}
        kinds, people = log_page.kinds(connection)
        return LogPage(
            tuple(lines), older, search.handles_of(connection, numbers), tuple(kinds), tuple(people)
        )

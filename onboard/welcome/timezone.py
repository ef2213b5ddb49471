"""A time zone as calendar files carry it (RFC 5545, 3.6.5), with the rule by which its clocks change."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from icalendar import Timezone

_DAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")


def timezone(zone: ZoneInfo, first: date, last: date) -> Timezone:
    """The VTIMEZONE of a zone, for windows from the day `first` to the day `last`.

    The library lists each change of the clocks. Where they follow a rule, as they do in the United States (15 U.S.C.
    260a), it is written as one: some calendar programs read no more than the first of a list.
    """
    # Whole years around them: so no change of the clocks falls on an end.
    made = Timezone.from_tzinfo(
        zone, zone.key, date(first.year - 1, 7, 1), date(last.year + 2, 7, 1)
    )
    ruled = True
    for part in made.subcomponents:
        if "RDATE" not in part:
            continue
        listed: Any = part["RDATE"]
        changes = [part.decoded("DTSTART"), *(one.dt for one in listed.dts)]
        if rule := _yearly(changes):
            del part["RDATE"]
            part.add("RRULE", rule)
        else:
            ruled = False
    if ruled:
        del made["COMMENT"]  # it says how long the list is
    return made


def _yearly(changes: Sequence[datetime]) -> dict[str, object] | None:
    """The rule that these moments follow, one in each year; None where they follow none."""
    if [at.year for at in changes] != list(range(changes[0].year, changes[0].year + len(changes))):
        return None
    if len({(at.month, at.weekday(), at.time()) for at in changes}) != 1:
        return None
    month, weekday = changes[0].month, _DAYS[changes[0].weekday()]
    if all((at + timedelta(7)).month != at.month for at in changes):
        return {"FREQ": "YEARLY", "BYMONTH": month, "BYDAY": f"-1{weekday}"}
    weeks = {(at.day - 1) // 7 + 1 for at in changes}
    if len(weeks) != 1:
        return None
    return {"FREQ": "YEARLY", "BYMONTH": month, "BYDAY": f"{weeks.pop()}{weekday}"}

"""The ordering windows as members' calendars know them, brought up to what the settings say."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import Connection

from onboard import windows
from onboard.roster import known_windows
from onboard.settings import Settings
from onboard.windows import Known

BEGUN = date(2020, 1, 1)


def follow(
    connection: Connection, settings: Settings, now: datetime, *, keep: bool
) -> tuple[Known, ...]:
    """The windows as calendars should know them at this moment; with `keep` they are from here on known so."""
    before = known_windows.known(connection)
    first = 0
    if not before and known_windows.were_told_before(connection):
        # An earlier version numbered them by the day. A lower number would not move what calendars have of it.
        first = (now.date() - BEGUN).days
    after = windows.follow(before, settings, now, first=first)
    if keep:
        same = set(before)
        known_windows.save(connection, (one for one in after if one not in same))
    return after

"""When the roster was last audited, and whether that is too long ago."""

from __future__ import annotations

from datetime import date, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from onboard.office import Office
from onboard.roster import journal

AUDITED = "roster audited"  # in the change log


def overdue(connection: Connection, office: Office) -> date | None:
    """The day of the last audit, where the settings say that the next one is due; of a roster that never had one, the
    day of its first entry. None if none is due."""
    days = office.settings.audit.every_days
    last = journal.last(connection, AUDITED)
    at = last[0] if last else journal.first(connection)
    if not days or at is None:
        return None
    day = at.astimezone(ZoneInfo(office.settings.timezone)).date()
    return day if day + timedelta(days) <= office.today() else None

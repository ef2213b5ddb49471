"""What the co-op told one member, and what they called about."""

from __future__ import annotations

from sqlalchemy import Connection, select

from onboard.model import Outgoing, Owner
from onboard.roster import calls, tables
from onboard.roster.calls import Noted
from onboard.roster.outgoing import of_line

MOST = 50  # of each; who wants more has the change log


def messages(connection: Connection, member_id: int) -> list[Outgoing]:
    """All that was told or is to be told to the member, the newest first."""
    line = tables.outgoing
    query = select(line).where(line.c.member_id == member_id).order_by(line.c.id.desc()).limit(MOST)
    return [of_line(found) for found in connection.execute(query)]


def calls_about(connection: Connection, owner: Owner) -> list[Noted]:
    """The calls noted of somebody, the newest first."""
    call = tables.call.c
    query = select(call.id).where(call.about == owner).order_by(call.id.desc()).limit(MOST)
    numbers = connection.execute(query).scalars()
    return [noted for number in numbers for noted in calls.noted(connection, number=number)]

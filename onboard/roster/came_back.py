"""What mail that came to the co-op said of members: each message once.

Each function works within the transaction of the connection that it is given; none commits.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date

from sqlalchemy import Connection, func, select

from onboard.roster import tables
from onboard.roster.among import among


def known(connection: Connection, digests: Collection[str]) -> set[str]:
    """Those of the messages that were taken in before."""
    line = tables.came_back.c
    return {d for (d,) in among(connection, select(line.digest).distinct(), line.digest, digests)}


def times(
    connection: Connection, member_ids: Collection[int], actions: Collection[str], since: date
) -> dict[int, int]:
    """How often such mail came of each of these members, on or after a day; not of whoever had none."""
    line = tables.came_back.c
    query = (
        select(line.member_id, func.count())
        .where(line.action.in_(list(actions)), line.day >= since.isoformat())
        .group_by(line.member_id)
    )
    return {one[0]: one[1] for one in among(connection, query, line.member_id, member_ids)}


def add(connection: Connection, lines: Sequence[Mapping[str, object]]) -> None:
    """Keep what messages said: digest, member_id, day, kind, action, status of each."""
    if lines:
        connection.execute(tables.came_back.insert(), [dict(line) for line in lines])


def read_to(connection: Connection, place: str) -> tuple[int, int] | None:
    """How far a mailbox was read: the validity of its UIDs, and the last one; None if it never was."""
    t = tables.mailbox.c
    found = connection.execute(select(t.validity, t.uid).where(t.place == place)).one_or_none()
    return (found.validity, found.uid) if found else None


def note_read(connection: Connection, place: str, validity: int, uid: int) -> None:
    """Keep how far a mailbox was read. Somebody else who reads it meanwhile may have come further."""
    t = tables.mailbox
    before = read_to(connection, place)
    if before is None:
        connection.execute(t.insert().values(place=place, validity=validity, uid=uid))
    elif before[0] != validity or before[1] < uid:
        change = t.update().where(t.c.place == place)
        connection.execute(change.values(validity=validity, uid=uid))

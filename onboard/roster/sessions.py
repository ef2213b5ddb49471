"""Who is signed in at the desk: a line for each browser, known by the digest of what it holds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, delete, select, update

from onboard.roster.journal import sound, stamp
from onboard.roster.tables import desk_session as table


@dataclass(frozen=True, slots=True)
class Kept:
    """A session as it is kept."""

    digest: str
    who: str
    made: datetime
    seen: datetime
    language: str  # of the screen; "" for the browser's own
    staff_id: int | None = None  # None: whoever works at the computer itself
    browser: str = ""


def begin(
    connection: Connection,
    digest: str,
    who: str,
    when: datetime,
    *,
    staff_id: int | None = None,
    browser: str = "",
) -> None:
    """Keep a new session."""
    at = stamp(when)
    line = {"digest": digest, "who": sound(who), "made": at, "seen": at, "language": ""}
    connection.execute(table.insert(), line | {"staff_id": staff_id, "browser": browser})


def find(connection: Connection, digest: str) -> Kept | None:
    """The session with this digest."""
    line = connection.execute(select(table).where(table.c.digest == digest)).first()
    return None if line is None else _kept(line)


def all_of(connection: Connection, who: str, staff_id: int | None) -> list[Kept]:
    """Every session of somebody, the newest first: by their account, or by the name if they have none."""
    query = select(table).where(_theirs(who, staff_id)).order_by(table.c.seen.desc())
    return [_kept(line) for line in connection.execute(query)]


def _theirs(who: str, staff_id: int | None) -> ColumnElement[bool]:
    if staff_id is not None:
        return table.c.staff_id == staff_id
    return table.c.staff_id.is_(None) & (table.c.who == sound(who))


def _kept(line: Row[Any]) -> Kept:
    made, seen = map(datetime.fromisoformat, (line.made, line.seen))
    return Kept(line.digest, line.who, made, seen, line.language, line.staff_id, line.browser)


def see(connection: Connection, digest: str, when: datetime) -> None:
    """Note that somebody works in it."""
    at = stamp(when)
    connection.execute(update(table).where(table.c.digest == digest).values(seen=at))


def speak(connection: Connection, digest: str, language: str) -> None:
    """Keep the language of the screen."""
    connection.execute(update(table).where(table.c.digest == digest).values(language=language))


def end(connection: Connection, digest: str) -> None:
    """End one session."""
    connection.execute(delete(table).where(table.c.digest == digest))


def end_all_of(
    connection: Connection, who: str, staff_id: int | None = None, *, but: str = ""
) -> int:
    """End every session of somebody, but for one; how many they were."""
    gone = _theirs(who, staff_id) & (table.c.digest != but)
    return connection.execute(delete(table).where(gone)).rowcount


def end_older(connection: Connection, made: datetime, seen: datetime) -> None:
    """End the sessions that were made, or last worked in, before these times."""
    old = (table.c.made < stamp(made)) | (table.c.seen < stamp(seen))
    connection.execute(delete(table).where(old))

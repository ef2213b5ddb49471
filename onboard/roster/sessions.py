"""Who is signed in at the desk: a line for each browser, known by the digest of what it holds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, delete, select, update

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


def begin(connection: Connection, digest: str, who: str, when: datetime) -> None:
    """Keep a new session."""
    at = stamp(when)
    line = {"digest": digest, "who": sound(who), "made": at, "seen": at, "language": ""}
    connection.execute(table.insert(), line)


def find(connection: Connection, digest: str) -> Kept | None:
    """The session with this digest."""
    line = connection.execute(select(table).where(table.c.digest == digest)).first()
    if line is None:
        return None
    made, seen = map(datetime.fromisoformat, (line.made, line.seen))
    return Kept(line.digest, line.who, made, seen, line.language)


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


def end_all_of(connection: Connection, who: str) -> int:
    """End every session of somebody; how many they were."""
    return connection.execute(delete(table).where(table.c.who == sound(who))).rowcount


def end_older(connection: Connection, made: datetime, seen: datetime) -> None:
    """End the sessions that were made, or last worked in, before these times."""
    old = (table.c.made < stamp(made)) | (table.c.seen < stamp(seen))
    connection.execute(delete(table).where(old))

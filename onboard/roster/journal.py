"""The journal: who changed what, when and why. Lines are added, never changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, time
from typing import Any

from sqlalchemy import Connection, select

from onboard.model import Owner, Signature
from onboard.roster.bulk import insert
from onboard.roster.tables import journal


@dataclass(frozen=True, slots=True)
class Entry:
    """One change, about one owner."""

    what: str
    about: Owner
    why: str = ""
    before: Mapping[str, Any] = field(default_factory=dict)
    after: Mapping[str, Any] = field(default_factory=dict)


def write(connection: Connection, entries: Iterable[Entry], signature: Signature) -> None:
    """Add the entries, in their order."""
    at = stamp(signature.when)
    lines = [
        {
            "at": at,
            "who": sound(signature.who),
            "what": entry.what,
            "about": entry.about,
            "why": sound(entry.why),
            "before": dict(entry.before),
            "after": dict(entry.after),
        }
        for entry in entries
    ]
    insert(connection, journal, lines)


def read(connection: Connection, about: str = "") -> list[tuple[str, str, str, str, str]]:
    """(at, who, what, about, why) of every entry, or of those about one owner, oldest first."""
    query = select(
        journal.c.at, journal.c.who, journal.c.what, journal.c.about, journal.c.why
    ).order_by(journal.c.id)
    if about:
        query = query.where(journal.c.about == about)
    return [(at, who, what, owner, why) for at, who, what, owner, why in connection.execute(query)]


def members_since(connection: Connection, at: str) -> set[int]:
    """The numbers of the members of whom something was noted at that time or later."""
    # Lines are added in their order, so the last ones are read and no others.
    before = select(journal.c.id).where(journal.c.at < at).order_by(journal.c.id.desc()).limit(1)
    first = connection.scalar(before) or 0
    query = select(journal.c.about).where(journal.c.id > first)
    numbers = (Owner(about).member_id for (about,) in connection.execute(query))
    return {number for number in numbers if number is not None}


def last(connection: Connection, what: str) -> tuple[datetime, Mapping[str, Any]] | None:
    """When this was last noted of the roster as a whole, and what was noted as coming after; None if never."""
    query = (
        select(journal.c.at, journal.c.after)
        .where(journal.c.about == Owner.roster(), journal.c.what == what)
        .order_by(journal.c.id.desc())
        .limit(1)
    )
    found = connection.execute(query).one_or_none()
    return (datetime.fromisoformat(found.at), found.after) if found else None


def of_roster(connection: Connection, what: str, *, since: str = "") -> list[Mapping[str, Any]]:
    """What was noted as coming after, each time this was noted of the roster as a whole; with `since`, later than that was."""
    mine = journal.c.about == Owner.roster()
    last = (
        select(journal.c.id)
        .where(mine, journal.c.what == since)
        .order_by(journal.c.id.desc())
        .limit(1)
    )
    newer = journal.c.id > (connection.scalar(last) or 0)
    query = select(journal.c.after).where(mine, journal.c.what == what, newer)
    return [after for (after,) in connection.execute(query.order_by(journal.c.id))]


def first(connection: Connection) -> datetime | None:
    """When the first line was written; None if there is none."""
    at = connection.scalar(select(journal.c.at).order_by(journal.c.id).limit(1))
    return datetime.fromisoformat(at) if at else None


def stamp(when: datetime) -> str:
    """A time as the tables write it: ISO 8601, UTC, to the second."""
    return when.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def clock_as_text(at: time | None) -> str:
    """A time of day as the tables write it, "" for none."""
    return "" if at is None else f"{at:%H:%M}"


def clock(said: str) -> time | None:
    """The time of day that the tables write so, None of an empty text."""
    return time.fromisoformat(said) if said else None


def sound(text: str) -> str:
    """The text without what some database does not take: lone surrogates and NUL become "?"."""
    if text.isascii() and "\0" not in text:
        return text
    return text.encode("utf-8", "replace").decode().replace("\0", "?")

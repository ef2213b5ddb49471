"""The journal: who changed what, when and why. Lines are added, never changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, select

from onboard.model import Owner, Signature
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
    if lines:
        connection.execute(journal.insert(), lines)


def read(connection: Connection, about: str = "") -> list[tuple[str, str, str, str, str]]:
    """(at, who, what, about, why) of every entry, or of those about one owner, oldest first."""
    query = select(
        journal.c.at, journal.c.who, journal.c.what, journal.c.about, journal.c.why
    ).order_by(journal.c.id)
    if about:
        query = query.where(journal.c.about == about)
    return [(at, who, what, owner, why) for at, who, what, owner, why in connection.execute(query)]


def stamp(when: datetime) -> str:
    """A time as the tables write it: ISO 8601, UTC, to the second."""
    return when.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def sound(text: str) -> str:
    """The text without what some database does not take: lone surrogates and NUL become "?"."""
    if text.isascii() and "\0" not in text:
        return text
    return text.encode("utf-8", "replace").decode().replace("\0", "?")

"""Wrong tries to sign in, in a row: of a name that was typed, and from a place."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, delete, select, text, update

from onboard.roster.journal import stamp
from onboard.roster.tables import sign_in_try as table


@dataclass(frozen=True, slots=True)
class Tries:
    """How many were wrong in a row, and when the last one was."""

    wrong: int
    at: datetime


# In words that both engines know.
_KEEP = text(
    "INSERT INTO sign_in_try (about, wrong, at) VALUES (:about, 0, :at) ON CONFLICT DO NOTHING"
)


def hold(connection: Connection, about: str, when: datetime) -> Tries:
    """Those about one name or place. Until the transaction ends, nobody else can try as well."""
    connection.execute(_KEEP, {"about": about, "at": stamp(when)})
    row = connection.execute(select(table).where(table.c.about == about).with_for_update()).one()
    return Tries(row.wrong, datetime.fromisoformat(row.at))


def count(connection: Connection, about: str, when: datetime) -> None:
    """Count one more."""
    more = update(table).where(table.c.about == about)
    connection.execute(more.values(wrong=table.c.wrong + 1, at=stamp(when)))


def take_back(connection: Connection, about: str) -> None:
    """Count one less: it was right after all."""
    mine = (table.c.about == about) & (table.c.wrong > 0)
    connection.execute(update(table).where(mine).values(wrong=table.c.wrong - 1))


def clear(connection: Connection, about: str) -> None:
    """Count from none: somebody got in."""
    connection.execute(update(table).where(table.c.about == about).values(wrong=0))


def forget_older(connection: Connection, when: datetime) -> None:
    """Forget those of which the last was before this time."""
    connection.execute(delete(table).where(table.c.at < stamp(when)))

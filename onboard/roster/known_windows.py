"""Ordering windows as members' calendars know them. Nobody else writes their table."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from sqlalchemy import Connection, exists, select, text

from onboard.model import State, What
from onboard.roster import tables
from onboard.roster.journal import clock, clock_as_text, stamp
from onboard.settings import Window
from onboard.windows import Known

# In words that both engines know: two programs may come to know the same window at once.
_SAVE = text(
    "INSERT INTO known_window (uid, of_group, turn, opens, closes, opens_at, closes_at, sequence, changed, canceled) "
    "VALUES (:uid, :of_group, :turn, :opens, :closes, :opens_at, :closes_at, :sequence, :changed, :canceled) "
    "ON CONFLICT (uid) DO UPDATE SET of_group = excluded.of_group, turn = excluded.turn, opens = excluded.opens, "
    "closes = excluded.closes, opens_at = excluded.opens_at, closes_at = excluded.closes_at, "
    "sequence = excluded.sequence, changed = excluded.changed, canceled = excluded.canceled"
)


def known(connection: Connection) -> tuple[Known, ...]:
    """All windows that were ever told, by opening day."""
    t = tables.known_window
    return tuple(
        Known(
            line.uid,
            line.of_group,
            line.turn,
            Window(
                date.fromisoformat(line.opens),
                date.fromisoformat(line.closes),
                clock(line.opens_at),
                clock(line.closes_at),
            ),
            line.sequence,
            datetime.fromisoformat(line.changed),
            line.canceled,
        )
        for line in connection.execute(select(t).order_by(t.c.opens, t.c.uid))
    )


def save(connection: Connection, windows: Iterable[Known]) -> None:
    """Keep windows as calendars know them from now on."""
    lines = [
        {
            "uid": one.uid, "of_group": one.group, "turn": one.turn, "sequence": one.sequence,
            "changed": stamp(one.changed), "canceled": one.canceled,
            "opens": one.window.opens.isoformat(), "closes": one.window.closes.isoformat(),
            "opens_at": clock_as_text(one.window.opens_at), "closes_at": clock_as_text(one.window.closes_at),
        }
        for one in windows
    ]  # fmt: skip
    if lines:
        connection.execute(_SAVE, lines)


def were_told_before(connection: Connection) -> bool:
    """Whether packets were written of which nobody kept what windows they told."""
    line = tables.outgoing.c
    query = exists().where(
        line.what == What.PACKET, line.state != State.DUE, line.file != "", line.told.is_(None)
    )
    return bool(connection.scalar(select(query)))

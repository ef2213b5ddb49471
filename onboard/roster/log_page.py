"""The journal a page at a time, newest first: quick however long it is, because no page reads more than so many lines."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, func, select

from onboard.model import Owner
from onboard.roster.journal import stamp
from onboard.roster.tables import journal

MOST = 50  # lines on a page
LOOKED = 20_000  # lines that are looked at for one page
SLACK = timedelta(hours=1)  # by which clocks of people who work at once may differ


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the journal."""

    id: int
    at: datetime
    who: str
    what: str
    about: Owner
    why: str
    before: dict[str, Any]
    after: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which lines: all that fit whatever is said."""

    about: str = ""  # an owner
    who: str = ""
    what: str = ""
    since: datetime | None = None
    until: datetime | None = None  # not itself


def page(connection: Connection, wanted: Wanted, below: int = 0) -> tuple[list[Line], int]:
    """The newest lines that fit, with numbers below that one (0: of all), and the number below which the next
    page begins; 0 if there is no older line."""
    top = below or (connection.scalar(select(func.max(journal.c.id))) or 0) + 1
    if wanted.until:
        top = min(top, _first_at(connection, wanted.until + SLACK, top))
    lowest = _first_at(connection, wanted.since - SLACK, top) if wanted.since else 1
    floor = lowest if wanted.about else max(lowest, top - LOOKED)
    query = select(journal).where(journal.c.id < top, journal.c.id >= floor, *_fits(wanted))
    lines = [_line(row) for row in connection.execute(_newest(query, MOST + 1))]
    if len(lines) > MOST:
        return lines[:MOST], lines[MOST - 1].id
    return lines, floor if floor > lowest else 0


def kinds(connection: Connection) -> tuple[list[str], list[str]]:
    """What was done, and by whom, among the newest lines."""
    newest = _newest(select(journal.c.what, journal.c.who, journal.c.id), LOOKED).subquery()
    found = connection.execute(select(newest.c.what, newest.c.who).distinct()).all()
    return sorted({what for what, _ in found}), sorted({who for _, who in found}, key=str.casefold)


def _fits(wanted: Wanted) -> Iterable[ColumnElement[bool]]:
    if wanted.about:
        yield journal.c.about == wanted.about
    if wanted.who:
        yield journal.c.who == wanted.who
    if wanted.what:
        yield journal.c.what == wanted.what
    if wanted.since:
        yield journal.c.at >= stamp(wanted.since)
    if wanted.until:
        yield journal.c.at < stamp(wanted.until)


def _newest(query: Select[Any], most: int) -> Select[Any]:
    return query.order_by(journal.c.id.desc()).limit(most)


def _first_at(connection: Connection, when: datetime, top: int) -> int:
    """The number of the first line of that time or later: lines are added in their order, so halving finds it."""
    at, low, high = stamp(when), 1, top
    while low < high:
        middle = (low + high) // 2
        query = select(journal.c.id, journal.c.at).where(journal.c.id >= middle)
        found = connection.execute(query.order_by(journal.c.id).limit(1)).one_or_none()
        if found is None or found.at >= at:
            high = middle
        else:
            low = found.id + 1
    return low


def _line(row: Any) -> Line:
    at = datetime.fromisoformat(row.at)
    return Line(row.id, at, row.who, row.what, Owner(row.about), row.why, row.before, row.after)

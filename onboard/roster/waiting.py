"""How much waits for a person: counted by indexes, so that a glance at a large roster takes no time.

Each function works within the connection that it is given, and only reads.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, case, func, or_, select

from onboard.clean import listed
from onboard.model import Standing, State, Way, What
from onboard.model.outgoing import ASKED
from onboard.roster import tables
from onboard.roster.among import among
from onboard.roster.calls import OPEN
from onboard.roster.forms import FORGOTTEN

# What a closed account has none of: closing makes it void.
WAITS = (State.DUE, State.WAITING, State.WRITTEN)
WENT_WRONG = (State.UNSURE, State.REFUSED, State.RETURNED)


@dataclass(frozen=True, slots=True)
class Heap:
    """How many of a kind wait, and since when the oldest does."""

    count: int
    since: str  # ISO 8601, UTC; "" for none
    newest: str = ""  # the same of the newest


@dataclass(frozen=True, slots=True)
class Messages:
    """Messages that stand alike."""

    what: What
    way: Way
    state: State
    asked: str  # the question that they wait for (`IN_DOUBT`, `NO_ADDRESS`); "" for a check of whoever called
    heap: Heap


def forms_on_hold(connection: Connection) -> Heap:
    """The join forms that wait for an answer."""
    row, batch = tables.row.c, tables.batch
    query = select(func.count(), func.min(row.batch_id), func.max(row.batch_id))
    number, *ends = connection.execute(query.where(row.decision == "hold")).one()
    if not number:
        return Heap(0, "")
    times = select(batch.c.id, batch.c.at).where(batch.c.id.in_(ends))
    at = {one.id: one.at for one in connection.execute(times)}
    return Heap(number, *(at.get(end, "") for end in ends))


def skipped_rows(connection: Connection) -> int:
    """How many of them are no forms, but rows of an old list that was brought in."""
    found, row = tables.finding.c, tables.row.c
    query = select(func.count(found.row_key.distinct())).select_from(
        tables.finding.join(tables.row)
    )
    return connection.execute(
        query.where(found.code == listed.SKIPPED.code, row.decision == "hold")
    ).scalar_one()


def messages(connection: Connection) -> list[Messages]:
    """The messages that have not gone out, and those of open accounts that did not arrive, or may not have."""
    line, member = tables.outgoing.c, tables.member
    asked = case((line.why.in_(ASKED), line.why), else_="")
    query = select(
        line.what, line.way, line.state, asked, func.count(), func.min(line.made), func.max(line.at)
    ).group_by(line.what, line.way, line.state, asked)
    waits = query.where(line.what.in_(list(What)), line.state.in_(WAITS))
    wrong = (
        query.join(member)
        .where(line.what.in_(list(What)), line.state.in_(WENT_WRONG))
        .where(member.c.standing == Standing.OPEN)
        # Of whom email came back somebody calls: see `came_back`.
        .where(or_(line.state == State.UNSURE, member.c.bounced.is_(None)))
    )
    return [
        Messages(What(what), Way(way), State(state), asked_for, Heap(number, since, newest))
        for part in (waits, wrong)
        for what, way, state, asked_for, number, since, newest in connection.execute(part)
    ]


def open_calls(connection: Connection) -> Heap:
    """The calls that somebody has to come back to."""
    call = tables.call.c
    query = select(func.count(), func.min(call.at), func.max(call.at)).where(
        call.ended == OPEN, call.about != FORGOTTEN
    )
    number, since, newest = connection.execute(query).one()
    return Heap(number, since or "", newest or "")


def came_back(
    connection: Connection, soft: Collection[str], enough: int, lately: date
) -> list[tuple[str, str]]:
    """(day, sign-in name) of the members whose email address takes no mail, the longest known first: mail came back
    for good, or it was put off (`soft` actions) `enough` times from the day `lately` on.

    Not of whoever wants no email, or said since that the address is right.
    """
    member, back = tables.member.c, tables.came_back.c
    reached = (member.standing == Standing.OPEN, member.email != "", member.consent.is_not(False))
    hard = select(member.bounced, member.handle).where(
        member.bounced >= "", *reached, or_(member.confirmed.is_(None), member.confirmed < member.bounced)
    )  # fmt: skip
    last = func.max(back.day)
    # Mail that came back is little: from there to the members, and not the other way.
    often = (
        select(back.member_id, last)
        .where(back.action.in_(list(soft)), back.day >= lately.isoformat())
        .group_by(back.member_id)
        .having(func.count() >= enough)
    )
    days = {one[0]: one[1] for one in connection.execute(often)}
    put_off = select(member.id, member.handle, member.confirmed).where(
        *reached, member.bounced.is_(None)
    )
    found = [(day, handle) for day, handle in connection.execute(hard)]
    found += [
        (days[one.id], one.handle)
        for one in among(connection, put_off, member.id, list(days))
        if (one.confirmed or "") < days[one.id]
    ]
    return sorted(found)

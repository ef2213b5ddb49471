"""Who could be reminded of ordering windows, read by the thousand, and the reminders on the list of what goes out.

Each function works within the transaction of the connection that it is given; none commits.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple
from uuid import uuid4

from sqlalchemy import JSON, Connection, Row, Select, bindparam, func, select, text, update

from onboard.model import (
    Event,
    Outgoing,
    ReminderKind,
    Signature,
    Standing,
    State,
    ToldWindow,
    Way,
    What,
)
from onboard.roster import outgoing, tables
from onboard.roster.among import among
from onboard.roster.journal import stamp

PAGE = 5000  # members read at once


class Reader(NamedTuple):
    """What is to be known of a member whose account is open, to remind them. A day that is None is not known."""

    id: int
    handle: str
    name: Mapping[str, str]  # part by part
    email: str
    phone: str  # RFC 3966
    address: Sequence[str]
    site: str
    language: str
    consent: bool | None
    joined: str  # "" if it is not known; ISO 8601, UTC
    password_expires: date | None
    page_seen: date | None
    last_sign_in: date | None
    last_order: date | None
    bounced: bool  # email to the address on file came back, and nobody said since that it is right
    answer: str  # to the co-op's question how to remind them
    packet: State | None  # how their newest packet stands
    why: str  # of its last event


_DAYS = ("password_expires", "page_seen", "last_sign_in", "last_order")
_COLUMNS = ("id", "handle", "name", "email", "phone", "address", "site", "language", "consent", "joined", *_DAYS, "bounced", "confirmed")  # fmt: skip


def readers(
    connection: Connection,
    sites: Collection[str],
    question: str,
    *,
    after: int = 0,
    most: int = PAGE,
) -> list[Reader]:
    """The members of these drop sites whose accounts are open, by number: those above `after`, at most so many.

    `question` is the co-op's own that asks how to remind them, "" if there is none.
    """
    member = tables.member.c
    query = _query(sites, question).where(member.id > after).order_by(member.id).limit(most)
    return _readers(connection, connection.execute(query).all(), question)


def these_readers(
    connection: Connection, sites: Collection[str], question: str, numbers: Collection[int]
) -> dict[int, Reader]:
    """Those of the members of these numbers who are at one of these drop sites, and whose accounts are open."""
    lines = list(among(connection, _query(sites, question), tables.member.c.id, numbers))
    return {one.id: one for one in _readers(connection, lines, question)}


def _query(sites: Collection[str], question: str) -> Select[Any]:
    member = tables.member.c
    columns = [member[name] for name in _COLUMNS] + ([member.extras] if question else [])
    return select(*columns).where(member.standing == Standing.OPEN, member.site.in_(sites))


def _readers(connection: Connection, lines: Sequence[Row[Any]], question: str) -> list[Reader]:
    line = tables.outgoing.c
    packets: dict[int, tuple[State, str]] = {}
    query = select(line.member_id, line.state, line.why).where(
        line.what == What.PACKET, line.state != State.VOID
    )
    for number, state, why in among(
        connection, query.order_by(line.id), line.member_id, [one.id for one in lines]
    ):
        packets[number] = State(state), why  # the newest comes last, and stays
    return [_reader(one, question, *packets.get(one.id, (None, ""))) for one in lines]


def _reader(line: Row[Any], question: str, packet: State | None, why: str) -> Reader:
    days = [_day(getattr(line, name)) for name in _DAYS]
    answer = line.extras.get(question, "") if question else ""
    bounced = bool(line.bounced) and line.bounced > (line.confirmed or "")
    return Reader._make((*line[:10], *days, bounced, answer, packet, why))


def _day(said: str | None) -> date | None:
    return date.fromisoformat(said) if said else None


def has_orders(connection: Connection, sites: Collection[str], opens: date) -> bool:
    """Whether the ordering page's lists say of anybody at these drop sites that they ordered from this day on."""
    member = tables.member.c
    query = select(func.max(member.last_order)).where(member.site.in_(sites))
    return (connection.scalar(query) or "") >= opens.isoformat()


def with_finding(connection: Connection, codes: Collection[str]) -> set[int]:
    """The members of whom a form or list had one of these findings."""
    row, finding = tables.row.c, tables.finding.c
    query = (
        select(row.member_id)
        .join(tables.finding, finding.row_key == row.key)
        .where(finding.code.in_(codes), row.member_id.is_not(None))
    )
    return set(connection.scalars(query))


def without_answer(connection: Connection, codes: Collection[str]) -> set[int]:
    """The members whose forms leave a question open: each form or list of theirs had one of these findings about email,
    and nobody has said yes or no since, by email, by a click or to a coordinator."""
    row, finding, change = tables.row.c, tables.finding.c, tables.applied_change.c
    here = select(finding.id).where(finding.row_key == row.key, finding.code.in_(codes)).exists()
    theirs = row.decision.in_(("enrol", "same", "again")) & row.member_id.is_not(None)
    answered = (
        select(row.member_id).where(theirs, ~here),
        select(tables.came_back.c.member_id).where(tables.came_back.c.action == "stop_mail"),
        select(change.member_id).where(change.field == "consent", change.undone_at.is_(None)),
    )
    found = with_finding(connection, codes)
    return found.difference(*(connection.scalars(query) for query in answered)) if found else found


# ---------------------------------------------------------------- the reminders of the list


@dataclass(frozen=True, slots=True)
class New:
    """A reminder that is to be on the list."""

    member_id: int
    way: Way
    kind: ReminderKind
    told: ToldWindow
    file: str  # in the outbox; "" of what is no email
    message_id: str = ""  # of that email: whoever reads it can say no, however it got to them


def told(
    connection: Connection, windows: Collection[str], first: int, last: int
) -> dict[tuple[int, str, str], dict[Way, State]]:
    """By member (of the numbers from `first` to `last`), UID and kind: the reminders of these windows that are not void."""
    line = tables.outgoing.c
    query = select(line.member_id, line.of_window, line.kind, line.way, line.state).where(
        line.what == What.REMINDER, line.state != State.VOID, line.of_window.in_(windows),
        line.member_id.between(first, last),
    )  # fmt: skip
    found: dict[tuple[int, str, str], dict[Way, State]] = defaultdict(dict)
    for number, uid, kind, way, state in connection.execute(query):
        found[number, uid, kind][Way(way)] = State(state)
    return found


# In words that both engines know. Who comes second with a reminder adds nothing.
_ADD = text(
    "INSERT INTO outgoing (member_id, what, way, state, made, at, file, letter, claim, why, message_id, told, kind, "
    "of_window) VALUES (:member_id, 'reminder', :way, :state, :at, :at, :file, '', :claim, '', :message_id, :told, :kind, "
    ":of_window) ON CONFLICT DO NOTHING"
).bindparams(bindparam("told", type_=JSON()))


def add(
    connection: Connection, new: Sequence[New], signature: Signature
) -> set[tuple[int, str, str]]:
    """Put reminders on the list as written. Back come those that were not there, by member, UID and kind."""
    if not new:
        return set()
    state, _ = outgoing.leads(Event.WRITE)
    token, at = uuid4().hex, stamp(signature.when)
    windows = {one.told: [outgoing.window_as_json(one.told)] for one in new}
    lines = [
        {
            "member_id": one.member_id, "way": one.way, "state": state, "at": at, "file": one.file, "claim": token,
            "told": windows[one.told], "kind": one.kind, "of_window": one.told.uid, "message_id": one.message_id,
        }
        for one in new
    ]  # fmt: skip
    connection.execute(_ADD, lines)
    line = tables.outgoing.c
    numbers = [one.member_id for one in new]
    mine = (
        line.what == What.REMINDER,
        line.member_id.between(min(numbers), max(numbers)),
        line.claim == token,
    )
    query = select(line.member_id, line.of_window, line.kind).where(*mine)
    added = {(number, uid, kind) for number, uid, kind in connection.execute(query)}
    connection.execute(update(tables.outgoing).where(*mine).values(claim=""))
    return added


def written(
    connection: Connection,
    *,
    after: int = 0,
    most: int = 0,
    way: Way | None = None,
    lock: bool = False,
) -> list[Outgoing]:
    """The reminders that wait to go out, in the order of their numbers: those above `after`, at most `most` (0: all).

    With `lock` nobody else may move them before this transaction ends.
    """
    line = tables.outgoing.c
    query = select(tables.outgoing).where(
        line.what == What.REMINDER, line.state == State.WRITTEN, line.id > after
    )
    if way:
        query = query.where(line.way == way)
    if most:
        query = query.limit(most)
    if lock:
        query = query.with_for_update(of=tables.outgoing)
    return [outgoing.of_line(one) for one in connection.execute(query.order_by(line.id))]


def counted(connection: Connection) -> dict[tuple[Way, State], int]:
    """How many reminders stand how, by way; void ones are left out."""
    line = tables.outgoing.c
    query = select(line.way, line.state, func.count()).where(
        line.what == What.REMINDER, line.state != State.VOID
    )
    return {
        (Way(way), State(state)): number
        for way, state, number in connection.execute(query.group_by(line.way, line.state))
    }


def files(connection: Connection) -> set[str]:
    """The emails in the outbox that are reminders and may still be needed."""
    line = tables.outgoing.c
    needed = (State.WRITTEN, State.CLAIMED)
    query = select(line.file).where(
        line.what == What.REMINDER, line.state.in_(needed), line.file != ""
    )
    return set(connection.scalars(query))

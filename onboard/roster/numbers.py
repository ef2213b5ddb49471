"""What the roster knows of how members got on: read for counting, and for nothing else.

Each function works within the connection that it is given, and only reads.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import date, datetime

from sqlalchemy import Connection, select

from onboard.model import Owner, Standing
from onboard.roster import tables
from onboard.roster.among import among
from onboard.roster.journal import stamp

DAYS = ("last_sign_in", "last_order", "page_seen")


@dataclass(slots=True)
class Joined:
    """A member, and the days that the ordering page's lists have told of them so far."""

    id: int
    joined: datetime  # UTC
    site: str
    language: str
    sign_ins: set[date] = field(default_factory=set)
    orders: set[date] = field(default_factory=set)
    lists: set[date] = field(default_factory=set)  # the days of the lists that had them


@dataclass(frozen=True, slots=True)
class Asked:
    """A call of a member, and what it was about."""

    member_id: int
    at: datetime  # UTC
    causes: tuple[str, ...]


def joined(connection: Connection, since: datetime, until: datetime) -> list[Joined]:
    """The members who joined from `since` on and before `until`, by number; not those merged into another."""
    member, part = tables.member.c, tables.applied_change.c
    query = (
        select(member.id, member.joined, member.site, member.language, *(member[d] for d in DAYS))
        .where(member.joined >= stamp(since), member.joined < stamp(until))
        .where(member.standing != Standing.MERGED)
        .order_by(member.id)
    )
    found: dict[int, Joined] = {}
    for line in connection.execute(query):
        one = Joined(line.id, datetime.fromisoformat(line.joined), line.site, line.language)
        found[line.id] = one
        for name in DAYS:
            _add(one, name, getattr(line, name))
    # Each list takes the place of the one before; what that said is in the changes.
    changes = select(part.member_id, part.field, part.before, part.after).where(
        part.field.in_(DAYS), part.undone_at.is_(None)
    )
    for number, name, *said in among(connection, changes, part.member_id, list(found)):
        for day in said:
            _add(found[number], name, day)
    return list(found.values())


def _add(one: Joined, name: str, day: str | None) -> None:
    if day:
        kept = {"last_sign_in": one.sign_ins, "last_order": one.orders, "page_seen": one.lists}
        kept[name].add(date.fromisoformat(day))


def calls(connection: Connection, member_ids: Collection[int]) -> list[Asked]:
    """The calls of these members, also those from when they were a form on hold."""
    call, cause, row = tables.call.c, tables.call_cause.c, tables.row.c
    keys = select(row.key, row.member_id).where(row.member_id.is_not(None))
    owners = {
        Owner.of_row(key): number
        for key, number in among(connection, keys, row.member_id, member_ids)
    }
    owners |= {Owner.of_member(number): number for number in member_ids}
    query = select(call.id, call.about, call.at)
    found = {
        line.id: (owners[line.about], datetime.fromisoformat(line.at))
        for line in among(connection, query, call.about, list(owners))
    }
    causes: dict[int, list[str]] = {}
    codes = select(cause.call_id, cause.cause).order_by(cause.cause)
    for number, code in among(connection, codes, cause.call_id, list(found)):
        causes.setdefault(number, []).append(code)
    return [
        Asked(*found[number], tuple(causes.get(number, ())))
        for number in sorted(found, key=lambda one: (found[one][1], one))
    ]

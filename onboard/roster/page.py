"""What the ordering page was last told of each member, and what it calls them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, delete, func, select, update

from onboard.model import Signature
from onboard.roster import search, tables
from onboard.roster.bulk import insert
from onboard.roster.journal import stamp
from onboard.roster.member_lines import CALL


@dataclass(frozen=True, slots=True)
class Mark:
    """What the page was told of one member."""

    account: Mapping[str, Any]  # path of an attribute to its value
    page_id: str


def marks(connection: Connection, member_ids: Collection[int]) -> dict[int, Mark]:
    """The marks of those of the members that have one, by number."""
    told = tables.exported
    lines = search._among(connection, select(told), told.c.member_id, member_ids)
    return {line.member_id: Mark(line.account, line.page_id or "") for line in lines}


def has_marks(connection: Connection) -> bool:
    """Whether the page was told of anybody so far."""
    return connection.execute(select(tables.exported.c.member_id).limit(1)).first() is not None


def last_told(connection: Connection) -> str | None:
    """When the page was last told of anybody, ISO 8601, UTC; None if never."""
    last: str | None = connection.scalar(select(func.max(tables.exported.c.at)))
    return last


def keep(
    connection: Connection, said: Mapping[int, Mapping[str, Any]], signature: Signature
) -> None:
    """Mark what the page was told, by member number; what it calls them stays."""
    before = marks(connection, said)
    told = tables.exported
    for number in before:
        connection.execute(
            update(told)
            .where(told.c.member_id == number)
            .values(account=said[number], at=stamp(signature.when))
        )
    new = [
        {
            "member_id": number,
            "at": stamp(signature.when),
            "account": dict(account),
            "page_id": None,
        }
        for number, account in said.items()
        if number not in before
    ]
    insert(connection, told, new)


def call(
    connection: Connection, page_ids: Mapping[int, str], account: Mapping[int, Mapping[str, Any]],
    signature: Signature,
) -> None:  # fmt: skip
    """Keep what the page calls members; `account` is what it has of those not marked yet."""
    unmarked = page_ids.keys() - marks(connection, page_ids).keys()
    keep(connection, {number: account.get(number, {}) for number in unmarked}, signature)
    told = tables.exported
    for number, page_id in page_ids.items():
        connection.execute(update(told).where(told.c.member_id == number).values(page_id=page_id))


def drop(connection: Connection, member_ids: Iterable[int]) -> None:
    """Forget the marks: of those whom the page never took, or has deleted."""
    told = tables.exported
    for some in search.parts(member_ids, search.AT_ONCE):
        connection.execute(delete(told).where(told.c.member_id.in_(some)))


def unsure(connection: Connection, member_ids: Iterable[int]) -> None:
    """What the page has of these is not known: they are told in full next time."""
    told = tables.exported
    for some in search.parts(member_ids, search.AT_ONCE):
        connection.execute(update(told).where(told.c.member_id.in_(some)).values(account={}))


def by_page_id(connection: Connection, page_ids: Collection[str]) -> dict[str, int]:
    """Member numbers by what the page calls them."""
    told = tables.exported.c
    query = select(told.page_id, told.member_id)
    return dict(search._among(connection, query, told.page_id, page_ids))


def deleted(connection: Connection) -> list[Row[Any]]:
    """The marks of members who were forgotten, and whom the page still has."""
    told, gone = tables.exported, tables.forgotten.c
    return list(
        connection.execute(
            select(told)
            .where(told.c.member_id.in_(select(gone.member_id)))
            .order_by(told.c.member_id)
        )
    )


def behind(connection: Connection) -> set[int]:
    """The members with changes in force of whom the page was told nothing so far."""
    part, told = tables.applied_change.c, tables.exported.c
    query = select(part.member_id).where(
        part.undone_at.is_(None), part.line > 0, ~part.field.startswith(CALL),
        part.member_id.not_in(select(told.member_id)),
    ).distinct()  # fmt: skip
    return set(connection.scalars(query))


def first_values(connection: Connection, member_ids: Collection[int]) -> dict[int, dict[str, Any]]:
    """By member: the values that changes in force took the place of, as they were at first."""
    part = tables.applied_change.c
    query = select(part.member_id, part.field, part.before).where(
        part.undone_at.is_(None), part.line > 0, ~part.field.startswith(CALL)
    )
    found: dict[int, dict[str, Any]] = {}
    for number, field, before in search._among(
        connection, query.order_by(part.id), part.member_id, member_ids
    ):
        found.setdefault(number, {}).setdefault(field, before)
    return found

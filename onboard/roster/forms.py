"""Join forms as they were written, and those that say of a person what an earlier one said.

Such a one decides nothing. It is whose the first one is, today and after any answer.
Each function works within the transaction of the connection that it is given; none commits.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, select, update

from onboard.clean import statement
from onboard.model import RawRow
from onboard.roster import tables
from onboard.roster.among import AT_ONCE, among, parts
from onboard.roster.bulk import insert, next_number
from onboard.roster.journal import sound

AGAIN = "again"  # decision of a row that came again
FORGOTTEN = "forgotten"  # decision of a row whose cells were removed


class Again(NamedTuple):
    """A row that came again."""

    raw: RawRow
    first: str  # key of the row that came first
    member_id: int | None  # whose that one is, if a member's


def columns(raw: RawRow, position: int, batch_id: int) -> dict[str, Any]:
    """A row as it was written, without what was decided of it."""
    return {
        "key": raw.key,
        "position": position,
        "batch_id": batch_id,
        "file": sound(raw.file),
        "line": raw.line,
        "cells": raw.cells,
        **_said(raw),
        "again_of": None,
    }


def _said(raw: RawRow) -> dict[str, Any]:
    return {
        "fields": dict(raw.fields),
        "repairs": [[f.code, f.field, f.weight, f.said, f.note] for f in raw.findings],
        "statement": statement.of(raw) or None,
    }


def stated(
    connection: Connection, sketches: Collection[str]
) -> Iterator[tuple[str, str, Mapping[str, str]]]:
    """(sketch, key, fields) of every row that could say the same of a person (`statement.sketch`); of
    those that came again only the first."""
    row = tables.row.c
    query = select(row.statement, row.key, row.fields).order_by(row.position)
    yield from among(connection, query, row.statement, sketches)


def of_members(
    connection: Connection, member_ids: Collection[int]
) -> dict[int, list[tuple[str, Mapping[str, str]]]]:
    """(key, fields) of the forms of these members that came when they were members already, by number, in the
    order in which they came."""
    row = tables.row.c
    query = select(row.member_id, row.key, row.fields).order_by(row.position)
    query = query.where(row.decision.in_(("same", AGAIN)))
    found: dict[int, list[tuple[str, Mapping[str, str]]]] = {}
    for number, key, fields in among(connection, query, row.member_id, member_ids):
        found.setdefault(number, []).append((key, fields))
    return found


def say_more(connection: Connection, said: Mapping[str, Mapping[str, str]]) -> None:
    """Keep with rows on hold what later forms of the same person say besides: the fields, by row key.
    The cells stay as they were written."""
    change = update(tables.row).where(tables.row.c.key == bindparam("row_key"))
    lines = [{"row_key": key, "now": dict(fields)} for key, fields in said.items()]
    if lines:
        connection.execute(change.values(fields=bindparam("now")), lines)


def give(connection: Connection, given: Mapping[str, RawRow]) -> None:
    """Make join forms of rows of an old list that are given as such, by row key."""
    row = tables.row
    change = update(row).where(row.c.key == bindparam("row_key"))
    for key, raw in given.items():
        connection.execute(change.values(_said(raw)), {"row_key": key})


def keep(connection: Connection, came: Collection[Again], batch_id: int) -> None:
    """Keep the rows as they were written."""
    position = next_number(connection, tables.row.c.position)
    lines = [
        columns(one.raw, at, batch_id)
        | {
            "decision": AGAIN, "asks_who": False, "member_id": one.member_id,
            "statement": None, "again_of": one.first,
        }
        for at, one in enumerate(came, start=position)
    ]  # fmt: skip
    insert(connection, tables.row, lines)


def follow(connection: Connection, settled: Iterable[Mapping[str, Any]]) -> None:
    """Give the rows that came again to whom the first of them was settled as: `row_key`, `member_id`."""
    row = tables.row
    change = update(row).where(row.c.again_of == bindparam("row_key"))
    lines = [{"row_key": line["row_key"], "to": line["member_id"]} for line in settled]
    if lines:
        connection.execute(change.values(member_id=bindparam("to")), lines)


def fill(connection: Connection) -> None:
    """Give each row of an earlier version the statement by which it is known again."""
    row = tables.row
    query = select(row.c.position, row.c.key, row.c.fields).where(
        row.c.statement.is_(None), row.c.decision != AGAIN
    )
    change = update(row).where(row.c.key == bindparam("row_key"))
    after = -1
    query = query.order_by(row.c.position).limit(10 * AT_ONCE)
    while lines := connection.execute(query.where(row.c.position > after)).all():
        after = lines[-1].position
        said = [{"row_key": line.key, "says": statement.sketch(line.fields)} for line in lines]
        for some in parts((one for one in said if one["says"]), AT_ONCE):
            connection.execute(change.values(statement=bindparam("says")), some)

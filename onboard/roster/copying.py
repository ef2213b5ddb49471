"""A roster copied into another, whatever database either is in; and what a roster holds, as lines."""

from __future__ import annotations

import json
from collections.abc import Iterator
from hashlib import sha256
from typing import Any

from sqlalchemy import JSON, Connection, Select, Table, Text, cast, func, literal, select

from onboard.roster.asking import cursor
from onboard.roster.tables import metadata

AT_ONCE = 5_000


def lines(connection: Connection) -> Iterator[str]:
    """All that the roster holds, a line a row, the same in every database: the table, and the values in the
    order of its columns."""
    for table in metadata.sorted_tables:
        for values in _rows(connection, table):
            yield json.dumps([table.name, *values], ensure_ascii=False)


def digest(connection: Connection) -> tuple[int, str]:
    """How many rows the roster holds, and the SHA-256 of its `lines`."""
    count, found = 0, sha256()
    for line in lines(connection):
        count += 1
        found.update(line.encode("utf-8", "surrogatepass") + b"\n")
    return count, found.hexdigest()


def is_empty(connection: Connection) -> bool:
    """Whether the roster holds nothing at all."""
    return all(
        connection.execute(select(literal(1)).select_from(table).limit(1)).first() is None
        for table in metadata.sorted_tables
    )


def copy(source: Connection, target: Connection) -> None:
    """Put all that the one roster holds into the other, which is empty."""
    for table in metadata.sorted_tables:
        _put(target, table, _rows(source, table))
        if target.dialect.name == "postgresql":
            _go_on_counting(target, table)


def _rows(connection: Connection, table: Table) -> Iterator[tuple[Any, ...]]:
    """The rows of a table by their keys, in the order of bytes; what is JSON as the text that is kept."""
    columns = [cast(c, Text) if isinstance(c.type, JSON) else c for c in table.c]
    plain = connection.dialect.name == "postgresql"
    keys = [c.collate("C") if plain and isinstance(c.type, Text) else c for c in table.primary_key]
    query: Select[Any] = select(*columns).order_by(*keys).execution_options(yield_per=AT_ONCE)
    for row in connection.execute(query):
        yield tuple(row)


def _put(connection: Connection, table: Table, rows: Iterator[tuple[Any, ...]]) -> None:
    quoted = connection.dialect.identifier_preparer
    names = ", ".join(quoted.quote(column.name) for column in table.c)
    into = f"{quoted.format_table(table)} ({names})"
    if connection.dialect.name == "postgresql":
        copying = f"COPY {into} FROM STDIN"
        with cursor(connection, copying) as opened, opened.copy(copying) as stream:
            for row in rows:
                stream.write_row(row)
    else:
        sql = f"INSERT INTO {into} VALUES ({', '.join('?' * len(table.c))})"
        with cursor(connection, sql) as opened:
            opened.executemany(sql, rows)


def _go_on_counting(connection: Connection, table: Table) -> None:
    """The numbers that the server gives out go on behind those that are there."""
    (key, *more) = table.primary_key
    if more or key is not table.autoincrement_column:
        return
    sequence = func.pg_get_serial_sequence(table.name, key.name)
    last = connection.execute(select(func.max(key))).scalar_one()
    if last and connection.execute(select(sequence)).scalar_one():
        connection.execute(select(func.setval(sequence, last)))

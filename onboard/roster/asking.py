"""Questions to the store about many values at once, straight to the driver.

A look-up asks a dozen of them in a few milliseconds, and SQLAlchemy would take ten times the driver's
time for each. What differs between engines is how a list of values becomes a table.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from typing import Any

from sqlalchemy import Connection, Dialect, text
from sqlalchemy.exc import DBAPIError

from onboard.roster.trouble import read_json

_LISTS = {
    "sqlite": ("(SELECT value AS v FROM json_each(:these))",) * 2,
    "postgresql": (
        "(SELECT unnest(CAST(:these AS bigint[])) AS v)",
        "(SELECT unnest(CAST(:these AS text[])) AS v)",
    ),
}


def _as_list(values: list[Any], dialect: Dialect) -> Any:
    """The values as `_LISTS` reads them."""
    if dialect.name == "sqlite":
        return json.dumps(values)
    # Written out here: the driver takes several times as long for a list, and sends small numbers
    # and large ones as lists of different types, which are different questions to the server.
    if isinstance(values[0], str):
        values = ['"' + v.replace("\\", r"\\").replace('"', r"\"") + '"' for v in values]
    return f"{{{','.join(map(str, values))}}}"


def ask(connection: Connection, sql: str, these: Iterable[Any], **more: Any) -> list[Any]:
    """The lines that the question has for a list of values, as tuples.

    `sql` names the list as {numbers} or {texts}, with the column v.
    """
    values = list(these)
    if not values:
        return []
    asked, order = _asked(sql, connection.dialect)
    said = {"these": _as_list(values, connection.dialect), **more}
    with cursor(connection, asked) as open_one:
        open_one.execute(asked, tuple(said[name] for name in order) if order else said)
        return list(open_one.fetchall())


@contextmanager
def cursor(connection: Connection, sql: str) -> Iterator[Any]:
    """The driver's cursor, within the connection's transaction."""
    if not connection.in_transaction():
        connection.begin()  # as every other question to a connection does
    open_one = connection.connection.cursor()
    try:
        yield open_one
    except connection.dialect.loaded_dbapi.Error as error:
        # As SQLAlchemy would say it; the values are nobody's business.
        raise DBAPIError(sql, None, error) from error
    finally:
        open_one.close()


@cache
def _asked(sql: str, dialect: Dialect) -> tuple[str, tuple[str, ...]]:
    """The question as this driver takes it, and the order of what it is given, if it has one."""
    numbers, texts = _LISTS[dialect.name]
    compiled = text(sql.format(numbers=numbers, texts=texts)).compile(dialect=dialect)
    return str(compiled), tuple(compiled.positiontup or ())


def loaded(value: Any) -> Any:
    """A JSON column as plain SQL gives it: text from SQLite, a value from PostgreSQL."""
    return read_json(value) if isinstance(value, str) else value

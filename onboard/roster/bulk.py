"""Many lines at once into one table, the quick way."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Dialect, Table, func, select


def insert(connection: Connection, table: Table, lines: Sequence[Mapping[str, Any]]) -> None:
    """Insert the lines, if there are any; all have the columns of the first.

    Handed to the driver column by column: line by line takes SQLAlchemy twice the time, which is
    a good part of a batch's.
    """
    if not lines:
        return
    names = tuple(column.name for column in table.c if column.name in lines[0])
    statement, ready = _insertion(table, names, connection.dialect)
    columns = [
        [make(line[name]) for line in lines] if make else [line[name] for line in lines]
        for name, make in zip(names, ready, strict=True)
    ]
    values = zip(*columns, strict=True)
    if connection.dialect.positional:
        connection.exec_driver_sql(statement, list(values))
    else:
        connection.exec_driver_sql(
            statement, [dict(zip(names, line, strict=True)) for line in values]
        )


@lru_cache
def _insertion(
    table: Table, names: tuple[str, ...], dialect: Dialect
) -> tuple[str, tuple[Callable[[Any], Any] | None, ...]]:
    """The statement that inserts into these columns, and what makes each one's values ready."""
    statement = str(table.insert().compile(dialect=dialect, column_keys=names))
    ready = (table.c[name].type.dialect_impl(dialect).bind_processor(dialect) for name in names)
    return statement, tuple(make and _nothing_once(make) for make in ready)


def _nothing_once(make: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """The same, with what it makes of nothing kept: half of all lists are empty."""
    nothing: dict[Any, Any] = {}

    def ready(value: Any) -> Any:
        if value:
            return make(value)
        kind = type(value)
        if kind not in nothing:
            nothing[kind] = make(value)
        return nothing[kind]

    return ready


def next_number(connection: Connection, column: Any) -> int:
    """One more than the highest number in the column."""
    return int(connection.execute(select(func.coalesce(func.max(column), 0))).scalar_one()) + 1

"""Questions about many values at once."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Iterator
from itertools import islice
from typing import Any, TypeVar

from sqlalchemy import Connection, Select, bindparam, func, select

AT_ONCE = 900  # values in one IN (…): under the least that any engine takes

T = TypeVar("T")


def parts(items: Iterable[T], size: int) -> Iterator[list[T]]:
    """The items in lists of `size`, the last one shorter.

    >>> list(parts("abc", 2))
    [['a', 'b'], ['c']]
    """
    rest = iter(items)
    while part := list(islice(rest, size)):
        yield part


# Many values in one, which SQLite reads as a table: thousands cost as one. Statements are made
# once, as making one takes longer than a small answer.
ALL = func.json_each(bindparam("all")).table_valued("value").c.value
_EACH = select(ALL)


def among(
    connection: Connection, query: Select[Any], column: Any, values: Collection[Any]
) -> Iterator[Any]:
    """The query's lines where the column is one of the values, however many those are; of none, nobody is asked."""
    if not values:
        return
    if connection.dialect.name == "sqlite":
        said = {"all": json.dumps(list(values))}
        yield from connection.execute(query.where(column.in_(_EACH)), said)
        return
    for some in parts(values, AT_ONCE):
        yield from connection.execute(query.where(column.in_(some)))

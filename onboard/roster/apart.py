"""What is tried on a server, on tables of its own: it waits for nobody who writes, and nobody waits for it.

A temporary table hides the one that has its name, and only from the connection that made it (PostgreSQL, "CREATE TABLE",
TEMPORARY). So each table is copied into one just before it is first written to, or lines of it are held. The copies are
gone when the transaction is taken back.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, event

from onboard.roster.tables import metadata

APART = "onboard_apart"  # the execution option of who only tries
_WRITES = re.compile(r"\s*(?:INSERT INTO|UPDATE|DELETE FROM|COPY) \"?(\w+)", re.IGNORECASE)
_WORDS = re.compile(r"\w+")
_HOLDS = "FOR UPDATE"


def is_apart(connection: Connection) -> bool:
    """Whether what is written in it is written to copies."""
    return bool(connection.get_execution_options().get(APART))


@contextmanager
def kept_apart(connection: Connection) -> Iterator[None]:
    """All that the block writes goes to copies. The connection is in a transaction, which is to be taken back."""
    made: set[str] = set()

    def copy_what_is_written(_: object, __: object, statement: str, *___: object) -> None:
        for name in _touched(statement) - made:
            made.add(name)
            _copy(connection, name)

    event.listen(connection, "before_cursor_execute", copy_what_is_written)
    with _asked_anew(connection.connection.driver_connection):
        yield


def _touched(statement: str) -> set[str]:
    """The tables of ours that the statement writes to, or whose lines it holds."""
    found = _WRITES.match(statement)
    if found:
        words = {found[1]}
    elif _HOLDS in statement:
        words = set(_WORDS.findall(statement))
    else:
        return set()
    return words & metadata.tables.keys()


# The indexes of a table, the primary key among them, as statements that make them.
_INDEXES = """
    SELECT i.indisprimary, quote_ident(c.relname), pg_get_indexdef(i.indexrelid)
    FROM pg_index i JOIN pg_class c ON c.oid = i.indexrelid
    WHERE i.indrelid = to_regclass('{of}') ORDER BY i.indisprimary DESC, c.relname
"""


def _copy(connection: Connection, name: str) -> None:
    ask = connection.exec_driver_sql
    schema = ask(
        "SELECT quote_ident(s.nspname) FROM pg_class t JOIN pg_namespace s ON s.oid = t.relnamespace "
        f"WHERE t.oid = to_regclass('\"{name}\"')"
    ).scalar_one()
    there, here = f'{schema}."{name}"', f'pg_temp."{name}"'
    indexes = ask(_INDEXES.format(of=there)).all()
    ask(
        f'CREATE TEMPORARY TABLE "{name}" (LIKE {there} INCLUDING ALL EXCLUDING INDEXES) ON COMMIT DROP'
    )
    ask(f"INSERT INTO {here} SELECT * FROM {there}")
    # The indexes are made when all is there: that takes a fifth of the time.
    for is_primary, index, statement in indexes:
        ask(re.sub(r" ON (?:ONLY )?\S+ USING ", f" ON {here} USING ", statement, count=1))
        if is_primary:
            ask(f"ALTER TABLE {here} ADD PRIMARY KEY USING INDEX {index}")
    # So that it goes by them at once: until it has counted, it reads whole tables.
    ask(f"ANALYZE {here}")


@contextmanager
def _asked_anew(driver: Any) -> Iterator[None]:
    """No statement that the server has planned before is used: it would go to the table itself."""
    if not hasattr(driver, "prepare_threshold"):
        yield
        return
    before, driver.prepare_threshold = driver.prepare_threshold, None
    try:
        yield
    finally:
        driver.prepare_threshold = before

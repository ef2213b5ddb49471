"""What is tried on a server, on tables of its own: it waits for nobody who writes, and nobody waits for it.

A temporary table or view hides the table that has its name, and only from the connection that made it (PostgreSQL,
"CREATE TABLE", TEMPORARY). As long as lines are only added to a table, it is a view of the table itself and of a small one
that takes the new lines. Just before a line is first changed, deleted or held, the whole is copied into one. All are gone when
the transaction is taken back.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, event

from onboard.roster.tables import metadata

APART = "onboard_apart"  # the execution option of who only tries
_ADDS = re.compile(r"\s*(?:INSERT INTO|COPY) \"?(\w+)", re.IGNORECASE)
_CHANGES = re.compile(r"\s*(?:UPDATE|DELETE FROM) \"?(\w+)", re.IGNORECASE)
_ON_CONFLICT = "ON CONFLICT"  # asks for the table's own keys
_WORDS = re.compile(r"\w+")
_HOLDS = "FOR UPDATE"


def is_apart(connection: Connection) -> bool:
    """Whether what is written in it is written to copies."""
    return bool(connection.get_execution_options().get(APART))


@contextmanager
def kept_apart(connection: Connection) -> Iterator[None]:
    """All that the block writes goes to copies. The connection is in a transaction, which is to be taken back."""
    added: set[str] = set()
    copied: set[str] = set()

    def see_to_what_is_written(_: object, __: object, statement: str, *___: object) -> None:
        if name := _added_to(statement):
            if name not in added | copied:
                added.add(name)
                _put_beside(connection, name)
            return
        for name in _changed(statement) - copied:
            copied.add(name)
            _copy(connection, name, is_added_to=name in added)

    event.listen(connection, "before_cursor_execute", see_to_what_is_written)
    with _asked_anew(connection.connection.driver_connection):
        yield


def _added_to(statement: str) -> str:
    """The table of ours to which the statement adds lines, and does nothing else; "" if it is no such statement."""
    found = _ADDS.match(statement)
    is_ours = found and found[1] in metadata.tables and _ON_CONFLICT not in statement
    return found[1] if found and is_ours else ""


def _changed(statement: str) -> set[str]:
    """The tables of ours whose lines the statement changes, deletes or holds."""
    found = _CHANGES.match(statement) or _ADDS.match(statement)
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


# Columns that have a default: a view has none of its own.
_DEFAULTS = """
    SELECT quote_ident(a.attname), pg_get_expr(d.adbin, d.adrelid)
    FROM pg_attrdef d JOIN pg_attribute a ON a.attrelid = d.adrelid AND a.attnum = d.adnum
    WHERE d.adrelid = to_regclass('{of}')
"""


def _place(connection: Connection, name: str) -> str:
    """The schema that the table itself is in, which may be hidden by now."""
    found = connection.exec_driver_sql(
        "SELECT quote_ident(s.nspname) FROM unnest(current_schemas(false)) WITH ORDINALITY AS way(name, at) "
        "JOIN pg_namespace s ON s.nspname = way.name JOIN pg_class t ON t.relnamespace = s.oid "
        f"WHERE t.relname = '{name}' ORDER BY way.at LIMIT 1"
    )
    return str(found.scalar_one())


def _put_beside(connection: Connection, name: str) -> None:
    """New lines of the table go to a small one, and a view has them all."""
    ask = connection.exec_driver_sql
    there, new = f'{_place(connection, name)}."{name}"', f'pg_temp."{name}_new"'
    ask(f'CREATE TEMPORARY TABLE "{name}_new" (LIKE {there} INCLUDING ALL) ON COMMIT DROP')
    ask(f'CREATE TEMPORARY VIEW "{name}" AS SELECT * FROM {there} UNION ALL SELECT * FROM {new}')
    for column, default in ask(_DEFAULTS.format(of=there)).all():
        ask(f'ALTER VIEW pg_temp."{name}" ALTER COLUMN {column} SET DEFAULT {default}')
    ask(
        f"CREATE FUNCTION pg_temp.add_to_{name}() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN INSERT INTO {new} VALUES (NEW.*); RETURN NEW; END $$"
    )
    ask(
        f'CREATE TRIGGER add INSTEAD OF INSERT ON pg_temp."{name}" FOR EACH ROW EXECUTE FUNCTION pg_temp.add_to_{name}()'
    )


def _copy(connection: Connection, name: str, *, is_added_to: bool) -> None:
    """All lines of the table go to one of its name, with those that were added."""
    ask = connection.exec_driver_sql
    there, here = f'{_place(connection, name)}."{name}"', f'pg_temp."{name}"'
    indexes = ask(_INDEXES.format(of=there)).all()
    if is_added_to:
        ask(f"DROP VIEW {here}")
    ask(
        f'CREATE TEMPORARY TABLE "{name}" (LIKE {there} INCLUDING ALL EXCLUDING INDEXES) ON COMMIT DROP'
    )
    ask(f"INSERT INTO {here} SELECT * FROM {there}")
    if is_added_to:
        ask(f'INSERT INTO {here} SELECT * FROM pg_temp."{name}_new"')
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

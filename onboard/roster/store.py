"""The roster's engine and its transactions: opened here, and nowhere else.

SQLite is the embedded default: write-ahead log, foreign keys, a file only its owner can read.
A look changes nothing, makes nothing, and waits for nobody who writes.
"""

from __future__ import annotations

import logging
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event

from onboard.errors import StoreTrouble
from onboard.roster import apart, sqlite_file, upgrade
from onboard.roster.address import POSTGRESQL, file_of, name_of, parsed
from onboard.roster.tables import VERSION
from onboard.roster.trouble import placed, told
from onboard.roster.upgrade import Tables

__all__ = [
    "VERSION",
    "file_of",
    "is_reading",
    "name_of",
    "open_store",
    "reading",
    "snapshot_of",
    "traces",
    "transaction",
    "write_anew",
]

log = logging.getLogger(__name__)

# Seconds to wait for another program that is writing; and how much longer a batch does.
TURN, A_BATCH = 10.0, 3600.0


def open_store(url: str, *, to_write: bool = True, wait: float = TURN) -> Engine:
    """An engine on the roster at a SQLAlchemy URL.

    To write, the roster is made where there is none, and one that an earlier onboard made is brought
    up to date; of a file, a copy is kept. To look, nothing is made or changed: where there is no
    roster it is an empty one in memory, for one of an earlier onboard a copy in memory.

    `wait` is how many seconds to wait for another program that is writing. "sqlite://" is an
    empty roster that is gone when it is closed; what memory need not hold of it is in a file
    without a name. Raises `StoreTrouble` when the roster cannot be opened.
    """
    address = parsed(url)
    file = file_of(address)
    with told(address):
        if address.get_backend_name() != "sqlite":
            return _on_server(address, to_write)
        if file is None:
            return _empty()
        return _in_file(file, to_write, wait)


@contextmanager
def transaction(
    engine: Engine, *, keep: bool = True, wait: float | None = 0.0
) -> Iterator[Connection]:
    """A connection within one transaction: kept when the block ends well, or taken back.

    One at a time: on a server, too, everybody else who writes waits, so that all is as if it were done one
    after the other. `wait` is how many seconds longer than `TURN` to wait for one's turn there; None takes no
    turn, for what touches no member.

    With `keep=False` nothing changes: that is how looking shows what recording would do. It is tried on a
    copy, so that no look waits for somebody who writes, nor they for it: of a roster in a file, on one of the
    file; on a server, in tables of its own beside those that are written to (`apart`), in a transaction that is taken back. What can be
    known by reading alone takes `reading`. Database errors come out as `StoreTrouble`, and then nothing has changed.
    """
    with told(engine.url):
        if not keep and file_of(engine.url):
            private = sqlite_file.copy_of(engine)
            try:
                with transaction(private) as connection:
                    yield connection
            finally:
                private.dispose()
            return
        if not keep and engine.dialect.name == "postgresql":
            with _tried_on_copies(engine) as connection:
                yield connection
            return
        with engine.connect() as plain:
            connection = plain.execution_options(**{sqlite_file.READING: False})
            with connection.begin() as change:
                if wait is not None and engine.dialect.name == "postgresql":
                    _take_turn(connection, TURN + wait)
                with placed(connection):
                    yield connection
                if not keep:
                    change.rollback()
                elif engine.dialect.name == "sqlite":
                    sqlite_file.count_if_grown(connection)


@contextmanager
def _tried_on_copies(engine: Engine) -> Iterator[Connection]:
    """A connection to a server that sees the roster as it is now, and writes to tables of its own."""
    options: dict[str, Any] = {apart.APART: True, "isolation_level": "REPEATABLE READ"}
    with engine.connect() as plain:
        connection = plain.execution_options(**options)
        with connection.begin() as change:
            with apart.kept_apart(connection), placed(connection):
                yield connection
            change.rollback()


def _take_turn(connection: Connection, wait: float) -> None:
    """Wait until nobody else writes; until the transaction ends, nobody else does.

    A file does so by itself. Numbers of members, of rows and of words are one more than the highest that is
    there, so two who write at once would give the same one out.
    """
    if not upgrade.nobody_else(connection):
        if wait > TURN:
            log.warning(
                f"Another program is saving to the roster {name_of(connection.engine.url)}: waiting for it."
            )
        upgrade.only_one(connection, wait)
    if upgrade.standing(connection) is not Tables.OURS:
        raise StoreTrouble(
            f"The tables of the roster {name_of(connection.engine.url)} were changed meanwhile. End this "
            "program and start it again. Nothing was changed."
        )


@contextmanager
def reading(engine: Engine, snapshot: str = "") -> Iterator[Connection]:
    """A connection that sees the roster as it is now, however long it reads; others may write. Or as
    another connection sees it, whose `snapshot` this is, and which still reads.

    Nothing can be written in it. Raises `StoreTrouble`, also out of its block.
    """
    options: dict[str, Any] = {sqlite_file.READING: True}
    if engine.dialect.name == "postgresql":
        options |= {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
    with told(engine.url), engine.connect() as plain:
        connection = plain.execution_options(**options)
        with connection.begin() as change:
            if snapshot:
                # Said with a name and not a value, which this statement does not take.
                if not set(snapshot) <= set("0123456789ABCDEF-"):
                    raise StoreTrouble("There is no such snapshot of the roster.")
                connection.exec_driver_sql(f"SET TRANSACTION SNAPSHOT '{snapshot}'")
            with placed(connection):
                yield connection
            change.rollback()


def is_reading(connection: Connection) -> bool:
    """Whether nothing can be written in it: it is one of `reading`."""
    return bool(connection.get_execution_options().get(sqlite_file.READING))


def snapshot_of(connection: Connection) -> str:
    """A name by which others can read just what this connection reads, as long as it does; "" where there is
    no such thing, as in a file."""
    if connection.dialect.name != "postgresql":
        return ""
    return str(connection.exec_driver_sql("SELECT pg_export_snapshot()").scalar_one())


def write_anew(engine: Engine) -> None:
    """Write the roster's file anew, so that nothing of what was deleted is left in it.

    Other engines than SQLite have ways of their own. Raises `StoreTrouble`.
    """
    if engine.dialect.name == "sqlite":
        sqlite_file.write_anew(engine)


def traces(engine: Engine, texts: Collection[str]) -> list[Path]:
    """The files of the roster in which one of the texts still is, capitals set aside; of a roster on a
    server none: nothing can be said of its files."""
    file = file_of(engine.url)
    if file is None or not texts:
        return []
    return sqlite_file.holding(file, {text.casefold().encode("utf-8") for text in texts})


# ---------------------------------------------------------------- opened


def _empty() -> Engine:
    engine = sqlite_file.in_memory()
    with engine.connect() as connection, connection.begin():
        upgrade.make_tables(connection)
    return engine


def _in_file(file: Path, to_write: bool, wait: float) -> Engine:
    if not file.exists():
        if not to_write:
            return _empty()
        sqlite_file.make(file, _fill)
    sqlite_file.see_that_it_may_be_used(file, writing=to_write)
    look = sqlite_file.to_look(file, wait)
    try:  # before anything may be written: it may be another program's
        with look.connect() as connection:
            marked = sqlite_file.see_that_it_is_ours(connection, file)
            tables = upgrade.standing(connection)
    except BaseException:
        look.dispose()
        raise
    if to_write:
        look.dispose()
        engine = sqlite_file.to_write(file, wait)
        if not marked or tables is not Tables.OURS:
            try:
                _bring_file_up_to_date(engine, file)
            except BaseException:
                engine.dispose()
                raise
        return engine
    if tables is Tables.OURS:
        return look
    _tell_of_copy(file)
    private = sqlite_file.copy_of(look)
    look.dispose()
    with private.connect() as connection, connection.begin():
        upgrade.bring_up_to_date(connection)
    return private


@cache
def _tell_of_copy(file: Path) -> None:  # once: a command may look several times
    log.warning(
        f"The roster {file} was made by an earlier onboard: this is a look at a copy of it, brought up to "
        "date. The next command that saves something brings the roster itself up to date."
    )


def _fill(engine: Engine) -> None:
    with engine.connect() as connection, connection.begin():
        upgrade.make_tables(connection)
        sqlite_file.mark_as_ours(connection)


def _bring_file_up_to_date(engine: Engine, file: Path) -> None:
    copy = None
    try:
        with engine.connect() as connection, connection.begin():
            sqlite_file.mark_as_ours(connection)
            # Asked again, now that nobody else writes: another program may have done it meanwhile.
            if upgrade.standing(connection) is Tables.EARLIER:
                copy = sqlite_file.keep_copy(engine, file, VERSION)
                upgrade.bring_up_to_date(connection)
    except BaseException:
        if copy:
            sqlite_file.drop_copy(copy)
        raise
    if copy:
        log.warning(
            f"The roster {file} was made by an earlier onboard, and is now brought up to date. As it was "
            f"before, it is kept in {copy}. That holds members' data too: delete it when all is well."
        )
        # The index written anew stands in the log, as large again as the index: whoever reads from
        # there is slower.
        sqlite_file.take_in_log(engine)


def _on_server(address: URL, to_write: bool) -> Engine:
    try:
        # A connection that was lost meanwhile, as when the server restarts, is made again.
        engine = create_engine(address, hide_parameters=True, pool_pre_ping=True)
    except ImportError as error:
        raise StoreTrouble(
            f"For a roster at {address.drivername}:// the Python package {error.name} is needed: install it"
            + (
                ", as with: pip install 'onboard[postgresql]'."
                if address.drivername == POSTGRESQL
                else "."
            )
        ) from error
    if address.get_backend_name() == "postgresql":
        _speak_postgresql(engine)
    with engine.connect() as connection:
        tables = upgrade.standing(connection)
    if tables is Tables.OURS:
        return engine
    where = name_of(address)
    if to_write:
        _bring_server_up_to_date(engine, where)
        return engine
    engine.dispose()
    if tables is Tables.NONE:
        return _empty()
    raise StoreTrouble(
        f"The roster {where} was made by an earlier onboard, and must be brought up to date before anybody "
        "can look at it. See that you have a copy of the database. Then run a command that saves, as: "
        "onboard packets --write"
    )


def _bring_server_up_to_date(engine: Engine, where: str) -> None:
    with engine.connect() as connection, connection.begin():
        upgrade.only_one(connection)
        tables = upgrade.standing(connection)
        if tables is Tables.NONE:
            upgrade.make_tables(connection)
        elif tables is Tables.EARLIER:
            upgrade.bring_up_to_date(connection)
    if tables is Tables.EARLIER:
        log.warning(
            f"The roster {where} was made by an earlier onboard, and is now brought up to date. No copy of it "
            "as it was is kept on a server: see that you make copies of the database yourself."
        )


def _speak_postgresql(engine: Engine) -> None:
    @event.listens_for(engine, "connect")
    def _connected(raw: Any, _: Any) -> None:
        # A question is planned once, without its values: they say how long a list is, and with a
        # short one the server would rather read a whole table than go by its key.
        with raw.cursor() as cursor:
            cursor.execute("SET plan_cache_mode = force_generic_plan")
        raw.commit()

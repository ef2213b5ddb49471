"""The tables of a roster: of which version they are, made, and brought up to date.

All of it in one transaction, so that a roster is of the one version or of the other.
"""

from __future__ import annotations

from contextlib import closing
from enum import Enum, auto
from threading import Lock

from sqlalchemy import Connection

from onboard.errors import StoreTrouble
from onboard.roster.address import name_of
from onboard.roster.tables import VERSION, metadata

ONE_AT_A_TIME = 0x6F6E6264  # the lock, on a server, of whoever writes, or makes the tables
_alembic = Lock()  # it speaks of the one migration that is under way, whatever thread asks


class Tables(Enum):
    """How the tables of a database stand."""

    NONE = auto()  # none of ours
    EARLIER = auto()
    OURS = auto()  # just as this program knows them


def standing(connection: Connection) -> Tables:
    """How the tables stand; `StoreTrouble` for a version that this program does not know."""
    # Straight to the driver: whoever looks a member up waits for this.
    with closing(connection.connection.cursor()) as cursor:
        if connection.dialect.name == "postgresql":
            cursor.execute("SELECT to_regclass('alembic_version')")
        else:
            cursor.execute("SELECT name FROM sqlite_master WHERE name = 'alembic_version'")
        if not (cursor.fetchone() or (None,))[0]:
            return Tables.NONE
        cursor.execute("SELECT version_num FROM alembic_version")
        versions = [str(said) for (said,) in cursor.fetchall()]
    if versions == [VERSION]:
        return Tables.OURS
    where = name_of(connection.engine.url)
    said = " and ".join(versions)
    if len(versions) == 1 and len(said) == len(VERSION) and said.isascii() and said.isdecimal():
        if said > VERSION:
            raise StoreTrouble(
                f"The roster {where} was made by a newer onboard (its tables are of version {said}, this "
                f"program knows {VERSION}): install the newer program. Nothing was changed."
            )
        if int(said):
            return Tables.EARLIER
    raise StoreTrouble(
        f"The roster {where} does not say which onboard made it: the version of its tables should be "
        f"one number such as {VERSION}, and is {f'“{said[:60]}”' if said else 'not there'}. Another program "
        "may have changed it: put back your last copy of it. Nothing was changed."
    )


def only_one(connection: Connection, wait: float | None = None) -> None:
    """Until the transaction ends nobody else writes, nor makes or changes the tables: whoever wants to waits,
    for so many seconds."""
    if connection.dialect.name == "postgresql":  # SQLite lets one write at a time anyway
        if wait is not None:
            connection.exec_driver_sql(f"SET LOCAL lock_timeout = {round(1000 * wait)}")
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({ONE_AT_A_TIME})")
        if wait is not None:
            connection.exec_driver_sql("SET LOCAL lock_timeout = DEFAULT")


def nobody_else(connection: Connection) -> bool:
    """Whether nobody else was writing on the server, and now has to wait until the transaction ends."""
    asked = connection.exec_driver_sql(f"SELECT pg_try_advisory_xact_lock({ONE_AT_A_TIME})")
    return bool(asked.scalar_one())


def make_tables(connection: Connection) -> None:
    """Make the tables, where there are none: a test holds them to what the migrations make."""
    metadata.create_all(connection)
    connection.exec_driver_sql(
        "CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL, "
        "CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num))"
    )
    connection.exec_driver_sql(f"INSERT INTO alembic_version VALUES ('{VERSION}')")


def bring_up_to_date(connection: Connection) -> None:
    """Make the tables of an earlier version those of today, and what is made of them anew."""
    # Only now: seldom, and it takes a while to load.
    from alembic import command
    from alembic.config import Config

    from onboard.roster import forms, index, match_keys

    config = Config()
    config.set_main_option("script_location", "onboard.roster:migrations")
    config.attributes["connection"] = connection
    with _alembic:
        command.upgrade(config, "head")
    forms.fill(connection)
    match_keys.rebuild(connection)  # what they are made of, or how, may have changed
    index.rebuild(connection)

"""A roster as an earlier version of the program made it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, create_engine, event


def upgrade(connection: Connection, version: str) -> None:
    """Make the tables of this version."""
    config = Config()
    config.set_main_option("script_location", "onboard.roster:migrations")
    config.attributes["connection"] = connection
    command.upgrade(config, version)


def roster(
    file: Path, version: str, fill: Callable[[Connection], None] = lambda connection: None
) -> None:
    """A roster file of this version, with whatever `fill` puts in."""
    engine = create_engine(f"sqlite:///{file}")
    event.listen(engine, "connect", lambda raw, _: raw.execute("PRAGMA foreign_keys=ON"))
    with engine.connect() as connection, connection.begin():
        upgrade(connection, version)
        fill(connection)
    engine.dispose()

"""The roster's file: private, sound, up to date; and clear words when it is not."""

from __future__ import annotations

import os
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import earlier
import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import insert, select, text

from onboard.errors import StoreTrouble
from onboard.roster import store, tables

BATCH = {"file": "f.csv", "at": "2026-11-25T12:00:00Z", "who": "Robin"}


@pytest.fixture
def url(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'roster.db'}"


def test_the_file_and_its_logs_are_readable_to_their_owner_only(url: str, tmp_path: Path) -> None:
    old = os.umask(0)
    try:
        engine = store.open_store(url)
        with store.transaction(engine) as connection:
            connection.execute(insert(tables.batch), BATCH)
            modes = {f.name: stat.S_IMODE(f.stat().st_mode) for f in tmp_path.glob("roster.db*")}
    finally:
        os.umask(old)
    assert modes.keys() >= {"roster.db", "roster.db-wal"}
    assert set(modes.values()) == {0o600}


def test_the_write_ahead_log_and_foreign_keys_are_on(url: str) -> None:
    with store.transaction(store.open_store(url)) as connection:
        assert connection.execute(text("PRAGMA journal_mode")).scalar() == "wal"
        assert connection.execute(text("PRAGMA foreign_keys")).scalar() == 1
        assert connection.execute(text("PRAGMA synchronous")).scalar() == 2  # FULL


def test_migrations_build_just_the_tables_that_the_program_speaks_of(url: str) -> None:
    # They have a condition, and are in words of their own.
    ours = {
        "ix_outgoing_packet_not_out": tables.ONE_PACKET,
        "ix_outgoing_reminder": tables.ONE_REMINDER,
    }
    with store.open_store(url).connect() as connection:
        about = {"include_name": lambda found, kind, _: kind != "index" or found not in ours}
        context = MigrationContext.configure(connection, opts=about)
        assert compare_metadata(context, tables.metadata) == []
        asked = text("SELECT sql FROM sqlite_master WHERE name = :name")
        for name, words in ours.items():
            assert connection.execute(asked, {"name": name}).scalar() == words


def test_the_version_is_the_newest_migration() -> None:
    folder = Path(store.__file__).parent / "migrations"
    assert ScriptDirectory(str(folder)).get_current_head() == store.VERSION


def test_a_roster_of_an_older_program_leaves_no_log_behind_once_it_is_brought_up_to_date(
    url: str, tmp_path: Path
) -> None:
    file, log = tmp_path / "roster.db", tmp_path / "roster.db-wal"

    def of_an_older_program() -> sqlite3.Connection:
        for old in tmp_path.iterdir():
            old.unlink()
        earlier.roster(file, "0006")
        older = sqlite3.connect(file)
        older.execute("PRAGMA journal_mode = WAL")
        older.execute("UPDATE alembic_version SET version_num = version_num")
        older.commit()
        assert log.stat().st_size > 0
        return older

    with closing(of_an_older_program()):
        store.open_store(url).dispose()
        assert log.stat().st_size == 0
    with closing(of_an_older_program()) as desk:
        desk.execute("BEGIN")  # the help desk reads meanwhile
        desk.execute("SELECT * FROM batch").fetchall()
        store.open_store(url, wait=0.1)
        assert log.stat().st_size > 0


def test_a_block_that_fails_changes_nothing(url: str) -> None:
    engine = store.open_store(url)
    with pytest.raises(ZeroDivisionError), store.transaction(engine) as connection:
        connection.execute(insert(tables.batch), BATCH)
        _ = 1 / 0
    with store.transaction(engine) as connection:
        assert connection.execute(select(tables.batch)).all() == []


def test_looking_takes_everything_back(url: str) -> None:
    engine = store.open_store(url)
    with store.transaction(engine, keep=False) as connection:
        connection.execute(insert(tables.batch), BATCH)
        assert len(connection.execute(select(tables.batch)).all()) == 1
    with store.transaction(engine) as connection:
        assert connection.execute(select(tables.batch)).all() == []


def test_a_locked_roster_says_so(url: str, tmp_path: Path) -> None:
    engine = store.open_store(url, wait=0.1)
    other = sqlite3.connect(tmp_path / "roster.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreTrouble) as caught, store.transaction(engine) as connection:
        connection.execute(insert(tables.batch), BATCH)
    assert str(caught.value) == (
        f"Another program is writing to the roster {tmp_path / 'roster.db'}: wait until it is done, then "
        "run this again. Nothing was changed."
    )
    other.close()


def test_a_full_disk_says_so_and_changes_nothing(url: str) -> None:
    engine = store.open_store(url)
    with pytest.raises(StoreTrouble, match=r"is full: make room.*Nothing was changed\.$"):
        with store.transaction(engine) as connection:
            # SQLite answers as it does on a full disk (SQLITE_FULL) once this many pages are used.
            connection.exec_driver_sql("PRAGMA max_page_count = 80")
            for _ in range(1000):
                connection.execute(insert(tables.batch), BATCH | {"file": "x" * 10_000})
    with store.transaction(store.open_store(url)) as connection:
        assert connection.execute(select(tables.batch)).all() == []


def test_a_file_that_is_no_roster_says_so(tmp_path: Path) -> None:
    (tmp_path / "roster.db").write_bytes(b"Dear diary, " * 500)
    with pytest.raises(StoreTrouble, match="is not a sound roster file"):
        store.open_store(f"sqlite:///{tmp_path / 'roster.db'}")


def test_a_roster_of_a_newer_program_says_so(url: str) -> None:
    with store.transaction(store.open_store(url)) as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreTrouble, match="made by a newer onboard"):
        store.open_store(url)


def test_a_missing_folder_says_so(tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble, match="does not exist: make it first"):
        store.open_store(f"sqlite:///{tmp_path / 'nowhere' / 'roster.db'}")

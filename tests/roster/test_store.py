"""The roster's file: private, sound, up to date; and clear words when it is not."""

from __future__ import annotations

import os
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import earlier
import pytest
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, create_engine, insert, select, text

from onboard.errors import StoreTrouble
from onboard.roster import store, tables, upgrade

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


def facts(connection: Connection) -> set[tuple[object, ...]]:
    """All that a database says of its tables but the order of their columns."""
    if connection.dialect.name == "postgresql":
        asked = (
            "SELECT table_name, column_name, data_type, is_nullable, column_default, collation_name "
            "FROM information_schema.columns WHERE table_schema = current_schema()",
            "SELECT tablename, indexname, replace(indexdef, schemaname, '') FROM pg_indexes "
            "WHERE schemaname = current_schema()",
            "SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid) FROM pg_constraint "
            "WHERE connamespace = current_schema()::regnamespace",
        )
    else:
        asked = (
            'SELECT t.name, c.name, c.type, c."notnull", c.dflt_value, c.pk '
            "FROM sqlite_master t, pragma_table_info(t.name) c WHERE t.type = 'table'",
            'SELECT t.name, f."from", f."table", f."to", f.on_update, f.on_delete FROM sqlite_master t, pragma_foreign_key_list(t.name) f',
            'SELECT t.name, i.name, i."unique", i.partial, x.seqno, x.name, x."desc", x.coll '
            "FROM sqlite_master t, pragma_index_list(t.name) i, pragma_index_xinfo(i.name) x WHERE x.key",
            "SELECT name, type, replace(replace(sql, '\"', ''), char(10), ' ') FROM sqlite_master "
            "WHERE type <> 'table'",
            "SELECT name, instr(sql, 'CHECK') > 0, instr(sql, 'WITHOUT ROWID') > 0 FROM sqlite_master "
            "WHERE type = 'table'",
        )
    return {tuple(found) for words in asked for found in connection.execute(text(words))}


def test_new_tables_are_those_that_the_migrations_make(url: str) -> None:
    migrated = create_engine("sqlite://")
    with store.open_store(url).connect() as new, migrated.begin() as old:
        earlier.upgrade(old, "head")
        assert facts(new) == facts(old)


def test_new_tables_on_a_server_are_those_that_the_migrations_make(server: str) -> None:
    engine = create_engine(server)
    made = []
    for make in (upgrade.make_tables, lambda connection: earlier.upgrade(connection, "head")):
        with engine.connect() as connection, connection.begin() as under_way:
            connection.execute(text("CREATE SCHEMA a_new_one"))
            connection.execute(text("SET LOCAL search_path TO a_new_one"))
            make(connection)
            made.append(facts(connection))
            under_way.rollback()
    engine.dispose()
    assert made[0] == made[1]


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


def test_a_large_roster_is_counted_and_one_member_is_found_by_number(url: str) -> None:
    """What keeps a look at one member from reading the packets of all."""
    engine = store.open_store(url)
    member = {
        "name": {},
        "handle": "",
        "joined": "",
        "standing": "open",
        "must_change": False,
        "site": "",
    }
    needed = [c for c in tables.member.c if not c.nullable and c.server_default is None]
    blank = {c.name: member.get(c.name, [] if c.name == "address" else "") for c in needed}
    with store.transaction(engine) as connection:
        connection.execute(
            insert(tables.member), [blank | {"id": n, "handle": f"m{n}"} for n in range(1, 1501)]
        )
        made = {
            "what": "packet",
            "state": "sent",
            "way": "email",
            "made": "",
            "at": "",
            "file": "",
            "letter": "",
            "claim": "",
            "why": "",
        }
        connection.execute(
            insert(tables.outgoing), [made | {"member_id": n} for n in range(1, 1501)]
        )
    asked = (
        "EXPLAIN QUERY PLAN SELECT state FROM outgoing WHERE what = 'packet' AND state != 'void' "
        "AND member_id IN (SELECT value FROM json_each('[7]')) ORDER BY id"
    )
    with store.reading(store.open_store(url)) as connection:
        plan = [line[3] for line in connection.execute(text(asked.replace(":", "\\:")))]
    assert "SEARCH outgoing USING INDEX ix_outgoing_member_id (member_id=?)" in plan


def test_what_was_counted_holds_no_members_data(url: str) -> None:
    engine = store.open_store(url)
    with store.transaction(engine) as connection:
        connection.execute(insert(tables.batch), [BATCH] * 1200)
    with store.reading(engine) as connection:
        names = set(connection.scalars(text("SELECT name FROM sqlite_master")))
    assert "sqlite_stat1" in names
    assert "sqlite_stat4" not in names

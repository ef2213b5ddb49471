"""One roster on a server, many who write to it: as if one after the other, and nothing is lost."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from threading import Barrier, Thread
from typing import Any

import postgres_server
import pytest
from coop_forms import contents, form, office_of
from sqlalchemy import Engine, create_engine, select, text

from onboard.errors import StoreBusy, StoreTrouble
from onboard.model import RawRow
from onboard.roster import store, tables
from onboard.settings import Settings
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.correct_member import correct_member
from onboard.tasks.process_batch import process_batch

NAMES = ("Ana Quill", "Bo Zorn", "Cy Abbot", "Dora Vale", "Elmer Moor", "Fay Haas", "Gus Ruiz")

FAMILIES = (
    "Abbot",
    "Brontman",
    "Crane",
    "Dupree",
    "Eckhart",
    "Fontaine",
    "Grubb",
    "Hollis",
    "Ibsen",
    "Jarvik",
)
GIVEN = ("Wilma", "Otto", "Priya", "Quentin", "Rosa", "Stefan", "Tilda", "Uma", "Viktor", "Xenia")


@pytest.fixture
def database(server: str) -> Iterator[str]:
    """An address in a database of its own."""
    admin = create_engine(server, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text("CREATE DATABASE desks"))
    url = server.replace("/postgres?", "/desks?")
    store.open_store(url).dispose()
    yield url
    with admin.connect() as connection:
        connection.execute(text("DROP DATABASE desks WITH (FORCE)"))
    admin.dispose()


def forms(names: tuple[str, ...], street: int = 10, line: int = 2) -> list[RawRow]:
    return [
        form(at, full_name=name, email=f"{name.lower().replace(' ', '.')}@example.org", phone="",
             street=f"{street + at} Elm St", city="Lima", state="OH", zip="45801", site="Lima Grange")
        for at, name in enumerate(names, start=line)
    ]  # fmt: skip


def run(engine: Engine, coop: Settings, rows: list[RawRow], **more: Any) -> None:
    process_batch(office_of(coop, engine), rows, file="forms.csv", keep=True, **more)


def waits(engine: Engine) -> bool:
    """Whether somebody waits for a lock."""
    with engine.connect() as connection:
        found = connection.execute(text("SELECT count(*) FROM pg_locks WHERE NOT granted"))
        return bool(found.scalar_one())


def until_somebody_waits(url: str) -> None:
    watch = create_engine(url)
    end = time.monotonic() + 10
    while not waits(watch) and time.monotonic() < end:
        time.sleep(0.02)
    watch.dispose()


def test_two_batches_at_once_are_settled_as_one_after_the_other(
    coop: Settings, database: str
) -> None:
    first, second = forms(NAMES[:4]), forms(NAMES[2:], line=9)  # two people are in both
    troubles: list[BaseException] = []

    def other() -> None:
        engine = store.open_store(database)
        try:
            run(engine, coop, second)
        except BaseException as trouble:
            troubles.append(trouble)
        engine.dispose()

    beside = Thread(target=other)

    def meanwhile(done: int) -> None:
        if not beside.ident:
            beside.start()
            until_somebody_waits(database)

    engine = store.open_store(database)
    run(engine, coop, first, progress=meanwhile)
    beside.join()
    assert not troubles
    alone = store.open_store("sqlite://")
    run(alone, coop, first)
    run(alone, coop, second)
    assert contents(engine) == contents(alone)
    engine.dispose()


def test_ten_who_write_at_once_lose_nothing(coop: Settings, database: str) -> None:
    """Each brings in two members, corrects one of them, and looks what a batch would do."""
    ready, troubles = Barrier(10), []

    def work(number: int) -> None:
        engine = store.open_store(database)
        try:
            ready.wait(30)
            mine = (f"Robin {FAMILIES[number]}", f"{GIVEN[number]} {FAMILIES[9 - number]}son")
            run(engine, coop, forms(mine, street=100 * number, line=10 * number + 2))
            with store.reading(engine) as connection:
                handle = f"robin{FAMILIES[number].lower()}"
                query = select(tables.member.c.id).where(tables.member.c.handle == handle)
                member = connection.execute(query).scalar_one()
            office = office_of(coop, engine)
            correct_member(office, str(member), {"phone": f"419-555-01{number:02}"}, keep=True)
            process_batch(office, forms(NAMES, line=90), file="forms.csv", keep=False)
        except BaseException as trouble:
            troubles.append(trouble)
        finally:
            engine.dispose()

    threads = [Thread(target=work, args=(number,)) for number in range(10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not troubles
    engine = store.open_store(database)
    with store.reading(engine) as connection:
        members = connection.execute(select(tables.member.c.id, tables.member.c.phone)).all()
    engine.dispose()
    assert sorted(one.id for one in members) == list(range(1, 21))
    assert len({one.phone for one in members if one.phone}) == 10


def test_whoever_cannot_wait_longer_is_told_in_words(
    coop: Settings, database: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "TURN", 0.2)
    holding, engine = store.open_store(database), store.open_store(database)
    with store.transaction(holding):
        with pytest.raises(StoreBusy, match="Another program is writing to the roster"):
            with store.transaction(engine):
                pass
        with store.transaction(engine, wait=None) as connection:  # touches no member
            connection.execute(text("SELECT 1"))
        with store.reading(engine) as connection:
            assert connection.execute(select(tables.member.c.id)).all() == []
    with store.transaction(engine):
        pass
    holding.dispose()
    engine.dispose()


def test_tables_that_were_brought_up_to_date_meanwhile_are_not_written_to(database: str) -> None:
    engine, newer = store.open_store(database), create_engine(database)
    with newer.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreTrouble, match="made by a newer onboard"):
        with store.transaction(engine):
            pass
    engine.dispose()
    newer.dispose()


def test_a_connection_that_is_cut_takes_nothing_along(coop: Settings, database: str) -> None:
    engine, admin = store.open_store(database), create_engine(database)

    def cut(done: int) -> None:
        with admin.connect() as connection:
            connection.execute(
                text("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE pid <> pg_backend_pid() "
                     "AND datname = 'desks' AND state <> 'idle'")
            )  # fmt: skip

    with pytest.raises(StoreTrouble, match=r"connection to the roster .* was lost") as caught:
        run(engine, coop, forms(NAMES), progress=cut)
    assert "SELECT" not in str(caught.value)
    assert "Nothing was changed" in str(caught.value)
    run(engine, coop, forms(NAMES))  # the same program goes on by a new connection
    with store.reading(engine) as connection:
        assert len(connection.execute(select(tables.member.c.id)).all()) == len(NAMES)
    engine.dispose()
    admin.dispose()


def test_a_server_that_is_killed_in_a_batch_loses_nothing(coop: Settings) -> None:
    where = postgres_server.programs()
    if where is None:
        pytest.skip("PostgreSQL is not installed here")
    with postgres_server.running(where) as url:
        folder = Path(url.partition("host=")[2])
        engine = store.open_store(url)
        run(engine, coop, forms(NAMES[:3]))

        def kill(done: int) -> None:
            os.kill(int((folder / "data/postmaster.pid").read_text().split()[0]), signal.SIGKILL)
            time.sleep(0.5)

        with pytest.raises(StoreTrouble):
            run(engine, coop, forms(NAMES, line=20), progress=kill)
        start_again(where, folder)
        run(engine, coop, forms(NAMES, line=20))
        alone = store.open_store("sqlite://")
        run(alone, coop, forms(NAMES[:3]))
        run(alone, coop, forms(NAMES, line=20))
        assert contents(engine) == contents(alone)
        engine.dispose()


def start_again(where: Path, folder: Path) -> None:
    """As its own user, once all of its old processes have ended."""
    options = f"-k {folder} -c listen_addresses='' -c fsync=off"
    words = [
        where / "pg_ctl",
        "-D",
        folder / "data",
        "start",
        "--wait",
        "--log",
        folder / "log",
        "--options",
        options,
    ]
    end = time.monotonic() + 30
    while True:
        ended = subprocess.run(
            words, user="postgres" if os.geteuid() == 0 else None, cwd=folder,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        if ended.returncode == 0:
            return
        assert time.monotonic() < end, (folder / "log").read_text()
        time.sleep(0.2)


def test_adopting_and_a_batch_at_once(coop: Settings, database: str) -> None:
    members = [
        form(at, full_name=f"Sam {chr(64 + at)}oss", handle=f"sam{at}", email="")
        for at in range(2, 8)
    ]
    engine, troubles = store.open_store(database), []

    def other() -> None:
        try:
            run(engine, coop, forms(NAMES))
        except BaseException as trouble:
            troubles.append(trouble)

    beside = Thread(target=other)

    def meanwhile(done: int) -> None:
        if not beside.ident:
            beside.start()
            until_somebody_waits(database)

    adopt_members(office_of(coop, engine), members, file="m.csv", keep=True, progress=meanwhile)
    beside.join()
    assert not troubles
    with store.reading(engine) as connection:
        assert len(connection.execute(select(tables.member.c.id)).all()) == len(NAMES) + 6
    engine.dispose()

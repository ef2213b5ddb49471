"""An audit on a cluster: the same report, of a roster in a file, of one on a server, and of a spreadsheet."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import nullcontext
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import cluster_server
import decay
import measure
import pytest
from cli.office import onboard
from coop_forms import NOON
from sqlalchemy import create_engine, select, text

from onboard import settings as settings_file
from onboard.engines import reaching
from onboard.engines.cluster import Cluster
from onboard.office import Office
from onboard.roster import store, tables
from onboard.tasks.audit_roster import Audit, audit_roster
from onboard.tasks.move_roster import move_roster

SEED, COUNT = 5, 700
PART = "onboard.tasks.audit_roster.PART"


@pytest.fixture(scope="module")
def threads() -> Iterator[Cluster]:
    with cluster_server.threads() as engine:
        yield engine


@pytest.fixture(scope="module")
def decayed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("decayed")
    decay.make(folder, COUNT, SEED)
    return folder


@pytest.fixture(scope="module")
def database(server: str, decayed: Path) -> Iterator[str]:
    """The same roster in a database of its own."""
    admin = create_engine(server, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text("CREATE DATABASE audited"))
    url = server.replace("/postgres?", "/audited?")
    move_roster(str(decayed / "roster.db"), url)
    yield url
    with admin.connect() as connection:
        connection.execute(text("DROP DATABASE audited WITH (FORCE)"))
    admin.dispose()


@pytest.mark.parametrize("sheet", [False, True], ids=["roster", "spreadsheet"])
def test_the_report_is_the_same(
    decayed: Path, threads: Cluster, sheet: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    alone = measure.audited(decayed, sheet=sheet)
    monkeypatch.setattr(PART, 150)
    assert measure.audited(decayed, sheet=sheet, engine=threads) == alone
    assert len(alone.found) > 50


def of_server(decayed: Path, url: str, **options: object) -> Audit:
    coop = replace(settings_file.read(decayed / "onboard.toml"), store=url)
    office = Office(coop, now=lambda: datetime.combine(decay.TODAY, NOON.timetz()))
    try:
        return audit_roster(office, **options)  # type: ignore[arg-type]
    finally:
        office.close()


def nobody_reads_here(*_: object) -> Iterator[object]:
    yield from [1 // 0]


def test_of_a_server_each_worker_reads_its_own_as_it_was_at_one_moment(
    decayed: Path, database: str, threads: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While they read, somebody else changes every member."""
    alone = of_server(decayed, database)
    monkeypatch.setattr(PART, 100)
    monkeypatch.setattr("onboard.tasks.audit_roster._with_domains", nobody_reads_here)
    other = store.open_store(database)
    changed: list[int] = []

    def meanwhile(stage: str, done: int) -> None:
        if not changed:
            with store.transaction(other) as connection:
                changed.append(connection.execute(text("UPDATE member SET email = ''")).rowcount)

    numbers: list[str] = []
    submit = threads.submit

    def submitted(work, *of):  # type: ignore[no-untyped-def]
        numbers.append(work.__name__)
        return submit(work, *of)

    monkeypatch.setattr(threads, "submit", submitted)
    try:
        assert of_server(decayed, database, engine=threads, progress=meanwhile) == alone
        assert changed == [COUNT]
        assert numbers.count("_apply") == -(-COUNT // 100)
        with store.reading(other) as connection:
            assert set(connection.execute(select(tables.member.c.email)).scalars()) == {""}
    finally:
        other.dispose()


def test_the_command_takes_a_cluster(
    decayed: Path, threads: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reaching, "reached", lambda *_: nullcontext(threads))
    where = ("--settings", str(decayed / "onboard.toml"), "--json")
    alone = onboard("audit", *where)
    there = onboard("audit", "--on", "here:2", *where)
    assert there.code == alone.code == 1
    now = re.compile(r"20\d\d-\d\d-\d\dT[\d:.]+")
    assert now.sub("NOW", there.out) == now.sub("NOW", alone.out)

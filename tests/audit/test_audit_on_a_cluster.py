"""An audit on a cluster: the same report, of a roster in a file, of one on a server, and of a spreadsheet."""

from __future__ import annotations

import csv
import json
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import nullcontext
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import cluster_server
import decay
import measure
import pyarrow as pa
import pyarrow.parquet
import pytest
from cli.office import onboard
from coop_forms import NOON
from sqlalchemy import create_engine, select, text

from onboard import intake
from onboard import settings as settings_file
from onboard.audit.observation import Observation
from onboard.engines import reaching
from onboard.engines.cluster import Cluster
from onboard.errors import FileTrouble
from onboard.intake.opening import tables_of
from onboard.office import Office
from onboard.roster import store, tables
from onboard.tasks.audit_roster import Audit, audit_roster
from onboard.tasks.audit_sheets import audit_sheet
from onboard.tasks.mail_domains import AskedDomains
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
    assert len(of_two(alone)) > 5


def of_two(done: Audit) -> list[Observation]:
    """What is said of two accounts that are or may be one person's."""
    return [one for one in done.found if one.code.startswith("twice.")]


@pytest.fixture(scope="module")
def in_parts(decayed: Path, tmp_path_factory: pytest.TempPathFactory) -> Sequence[Path]:
    """The list of members in three files: in another order of columns, with blank lines, and in another form."""
    folder = tmp_path_factory.mktemp("parts")
    with (decayed / "members.csv").open(encoding="utf-8", newline="") as stream:
        heads, *rows = csv.reader(stream)
    north, south, west = (folder / name for name in ("north.csv", "south.csv", "west.parquet"))
    with north.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([heads, *rows[:300]])
    with south.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(
            row[::-1] for row in [heads, *rows[300:400], [], *rows[400:500]]
        )
    columns = zip(*rows[500:], strict=True)
    pyarrow.parquet.write_table(pa.table(dict(zip(heads, map(list, columns), strict=True))), west)
    return north, south, west


def of_files(files: Sequence[Path], settings: Path, **options: object) -> tuple[Audit, list[str]]:
    """The audit, and what is said of lines that hold no member."""
    office = Office(
        settings_file.read(settings), now=lambda: datetime.combine(decay.TODAY, NOON.timetz())
    )
    sheets = [intake.open_rows(file, needed=()) for file in files]
    done = audit_sheet(office, sheets, **options)  # type: ignore[arg-type]
    return done, [words for sheet in sheets for words in sheet.passed_over.words()]


def test_several_files_are_one_list_which_workers_read(
    decayed: Path, in_parts: Sequence[Path], threads: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings, whole = decayed / "onboard.toml", measure.audited(decayed, sheet=True)
    alone, over = of_files(in_parts, settings)
    assert over == ["1 row is blank: 102."]
    assert "line:south.csv 103" in {brief.owner for brief in alone.briefs}
    monkeypatch.setattr("onboard.tasks.audit_sheets.SIZE", 5_000)
    monkeypatch.setattr("onboard.tasks.audit_sheets.ROWS", 90)
    monkeypatch.setattr(AskedDomains, "of_rows", nobody_reads_here)
    assert of_files(in_parts, settings, engine=threads) == (alone, over)
    assert Counter((one.code, one.finding.said) for one in alone.found) == Counter(
        (one.code, one.finding.said) for one in whole.found
    )
    assert of_two(alone)


def test_where_workers_do_not_see_the_files_rows_are_sent(
    decayed: Path, in_parts: Sequence[Path], threads: Cluster, monkeypatch: pytest.MonkeyPatch
) -> None:
    alone = of_files(in_parts[1:], decayed / "onboard.toml")
    monkeypatch.setattr(threads, "sees", lambda files: False)
    assert of_files(in_parts[1:], decayed / "onboard.toml", engine=threads) == alone


def test_two_files_of_one_name_are_refused(decayed: Path, tmp_path: Path) -> None:
    copied = tmp_path / "members.csv"
    copied.write_bytes((decayed / "members.csv").read_bytes())
    with pytest.raises(FileTrouble, match=r"Two of the files are called members\.csv"):
        of_files([decayed / "members.csv", copied], decayed / "onboard.toml")


def test_the_command_takes_a_pattern_and_each_file_gets_its_own_changes(
    decayed: Path, in_parts: Sequence[Path], tmp_path: Path
) -> None:
    where = ("--settings", str(decayed / "onboard.toml"))
    pattern = str(in_parts[0].parent / "*.csv")
    done = onboard("audit", pattern, "--to", str(tmp_path / "audit"), *where)
    assert done.code == 1, done.err
    assert "Columns of north.csv" in done.out
    changes = tmp_path / "audit" / "changes.xlsx"
    (table,) = (one for one in tables_of(changes) if one.name == "Changes")
    heads, *rows = (line.cells for line in table.lines())
    of = {
        name: sum(row[heads.index("File")] == name for row in rows)
        for name in ("north.csv", "south.csv")
    }
    assert min(of.values()) > 0
    approved = tmp_path / "approved.csv"
    with approved.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([heads, *(["yes", *row[1:]] for row in rows)])
    for file in in_parts[:2]:
        tidied = onboard("tidy", str(approved), "--of", str(file), "--json", *where)
        *_, sums = map(json.loads, tidied.out.splitlines())
        assert sums["made"] == of[file.name]
        assert sums["skipped"] == 0


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

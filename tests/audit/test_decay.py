"""What decayed in an invented roster is found, and clean members are left in peace.

Bars: every kind at 99 %, false alarms at 1 % of clean members. The larger runs are made by
`python tests/audit/measure.py N SEED`; here the roster is small.
"""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path
from threading import Thread

import decay
import measure
import pytest
from coop_forms import office_of
from sqlalchemy import Connection

from onboard import settings
from onboard.audit import Observation
from onboard.errors import StoreTrouble
from onboard.roster import condition, store
from onboard.tasks.audit_roster import PART, Audit, audit_roster

SEED, COUNT = 1, 1300


@pytest.fixture(scope="module")
def decayed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("decayed")
    decay.make(folder, COUNT, SEED)
    return folder


@pytest.mark.parametrize("sheet", [False, True], ids=["roster", "spreadsheet"])
def test_every_kind_of_decay_is_found_and_clean_members_are_left_in_peace(
    decayed: Path, sheet: bool
) -> None:
    told = measure.measure(measure.audited(decayed, sheet=sheet), decayed)
    assert len(told.found) >= 25
    assert {kind: share for kind, share in told.found.items() if share < 0.99} == {}
    assert told.false_alarms <= 0.01, told.alarms


def content(file: Path) -> list[str]:
    with sqlite3.connect(file) as connection:
        return list(connection.iterdump())


def test_an_audit_changes_nothing_and_keeps_nobody_from_writing(decayed: Path) -> None:
    before = content(decayed / "roster.db")
    coop = settings.read(decayed / "onboard.toml")
    engine = store.open_store(f"sqlite:///{decayed / 'roster.db'}")
    other = store.open_store(f"sqlite:///{decayed / 'roster.db'}", wait=0.1)

    def somebody_writes(stage: str, done: int) -> None:
        with store.transaction(other, keep=False) as connection:
            connection.exec_driver_sql("UPDATE member SET email = ''")

    done = audit_roster(office_of(coop, engine), progress=somebody_writes)
    assert len(done.briefs) == COUNT
    engine.dispose()
    other.dispose()
    assert content(decayed / "roster.db") == before


@pytest.mark.parametrize("sheet", [False, True], ids=["roster", "spreadsheet"])
def test_how_many_work_at_once_makes_no_difference(
    decayed: Path, monkeypatch: pytest.MonkeyPatch, sheet: bool
) -> None:
    alone = measure.audited(decayed, sheet=sheet)
    monkeypatch.setattr("onboard.tasks.audit_roster.PART", 400)
    assert PART > COUNT > 3 * 400
    together = measure.audited(decayed, sheet=sheet, processes=2)
    assert together.found == alone.found
    assert together.briefs == alone.briefs


@pytest.mark.parametrize("sheet", [False, True], ids=["roster", "spreadsheet"])
def test_two_audits_at_once_do_not_mix_their_rules(
    decayed: Path, monkeypatch: pytest.MonkeyPatch, sheet: bool
) -> None:
    """Another audit, of five years later, begins and ends while this one is at work."""
    monkeypatch.setattr("onboard.tasks.audit_roster.PART", 400)
    alone = measure.audited(decayed, sheet=sheet)
    others: list[Audit] = []

    def another_audit() -> None:
        later = decay.TODAY.replace(year=decay.TODAY.year + 5)
        others.append(measure.audited(decayed, sheet=sheet, today=later))

    def meanwhile(stage: str, done: int) -> None:
        if not others:
            other = Thread(target=another_audit)
            other.start()
            other.join()

    beside = measure.audited(decayed, sheet=sheet, progress=meanwhile)
    assert others[0].found != alone.found
    assert beside.found == alone.found


def about_members(done: Audit) -> list[Observation]:
    """What is found but for the roster itself, which is looked at for itself."""
    return [one for one in done.found if not one.code.startswith("sound.")]


def test_helpers_tell_what_was_there_when_the_audit_began(
    decayed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They read the roster's file themselves, and somebody writes into it meanwhile."""
    for name in ("roster.db", "onboard.toml"):
        shutil.copy(decayed / name, tmp_path / name)
    alone = measure.audited(decayed, sheet=False)
    monkeypatch.setattr("onboard.tasks.audit_roster.PART", 400)
    numbers = condition.numbers

    def somebody_writes(connection: Connection, size: int) -> list[tuple[int, int]]:
        with sqlite3.connect(tmp_path / "roster.db") as other:
            other.execute("UPDATE member SET email = 'nobody@', site = 'Nowhere'")
            other.execute(
                "INSERT INTO journal SELECT max(id) + 1, at, who, what, about, why, before, after FROM journal"
            )
        other.close()
        return numbers(connection, size)

    monkeypatch.setattr(condition, "numbers", somebody_writes)
    beside = measure.audited(tmp_path, sheet=False, processes=2)
    assert beside.briefs == alone.briefs
    assert about_members(beside) == about_members(alone)


def test_the_same_seed_makes_the_same_roster(tmp_path: Path) -> None:
    first, second = tmp_path / "a", tmp_path / "b"
    assert decay.make(first, 200, 5) == decay.make(second, 200, 5)
    for name in ("members.csv", "onboard.toml", "truth.csv", "clean.json"):
        assert (first / name).read_bytes() == (second / name).read_bytes()
    assert decay.make(tmp_path / "c", 200, 6) != decay.make(tmp_path / "d", 200, 5)


def test_a_file_that_cannot_be_read_is_told_in_words(decayed: Path, tmp_path: Path) -> None:
    content = bytearray((decayed / "roster.db").read_bytes())
    middle = len(content) // 4096 // 2 * 4096
    content[middle : middle + 30 * 4096] = b"\x99" * (30 * 4096)
    file = tmp_path / "roster.db"
    file.write_bytes(content)
    file.chmod(0o600)
    coop = settings.read(decayed / "onboard.toml")
    engine = store.open_store(f"sqlite:///{file}")
    with pytest.raises(StoreTrouble, match="is not a sound roster file"):
        audit_roster(office_of(coop, engine))
    engine.dispose()


def test_a_broken_store_is_told(decayed: Path, tmp_path: Path) -> None:
    file = tmp_path / "roster.db"
    file.write_bytes((decayed / "roster.db").read_bytes())
    file.chmod(0o600)
    with sqlite3.connect(file) as connection:
        (last,) = connection.execute("SELECT max(id) FROM journal").fetchone()
        connection.execute("DELETE FROM journal WHERE id IN (?, ?)", (last - 5, last - 6))
        connection.execute("PRAGMA foreign_keys = OFF")
        connection.execute("DELETE FROM row WHERE key = (SELECT row_key FROM person LIMIT 1)")
    connection.close()
    coop = settings.read(decayed / "onboard.toml")
    engine = store.open_store(f"sqlite:///{file}")
    done = audit_roster(office_of(coop, engine))
    engine.dispose()
    notes = [
        one.finding.note for one in done.found if one.code in ("sound.journal", "sound.dangling")
    ]
    assert any(
        f"Before entry {last - 4} of the change log, 2 entries are missing." in n for n in notes
    )
    assert any("of person points to a record of row that is missing." in n for n in notes)

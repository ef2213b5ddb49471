"""A long file of join forms: other processes make the forms ready, and the roster is the same."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest
from coop_forms import contents, office_of
from sqlalchemy import Engine

from onboard import intake, settings
from onboard.model import Answer, RawRow, Ruling
from onboard.roster import search, store
from onboard.tasks import prepared
from onboard.tasks.outcome import Outcome
from onboard.tasks.process_batch import process_batch

DEMO = Path(__file__).parents[2] / "fixtures_demo"
COOP = replace(settings.read(DEMO / "onboard.toml"), store="")


PREPARED = prepared.prepared


def engine() -> Engine:
    return store.open_store("sqlite://")


def forms() -> list[RawRow]:
    return list(intake.open_rows(DEMO / "join-forms.csv").rows())


def given(roster: Engine, rows: list[RawRow], processes: int, *rulings: Ruling) -> list[Outcome]:
    outcomes: list[Outcome] = []
    process_batch(
        office_of(COOP, roster), rows, file="forms.csv", keep=True, rulings=rulings,
        tell=outcomes.append, processes=processes,
    )  # fmt: skip
    return outcomes


def test_processes_that_help_change_nothing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, roster: Engine
) -> None:
    def said_where(raw: RawRow, coop: settings.Settings) -> prepared.Prepared:
        (tmp_path / str(os.getpid())).touch()
        return PREPARED(raw, coop)

    monkeypatch.setattr(prepared, "MANY", 20)
    monkeypatch.setattr(prepared, "A_PIECE", 7)
    monkeypatch.setattr("onboard.tasks.process_batch.AT_ONCE", 30)
    monkeypatch.setattr(prepared, "prepared", said_where)
    alone, helped = engine(), roster
    rows = forms()
    assert len(rows) > 100
    assert given(alone, rows, 1) == given(helped, rows, 2)
    assert len(list(tmp_path.iterdir())) == 2
    on_hold = [row for row in rows if row.key in held(alone)]
    assert on_hold
    # What a coordinator puts right on a row on hold is read, not what was made ready of the form.
    put_right = [
        Ruling(row.key, Answer.ENROL, "Robin", corrections={"full_name": f"Ada Testwell {n}"})
        for n, row in enumerate(on_hold)
    ]
    assert given(alone, [], 1, *put_right) == given(helped, [], 2, *put_right)
    assert contents(alone) == contents(helped)


def held(roster: Engine) -> set[str]:
    with store.reading(roster) as connection:
        return {row.key for row in search.held(connection)}

"""Many people with one phone or mailbox: a helper's, or one that stands for "none"."""

from __future__ import annotations

import pytest
from coop_forms import NOON, contents, form, office_of
from sqlalchemy import Engine

from onboard.match import Known, keys
from onboard.model import Person, RawRow, Signature
from onboard.roster import search, store
from onboard.settings import Settings
from onboard.tasks.process_batch import process_batch

ROBIN = Signature("Robin", NOON)
GIVEN = ("Ana", "Bo", "Cy", "Dora", "Elmer", "Fay", "Gus", "Hope", "Ira", "June")
FAMILY = ("Abbot", "Quill", "Zorn")


def helped() -> list[RawRow]:
    """Thirty people whom one helper signs up, and three of them again with a slip."""
    names = [f"{given} {family}" for family in FAMILY for given in GIVEN]
    again = ["Dora Abbott", "Gus Zorn", "Hope Qwill"]
    return [
        form(line, full_name=name, email="helper@example.org", phone="419-555-0143",
             street=f"{10 + line} Elm St", city="Lima", state="OH", zip="45801", site="Lima Grange")
        for line, name in enumerate([*names, *again], start=2)
    ]  # fmt: skip


def run(engine: Engine, coop: Settings, rows: list[RawRow]) -> None:
    process_batch(office_of(coop, engine, ROBIN), rows, file="forms.csv", keep=True)


@pytest.mark.parametrize("at", [1, 5, 9, 14, 22, 30, 32])
def test_where_a_crowd_is_split_changes_nothing(
    coop: Settings, monkeypatch: pytest.MonkeyPatch, at: int
) -> None:
    monkeypatch.setattr(keys, "CROWD", 5)
    rows = helped()
    whole, halves = store.open_store("sqlite://"), store.open_store("sqlite://")
    run(whole, coop, rows)
    run(halves, coop, rows[:at])
    run(halves, coop, rows[at:])
    assert contents(whole) == contents(halves)
    with store.transaction(whole, keep=False) as connection:
        assert search.crowds(connection, ["p:4195550143"], 2 * keys.CROWD)


def test_a_crowd_that_is_known_elsewhere_is_passed_over_here() -> None:
    one = Person("member:1", given="Ana", family="Quill", phone="+12025550100", zip5="45801")
    other = Person("row:2", given="Bo", family="Zorn", phone="+12025550100")
    known = Known()
    known.add(one)
    assert known.alike(other) == [one]
    known.pass_over({"p:2025550100"})
    assert known.alike(other) == []
    assert known.alike(one._replace(owner="row:3")) == [one]  # by name

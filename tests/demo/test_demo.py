"""The demo: made again byte for byte, true to its own rules, and judged against its own truth."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import make_demo
import pytest
from coop_forms import office_of

from onboard import intake, settings
from onboard.clean import place
from onboard.model import Drop, Enrol, Hold, SameAs, Signature
from onboard.roster import search, store
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.outcome import Outcome
from onboard.tasks.process_batch import process_batch

FOLDER = Path(__file__).parents[2] / "fixtures_demo"
SIGNATURE = Signature("Robin", datetime(2026, 11, 25, 12, 0, tzinfo=UTC))
WORDS = {Enrol: "enrol", SameAs: "same", Hold: "hold", Drop: "drop"}


@dataclass(frozen=True)
class Expected:
    """A line of expected.csv."""

    file: str
    line: int
    name: str
    trap: str
    decision: str
    also: tuple[str, ...]
    who: str
    why: str


def truth(file: str) -> dict[int, Expected]:
    with (FOLDER / "expected.csv").open(encoding="utf-8", newline="") as stream:
        rows = [
            Expected(**(row | {"line": int(row["line"]), "also": tuple(row["also"].split())}))  # type: ignore[arg-type]
            for row in csv.DictReader(stream)
        ]
    return {row.line: row for row in rows if row.file == file}


def rows_of(name: str) -> list[list[str]]:
    with (FOLDER / name).open(encoding="utf-8-sig", newline="") as stream:
        return list(csv.reader(stream))


@dataclass(frozen=True)
class Run:
    """What became of each form of a file, by line."""

    outcomes: dict[int, Outcome]
    handles: dict[str, str]  # of members that were on the roster, by owner

    def decision(self, line: int) -> str:
        outcome = self.outcomes.get(line)
        return WORDS[type(outcome.decision)] if outcome else "none"

    def who(self, line: int) -> set[str]:
        """Whom a form is the same as: a member's handle, or the earlier form."""
        owner = self.outcomes[line].owner
        first = next(
            (n for n, o in sorted(self.outcomes.items()) if o.owner == owner and n != line), 0
        )
        return {self.handles.get(owner, ""), f"line {first}"}

    def is_right(self, row: Expected) -> bool:
        decision = self.decision(row.line)
        return decision == row.decision and (decision != "same" or row.who in self.who(row.line))


@pytest.fixture(scope="module")
def runs() -> Iterator[dict[str, Run]]:
    """The members taken over, then both files of join forms, one after the other."""
    coop = settings.read(FOLDER / "onboard.toml")
    engine = store.open_store("sqlite://")
    adopted = intake.open_rows(FOLDER / "members.csv", needed=())
    adopt_members(office_of(coop, engine, SIGNATURE), adopted.rows(), file="members.csv", keep=True)
    found = {}
    for name in ("join-forms.csv", "more-forms.csv"):
        sheet = intake.open_rows(FOLDER / name, extra_questions=coop.extra_questions)
        assert sheet.columns.questions == (), "no column of the demo needs asking about"
        with store.transaction(engine, keep=False) as connection:
            handles = {member.owner: member.handle.text for member in search.members(connection)}
        outcomes: dict[int, Outcome] = {}

        def tell(outcome: Outcome, outcomes: dict[int, Outcome] = outcomes) -> None:
            outcomes[outcome.decision.applicant.raw.line] = outcome

        process_batch(
            office_of(coop, engine, SIGNATURE), sheet.rows(), file=name, keep=True, tell=tell
        )
        found[name] = Run(outcomes, handles)
    yield found
    engine.dispose()


FILES = ("join-forms.csv", "more-forms.csv")


@pytest.mark.parametrize("file", FILES)
def test_nobody_gets_an_account_who_should_not_and_nobody_gets_anothers(
    runs: dict[str, Run], file: str
) -> None:
    run = runs[file]
    harm = [
        (row.line, row.name, row.trap, run.decision(row.line))
        for row in truth(file).values()
        if not run.is_right(row)
        and run.decision(row.line) in ("enrol", "same")
        and run.decision(row.line) not in row.also
    ]
    assert harm == []


@pytest.mark.parametrize("file", FILES)
def test_nearly_every_form_is_decided_as_a_careful_person_would(
    runs: dict[str, Run], file: str
) -> None:
    run, rows = runs[file], truth(file).values()
    right = sum(run.is_right(row) for row in rows)
    fair = sum(run.is_right(row) or run.decision(row.line) in row.also for row in rows)
    assert right / len(rows) >= 0.9, f"{right} of {len(rows)} as a careful person decides"
    assert fair / len(rows) >= 0.97, f"{fair} of {len(rows)} in a way nobody could be blamed for"


def test_every_form_has_its_truth() -> None:
    for file, head in (("join-forms.csv", 1), ("members.csv", 1)):
        rows = rows_of(file)
        assert all(len(row) == len(rows[0]) for row in rows)
        if file in FILES:
            assert sorted(truth(file)) == list(range(head + 1, len(rows) + 1))


def test_what_the_truth_says_of_members_is_so() -> None:
    head, *rows = rows_of("members.csv")
    handles = [row[head.index("Handle")] for row in rows]
    assert len(set(handles)) == len(rows) == 300
    for row in (*truth("join-forms.csv").values(), *truth("members.csv").values()):
        if row.decision == "same" and not row.who.startswith("line "):
            assert row.who in handles
    for line, row in truth("members.csv").items():
        named = rows[line - 2]
        other = rows[handles.index(row.who)]
        assert named != other
        assert set(named[4:7]) & set(other[4:7]) - {""}, "they share an email, a phone or a home"


def test_the_same_seed_gives_the_same_bytes() -> None:
    made = make_demo.make()
    for name, content in made.items():
        assert (FOLDER / name).read_bytes() == content, f"{name}: run tests/demo/make_demo.py"


def test_everybody_is_invented() -> None:
    providers = {"gmial.com", "gmail.con", "yaho.com", "hotmial.com", "gmai.com"}  # the slips
    for content in make_demo.make().values():
        text = content.decode("utf-16" if content[:2] == b"\xff\xfe" else "utf-8-sig")
        for domain in re.findall(r"[\w.]@([\w.-]+\.\w+)", text):
            reserved = re.search(r"(^|\.)example\.(org|net|com)$", domain.casefold())  # RFC 2606
            assert reserved or domain.casefold() in providers | {"none.com"}
        for number in re.findall(r"\b\d{3}[-. /)]{1,2}(\d{3})[-. ](\d{4})\b", text):
            assert number[0] == "555", number
            assert "0100" <= number[1] <= "0199"


def test_towns_states_and_zip_codes_belong_together() -> None:
    head, *rows = rows_of("members.csv")
    for row in rows:
        city, state, zip5 = (row[head.index(name)] for name in ("City", "State", "ZIP"))
        assert not place.clean(city=city, state=state, zip5=zip5).findings


def test_the_demo_covers_what_life_brings() -> None:
    traps = {row.trap for file in FILES for row in truth(file).values()}
    assert len(traps) >= 55
    decided = [row.decision for row in truth("join-forms.csv").values()]
    assert set(decided) == {"enrol", "same", "hold", "drop", "none"}

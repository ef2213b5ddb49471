"""Of what callers say, in their own words, the right member is found; measured on the demo's members."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from called_members import read

from onboard import adopt_members, intake, open_office
from onboard.intake.days import days_of
from onboard.office import Office
from onboard.tasks.look_up import Finds, look_up

ROOT = Path(__file__).parents[2]
CALLS = list(read(ROOT / "tests" / "facts" / "callers.csv"))


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """The demo's co-op, with its 300 members."""
    folder = tmp_path_factory.mktemp("demo")
    (folder / "onboard.toml").write_bytes((ROOT / "fixtures_demo" / "onboard.toml").read_bytes())
    office = open_office(folder / "onboard.toml", who="pat")
    file = intake.open_rows(ROOT / "fixtures_demo" / "members.csv", needed=("name", "handle"))
    days = days_of(file, office.today())
    assert (
        adopt_members(office, file.rows(), file="members.csv", keep=True, days=days).adopted == 300
    )
    yield office
    office.close()


@pytest.fixture(scope="module")
def answers(demo: Office) -> list[tuple[dict[str, str], Finds]]:
    return [(call, look_up(demo, call["said"])) for call in CALLS]


@pytest.mark.parametrize("table", ["a", "b", "c", "d"])
def test_the_right_member_is_found(answers: list[tuple[dict[str, str], Finds]], table: str) -> None:
    count: Counter[str] = Counter()
    for call, finds in answers:
        right, found = (
            set(filter(None, call["right"].split("|"))),
            [one.handle for one in finds.found],
        )
        if call["from"] != table:
            continue
        count["asked"] += 1
        count["safe"] += finds.safe_to_open
        if right:
            count["meant"] += 1
            count["first"] += found[:1] != [] and found[0] in right
            count["among five"] += not right.isdisjoint(found)
    assert count["asked"] >= 60
    assert count["first"] >= 0.94 * count["meant"]  # the bar is 90 %
    assert count["among five"] >= 0.96 * count["meant"]
    assert count["safe"] >= 0.25 * count["asked"]


def test_nobody_is_safe_who_is_not_meant_or_for_whom_another_speaks(
    answers: list[tuple[dict[str, str], Finds]],
) -> None:
    for call, finds in answers:
        if finds.safe_to_open:
            assert finds.found[0].handle in call["right"].split("|"), call["said"]
            assert call["speaks_for"] == "self", call["said"]


def test_whose_call_it_is_is_told_apart(demo: Office) -> None:
    right: Counter[str] = Counter()
    asked: Counter[str] = Counter()
    for call in read(ROOT / "tests" / "facts" / "speaks_for.tsv", "\t"):
        finds = look_up(demo, call["said"])
        assert finds.found[0].handle == call["right"], call["said"]
        assert call["speaks_for"] == "self" or not finds.safe_to_open, call["said"]
        asked[call["speaks_for"]] += 1
        right[call["speaks_for"]] += finds.for_another == (call["speaks_for"] == "other")
    assert right["self"] >= 0.85 * asked["self"] > 50
    assert right["other"] >= 0.95 * asked["other"] > 50


# Other people's names in the mouths of those who call for them, or ask about them.
THIRD = [line for line in (ROOT / "tests" / "facts" / "third_persons.txt").read_text("utf-8").splitlines()
         if not line.startswith("#")]  # fmt: skip


@pytest.mark.parametrize("said", THIRD)
def test_who_speaks_of_somebody_never_has_one_clear_match(demo: Office, said: str) -> None:
    for given, family, town in (
        ("Martha", "Wilder", "Northfield"), ("Otto", "Holcomb", "Ripon"), ("Hazel", "Fletcher", "Ripon"),
    ):  # fmt: skip
        words = said.format(first=given, name=f"{given} {family}", town=town)
        finds = look_up(demo, words)
        assert not finds.safe_to_open, words
        assert finds.found[0].handle == (given + family).lower(), words

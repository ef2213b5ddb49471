"""Callers of many voices, young and old, in English and Spanish, for themselves and for others."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from adopted import taken_over
from called_members import read
from cli.office import SETTINGS

from onboard.tasks.look_up import Finds, look_up

FACTS = Path(__file__).parents[1] / "facts"
CALLS = list(read(FACTS / "voices_calls.tsv", "\t"))
SITES = ("Athens Bike Barn", "Mesilla Pecan Shed", "Bellefonte Armory", "Bemidji Curling Club", "Sisters Fire Hall",
         "Machias Grange")  # fmt: skip
SITE = """
[[site]]
name = "{}"
address = "1 Mill St, Lima, OH"
zip = "45801"
group = "Lake"
host = "Jo Host"
"""


@pytest.fixture(scope="module")
def answers(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[list[tuple[dict[str, str], Finds]]]:
    settings = SETTINGS + "".join(map(SITE.format, SITES))
    members = (FACTS / "voices_members.csv").read_text("utf-8")
    with taken_over(tmp_path_factory.mktemp("voices"), settings, members) as office:
        yield [(call, look_up(office, call["said"])) for call in CALLS]


def test_whoever_is_meant_is_found(answers: list[tuple[dict[str, str], Finds]]) -> None:
    meant = [(call["right"].split("|"), finds) for call, finds in answers if call["right"]]
    first = [finds.found and finds.found[0].handle in right for right, finds in meant]
    assert len(meant) > 130
    assert sum(map(bool, first)) >= 0.98 * len(meant)
    assert all(not {one.handle for one in finds.found}.isdisjoint(right) for right, finds in meant)


def test_nobody_is_one_clear_match_for_another_and_nobody_wrong(
    answers: list[tuple[dict[str, str], Finds]],
) -> None:
    for call, finds in answers:
        if finds.safe_to_open:
            assert call["speaks_for"] == "self", call["said"]
            assert finds.found[0].handle == call["right"], call["said"]
    alone = [finds for call, finds in answers if call["speaks_for"] == "self"]
    assert sum(finds.safe_to_open for finds in alone) >= 0.5 * len(alone)


def test_whose_call_it_is_and_who_has_died_is_told(
    answers: list[tuple[dict[str, str], Finds]],
) -> None:
    others = [call["said"] for call, finds in answers
              if call["speaks_for"] in ("self", "other") and finds.for_another != (call["speaks_for"] == "other")]  # fmt: skip
    assert len(others) <= 0.03 * len(answers), others
    died = [call["said"] for call, finds in answers if finds.says_died != (call["died"] == "yes")]
    assert died == []

"""Numbers and days that nobody means, and half characters: told in words."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from office import PAT, Said, onboard, write_csv

NUMBERS = ("99999999999999999999", "9" * 5000, str(2**63 - 1), str(2**31))


@pytest.fixture
def pat(office: Path) -> Path:
    """Pat Lee alone on the roster."""
    onboard("batch", write_csv(office / "pat.csv", [PAT]), "--record")
    return office


def in_words(said: Said, code: int) -> None:
    assert said.code == code, said.words
    assert "fault of the program" not in said.words


@pytest.mark.parametrize("number", NUMBERS)
def test_a_number_that_nothing_has(pat: Path, number: str) -> None:
    for words in (
        ("undo", number), ("undo", "1", "--line", number), ("undo", "--", f"-{number}"),
        ("disclose", number, "--to", "copy.json"), ("forget", number), ("merge", number, "1"),
        ("merge", "1", number, "--stays", "1"), ("correct", number, "--phone", "419-555-0143"),
        ("why", "pat", "--member", number),
        ("call", number, "--cause", "typed.email", "--ended", "helped"),
    ):  # fmt: skip
        in_words(onboard(*words), 2)


@pytest.mark.parametrize("day", ["0000-01-01", "2026-99-99", "10000-01-01", "-1-01-01", "2026"])
def test_an_option_that_is_no_day(pat: Path, day: str) -> None:
    write_csv(pat / "page.csv", [("patlee", "2026-11-01")], ("handle", "last sign-in"))
    for words in (
        ("calls", "--since", day), ("calls", "--until", day), ("activity", "page.csv", "--as-of", day),
    ):  # fmt: skip
        in_words(onboard(*words), 2)


def test_days_at_the_ends_of_the_calendar(pat: Path) -> None:
    in_words(onboard("calls", "--since", "0001-01-01"), 0)
    in_words(onboard("calls", "--until", "9999-12-31"), 0)
    in_words(onboard("calls", "--since", "0001-01-01", "--until", "9999-12-31"), 0)
    in_words(onboard("calls", "--since", "9999-12-31"), 2)


@pytest.mark.parametrize("day", ["0001-01-01", "1970-01-01", "9999-12-31"])
def test_a_page_list_with_a_day_that_cannot_be(pat: Path, day: str) -> None:
    write_csv(pat / "page.csv", [("patlee", day)], ("handle", "last sign-in"))
    said = onboard("activity", "page.csv", "--record")
    in_words(said, 1)
    assert re.search(f"row 2, patlee: “{day}” cannot be a day in a list of ", said.out)


def test_a_page_list_of_a_day_to_come(pat: Path) -> None:
    write_csv(pat / "page.csv", [("patlee", "2026-11-01")], ("handle", "last sign-in"))
    said = onboard("activity", "page.csv", "--as-of", "9999-12-31", "--record")
    assert (said.code, said.err) == (
        2, "9999-12-31 is a day to come: give the day of the list, as 2026-11-25.\n",
    )  # fmt: skip


@pytest.mark.parametrize(
    "answer",
    [
        {"Resources": [{"userName": "pat\ud800lee", "id": "1"}, {"userName": "patlee", "id": "\udfff"}]},
        {"Resources": [{"userName": ["\ud800"], "id": "1", "externalId": "\ud800"}]},
        {"Operations": [{"method": "POST", "bulkId": "1\ud800", "location": "/1", "status": "201"}]},
        {"Operations": [{"method": "PUT", "location": "/\ud800", "status": "404"}]},
        {"Operations": [{"method": "POST", "bulkId": "1", "location": "/\ud800", "status": "201"}]},
    ],
)  # fmt: skip
def test_a_page_answers_with_half_characters(pat: Path, answer: dict[str, object]) -> None:
    (pat / "answer.json").write_text(json.dumps(answer))
    said = onboard("export", "--answer", "answer.json", "--record")
    assert said.code in (0, 1), said.words
    assert "0 accounts" in said.words or "unknown" in said.words or "told" in said.words, said.words

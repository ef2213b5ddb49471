"""An answer about a form taken back, as long as nobody was enrolled by it."""

from __future__ import annotations

from pathlib import Path

import pytest
from office import KIM, PAT, SAM, onboard, write_csv

AGAIN = ("Patricia Lee", "patricia@example.net", *PAT[2:])  # like Pat, and asked about


@pytest.fixture
def keys(office: Path) -> dict[str, str]:
    """The keys of the forms on hold, by name."""
    onboard("batch", write_csv(office / "forms.csv", [PAT, KIM, SAM]), "--record")
    onboard("batch", write_csv(office / "more.csv", [AGAIN]), "--record")
    told = [*onboard("batch", "forms.csv", "--json").json(), *onboard("batch", "more.csv", "--json").json()]  # fmt: skip
    held = {one["name"]: one["row"] for one in told if one.get("verdict") == "on hold"}
    assert held.keys() == {"Sam Moor", "Patricia Lee"}
    return held


def asked() -> str:
    return onboard("answer").words


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("Sam Moor", ("drop", "--why", "moved away")),
        ("Patricia Lee", ("drop",)),
        ("Patricia Lee", ("same",)),
        ("Sam Moor", ("enroll", "--correct", "email=sam@")),
    ],
)
def test_an_answer_taken_back_is_as_if_it_had_not_been_given(
    keys: dict[str, str], name: str, words: tuple[str, ...]
) -> None:
    before = asked()
    onboard("answer", keys[name], *words)
    assert asked() != before
    listed = onboard("answer", "--answered").words
    assert f"{keys[name][:6]} " in listed
    assert f"To take one back, so that you are asked again: onboard answer {keys[name][:6]} undo" in listed  # fmt: skip
    said = onboard("answer", keys[name][:6], "undo")
    assert said.code == 1
    assert f"The answer is taken back. {name}: on hold." in said.words
    assert "2 forms still on hold." in said.words
    assert asked() == before
    assert "There is no answer to take back." in onboard("answer", "--answered").words
    assert onboard("answer", keys[name][:6], "undo").code == 2
    onboard("answer", keys[name], "enroll", "--correct", "email=sam.moor@example.org")
    assert f"{name.replace(' ', '').lower()}" in onboard("find", name).words


def test_whoever_was_the_same_person_is_found_by_their_form_no_more(keys: dict[str, str]) -> None:
    onboard("answer", keys["Patricia Lee"], "same")
    assert "patlee" in onboard("find", "patricia@example.net").words
    onboard("answer", keys["Patricia Lee"], "undo")
    found = onboard("find", "patricia@example.net").words
    assert "patlee" not in found
    assert "on hold" in found


def test_a_form_that_came_again_is_on_hold_with_the_first(
    office: Path, keys: dict[str, str]
) -> None:
    again = write_csv(office / "again.csv", [AGAIN, ("patricia  LEE", *AGAIN[1:])])
    onboard("batch", again, "--record")
    onboard("answer", keys["Patricia Lee"], "same")
    onboard("answer", keys["Patricia Lee"], "undo")
    told = onboard("batch", again, "--json").json()
    assert "already a member" not in {one.get("verdict") for one in told}
    assert onboard("answer", keys["Patricia Lee"], "enroll").code == 1  # Sam's is left


def test_no_account_is_taken_back(keys: dict[str, str]) -> None:
    onboard("answer", keys["Sam Moor"], "enroll", "--correct", "email=sam.moor@example.org")
    assert "Sam Moor" not in onboard("answer", "--answered").words
    said = onboard("answer", keys["Sam Moor"][:6], "undo")
    assert said.code == 2
    assert "Once somebody is enrolled, close the account instead: onboard close." in said.words
    assert "sammoor" in onboard("find", "Sam Moor").words


def test_wait_is_no_answer_to_take_back(keys: dict[str, str]) -> None:
    onboard("answer", keys["Sam Moor"], "wait")
    assert "There is no answer to take back." in onboard("answer", "--answered").words
    for key in ("zzz", keys["Sam Moor"]):
        assert onboard("answer", key, "undo").code == 2

"""`onboard find`, as the help desk types it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from cli.office import HEADINGS, KIM, PAT, SETTINGS, Said, onboard, write_csv

TWIN = (
    "Pat Lee",
    "other.pat@example.com",
    "740-555-0108",
    "88 Hill Rd",
    "Athens",
    "OH",
    "45701",
    "",
)


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a roster of Pat, Kim, and a second Pat Lee who lives elsewhere."""
    folder = tmp_path_factory.mktemp("desk")
    settings = folder / "onboard.toml"
    settings.write_text(SETTINGS, encoding="utf-8")
    forms = write_csv(folder / "forms.csv", [PAT, KIM, TWIN], HEADINGS)
    assert onboard("batch", forms, "--record", "--settings", settings).code in (0, 1)
    return settings


def find(desk: Path, *words: str) -> Said:
    return onboard("find", *words, "--settings", desk)


def test_one_who_is_certain_is_safe_to_open_with_a_caution(desk: Path) -> None:
    said = find(desk, "kimm", "vale", "at", "lima", "grange")
    assert said.code == 0
    assert "Kim Vale" in said.words
    assert "Kimm is one typo away from Kim" in said.words
    assert (
        "One clear match: member 2, kimvale. This does not tell you who is calling." in said.words
    )


def test_two_of_one_name_are_asked_about_and_no_more_is_shown_than_tells_them_apart(
    desk: Path,
) -> None:
    said = find(desk, "Pat Lee")
    assert said.code == 1
    assert "Not certain yet. Ask: " in said.words
    assert "Which drop site" in said.words
    shown = said.words
    assert not any(
        secret in shown for secret in ("0143", "0108", "pat.lee@", "other.pat@", "Hill Rd", "45701")
    )
    answered = find(desk, "Pat Lee lima grange 0143")
    assert answered.code == 0
    assert "member 1, patlee" in answered.words


def test_what_the_caller_got_wrong_is_not_put_right_on_the_screen(desk: Path) -> None:
    for words in ("419-555-0178", "kimm@example.net"):
        said = find(desk, words, "Kim")
        assert "Kim Vale" in said.words
        assert "0177" not in said.out
        assert "kim@example.net" not in said.out


def test_as_json(desk: Path) -> None:
    said = find(desk, "kim@example.net", "--json")
    (answer,) = said.json()
    assert (said.code, answer["safe_to_open"], answer["ask"]) == (0, True, None)
    assert [one["owner"] for one in answer["found"]] == ["member:2"]
    assert answer["found"][0]["evidence"] == ["that is one of their email addresses"]
    assert "0177" not in json.dumps(answer)


def test_nobody(desk: Path) -> None:
    said = find(desk, "zzyzx", "qqqq")
    assert said.code == 1
    assert "Nobody on the roster fits." in said.words
    assert "Ask: Which drop site do you pick up from?" in said.words


@pytest.mark.parametrize("words", ["", "???", " - - "])
def test_nothing_said(desk: Path, words: str) -> None:
    said = find(desk, words)
    assert said.code == 2
    assert "Say something about them" in said.words


def test_a_site_is_understood_as_people_write_it(desk: Path) -> None:
    assert "picks up from Lima Grange" in find(desk, "kim vale", "--site", "lima grang").words
    assert "There is no drop site 'nowhere'" in find(desk, "kim vale", "--site", "nowhere").words


def test_where_there_is_no_roster_nobody_is_found(tmp_path: Path) -> None:
    settings = tmp_path / "onboard.toml"
    settings.write_text(SETTINGS, encoding="utf-8")
    said = find(settings, "Pat Lee")
    assert (said.code, "Nobody on the roster fits." in said.words) == (1, True)
    assert not (tmp_path / "roster.db").exists()


def test_text_that_steers_a_terminal_is_shown_as_what_it_is(desk: Path) -> None:
    said = find(desk, "kim", "vale\x1b[31m[bold]x")
    assert "\x1b[31m" not in said.out


def test_trouble_at_the_page_is_handed_on(desk: Path) -> None:
    said = find(desk, "Hi, it's Kim Vale at Lima Grange, my goats are fine, it says wrong password")
    assert said.code == 0
    assert "onboard why --member kimvale" in said.words
    assert "--said 'it says wrong password'" in said.words
    assert "goats" not in said.words


def test_who_calls_for_somebody_is_told_why_there_is_no_clear_match(desk: Path) -> None:
    said = find(desk, "I'm calling for my wife, Kim Vale, Lima Grange")
    assert said.code == 1
    assert "Kim Vale" in said.words
    assert "Have the member call" in said.words
    assert "One clear match" not in said.words
    (answer,) = find(desk, "I'm calling for my wife, Kim Vale", "--json").json()
    assert (answer["safe_to_open"], answer["for_another"]) == (False, True)


def test_the_evidence_has_no_words_of_talk(desk: Path) -> None:
    said = find(desk, "uh, um, yes, it's Kim Vale at Lima Grange and the screen is blank")
    assert "Uh" not in said.words
    assert "nothing on file looks like" not in said.words

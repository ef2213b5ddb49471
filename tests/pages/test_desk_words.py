"""The words of the screens: all of them in Spanish too, and none that nobody says."""

from __future__ import annotations

import re
from importlib import resources

import pytest

from onboard.desk import rooms, words
from onboard.desk.desking import SAID
from onboard.desk.sentences import plain
from onboard.welcome import blocks

ROOM = resources.files("onboard.desk")


def said() -> set[str]:
    """Every text that a template or a room says in the language of the screen."""
    found = (
        set(words.DONE.values())
        | {
            *words.MESSAGES.values(),
            *words.WAYS.values(),
            *words.STATES.values(),
            *words.FORMS.values(),
            *words.WHEN.values(),
            *words.CHOICES.values(),
            *words.DAYS.values(),
            *words.LANGUAGE_CHOICES.values(),
            "over 99%",
            "under 1%",
        }
        | set(SAID.values())
        | {rooms.module(name).ROOM.name for name in (*rooms.ORDER, *rooms.BESIDE)}
        | {room.short for room in rooms.every() if room.short}
    )
    for folder, pattern in (
        ("templates", r"\bt\(\s*\"((?:[^\"\\]|\\.)+)\""),
        ("rooms", r"\.t\(\s*\"((?:[^\"\\]|\\.)+)\""),
        ("rooms", r"\bMistake\(\s*\"((?:[^\"\\]|\\.)+)\""),
    ):
        for file in ROOM.joinpath(folder).iterdir():
            if file.is_file():
                found |= set(re.findall(pattern, file.read_text("utf-8")))
    for module in map(rooms.module, (*rooms.ORDER, *rooms.BESIDE)):
        found |= set(getattr(module, "WORDS", ()))
    return found


def test_every_text_of_the_screens_is_there_in_spanish() -> None:
    assert sorted(said() - words.spanish().keys()) == []


def test_every_setting_on_a_page_is_there_in_spanish_and_none_is_left_over() -> None:
    from onboard.desk.rooms.settings import PARTS
    from onboard.desk.settings_form import LISTED, Part
    from onboard.settings.model import KEYS, TABLES

    keys = [key for table in (*PARTS, "group", "site") for key in Part(table).keys.values()]
    keys += [key for kind in LISTED.values() for key in KEYS[kind].values()]
    named = {key.what for key in keys} | {TABLES[table].what for table in PARTS}
    known = words.settings_spanish().keys()
    assert sorted(named - known) == []
    parts = {key.what.partition(";")[0] for key in keys} | {key.notes for key in keys}
    assert sorted(known - named - parts) == []


def test_every_table_of_the_settings_is_on_a_page_but_where_things_are_kept() -> None:
    from onboard.desk.rooms.settings import PARTS
    from onboard.settings.model import TABLES

    assert set(TABLES) - {*PARTS, "group", "site"} == {"files"}


def test_no_spanish_is_left_over() -> None:
    assert sorted(words.spanish().keys() - said()) == []


def test_no_text_is_translated_twice_and_its_names_stay() -> None:
    lines = ROOM.joinpath("spanish.tsv").read_text("utf-8").splitlines()
    pairs = [line.split("\t") for line in lines if not line.startswith("#")]
    assert len({english for english, _ in pairs}) == len(pairs)
    for english, spanish in pairs:
        assert sorted(re.findall(r"\{\w*\}", english)) == sorted(re.findall(r"\{\w*\}", spanish))


@pytest.mark.parametrize("text", ["tú ", " tu ", "vosotros", "ordenador"])
def test_spanish_is_that_of_mexico_and_puerto_rico_with_usted(text: str) -> None:
    assert not [said for said in words.spanish().values() if text in f" {said.lower()} "]


def test_on_a_screen_of_any_width_the_paragraphs_of_an_email_are_unbroken() -> None:
    said = "Bring your own bags, boxes and a cart to the drop site, and come before the truck leaves again."
    mail = blocks.read(f"# {said}\n\n{said}\nCall us.\n\n- {said}\n- Two\n\n1. {said}\n2. {said}\n")
    shown = words.unfolded(blocks.as_text(mail))
    assert shown.splitlines() == [
        said, "=" * 16, "", f"{said} Call us.", "", f"- {said}", "- Two", "", f"1. {said}", f"2. {said}",
    ]  # fmt: skip
    assert words.unfolded("") == ""
    assert words.unfolded("Hello,\n\n12 Elm St\nLima OH") == "Hello,\n\n12 Elm St\nLima OH"


def test_a_join_form_has_one_name_in_spanish() -> None:
    package = resources.files("onboard")
    tables = (
        "desk/spanish.tsv",
        "desk/sentences_spanish.tsv",
        "desk/settings_spanish.tsv",
        "porch/words.tsv",
        "porch/notes.tsv",
    )
    for table in tables:
        assert "formulario" not in package.joinpath(table).read_text("utf-8").casefold(), table


def test_a_page_offers_what_a_spreadsheet_would_have_done() -> None:
    said = "The sign-in name PLEE is also that of row 2 of old.csv: if both rows are one person, delete this one."
    assert plain(said, "en").endswith("if both rows are one person, do not bring this one in.")
    assert plain(said, "es").endswith("si las dos filas son una persona, no incorpore esta.")


def test_a_day_is_written_as_people_do_and_the_name_of_a_file_stays() -> None:
    assert (
        plain("since 2026-12-01, in audit-2026-12-01.xlsx", "en")
        == "since Dec 1, 2026, in audit-2026-12-01.xlsx"
    )

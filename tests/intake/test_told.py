"""What a person says of columns, and the lines that ask them: pasted into a shell, they say it."""

from __future__ import annotations

import shlex

import pytest

from onboard.errors import FileTrouble
from onboard.intake import recognise
from onboard.intake.told import option

ROWS = [["Ana Ruiz", "ana@example.org", "x"], ["Bo Lee", "bo@example.org", "y"]]


@pytest.mark.parametrize(
    "heading",
    ['Your "real" phone', "Who's calling?", "Cost in $HOME", "Back `up`", "Now!", "a\\b", "A = B",
     "Phone\n(home)", "  Spaces  between "],
)  # fmt: skip
def test_the_words_that_name_a_column_come_through_a_shell(heading: str) -> None:
    flag, said = shlex.split(option(heading, "phone"))
    assert "\n" not in option(heading, "phone")
    assert flag == "--column"
    named, _, field = said.rpartition("=")
    found = recognise(["Name", "Email", heading], ROWS, told={named.strip(): field})
    assert found.columns[2].field == "phone"


def test_a_column_is_told_by_the_beginning_of_its_heading() -> None:
    heads = ["Name", "Email", "Which of our sites would you like to pick up from?", "Which day?"]
    found = recognise(heads, ROWS, told={"which of our": "site"})
    assert found.columns[2].field == "site"
    with pytest.raises(FileTrouble) as trouble:
        recognise(heads, ROWS, told={"Which": "site"})
    assert str(trouble.value) == (
        '--column Which=site: 2 headings begin with "Which". Type more of the one that you mean: '
        "Which of our sites would you like to pick up from?, Which day?."
    )
    # A whole heading is that one, also where others begin with it.
    assert recognise([*heads, "Which"], ROWS, told={"Which": "site"}).columns[4].field == "site"


@pytest.mark.parametrize(
    ("headings", "cells", "field"),
    [
        (["Member", "Email"], ["Ana Ruiz", "Bo Lee"], "full_name"),
        (["Member", "First name", "Last name"], ["aruiz", "blee"], "handle"),
        (["Member", "First name", "Last name"], ["1001", "1002"], "id"),
        (["Member", "Username", "Email"], ["Ana", "Bo"], "full_name"),
    ],
)
def test_member_heads_names_or_what_members_sign_in_with(
    headings: list[str], cells: list[str], field: str
) -> None:
    found = recognise(headings, [[cell, "", ""] for cell in cells], needed=())
    assert (found.columns[0].field, found.questions) == (field, ())


def test_one_word_each_under_member_alone_is_asked_about() -> None:
    found = recognise(["Member", "Email"], [["aruiz", ""], ["blee", ""]], needed=())
    (question,) = found.questions
    assert question.ask.endswith("--column Member=full_name or --column Member=handle")


def test_every_column_of_notes_is_kept() -> None:
    found = recognise(["Name", "Email", "Notes", "Comments"], ROWS)
    assert [c.field for c in found.of("notes")] == ["notes", "notes"]
    assert found.questions == ()


def test_a_number_of_the_member_may_be_what_they_sign_in_with() -> None:
    found = recognise(["Name", "Member ID"], [["Ana Ruiz", "m17"]], needed=("name", "handle"))
    (question,) = found.questions
    assert '"Member ID"' in question.ask

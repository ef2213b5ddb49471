"""Boxes to check: an empty one is asked about once, and is no yes until somebody says so."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from onboard import intake
from onboard.clean import row
from onboard.intake.columns import recognise

ASKS = "May we email you about ordering windows?"
PEOPLE = ("Ana Ruiz", "Bo Lee", "Cy Dunn")


def sheet(
    folder: Path, cells: Sequence[str], heading: str = ASKS, told: str = "", needed: str = "email"
) -> intake.Sheet:
    file = folder / "forms.csv"
    lines = [
        f'{name},{name[:2]}@example.org,"{cell}"' for name, cell in zip(PEOPLE, cells, strict=True)
    ]
    file.write_text(f'Name,Email,"{heading}"\n' + "\n".join(lines), "utf-8")
    return intake.open_rows(file, told={heading: told} if told else None, needed=("name", needed))


def answers(of: intake.Sheet) -> list[bool | None]:
    return [row.clean(raw).consent.value for raw in of.rows()]


def test_what_an_empty_box_means_is_asked_with_each_answer_as_it_is_typed(tmp_path: Path) -> None:
    (asked,) = sheet(tmp_path, ["Yes", "", "Yes"]).columns.questions
    assert asked.fields == ("consent",)
    for empty in ("no", "yes", "ask"):
        assert f"--column '{ASKS}=consent:{empty}'" in asked.ask


@pytest.mark.parametrize(
    ("told", "second", "codes"),
    [("consent:no", False, ["consent.empty"]), ("consent:yes", True, ["consent.empty"]),
     ("consent:ask", False, ["consent.unsaid"])],
)  # fmt: skip
def test_an_empty_box_means_what_was_said(
    tmp_path: Path, told: str, second: bool, codes: list[str]
) -> None:
    found = sheet(tmp_path, ["I agree", "", "☑"], told=told)
    assert not found.columns.questions
    assert answers(found) == [True, second, True]
    bo = list(found.rows())[1]
    assert [f.code for f in row.clean(bo).findings if f.field == "consent"] == codes
    assert dict(bo.cells)[ASKS] == ""  # as it was written


def test_the_answer_is_remembered(tmp_path: Path) -> None:
    memory = tmp_path / "columns.toml"
    intake.remember(memory, sheet(tmp_path, ["x", "", ""], told="consent:no").columns)
    assert intake.recall(memory)[ASKS] == "consent:no"
    again = intake.open_rows(tmp_path / "forms.csv", remembered=intake.recall(memory))
    assert not again.columns.questions
    assert answers(again) == [True, False, False]


def test_a_column_of_yes_and_no_is_not_asked_about_and_an_empty_cell_is_no_yes(
    tmp_path: Path,
) -> None:
    found = sheet(tmp_path, ["Yes", "no", ""])
    assert not found.columns.questions
    assert answers(found) == [True, False, False]
    intake.remember(tmp_path / "columns.toml", found.columns)  # nobody has said what it means
    assert intake.recall(tmp_path / "columns.toml")[ASKS] == "consent"


def test_where_all_boxes_are_checked_there_is_nothing_to_ask(tmp_path: Path) -> None:
    assert not sheet(tmp_path, ["Yes", "Yes", "Yes"]).columns.questions


def test_a_list_of_members_asks_nobody(tmp_path: Path) -> None:
    found = sheet(tmp_path, ["Yes", "", "Yes"], needed="name")
    assert not found.columns.questions
    assert answers(found) == [True, None, True]


@pytest.mark.parametrize(
    "heading",
    ["Please do not email me", "Opt out of emails", "Check here if you do NOT want email",
     "Marque si no desea recibir correos", "No quiero recibir correos"],
)  # fmt: skip
def test_a_check_may_mean_no(tmp_path: Path, heading: str) -> None:
    found = sheet(tmp_path, ["x", "", "Yes"], heading)
    assert found.columns.columns[2].field == "opt_out"
    assert found.columns.questions
    assert answers(sheet(tmp_path, ["x", "", "Yes"], heading, "opt_out:yes")) == [
        False,
        True,
        False,
    ]
    assert answers(sheet(tmp_path, ["x", "", "Yes"], heading, "opt_out:no")) == [
        False,
        False,
        False,
    ]


@pytest.mark.parametrize(
    "heading",
    ["Is it OK to email you?", "Do you agree to receive emails from the co-op?", "Consent to email",
     "Do you want our newsletter?", "¿Acepta recibir correos?", "I agree to be contacted by email"],
)  # fmt: skip
def test_a_long_question_about_email_is_known(tmp_path: Path, heading: str) -> None:
    assert sheet(tmp_path, ["Yes", "no", "Yes"], heading).columns.columns[2].field == "consent"


@pytest.mark.parametrize(
    "heading",
    ["In what language should we write to you?", "¿En qué idioma prefiere que le escribamos?",
     "Idioma preferido / Preferred language", "Language(s) spoken at home", "Language"],
)  # fmt: skip
def test_a_column_of_languages_is_known(tmp_path: Path, heading: str) -> None:
    cells = ["Spanish", "inglés", ""]
    assert sheet(tmp_path, cells, heading).columns.columns[2].field == "language"


def test_what_columns_say_that_are_no_field_stays_with_the_row(tmp_path: Path) -> None:
    first, second, _ = sheet(tmp_path, ["I can host a site", "", "no"], "Anything else?").rows()
    assert (first.aside, second.aside) == ({"Anything else?": "I can host a site"}, {})


def test_a_box_may_say_in_its_own_words_what_was_checked(tmp_path: Path) -> None:
    cells = ["I agree to receive emails", "", "I agree to receive emails"]
    found = sheet(tmp_path, cells, "Stay in touch", "consent:no")
    assert answers(found) == [True, False, True]
    assert sheet(tmp_path, cells, "Stay in touch").columns.columns[2].field == "consent"
    terms = sheet(tmp_path, ["I agree", "", "I agree"], "Terms of membership")
    assert terms.columns.columns[2].field == ""


@pytest.mark.parametrize("heading", ["OKEMAIL", "¿Mandar correos?", "E-mail OK to send?"])
def test_a_cell_in_other_words_does_not_hide_the_no_of_others(heading: str) -> None:
    cells = [["Ana", "a@example.org", said] for said in ("Y", "N", "Y", "hates it", "Y")]
    found = recognise(["Name", "E-mail", heading], cells, needed=("name",))
    assert found.columns[2].field == "consent"
    addresses = [
        ["Ana", "a@example.org", "ana@example.org"],
        ["Bo", "b@example.org", "yes@example.org"],
    ]
    assert (
        recognise(["Name", "E-mail", "OKEMAIL 2"], addresses, needed=()).columns[2].field
        != "consent"
    )

"""The sheet of questions, from holds to file; tests/intake/test_read_answers.py fills it in."""

from __future__ import annotations

import csv
import re
import zipfile
from pathlib import Path

import pytest
from python_calamine import CalamineWorkbook

from onboard import intake
from onboard.model import (
    Answer,
    Applicant,
    Cleaned,
    Evidence,
    Hold,
    Match,
    Owner,
    Part,
    Person,
    PersonName,
    Question,
    RawRow,
    Ruling,
    Verdict,
)
from onboard.reports import answers

FIELDS = {"full_name": "Ana Ruiz", "email": "ana@", "zip": "45801", "id": "7", "extra:Van?": "no"}


def hold(
    fields: dict[str, str], *questions: Question, matches: tuple[Match, ...] = (), line: int = 2
) -> Hold:
    raw = RawRow("forms.csv", line, tuple(fields.items()), fields)
    name = fields.get("full_name", "")
    given, _, family = name.partition(" ")
    nothing: Cleaned[None] = Cleaned("", None)
    applicant = Applicant(
        raw, Cleaned(name, PersonName(given, family=family) if name else None),
        nothing, nothing, nothing, nothing, nothing, nothing, nothing, {}, {},
    )  # fmt: skip
    return Hold(applicant, questions, (), matches)


MATCH = Match(
    Person(Owner.of_member(17), "Anna", "", "Ruiz", street="12 N MAIN ST", city="LIMA"),
    Evidence(
        (
            Part("email", "a", "a", 9.1, "same email"),
            Part("given", "Ana", "Anna", 2.0, "first names alike"),
            Part("phone", "1", "2", -3.0, "other phone"),
        ),
        8.1, 0.9964, Verdict.UNCLEAR, household=True,
    ),
)  # fmt: skip
EMAIL = Question(
    "email", 'The email address ends after the "@". Ask for it.', (Answer.ENROL, Answer.DROP)
)
WHO = Question(
    "match", "Is this the same person as Anna Ruiz (member 17)?",
    (Answer.SAME, Answer.ENROL, Answer.DROP, Answer.WAIT),
)  # fmt: skip


def sheets(file: Path) -> list[list[list[object]]]:
    book = CalamineWorkbook.from_path(file)
    return [list(book.get_sheet_by_name(name).iter_rows()) for name in book.sheet_names]


def test_the_sheet_is_compared_whole(tmp_path: Path) -> None:
    file = tmp_path / "q.xlsx"
    held = hold(FIELDS, EMAIL, WHO, matches=(MATCH,))
    answers.write([held], file)
    questions, instructions = sheets(file)
    assert questions == [
        ["Name on the form", "Question", "What the form says", "Who it may be",
         "Allowed answers", "Your answer", "Same as member", "Correct: full name",
         "Correct: email", "Correct: zip",
         "Correct: phone", "Answered by", "Why", "File and row", "Form key (leave as it is)"],
        ["Ana Ruiz",
         '1. The email address ends after the "@". Ask for it.\n'
         "2. Is this the same person as Anna Ruiz (member 17)?",
         "address: 45801\nemail: ana@\nid: 7\nVan?: no",
         "Member 17: Anna Ruiz (12 N MAIN ST, LIMA), over 99% sure the same person\n"
         "Share a home or a helper\n"
         "For it: same email, first names alike\n"
         "Against it: other phone",
         "enroll, same, drop, wait", "", "", "", "", "", "", "", "", "forms.csv, row 2",
         held.applicant.raw.key],
    ]  # fmt: skip
    assert [row[0] for row in instructions] == [
        "What", "What to do", "Nothing is lost", "enroll", "same", "drop", "wait", "Your answer",
        "Same as member", "Question", "Name on the form", "What the form says", "Allowed answers",
        "Who it may be", "Answered by", "Why", "File and row", "Form key (leave as it is)",
        "Correct: …",
        "Take care",
    ]  # fmt: skip
    assert all(row[1] for row in instructions)


def test_the_answer_is_chosen_from_a_list(tmp_path: Path) -> None:
    file = tmp_path / "q.xlsx"
    answers.write([hold(FIELDS, EMAIL), hold(FIELDS, WHO, line=3)], file)
    with zipfile.ZipFile(file) as packed:
        sheet = packed.read("xl/worksheets/sheet1.xml").decode()
    assert re.search(r'type="list".*sqref="F2:F3".*"enroll,same,drop,wait"', sheet)
    assert 'state="frozen"' in sheet


@pytest.mark.parametrize(
    ("sure", "words"),
    [
        (1.0, "over 99% sure"),
        (0.9999, "over 99% sure"),
        (0.5, "50% sure"),
        (0.001, "under 1% sure"),
    ],
)
def test_nothing_uncertain_is_called_certain(sure: float, words: str) -> None:
    assert Evidence((), 0.0, sure, Verdict.UNCLEAR).sure == words


def test_a_form_without_a_name_and_a_match_on_hold_have_words_too(tmp_path: Path) -> None:
    other = Match(
        Person(Owner.of_row("abc"), "Bo", "", "Lee"), Evidence((), 0.0, 0.5, Verdict.UNCLEAR)
    )
    file = tmp_path / "q.csv"
    answers.write([hold({"full_name": "", "email": ""}, WHO, matches=(other,))], file)
    text = file.read_text("utf-8-sig")
    assert '"(no name)"' in text
    assert "Another form on hold: Bo Lee, 50% sure the same person" in text


def test_what_a_stranger_typed_is_not_live(tmp_path: Path) -> None:
    file = tmp_path / "q.csv"
    answers.write([hold({"full_name": '=HYPERLINK("http://example.org")'}, WHO)], file)
    assert '"\'=HYPERLINK(""http://example.org"")' in file.read_text("utf-8-sig")


def test_a_sheet_that_was_there_is_kept(tmp_path: Path) -> None:
    file = tmp_path / "q.csv"
    file.write_text("answered by hand", "utf-8")
    answers.write([hold(FIELDS, WHO)], file)
    assert (tmp_path / "q (earlier).csv").read_text("utf-8") == "answered by hand"
    assert file.read_text("utf-8-sig").startswith('"Name on the form"')


def test_a_sheet_that_is_filled_in_is_read_back(tmp_path: Path) -> None:
    file = tmp_path / "q.csv"
    held = [hold(FIELDS, WHO, matches=(MATCH,)), hold(FIELDS | {"zip": "45804"}, EMAIL, line=3)]
    answers.write(held, file)
    with file.open(encoding="utf-8-sig", newline="") as stream:
        head, *lines = csv.reader(stream)
    lines[0][head.index("Your answer")] = "same as 17"
    lines[1][head.index("Your answer")] = "Enroll"
    lines[1][head.index("Correct: email")] = "ana@example.org"
    with file.open("w", encoding="utf-8-sig", newline="") as stream:
        csv.writer(stream).writerows([head, *lines])
    keys = [h.applicant.raw.key for h in held]
    assert intake.read_answers(file, by="Pat") == (
        Ruling(keys[0], Answer.SAME, "Pat", member="member:17"),
        Ruling(keys[1], Answer.ENROL, "Pat", corrections={"email": "ana@example.org"}),
    )

"""Sheets of questions as people hand them back, in XLSX, ODS and CSV."""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path

import pytest
import xlsxwriter
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from onboard.errors import FileTrouble
from onboard.intake import read_answers
from onboard.model import Answer, Ruling
from onboard.tables import answer_sheet

KEY, OTHER = "0123456789abcdef01234567", "89abcdef0123456789abcdef"
HEADS = {name: column.heading for name, column in answer_sheet.columns().items()}


def table(*lines: dict[str, object]) -> list[list[object]]:
    """Rows under the headings of the sheet; a key that is no column is a field to correct."""
    names = [*HEADS, "email", "zip", "state", "full_name"]
    heads = [HEADS.get(name, answer_sheet.correction(name)) for name in names]
    filled = ({"row": KEY, "by": "Pat", "known": "Ana Ruiz"} | line for line in lines)
    return [heads, *([line.get(name, "") for name in names] for line in filled)]


def to_csv(file: Path, rows: list[list[object]]) -> Path:
    with file.open("w", newline="", encoding="utf-8-sig") as stream:
        csv.writer(stream).writerows(rows)
    return file


def to_xlsx(file: Path, rows: list[list[object]]) -> Path:
    with xlsxwriter.Workbook(str(file)) as book:
        book.add_worksheet("Instructions").write(0, 0, "What")
        sheet = book.add_worksheet("Questions")
        for r, row in enumerate(rows):
            sheet.write_row(r, 0, row)
    return file


def to_ods(file: Path, rows: list[list[object]]) -> Path:
    book = OpenDocumentSpreadsheet()
    sheet = Table(name="Questions")
    for row in rows:
        line = TableRow()
        for value in row:
            number = isinstance(value, int)
            cell = (
                TableCell(valuetype="float", value=value)
                if number
                else TableCell(valuetype="string")
            )
            cell.addElement(P(text=str(value)))
            line.addElement(cell)
        sheet.addElement(line)
    book.spreadsheet.addElement(sheet)
    book.save(str(file))
    return file


WRITERS = [(to_csv, ".csv"), (to_xlsx, ".xlsx"), (to_ods, ".ods")]


@pytest.mark.parametrize(("write", "suffix"), WRITERS)
def test_an_answered_sheet_gives_its_rulings(
    tmp_path: Path, write: Callable[[Path, list[list[object]]], Path], suffix: str
) -> None:
    lines = table(
        {
            "answer": "Enrol ",
            "email": "ana@example.org",
            "zip": 1002,
            "state": "MA",
            "why": "asked",
        },
        {"answer": "", "row": "f" * 24},
        {"answer": "same", "member": 17, "row": OTHER, "by": "Lee"},
    )
    assert read_answers(write(tmp_path / f"a{suffix}", lines)) == (
        Ruling(KEY, Answer.ENROL, "Pat", "asked", None,
               {"email": "ana@example.org", "zip": "01002", "state": "MA"}),
        Ruling(OTHER, Answer.SAME, "Lee", "", "member:17", {}),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("said", "member", "answer", "owner"),
    [
        ("enrol", "", Answer.ENROL, ""), ("ENROLL", "", Answer.ENROL, ""),
        (" Enrol.", "", Answer.ENROL, ""), ("new", "", Answer.ENROL, ""),
        ("New person", "", Answer.ENROL, ""), ("nueva", "", Answer.ENROL, ""),
        ("same as 17", "", Answer.SAME, "member:17"),
        ("Same as member 17", "", Answer.SAME, "member:17"),
        ("same #17", "", Answer.SAME, "member:17"), ("SAME 17", "17", Answer.SAME, "member:17"),
        ("same as member:17", "", Answer.SAME, "member:17"),
        ("misma que 17", "", Answer.SAME, "member:17"),
        ("same", "17.0", Answer.SAME, "member:17"), ("same", "#17", Answer.SAME, "member:17"),
        ("same", "member 17", Answer.SAME, "member:17"), ("same", "017", Answer.SAME, "member:17"),
        ("same", "17 Anna Ruiz", Answer.SAME, "member:17"),
        ("drop", "", Answer.DROP, ""), ("Do not enroll", "", Answer.DROP, ""),
        ("don't enrol", "", Answer.DROP, ""), ("wait", "", Answer.WAIT, ""),
        ("later", "", Answer.WAIT, ""),
    ],
)  # fmt: skip
def test_answers_are_read_as_people_write_them(
    tmp_path: Path, said: str, member: str, answer: Answer, owner: str
) -> None:
    file = to_csv(tmp_path / "a.csv", table({"answer": said, "member": member}))
    (ruling,) = read_answers(file)
    assert (ruling.answer, ruling.member or "") == (answer, owner)


@pytest.mark.parametrize(
    ("line", "mistake"),
    [
        ({"answer": "maybe"}, '"maybe" is not an answer here. Write enroll, same, drop or wait'),
        ({"answer": "yes"}, '"yes" is not an answer here. Write enroll, same, drop or wait'),
        ({"answer": "name"}, '"name" is not an answer here. Write enroll, same, drop or wait'),
        ({"answer": "same", "member": "17", "allowed": "enrol, drop, wait"},
         '"same" is not an answer here. Write enroll, drop or wait'),
        ({"answer": "same"}, '"same" needs the member\'s number, such as 17'),
        ({"answer": "same", "member": "Anna"},
         '"Anna" is not a member\'s number. Write a number such as 17'),
        ({"answer": "same as 18", "member": "17"},
         '"same as 18" and member "17" are two members. Leave one'),
        ({"answer": "enrol", "member": "17"},
         '"enroll" takes no member (17). Empty that cell, or answer "same"'),
        ({"email": "a@example.org"},
         "it is filled in, but has no answer. Write enroll, same, drop or wait"),
        ({"answer": "enrol", "row": "1.2E+23"},
         'the form key "1.2E+23" was changed. Copy it from the sheet as it was made'),
        ({"answer": "enrol", "by": ""}, "it does not say who answered. Write a name"),
    ],
)  # fmt: skip
def test_a_line_that_cannot_be_used_says_why(
    tmp_path: Path, line: dict[str, object], mistake: str
) -> None:
    file = to_csv(tmp_path / "a.csv", table(line))
    with pytest.raises(FileTrouble) as raised:
        read_answers(file)
    assert str(raised.value) == (
        f"{file}: nothing was taken from it. Fix these rows, and give it again:\n- row 2 (Ana Ruiz): {mistake}."
    )


def test_every_bad_line_is_listed(tmp_path: Path) -> None:
    file = to_csv(
        tmp_path / "a.csv",
        table({"answer": "maybe"}, {"answer": "enrol"}, {"answer": "drop"}, {"answer": "??"}),
    )
    with pytest.raises(FileTrouble) as raised:
        read_answers(file)
    assert [line.partition(" (")[0] for line in str(raised.value).splitlines()[1:]] == [
        "- row 2", "- row 4",
    ]  # fmt: skip
    assert "row 3 gives this form another answer" in str(raised.value)


def test_what_an_earlier_sheet_allows_is_said_as_people_write_it_now(tmp_path: Path) -> None:
    sheet = table({"answer": "enroll", "allowed": "enrol, drop"})
    (ruling,) = read_answers(to_csv(tmp_path / "a.csv", sheet))
    assert ruling.answer is Answer.ENROL
    sheet = table({"answer": "rop", "allowed": "enrol, drop"})
    with pytest.raises(FileTrouble, match=r'"rop" is not an answer here. Write enroll or drop'):
        read_answers(to_csv(tmp_path / "b.csv", sheet))
    sheet[0] = ["File and line" if head == "File and row" else head for head in sheet[0]]
    sheet[0] = ["Row key (leave as it is)" if head == HEADS["row"] else head for head in sheet[0]]
    with pytest.raises(FileTrouble, match=r"Write enroll or drop"):
        read_answers(to_csv(tmp_path / "c.csv", sheet))


def test_the_same_answer_twice_is_one(tmp_path: Path) -> None:
    file = to_csv(tmp_path / "a.csv", table({"answer": "drop"}, {"answer": "Drop"}))
    assert len(read_answers(file)) == 1


def test_who_gives_the_sheet_stands_for_who_answered(tmp_path: Path) -> None:
    file = to_csv(tmp_path / "a.csv", table({"answer": "drop", "by": ""}))
    assert read_answers(file, by="sam")[0].by == "sam"


def test_a_correction_may_empty_a_field_and_guards_are_taken_off(tmp_path: Path) -> None:
    file = to_csv(
        tmp_path / "a.csv",
        table({"answer": "enrol", "email": "-", "full_name": "'-Lee", "why": "'=?"}),
    )
    (ruling,) = read_answers(file)
    assert ruling.corrections == {"email": "", "full_name": "-Lee"}
    assert ruling.why == "=?"


def test_columns_may_be_moved_and_left_out(tmp_path: Path) -> None:
    rows: list[list[object]] = [["Row key", "Remarks", "Answer"], [KEY, "x", "drop"]]
    assert read_answers(to_csv(tmp_path / "a.csv", rows), by="Pat") == (
        Ruling(KEY, Answer.DROP, "Pat"),
    )


def test_a_file_of_join_forms_is_no_sheet_of_questions(tmp_path: Path) -> None:
    file = to_csv(tmp_path / "a.csv", [["Name", "Email"], ["Ana", "ana@example.org"]])
    with pytest.raises(FileTrouble, match="is not a sheet of questions"):
        read_answers(file)

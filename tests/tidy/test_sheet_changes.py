"""A list that nobody brought in is put right: what the audit proposes for its cells, and a copy with it."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from cli.office import SETTINGS, onboard, write_csv
from python_calamine import CalamineWorkbook

from onboard.reports import cells

HEADINGS = ("Sign-in name", "First", "Last", "Email", "Phone", "Street", "Unit", "City", "State", "ZIP", "Drop site",
            "Color")  # fmt: skip
ROWS = [
    ("patlee", "PAT", "LEE", "<pat.lee@example.org>", "(419) 234-1000", "12 N Main St", "4", "Lima", "OH", "45801",
     "Lima Grange", "red"),
    ("kimvale", "Kim", "Vale", "kim.vale@example.org", "cell 419 234 1001", "9 Ash Street, Apt 2", "", "Lima", "OH",
     "45801", "Lima Grange", "=1+1"),
    ("anav", "Vélez, Ana", "", "ana@gmial.com", "419.234.1002", "77 Elm St", "", "Springfield", "MA", "1103",
     "Lima Grange", ""),
    ("loud", "Lou", "Darby", "lou@example.org", "419-234-1003", "3 Rail St", "", "Lima", "OH", "45801", "Lima Grange",
     "green"),
]  # fmt: skip


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    (tmp_path / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    write_csv(tmp_path / "list.csv", ROWS, HEADINGS)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def proposed(folder: Path) -> list[dict[str, str]]:
    """The rows of the file of changes."""
    sheet = CalamineWorkbook.from_path(folder / "changes.xlsx").get_sheet_by_index(0)
    head, *rows = sheet.to_python()
    return [dict(zip(map(str, head), map(str, row), strict=True)) for row in rows]


def approved(office: Path, *but: tuple[str, str]) -> Path:
    """The changes with a yes, but for those of these rows and columns."""
    onboard("audit", "list.csv", "--to", "out")
    rows = proposed(office / "out")
    for row in rows:
        row["Approve"] = "no" if (row["Row"].removesuffix(".0"), row["Column"]) in but else "yes"
    return write_csv(office / "approved.csv", [tuple(r.values()) for r in rows], tuple(rows[0]))


def cells_of(file: Path) -> list[list[str]]:
    with file.open(encoding="utf-8-sig", newline="") as lines:
        return list(csv.reader(lines))


def test_each_cell_that_a_rule_would_fix_is_a_row_with_what_is_there_and_why(office: Path) -> None:
    said = onboard("audit", "list.csv", "--to", "out")
    assert "changes.xlsx" in said.words
    assert "7 changes proposed" in said.words
    told = {
        (r["File"], r["Row"].removesuffix(".0"), r["Column"]): (r["Now"], r["Change to"])
        for r in proposed(office / "out")
    }
    assert told == {
        ("list.csv", "2", "First"): ("PAT", "Pat"),
        ("list.csv", "2", "Last"): ("LEE", "Lee"),
        ("list.csv", "2", "Email"): ("<pat.lee@example.org>", "pat.lee@example.org"),
        ("list.csv", "3", "Phone"): ("cell 419 234 1001", "(419) 234-1001"),
        ("list.csv", "4", "First"): ("Vélez, Ana", "Ana"),
        ("list.csv", "4", "Last"): ("", "Vélez"),
        ("list.csv", "4", "ZIP"): ("1103", "01103"),
    }
    assert all(row["Reason"] and row["Approve"] == "" for row in proposed(office / "out"))
    how = CalamineWorkbook.from_path(office / "out" / "changes.xlsx").get_sheet_by_index(1)
    assert any(
        "onboard tidy audit/changes.xlsx --of list.csv" in str(cell)
        for row in how.to_python()
        for cell in row
    )


def test_a_copy_has_the_approved_changes_and_everything_else_as_it_was(office: Path) -> None:
    file = approved(office, ("2", "Last"))
    before = (office / "list.csv").read_bytes()
    seen = onboard("tidy", file, "--of", "list.csv")
    assert "6 approved changes: 6 would be made" in seen.words
    said = onboard("tidy", file, "--of", "list.csv", "--to", "fixed.csv")
    assert (said.code, "Your own list is as it was." in said.words) == (0, True)
    assert (office / "list.csv").read_bytes() == before
    was, now = cells_of(office / "list.csv"), cells_of(office / "fixed.csv")
    changed = {
        (line, was[0][at]): cell
        for line, row in enumerate(now, start=1)
        for at, cell in enumerate(row)
        if cell.lstrip("'") != was[line - 1][at]
    }
    assert changed == {
        (2, "First"): "Pat", (2, "Email"): "pat.lee@example.org", (3, "Phone"): "(419) 234-1001",
        (4, "First"): "Ana", (4, "Last"): "Vélez", (4, "ZIP"): "01103",
    }  # fmt: skip
    again = onboard("tidy", file, "--of", "fixed.csv")
    assert "0 would be made, 6 already done, 0 skipped" in again.words


def test_a_copy_of_a_workbook_has_all_its_sheets(office: Path) -> None:
    pages = cells.Page("Members", HEADINGS, ROWS), cells.Page("Notes", ("Ask Robin",), [])
    cells.write(office / "list.xlsx", *pages)
    onboard("audit", "list.xlsx", "--sheet", "Members", "--to", "out")
    rows = [("yes", *list(row.values())[1:]) for row in proposed(office / "out")]
    write_csv(office / "approved.csv", rows, tuple(proposed(office / "out")[0]))
    said = onboard(
        "tidy", "approved.csv", "--of", "list.xlsx", "--sheet", "Members", "--to", "fixed.xlsx"
    )
    assert said.code == 0, said.err
    book = CalamineWorkbook.from_path(office / "fixed.xlsx")
    assert book.sheet_names == ["Members", "Notes"]
    assert book.get_sheet_by_name("Members").to_python()[1][1] == "Pat"
    assert book.get_sheet_by_name("Notes").to_python() == [["Ask Robin"]]


@pytest.mark.parametrize("there", ["list.csv", "other.csv"])
def test_no_file_is_overwritten(office: Path, there: str) -> None:
    file = approved(office)
    (office / "other.csv").write_text("mine", "utf-8")
    before = (office / there).read_bytes()
    said = onboard("tidy", file, "--of", "list.csv", "--to", there)
    assert (said.code, "is there already" in said.err) == (2, True)
    assert (office / there).read_bytes() == before


def test_a_cell_that_was_changed_meanwhile_is_left_and_told(office: Path) -> None:
    file = approved(office)
    rows = [list(row) for row in ROWS]
    rows[0][1] = "Patricia"
    write_csv(office / "list.csv", [tuple(row) for row in rows[:2]], HEADINGS)
    said = onboard("tidy", file, "--of", "list.csv", "--to", "fixed.csv")
    assert said.code == 1
    assert "row 2, First: the cell now says “Patricia”; skipped." in said.words
    assert "row 4, ZIP: there is no such row; skipped." in said.words
    assert cells_of(office / "fixed.csv")[1][1] == "Patricia"


def test_the_two_kinds_of_changes_are_told_apart(office: Path) -> None:
    file = approved(office)
    said = onboard("tidy", file)
    assert (said.code, "Name the spreadsheet: onboard tidy" in said.err) == (2, True)
    said = onboard("tidy", "list.csv", "--of", "list.csv")
    assert (said.code, "holds no changes of a spreadsheet" in said.err) == (2, True)
    said = onboard("tidy", "list.csv", "--to", "x.csv")
    assert (said.code, "Name the spreadsheet with --of." in said.err) == (2, True)
    write_csv(
        office / "odd.csv",
        [("perhaps", "2", "First", "PAT", "Pat")],
        ("Approve", "Row", "Column", "Now", "Change to"),
    )
    said = onboard("tidy", "odd.csv", "--of", "list.csv")
    assert (said.code, '"perhaps" under Approve is neither yes nor no' in said.err) == (2, True)

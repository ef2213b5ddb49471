"""Files that are small on disk and would fill a machine's memory, or are endlessly wide."""

from __future__ import annotations

import resource
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
import xlsxwriter

from onboard import intake
from onboard.errors import FileTrouble

HEADINGS = ["Name", "Email", "ZIP"]
ROWS = [[f"Pat Lee{n}", f"pat{n}@example.org", "45801"] for n in range(200)]
LAST = (1_048_575, 16_383)  # XFD1048576

READ = """
import sys
from pathlib import Path
from onboard import intake
sheet = intake.open_rows(Path(sys.argv[1]))
print(sum(1 for _ in sheet.rows()), len(sheet.columns.headings), *sheet.notes)
"""


def xlsx(file: Path, *far: tuple[int, int]) -> Path:
    with xlsxwriter.Workbook(str(file)) as book:
        sheet = book.add_worksheet("Forms")
        for number, row in enumerate([HEADINGS, *ROWS]):
            sheet.write_row(number, 0, row)
        for row, column in far:
            sheet.write(row, column, "x")
    return file


def ods(file: Path, *far: tuple[int, int]) -> Path:
    """As a spreadsheet program writes it: empty rows and cells are counted, not written."""

    def cell(text: str) -> str:
        return f'<table:table-cell office:value-type="string"><text:p>{text}</text:p></table:table-cell>'

    rows = [
        f"<table:table-row>{''.join(map(cell, row))}</table:table-row>" for row in [HEADINGS, *ROWS]
    ]
    at = len(rows)
    for row, column in far:
        empty = f'<table:table-cell table:number-columns-repeated="{column or 1}"/>'
        rows.append(
            f'<table:table-row table:number-rows-repeated="{row - at}">{empty}</table:table-row>'
        )
        rows.append(f"<table:table-row>{empty if column else ''}{cell('x')}</table:table-row>")
        at = row + 1
    names = "".join(
        f' xmlns:{name}="urn:oasis:names:tc:opendocument:xmlns:{name}:1.0"'
        for name in ("office", "table", "text")
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as book:
        book.writestr("mimetype", kind, zipfile.ZIP_STORED)
        book.writestr(
            "content.xml",
            f"<office:document-content{names}><office:body><office:spreadsheet>"
            f'<table:table table:name="Forms">{"".join(rows)}</table:table>'
            "</office:spreadsheet></office:body></office:document-content>",
        )
        book.writestr(
            "META-INF/manifest.xml",
            '<m:manifest xmlns:m="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
            f'<m:file-entry m:full-path="/" m:media-type="{kind}"/></m:manifest>',
        )
    return file


def read_in_a_gigabyte(file: Path) -> str:
    """What a small process says of the file: how many rows and columns, and the notes."""
    done = subprocess.run(
        [sys.executable, "-c", READ, file],
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (1 << 30, 1 << 30)),
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-500:]
    return done.stdout.strip()


@pytest.mark.parametrize("write", [xlsx, ods])
@pytest.mark.parametrize(
    ("far", "called"),
    [(LAST, "XFD1048576"), ((1_048_575, 0), "A1048576"), ((300, 16_383), "XFD301")],
)
def test_one_far_cell_takes_no_room(
    tmp_path: Path, write: object, far: tuple[int, int], called: str
) -> None:
    assert callable(write)
    file = write(tmp_path / f"forms.{write.__name__}", far)
    assert read_in_a_gigabyte(file) == (
        f"200 3 Cell {called} is far from the table and was not read. Clear it, or move it."
    )


def test_the_rows_of_a_file_with_far_cells_are_those_of_one_without(tmp_path: Path) -> None:
    whole = [row.cells for row in intake.open_rows(xlsx(tmp_path / "a.xlsx")).rows()]
    for write in (xlsx, ods):
        file = write(tmp_path / f"far.{write.__name__}", (500_000, 9000), LAST)
        sheet = intake.open_rows(file)
        assert [row.cells for row in sheet.rows()] == whole
        assert sheet.notes == (
            "2 cells are far from the table and were not read: MHE500001, XFD1048576. Clear them,"
            " or move them.",
        )


def test_cells_scattered_all_over_a_sheet_are_trouble(tmp_path: Path) -> None:
    file = xlsx(tmp_path / "a.xlsx", *((900 * n, 150 * n) for n in range(1, 110)))
    with pytest.raises(FileTrouble, match="Copy the table into a new file"):
        intake.open_rows(file)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("Name,Email," + "x" * 50_000_000 + "\nPat,pat@example.org,1\n", "The first line of"),
        ("Name,Email" + ",abcdefgh" * 6_000_000 + "\nPat,pat@example.org,1\n", "The first line of"),
        (",".join(f"c{n}" for n in range(100_000)) + "\nPat,1\n", "100,000 columns"),
        ('Name,Email,"' + "x,\n" * 100_000 + "Pat,pat@example.org,1\n", "quotation mark"),
    ],
    ids=["long", "long and wide", "wide", "a lost quotation mark"],
)
def test_endless_headings_are_refused_at_once(tmp_path: Path, text: str, why: str) -> None:
    file = tmp_path / "forms.csv"
    file.write_text(text)
    with pytest.raises(FileTrouble, match=why):
        intake.open_rows(file)


def test_a_workbook_of_endless_width_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "wide.xlsx"
    with xlsxwriter.Workbook(str(file)) as book:
        book.add_worksheet("Forms").write_row(0, 0, [f"c{n}" for n in range(16_384)])
    with pytest.raises(FileTrouble, match="Row 1 has 16,384 columns"):
        intake.open_rows(file)


def test_a_wide_survey_is_read(tmp_path: Path) -> None:
    file = tmp_path / "forms.csv"
    questions = [f"Question {n}" for n in range(300)]
    file.write_text(",".join([*HEADINGS, *questions]) + "\n" + ",".join(ROWS[0]) + "," * 300 + "\n")
    assert len(list(intake.open_rows(file).rows())) == 1

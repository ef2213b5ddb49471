"""Writes spreadsheets, CSV and XLSX, in which nothing that a stranger typed is ever live.

Whoever fills in a join form can type `=HYPERLINK(...)` as a name; a spreadsheet program that
opens our file must not run it (OWASP, "CSV Injection"). All spreadsheets are written here.
"""

from __future__ import annotations

import csv
import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from io import BytesIO, StringIO
from itertools import chain, islice
from math import ceil, inf
from pathlib import Path
from tempfile import NamedTemporaryFile, TemporaryDirectory
from typing import Any

import xlsxwriter
from xlsxwriter.exceptions import XlsxWriterException

from onboard import unfinished
from onboard.errors import FileTrouble
from onboard.guard import guard, is_live

LONGEST = 32_767  # UTF-16 units in a cell: the limit that spreadsheet programs state
MOST_ROWS = 1_048_576  # of a sheet, headings included

# What XML 1.0 section 2.2 cannot hold, apart from lone surrogates, which become U+FFFD.
_UNWRITABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_SURROGATE = re.compile("[\ud800-\udfff]")


def writable(text: str) -> str:
    """`text` as a cell can hold it: without control characters, cut where it is too long."""
    if text.isascii() and text.isprintable() and len(text) <= LONGEST:
        return text
    text = _UNWRITABLE.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
    text = _SURROGATE.sub("\ufffd", text)
    if len(text) > LONGEST // 2 and _units(text) > LONGEST:
        mark = f" … [cut: {len(text):,} characters in all]"
        room = LONGEST - _units(mark)
        kept = text.encode("utf-16-le")[: 2 * room].decode("utf-16-le", "ignore")
        text = kept + mark
    return text


def _units(text: str) -> int:
    return len(text.encode("utf-16-le")) // 2


@dataclass(frozen=True, slots=True)
class Page:
    """One sheet: headings, and rows of texts and numbers that may be more than memory holds.

    `choices` gives the allowed texts of a column by its heading: a drop-down list in XLSX.
    `filled_in` are the headings of columns that a person writes into, shown in colour; those of
    `unread` are for programs and come last: they make no row higher, and are not printed. What is `read_only_once`, such as
    instructions, gets no filters.
    """

    name: str
    headings: Sequence[str]
    rows: Iterable[Sequence[object]]
    widths: Mapping[str, float] = field(default_factory=dict)  # characters, by heading
    choices: Mapping[str, Sequence[str]] = field(default_factory=dict)
    filled_in: frozenset[str] = frozenset()
    unread: frozenset[str] = frozenset()
    read_only_once: bool = False


def write(file: Path, *pages: Page) -> None:
    """Writes `pages` to `file`: a sheet each in XLSX; in CSV the first alone.

    The file is there whole or not at all. Raises `FileTrouble` when it cannot be written, or
    its name ends otherwise.
    """
    kinds = {".csv": _write_csv, ".xlsx": _write_xlsx}
    if file.suffix.casefold() not in kinds:
        raise FileTrouble(f"{file}: write to a file whose name ends in .xlsx or .csv.")
    beside: Path | None = None
    unfinished.sweep(file.parent)
    try:
        with NamedTemporaryFile(
            dir=file.parent, prefix=unfinished.prefix(), suffix=unfinished.SUFFIX, delete=False
        ) as part:
            beside = Path(part.name)
        kinds[file.suffix.casefold()](beside, pages)
        os.replace(beside, file)  # noqa: PTH105 — one step, so that nobody sees half a file
        beside = None
    except (OSError, XlsxWriterException) as error:
        reason = getattr(error, "strerror", None) or error
        raise FileTrouble(
            f"{file} cannot be written ({reason}). If it is open in another program, close it "
            "there; else choose another place."
        ) from error
    finally:
        if beside is not None:
            beside.unlink(missing_ok=True)


def _text(value: object) -> str:
    return "" if value is None else writable(str(value))


# ---------------------------------------------------------------- CSV


def _write_csv(file: Path, pages: Sequence[Page]) -> None:
    """UTF-8 with a byte order mark, by which spreadsheet programs know it; every cell in quotes,
    so that no separator inside a cell begins a new one (OWASP again)."""
    page = pages[0]
    with file.open("w", encoding="utf-8-sig", newline="") as stream:
        writer = csv.writer(stream, quoting=csv.QUOTE_ALL)
        for row in chain((page.headings,), page.rows):
            if isinstance(row, Lines):
                stream.write(row)
            else:
                writer.writerow(_safe(row))


class Lines(str):
    """Rows that are lines of CSV already."""

    __slots__ = ()


def csv_lines(rows: Iterable[Sequence[object]]) -> Lines:
    """The lines that `write` makes of these rows, to be given to it in place of them; so other processes can make them."""
    stream = StringIO(newline="")
    csv.writer(stream, quoting=csv.QUOTE_ALL).writerows(map(_safe, rows))
    return Lines(stream.getvalue())


def _safe(row: Sequence[object]) -> list[object]:
    return [v if isinstance(v, (int, float)) else _safe_text(v) for v in row]


def _safe_text(value: object) -> str:
    """A cell of CSV; most begin with a letter or a digit and are as they should be, and a list may have many millions."""
    if isinstance(value, str) and value[:1].isalnum() and value.isascii() and value.isprintable():
        return value if len(value) <= LONGEST else guard(writable(value))
    return guard(_text(value))


# ---------------------------------------------------------------- XLSX

_WIDTH = 18.0  # characters of a column that nothing is said of
_PAPER = 180.0  # characters that can be read on one sheet of paper lying down
_FONT = {"font_name": "Calibri", "font_size": 11}
_WRAPPED = {**_FONT, "text_wrap": True, "valign": "top", "bottom": 1, "bottom_color": "#D9D9D9"}
_FILLED_IN = {**_WRAPPED, "bg_color": "#FFF8DC", "border": 1, "border_color": "#D9D9D9"}
_HEADING = {
    **_WRAPPED,
    "bold": True,
    "bg_color": "#DCE6F1",
    "bottom_color": "black",
    "valign": "vcenter",
}


def _write_xlsx(file: Path, pages: Sequence[Page]) -> None:
    # What members wrote stays where the file is to be, in a folder of its own that goes with all
    # that a full disk leaves behind; and the workbook is packed in memory, as a packer that is
    # stopped half-way by a full disk cannot be closed.
    packed = BytesIO()
    with TemporaryDirectory(
        dir=file.parent, prefix=unfinished.prefix(), suffix=unfinished.SUFFIX
    ) as folder:
        options = {
            "constant_memory": True,
            "tmpdir": folder,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
            "nan_inf_to_errors": True,
        }
        with xlsxwriter.Workbook(packed, options) as book:
            formats = _Formats(book)
            taken: set[str] = set()
            for page in pages:
                rows = iter(page.rows)
                _write_sheet(book, formats, page, islice(rows, MOST_ROWS - 1), taken)
                for row in rows:  # what one sheet cannot hold goes on in a further one
                    rest = chain((row,), islice(rows, MOST_ROWS - 2))
                    _write_sheet(book, formats, page, rest, taken)
    file.write_bytes(packed.getbuffer())


class _Formats:
    """The looks of cells in one workbook; `quoted` ones stay text when somebody edits them."""

    def __init__(self, book: xlsxwriter.Workbook) -> None:
        self.heading = book.add_format(_HEADING)
        self.plain = book.add_format(_WRAPPED)
        self.filled_in = book.add_format(_FILLED_IN)
        self.unread = book.add_format(
            {**_WRAPPED, "text_wrap": False, "align": "fill", "font_color": "#808080"}
        )
        self.quoted = book.add_format({**_WRAPPED, "quote_prefix": True})


def _write_sheet(
    book: xlsxwriter.Workbook,
    formats: _Formats,
    page: Page,
    rows: Iterator[Sequence[object]],
    taken: set[str],
) -> None:
    sheet = book.add_worksheet(_sheet_name(page.name, taken))
    widths = [page.widths.get(heading, _WIDTH) for heading in page.headings]
    sheet.set_row(0, _height(page.headings, [0.85 * width for width in widths]))  # bold is wider
    for column, heading in enumerate(page.headings):
        look = _look(formats, page, heading)
        sheet.set_column(column, column, widths[column], look)
        sheet.write_string(0, column, writable(heading), formats.heading)
    sheet.freeze_panes(1, 1)
    read = [inf if h in page.unread else w for h, w in zip(page.headings, widths, strict=True)]
    last = 0
    for last, row in enumerate(rows, start=1):
        sheet.set_row(last, _height(row, read))
        for column, value in enumerate(row):
            heading = page.headings[column] if column < len(page.headings) else ""
            filled_in, look = heading in page.filled_in, _look(formats, page, heading)
            if isinstance(value, (int, float)) and not isinstance(value, bool):
                sheet.write_number(last, column, value, look)
                continue
            text = _text(value)
            if not text:
                sheet.write_blank(last, column, None, look)
            else:
                live = is_live(text) and not filled_in
                sheet.write_string(last, column, text, formats.quoted if live else look)
    if page.headings and not page.read_only_once:
        sheet.autofilter(0, 0, last, len(page.headings) - 1)
    for column, heading in enumerate(page.headings):
        if heading in page.choices and last:
            choice = {"validate": "list", "source": list(page.choices[heading])}
            sheet.data_validation(1, column, last, column, choice | {"error_type": "warning"})
    sheet.set_landscape()
    sheet.repeat_rows(0)
    sheet.set_footer("&L&A&RPage &P of &N")
    printed = [w for w in read if w != inf]
    if last and 0 < len(printed) < len(read):  # they come last, and paper has no use for them
        sheet.print_area(0, 0, last, len(printed) - 1)
    across = max(1, ceil(sum(printed) / _PAPER))
    sheet.fit_to_pages(across, 0)
    if across > 1:
        sheet.repeat_columns(0)


def _look(formats: _Formats, page: Page, heading: str) -> Any:
    if heading in page.unread:
        return formats.unread
    return formats.filled_in if heading in page.filled_in else formats.plain


def _height(row: Sequence[object], widths: Sequence[float]) -> float:
    """Points that the fullest cell of a row needs; not every program finds out by itself."""
    most = 1
    for value, width in zip(row, widths, strict=False):
        if isinstance(value, str) and (len(value) > width or "\n" in value):
            room = max(1.0, width)
            lines = sum(max(1, ceil(len(line) / room)) for line in value[:5_000].split("\n"))
            most = max(most, lines)
    return min(15.0 * most, 409.0)  # the highest row that spreadsheet programs have


def _sheet_name(name: str, taken: set[str]) -> str:
    """A name that a sheet may have: 31 characters, none of []:*?/\\, unlike the others."""
    base = re.sub(r"[\[\]:*?/\\]", " ", writable(name)).strip(" '\n\t")[:31] or "Sheet"
    if base.casefold() == "history":
        base += "_"  # a name that the most used program keeps for itself
    unlike, count = base, 1
    while unlike.casefold() in taken:
        count += 1
        mark = f" ({count})"
        unlike = base[: 31 - len(mark)] + mark
    taken.add(unlike.casefold())
    return unlike

"""Reads the sheets of a workbook: XLSX (ISO/IEC 29500), ODS (ISO/IEC 26300), and the old XLS."""

from __future__ import annotations

import datetime as dt
import re
import zipfile
import zlib
from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import python_calamine as calamine

from onboard.errors import FileTrouble
from onboard.intake.far_cells import left_out
from onboard.intake.table import Line, Table

_ROOMY = 2 << 30  # bytes that an honest workbook may unpack to
_WORKBOOKS = ("xl/workbook.xml", "xl/workbook.bin", "content.xml")  # XLSX, XLSB, ODS
_DENSE = 200  # times its packed size; sheets of forms pack ten- to thirtyfold


def open_tables(file: Path) -> list[Table]:
    """The sheets of a workbook that people see, in order; raises `FileTrouble` if it has none."""
    try:
        _refuse_what_would_not_fit(file)
        source, far = left_out(file, _parts(file))
        book = calamine.CalamineWorkbook.from_object(source)
        seen = [
            meta.name
            for meta in book.sheets_metadata
            if meta.visible == calamine.SheetVisibleEnum.Visible
            and meta.typ == calamine.SheetTypeEnum.WorkSheet
        ]
        tables = []
        for name in seen:
            sheet = book.get_sheet_by_name(name)
            unread = unread_cells(source, name)
            notes = _of_far(far[name]) if far.get(name) else ()
            tables.append(Table(name, partial(_lines, sheet, unread), notes=notes))
    except calamine.PasswordError as error:
        raise FileTrouble(_LOCKED.format(file=file)) from error
    except _DAMAGE as error:
        raise FileTrouble(
            f"{file} is damaged and cannot be opened as a workbook ({error}). Open it in your "
            "spreadsheet program, save it under a new name, and give that file."
        ) from error
    if not tables:
        raise FileTrouble(
            f"{file} has no sheet that you can see. Show the sheet, save the file, and try again."
        )
    return tables


def _of_far(cells: Sequence[str]) -> tuple[str, ...]:
    """The note about cells that were not read, as they are far from all others."""
    if len(cells) == 1:
        return (f"Cell {cells[0]} is far from the table and was not read. Clear it, or move it.",)
    shown = ", ".join(cells[:3]) + (" and others" if len(cells) > 3 else "")
    return (
        f"{len(cells):,} cells are far from the table and were not read: {shown}. Clear them, or"
        " move them.",
    )


# What calamine, zipfile and ElementTree raise on a file that somebody cut or altered.
_DAMAGE = (
    calamine.CalamineError, zipfile.BadZipFile, zlib.error, ElementTree.ParseError, OSError,
    ValueError, EOFError, RuntimeError, NotImplementedError,
)  # fmt: skip
_LOCKED = (
    "{file} is locked with a password. Open it in your spreadsheet program, take the password "
    "off (or save a copy without one), and give that file."
)


def _refuse_what_would_not_fit(file: Path) -> None:
    """Raises `FileTrouble` for a workbook that is locked, or packed to burst."""
    if not zipfile.is_zipfile(file):
        if b"E\0n\0c\0r\0y\0p\0t\0e\0d\0P\0a\0c\0k\0a\0g\0e" in _start(file, 1 << 16) or (
            b"E\0n\0c\0r\0y\0p\0t\0e\0d\0P\0a\0c\0k\0a\0g\0e" in _end(file, 1 << 16)
        ):  # [MS-OFFCRYPTO] section 2.3.4.4: the stream that holds a locked workbook
            raise FileTrouble(_LOCKED.format(file=file))
        return
    with zipfile.ZipFile(file) as packed:
        names = packed.namelist()
        document = "word/document.xml" in names or (
            "mimetype" in names and b".text" in packed.read("mimetype")
        )
        if document or not any(name in names for name in _WORKBOOKS):
            what = "is a word-processor document" if document else "is a packed (zip) file"
            raise FileTrouble(
                f"{file} {what}, not a workbook. Give the table itself, saved as CSV or XLSX."
            )
        size = sum(part.file_size for part in packed.infolist())
        if size > _ROOMY and size > _DENSE * file.stat().st_size:
            raise FileTrouble(
                f"{file} would unpack to {size >> 20:,} MB and was not opened. Ask whoever "
                "sent it for a CSV file instead."
            )
        # OpenDocument 1.3 part 2, section 4.8: each locked part has this element in the manifest.
        manifest = "META-INF/manifest.xml"
        if manifest in names and b"encryption-data" in packed.read(manifest):
            raise FileTrouble(_LOCKED.format(file=file))


def _start(file: Path, size: int) -> bytes:
    with file.open("rb") as stream:
        return stream.read(size)


def _end(file: Path, size: int) -> bytes:
    with file.open("rb") as stream:
        stream.seek(max(0, file.stat().st_size - size))
        return stream.read(size)


# ---------------------------------------------------------------- cells


def _lines(
    sheet: calamine.CalamineSheet, unread: Mapping[int, Mapping[int, str]]
) -> Iterator[Line]:
    if sheet.start is None:
        return
    left = sheet.start[1]
    tall: dict[int, list[tuple[int, int]]] = {}  # merged cells of several rows, by first row
    for (top, first), (bottom, _last) in sheet.merged_cell_ranges or ():
        if bottom > top:
            tall.setdefault(top, []).append((bottom, first - left))
    open_merges: list[tuple[int, int, str]] = []
    for row, values in enumerate(sheet.iter_rows()):
        cells = [as_text(value) for value in values]
        for column, text in unread.get(row, {}).items():
            if column >= left:
                cells += [""] * (column - left + 1 - len(cells))
                cells[column - left] = text
        merged = []
        open_merges = [merge for merge in open_merges if merge[0] >= row]
        for _bottom, place, text in open_merges:
            if text and 0 <= place < len(cells) and not cells[place]:
                cells[place] = text
                merged.append(place)
        for bottom, place in tall.get(row, ()):
            if 0 <= place < len(cells):
                open_merges.append((bottom, place, cells[place]))
        yield Line(row + 1, cells, tuple(merged))


def as_text(value: object) -> str:
    """A cell's value as a person reads it: 45801, not 45801.0; a day in ISO 8601.

    >>> as_text(45801.0), as_text(dt.datetime(2026, 3, 4)), as_text(True)
    ('45801', '2026-03-04', 'TRUE')
    """
    match value:
        case bool():
            return str(value).upper()
        case float():
            # Spreadsheets keep 15 digits (IEEE 754 binary64); more would be noise.
            return str(int(value)) if value.is_integer() and abs(value) < 1e15 else f"{value:.15G}"
        case dt.datetime():
            midnight = value.time() == dt.time()
            return value.date().isoformat() if midnight else value.isoformat(" ", "seconds")
        case dt.time():
            return value.isoformat("seconds" if value.second else "minutes")
        case str():
            return value.replace("\r\n", "\n")
        case _:
            return str(value)


# ---------------------------------------------------------------- what is not read

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_CELL = re.compile(r"([A-Z]{1,3})(\d{1,7})")


def unread_cells(file: Path | BytesIO, sheet: str) -> dict[int, dict[int, str]]:
    """Row to column (both from 0) to text of the cells of an XLSX sheet that calamine gives as "".

    An error ("#N/A" and its kin): else nobody would know that a formula had failed. A formula of
    which the file holds no result, as programs write it that do not reckon: its own text.
    """
    found: dict[int, dict[int, str]] = {}
    part = _parts(file).get(sheet)
    if part is None:
        return found
    with zipfile.ZipFile(file) as packed:
        if not _mentions(packed, part, (b't="e"', b"<f>", b"<f ")):
            return found
        with packed.open(part) as stream:
            for _event, element in ElementTree.iterparse(stream):
                if element.tag == f"{_MAIN}c":
                    text = _unread(element)
                    where = _CELL.fullmatch(element.get("r", "")) if text else None
                    if where:
                        column = 0
                        for letter in where[1]:
                            column = column * 26 + ord(letter) - 64
                        found.setdefault(int(where[2]) - 1, {})[column - 1] = text
                elif element.tag == f"{_MAIN}row":
                    element.clear()
    return found


def _unread(cell: ElementTree.Element) -> str:
    """The error that a cell holds, or its formula if there is no result; else ""."""
    value = cell.findtext(f"{_MAIN}v", "")
    if cell.get("t") == "e":
        return value
    formula = cell.find(f"{_MAIN}f")
    if formula is None or value or cell.get("t") == "str":  # an empty text is a result
        return ""
    return f"={formula.text or '…'}"  # of a formula shared by several cells only the first has it


def _parts(file: Path | BytesIO) -> dict[str, str]:
    """The part of an XLSX package that holds each sheet, by the sheet's name."""
    if not zipfile.is_zipfile(file):
        return {}
    with zipfile.ZipFile(file) as packed:
        names = packed.namelist()
        if "xl/workbook.xml" not in names or "xl/_rels/workbook.xml.rels" not in names:
            return {}
        relations = ElementTree.fromstring(packed.read("xl/_rels/workbook.xml.rels"))
        book = ElementTree.fromstring(packed.read("xl/workbook.xml"))
    targets = {r.get("Id"): r.get("Target", "") for r in relations}
    parts = {}
    for entry in book.iter(f"{_MAIN}sheet"):
        target = targets.get(entry.get(_RELATION), "")
        part = target.removeprefix("/") if target.startswith("/") else f"xl/{target}"
        if part in names:
            parts[entry.get("name", "")] = part
    return parts


def _mentions(packed: zipfile.ZipFile, part: str, marks: tuple[bytes, ...]) -> bool:
    with packed.open(part) as stream:
        tail = b""
        while chunk := stream.read(1 << 20):
            read = tail + chunk
            if any(mark in read for mark in marks):
                return True
            tail = read[-max(map(len, marks)) :]
    return False

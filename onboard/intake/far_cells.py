"""A stray cell far from the table of a workbook, left out before the workbook is opened.

A workbook keeps only the cells that have something in them (ISO/IEC 29500-1, 18.3.1.4; OpenDocument
1.3 part 3, 9.1.3 and 19.675). The library that reads it makes room for every cell between them: one
letter typed into XFD1048576 would take 26 GB. So the cells are counted first, by row and by column,
and what is far from most of them is taken out of a copy in memory.
"""

from __future__ import annotations

import io
import re
import zipfile
from array import array
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from onboard.errors import FileTrouble

_ROWS, _COLUMNS = 1 << 20, 1 << 14  # of the largest sheet that a spreadsheet program makes
_ROOM = 1_000_000  # places for which there is always room
_EMPTY = 20  # times as many places as cells: a sheet that is nearly all empty
_MOST = 30_000_000  # places of a sheet that is nearly all empty: about a gigabyte
_GAP_OF_ROWS, _GAP_OF_COLUMNS = 1000, 200  # empty ones; what comes after so many is far


@dataclass(frozen=True, slots=True)
class Near:
    """The rows and columns, from 0, in which most cells of a sheet are."""

    rows: range
    columns: range

    def __post_init__(self) -> None:
        if len(self.rows) * len(self.columns) > _MOST:
            raise FileTrouble(
                f"A sheet is nearly empty, but its cells are scattered down to {_called(self.rows[-1], self.columns[-1])}. "
                "Copy the table into a new file, and give that one."
            )

    def has(self, row: int, column: int) -> bool:
        return row in self.rows and column in self.columns


@dataclass(slots=True)
class _Used:
    """How many cells have something in them, by row and by column."""

    rows: array[int] = field(default_factory=lambda: array("l", [0]) * _ROWS)
    columns: array[int] = field(default_factory=lambda: array("l", [0]) * _COLUMNS)
    cells: int = 0
    down: int = 0
    right: int = 0

    def add(self, row: int, column: int) -> None:
        if row < _ROWS and column < _COLUMNS:
            self.rows[row] += 1
            self.columns[column] += 1
            self.cells += 1
            self.down = max(self.down, row)
            self.right = max(self.right, column)

    def near(self) -> Near | None:
        """Where most cells are; None where there is room for all."""
        if _has_room(self.down + 1, self.right + 1, self.cells):
            return None
        return Near(
            _fullest(self.rows, self.down, _GAP_OF_ROWS),
            _fullest(self.columns, self.right, _GAP_OF_COLUMNS),
        )


def _has_room(rows: int, columns: int, cells: int) -> bool:
    """Whether a sheet of this size is small, or has something in much of it."""
    return rows * columns <= max(_ROOM, _EMPTY * cells)


def _fullest(counts: Sequence[int], last: int, gap: int) -> range:
    """Of the stretches that more than `gap` empty ones part, the one with most cells."""
    stretches: list[tuple[int, int, int]] = []  # cells, first, last
    for at in range(last + 1):
        if not counts[at]:
            continue
        if stretches and at - stretches[-1][2] <= gap:
            cells, first, _ = stretches[-1]
            stretches[-1] = cells + counts[at], first, at
        else:
            stretches.append((counts[at], at, at))
    _, first, end = max(stretches, key=lambda stretch: stretch[0])
    return range(first, end + 1)


def left_out(
    file: Path, parts: Mapping[str, str]
) -> tuple[Path | io.BytesIO, dict[str, list[str]]]:
    """The workbook without its far cells, and what those are called ("XFD9"), by sheet.

    The file itself where no cell is far. `parts` is where an XLSX keeps each sheet. Raises
    `FileTrouble` where cells are far from each other all over a sheet, and what `zipfile` raises.
    """
    if not zipfile.is_zipfile(file):
        return file, {}
    changed: dict[str, bytes] = {}
    far: dict[str, list[str]] = {}
    with zipfile.ZipFile(file) as packed:
        for sheet, part in parts.items():
            if near := _near_in_xlsx(packed, part):
                changed[part] = _xlsx_near(packed.read(part), near, far.setdefault(sheet, []))
        if _CONTENT in packed.namelist():
            content = packed.read(_CONTENT)
            nearer = _TABLE.sub(lambda table: _ods_near(table, far), content)
            if nearer is not content and far:
                changed[_CONTENT] = nearer
        return (_repacked(packed, changed) if changed else file), far


def _repacked(packed: zipfile.ZipFile, changed: Mapping[str, bytes]) -> io.BytesIO:
    copy = io.BytesIO()
    with zipfile.ZipFile(copy, "w", zipfile.ZIP_DEFLATED) as out:
        for name in packed.namelist():
            out.writestr(name, changed[name] if name in changed else packed.read(name))
    copy.seek(0)
    return copy


@cache
def _column(letters: bytes) -> int:
    """The place of a column from 0.

    >>> _column(b"A"), _column(b"XFD")
    (0, 16383)
    """
    place = 0
    for letter in letters:
        place = place * 26 + letter - 64
    return place - 1


def _called(row: int, column: int) -> str:
    """What a spreadsheet program calls the cell.

    >>> _called(0, 0), _called(1048575, 16383)
    ('A1', 'XFD1048576')
    """
    letters = ""
    column += 1
    while column:
        column, letter = divmod(column - 1, 26)
        letters = chr(65 + letter) + letters
    return f"{letters}{row + 1}"


# ---------------------------------------------------------------- XLSX

# a cell with something in it; one that is only formatted closes at once
_FILLED = re.compile(
    rb"""<(?:\w+:)?c\s(?:[^>]*?\s)?r=["']([A-Z]{1,3})(\d{1,7})["'][^>]*(?<!/)>(?!</)"""
)
_CELL = re.compile(
    rb"""<((?:\w+:)?c)\s(?:[^>]*?\s)?r=["']([A-Z]{1,3})(\d{1,7})["'][^>]*?(?:/>|>.*?</\1>)""",
    re.DOTALL,
)


# a cell as nearly all programs write it, whether something is in it or not: quicker to find
_ANY = re.compile(rb'<c r="([A-Z]{1,3})(\d{1,7})"')


def _refs(
    packed: zipfile.ZipFile, part: str, cell: re.Pattern[bytes]
) -> Iterator[list[tuple[bytes, bytes]]]:
    """Column and row of these cells, a megabyte of the sheet at a time."""
    with packed.open(part) as stream:
        tail = b""
        while chunk := stream.read(1 << 20):
            read = tail + chunk
            cut = max(read.rfind(b"<", 0, read.rfind(b" r=") + 1), 0)  # the last cell, perhaps torn
            yield cell.findall(read[:cut])
            tail = read[cut:]
        yield cell.findall(tail)


def _near_in_xlsx(packed: zipfile.ZipFile, part: str) -> Near | None:
    down, columns, cells = 0, set[bytes](), 0
    for refs in _refs(
        packed, part, _ANY
    ):  # nearly every sheet ends here: nothing is counted one by one
        if refs:
            down = max(down, *map(int, {row for _, row in refs}))
            columns |= {column for column, _ in refs}
            cells += len(refs)
    right = max(map(_column, columns), default=0)
    if cells and _has_room(down, right + 1, cells):
        return None
    used = _Used()
    for refs in _refs(packed, part, _FILLED):
        for column, row in refs:
            used.add(int(row) - 1, _column(column))
    return used.near()


def _xlsx_near(text: bytes, near: Near, far: list[str]) -> bytes:
    def kept(cell: re.Match[bytes]) -> bytes:
        row, column = int(cell[3]) - 1, _column(cell[2])
        if near.has(row, column):
            return cell[0]
        if _FILLED.match(cell[0]):
            far.append(_called(row, column))
        return b""

    return _CELL.sub(kept, text)


# ---------------------------------------------------------------- ODS

_CONTENT = "content.xml"
_TABLE = re.compile(rb'<table:table\s[^>]*?table:name="([^"]*)".*?</table:table>', re.DOTALL)
_ROW = re.compile(rb"<table:table-row\b[^>]*?(?:/>|>.*?</table:table-row>)", re.DOTALL)
_PLACE = re.compile(
    rb"<table:(?P<kind>(?:covered-)?table-cell)\b[^>]*?(?:/>|>.*?</table:(?P=kind)>)", re.DOTALL
)
_ROWS_ALIKE = re.compile(rb'table:number-rows-repeated="(\d{1,7})"')
_CELLS_ALIKE = re.compile(rb'table:number-columns-repeated="(\d{1,5})"')


def _alike(mark: re.Pattern[bytes], element: bytes) -> int:
    """How often a row or cell stands there, by its first tag."""
    found = mark.search(element, 0, element.find(b">"))
    return int(found[1]) if found else 1


def _rows(table: bytes) -> Iterator[tuple[int, int, re.Match[bytes]]]:
    """First row, how many alike, and the text of each row."""
    at = 0
    for row in _ROW.finditer(table):
        alike = _alike(_ROWS_ALIKE, row[0])
        yield at, alike, row
        at += alike


def _places(row: bytes) -> Iterator[tuple[int, int, bool, bytes]]:
    """First column, how many alike, whether something is in it, and the text of each cell."""
    at = 0
    for place in _PLACE.finditer(row):
        alike = _alike(_CELLS_ALIKE, place[0])
        filled = b"office:value" in place[0] or b"<text:p" in place[0]
        yield at, alike, filled, place[0]
        at += alike


def _ods_near(table: re.Match[bytes], far: dict[str, list[str]]) -> bytes:
    """The sheet with empty places where its far cells were; those are added to `far`."""
    near = _used_in_ods(table[0]).near()
    if near is None:
        return table[0]
    names = far.setdefault(table[1].decode("utf-8", "replace"), [])
    out, end = [], 0
    for at, alike, row in _rows(table[0]):
        out.append(table[0][end : row.start()])
        out.append(_ods_row(row[0], range(at, at + alike), near, names))
        end = row.end()
    return b"".join((*out, table[0][end:]))


def _used_in_ods(table: bytes) -> _Used:
    used = _Used()
    for top, rows, row in _rows(table):
        for left, columns, filled, _ in _places(row[0]):
            if filled:  # of many alike a few are counted; where they end tells the rest
                for down in range(top, top + min(rows, _GAP_OF_ROWS)):
                    for right in range(left, left + min(columns, _GAP_OF_COLUMNS)):
                        used.add(down, right)
                used.down = max(used.down, top + rows - 1)
                used.right = max(used.right, left + columns - 1)
    return used


def _ods_row(row: bytes, here: range, near: Near, names: list[str]) -> bytes:
    """One row, or several alike, without what is far."""
    out, lost = [], False
    for at, alike, filled, text in _places(row):
        if filled and not (near.has(here[0], at) and near.has(here[-1], at + alike - 1)):
            names.append(_called(here[0], at))
            text, lost = _nothing("table:table-cell", "columns", alike), True
        out.append(text)
    if not lost:
        return row
    first = row[: row.find(b">") + 1]
    return first + b"".join(out) + b"</table:table-row>"


def _nothing(element: str, what: str, alike: int) -> bytes:
    return f'<{element} table:number-{what}-repeated="{alike}"/>'.encode()

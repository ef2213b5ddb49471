"""The rows of sheets in parts, each of which is read, folded and named wherever it is called.

Who sees the file reads a part of it itself: a stretch of a text file, or some rows of a Parquet file. What cannot
be cut (a workbook), or cannot be seen there, is read here, and the rows go with the part.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import NamedTuple, TypeAlias

from onboard.errors import FileTrouble
from onboard.intake import Sheet
from onboard.intake.sheet import lines_swallowed
from onboard.intake.table import Each, Line, Stretch
from onboard.match import cells, many
from onboard.match.cells import TELLING, Cells, Layout, Lost, Row, Told
from onboard.match.texts import texts

# A part has no more bytes of the file than this, nor rows, if no row is larger.
SIZE, ROWS = 1 << 20, 10_000


class Part(NamedTuple):
    """Some rows, ready to be compared, and what is told of them."""

    folded: many.Folded
    told: Told


Making: TypeAlias = Callable[[], Part]


def made(part: Making) -> Part:
    """The work of an engine: this part."""
    return part()


@dataclass(frozen=True, slots=True)
class Limits:
    """How large parts may be."""

    size: int = SIZE  # bytes
    rows: int = ROWS
    largest: int | None = None  # bytes of a single row; more is refused


@dataclass(frozen=True, slots=True)
class _Form:
    """What of a sheet is read, and how its rows are called."""

    layout: Layout
    first_line: int
    file: str  # its name
    alone: bool  # the only file, so that its rows are called by their lines alone
    width: int  # columns
    delimiter: str

    @classmethod
    def of(cls, sheet: Sheet, alone: bool) -> _Form:
        layout = tuple((c.place, c.field) for c in sheet.columns.columns if c.field in TELLING)
        width = len(sheet.columns.headings)
        return cls(layout, sheet.first_line, sheet.file.name, alone, width, sheet.table.delimiter)

    def rows(self, lines: Iterable[Line]) -> Iterator[Row]:
        for line in lines:
            if line.number >= self.first_line and any(map(str.strip, line.cells)):
                yield line.number, line.cells

    def part(self, rows: Sequence[Row], size: int) -> Making:
        """These rows, to be made a part wherever it is called."""
        said = cells.cells_of(rows, self.layout)
        return partial(_part, said, self.called(rows), size, self.lost(rows))

    def called(self, rows: Sequence[Row]) -> Sequence[str]:
        return cells.ids_of(rows, self.layout, "" if self.alone else f"{self.file} ")

    def lost(self, rows: Iterable[Row]) -> tuple[Lost, ...]:
        found = ((line, lines_swallowed(row, self.width, self.delimiter)) for line, row in rows)
        return tuple(Lost(self.file, line, lines) for line, lines in found if lines)


def parts(
    sheets: Sequence[Sheet], limits: Limits, each: Each, seen: bool = True
) -> Iterator[Making]:
    """The rows of all sheets, in order. `each` does a function of many values, anywhere; `seen` is whether the
    files are seen wherever parts are made.

    Raises `FileTrouble` where a file cannot be read, or a row is larger than may be.
    """
    for sheet in sheets:
        form = _Form.of(sheet, len(sheets) == 1)
        if not seen or sheet.table.stretch is None:
            yield from _sent(sheet, form, limits)
            continue
        for stretch in sheet.table.stretch.cut(limits.size, limits.rows, each):
            if stretch == sheet.table.stretch and stretch.size > limits.size:
                yield from _sent(sheet, form, limits)
                continue
            _see_that_it_fits(sheet.file, stretch.size, stretch.first, limits)
            yield partial(_read, stretch, form)


def _read(stretch: Stretch, form: _Form) -> Part:
    try:
        rows = list(form.rows(stretch.lines()))
    except OSError as error:
        raise FileTrouble(f"Can't read {stretch.file}: {error.strerror or error}.") from error
    return form.part(rows, stretch.size)()


def _part(said: Cells, called: Sequence[str], size: int, lost: tuple[Lost, ...]) -> Part:
    return Part(cells.folded(said), Told(texts(called), size, lost))


def _sent(sheet: Sheet, form: _Form, limits: Limits) -> Iterator[Making]:
    """Parts that have their rows with them, which are read here."""
    places = [place for place, _ in form.layout]
    some: list[Row] = []
    size = 0

    for line, row in form.rows(sheet.table.lines()):
        large = sum(len(row[place]) for place in places if place < len(row))
        _see_that_it_fits(sheet.file, large, line, limits)
        if some and (size + large > limits.size or len(some) == limits.rows):
            yield form.part(some, size)
            some, size = [], 0
        some.append((line, row))
        size += large
    yield form.part(some, size)


def _see_that_it_fits(file: Path, size: int, line: int, limits: Limits) -> None:
    if limits.largest and size > limits.largest:
        raise FileTrouble(
            f"{file}: one of the rows from line {line:,} on has more than {limits.largest >> 20:,} "
            "MB, so no worker could hold it. A quotation mark may not be closed there. Close or remove it, "
            "and give the file again."
        )

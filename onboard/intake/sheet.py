"""Opens a file of join forms and gives its rows, one at a time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from onboard.errors import FileTrouble
from onboard.intake import delimited
from onboard.intake.columns import Columns, Why, by_heading, fold, label, recognise
from onboard.intake.table import Line, Table
from onboard.model import RawRow

_HEAD = 40  # lines in which the headings are looked for
_SAMPLE = 200  # lines that may speak for or against a heading


@dataclass(frozen=True, slots=True)
class Sheet:
    """An opened file of join forms: its columns now, its rows as they are asked for."""

    file: Path
    name: str  # of the sheet in a workbook, else ""
    columns: Columns
    notes: tuple[str, ...]
    _table: Table = field(repr=False)
    _headings_line: int = 0

    def rows(self) -> Iterator[RawRow]:
        """The rows below the headings, read from the file as they are asked for."""
        labels = self.columns.headings
        for line in self._table.lines():
            if line.number <= self._headings_line or not any(c.strip() for c in line.cells):
                continue
            yield self._row(line, labels)

    def _row(self, line: Line, labels: Sequence[str]) -> RawRow:
        texts = line.cells + [""] * (len(labels) - len(line.cells))
        cells = tuple(zip(labels, texts, strict=False))
        fields = {
            c.field: texts[c.place].strip() for c in self.columns.columns if c.field
        }
        return RawRow(self.file.name, line.number, cells, fields)


def open_rows(
    file: Path,
    *,
    told: Mapping[str, str] | None = None,
    remembered: Mapping[str, str] | None = None,
    extra_questions: Sequence[str] = (),
    needed: Sequence[str] = ("name", "email"),
) -> Sheet:
    """The join forms in `file`, their columns recognised, the rows still unread."""
    file = Path(file)
    if not file.is_file():
        raise FileTrouble(f"{file}: there is no such file.")
    table = delimited.open_table(file)
    head = list(islice(table.lines(), _HEAD))
    hints = {fold(h) for h in (*(told or {}), *(remembered or {}), *extra_questions)}
    best = max(head, key=lambda line: _known(line.cells, hints), default=None)
    if best is None:
        raise FileTrouble(f"{file} is empty.")
    sample = [
        line.cells for line in islice(table.lines(), _SAMPLE) if line.number > best.number
    ]
    columns = recognise(
        best.cells, sample, told=told, remembered=remembered,
        extra_questions=extra_questions, needed=needed,
    )  # fmt: skip
    return Sheet(file, table.name, columns, table.notes, table, best.number)


def _known(cells: Sequence[str], hints: set[str]) -> int:
    return sum(
        fold(c) in hints or by_heading(c).why >= Why.SPELLING
        for c in label(cells)
        if len(c) < 200
    )

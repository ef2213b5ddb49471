"""Reads tables in Parquet files, which programs give each other; needs pyarrow, of the extra `cluster`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from typing import Any

from onboard.errors import FileTrouble
from onboard.intake.table import Each, Line, Table

MARK = b"PAR1"
ROWS = 10_000  # read at a time
BUFFER = 1 << 20  # bytes of a column that are read from the file at a time


def open_table(file: Path) -> Table:
    """The one table of a Parquet file: its headings, and its values as texts.

    Raises `FileTrouble` when it cannot be read.
    """
    try:
        import pyarrow as pa
        import pyarrow.parquet as parquet
    except ImportError as error:
        raise FileTrouble(
            f"{file} is a Parquet file. To read one, install more: pip install 'onboard[cluster]'. Or save it "
            "as CSV."
        ) from error
    try:
        parquet.read_schema(file)
    except (pa.ArrowException, OSError) as error:
        raise FileTrouble(
            f"{file} is a damaged Parquet file. Make it again, or give a CSV."
        ) from error

    whole = Groups(file.absolute())
    return Table("", whole.lines, notes=("Read as Parquet.",), stretch=whole)


@dataclass(frozen=True, slots=True)
class Groups:
    """Some rows of one row group of a Parquet file; all rows of all groups, with the headings, unless told."""

    file: Path
    group: int | None = None
    begin: int = 0  # rows of the group before these
    end: int = 0
    first: int = 1  # the number of its first line; 1 has the headings
    size: int = 0  # bytes, before they are read

    def lines(self) -> Iterator[Line]:
        """The rows, with the headings as line 1. Raises `FileTrouble` when they cannot be read."""
        import pyarrow as pa
        import pyarrow.parquet as parquet

        number = self.first
        try:
            with parquet.ParquetFile(self.file, buffer_size=BUFFER) as opened:
                if self.group is None:
                    yield Line(1, list(opened.schema_arrow.names))
                    number = 2
                for columns in self._batches(opened):
                    for cells in zip(
                        *(map(_text, one.to_pylist()) for one in columns), strict=True
                    ):
                        yield Line(number, list(cells))
                        number += 1
        except (pa.ArrowException, OSError) as error:
            raise FileTrouble(
                f"{self.file} can't be read beyond row {number}. Make it again, or give a CSV."
            ) from error

    def _batches(self, opened: Any) -> Iterator[Any]:
        groups = None if self.group is None else [self.group]
        place = 0
        for batch in opened.iter_batches(ROWS, row_groups=groups):
            if self.group is None:
                yield batch.columns
            elif place < self.end and place + len(batch) > self.begin:
                begin = max(self.begin - place, 0)
                yield batch.slice(begin, min(self.end - place, len(batch)) - begin).columns
            place += len(batch)
            if groups and place >= self.end:
                return

    def cut(self, size: int, rows: int, each: Each) -> Iterator[Groups]:
        """The same rows in stretches of about so many bytes and rows at the most, none of two row groups."""
        from pyarrow.parquet import read_metadata

        told = read_metadata(self.file)
        line = 2
        for group in range(told.num_row_groups):
            here = told.row_group(group)
            pieces = max(1, ceil(here.total_byte_size / size), ceil(here.num_rows / rows))
            step = max(1, ceil(here.num_rows / pieces))
            for begin in range(0, here.num_rows, step):
                end = min(begin + step, here.num_rows)
                yield Groups(
                    self.file, group, begin, end, line + begin, here.total_byte_size // pieces
                )
            line += here.num_rows


def _text(value: object) -> str:
    return "" if value is None else str(value)

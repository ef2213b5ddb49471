"""Reads tables in Parquet files, which programs give each other; needs pyarrow, of the extra `cluster`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from onboard.errors import FileTrouble
from onboard.intake.table import Line, Table

MARK = b"PAR1"
ROWS = 10_000  # read at a time


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
        headings = parquet.read_schema(file).names
    except (pa.ArrowException, OSError) as error:
        raise FileTrouble(
            f"{file} is a damaged Parquet file. Make it again, or give a CSV."
        ) from error

    def lines() -> Iterator[Line]:
        yield Line(1, list(headings))
        number = 2
        try:
            with parquet.ParquetFile(file) as opened:
                for batch in opened.iter_batches(ROWS):
                    columns = [map(_text, column.to_pylist()) for column in batch.columns]
                    for cells in zip(*columns, strict=True):
                        yield Line(number, list(cells))
                        number += 1
        except (pa.ArrowException, OSError) as error:
            raise FileTrouble(
                f"{file} can't be read beyond row {number}. Make it again, or give a CSV."
            ) from error

    return Table("", lines, notes=("Read as Parquet.",))


def _text(value: object) -> str:
    return "" if value is None else str(value)

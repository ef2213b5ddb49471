"""A file read in stretches says what it says when it is read as a whole, wherever it is cut."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pyarrow as pa
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pyarrow import parquet as arrow_parquet

from onboard.intake import delimited, parquet
from onboard.intake.stretches import TextStretch
from onboard.intake.table import Line, Stretch


def cut(whole: Stretch, size: int, rows: int) -> list[Stretch]:
    return list(whole.cut(size, rows, map))


def lines_of(stretches: list[Stretch]) -> list[Line]:
    return [line for stretch in stretches for line in stretch.lines()]


# Whatever csv takes for the end of a cell or a line, or for a quotation mark that counts or does not.
MARKS = st.lists(
    st.sampled_from(
        ['"', '""', '"""', ",", "\n", "\r\n", "\r", "a", "Zoë", '5" pipe', ',"', '",', '\n"', '"\n',
         "\u2028", "\x0b", "\ufeff", "Ana Quill", "12 Elm St", "x" * 40]
    ),
    max_size=60,
)  # fmt: skip


@settings(max_examples=300, deadline=None)
@example(
    ["\ufeff", '"', "\n", "a"], ",", 3, 1, False
)  # a mark that the encoding does not take away
@given(MARKS, st.sampled_from(",;\t"), st.integers(1, 30), st.integers(1, 4), st.booleans())
def test_wherever_it_is_cut_the_rows_are_the_same(
    tmp_path_factory: pytest.TempPathFactory, marks: list[str], delimiter: str, size: int, rows: int,
    has_mark: bool,
) -> None:  # fmt: skip
    file = tmp_path_factory.getbasetemp() / "drawn.csv"
    text = "".join(marks).replace(",", delimiter)
    file.write_bytes(text.encode("utf-8-sig" if has_mark else "utf-8"))
    whole = TextStretch(file, "utf-8-sig" if has_mark else "utf-8", delimiter)
    stretches = cut(whole, size, rows)
    assert lines_of(stretches) == list(whole.lines())
    assert all(len(list(one.lines())) <= rows for one in stretches)


def test_bytes_of_two_encodings_are_read_alike(tmp_path: Path) -> None:
    file = tmp_path / "mixed.csv"
    file.write_bytes("Name,City\nJosé,León\n".encode() + "Zoë,\x80ln\n".encode("latin-1") * 20)
    whole = TextStretch(file, "utf-8", ",")
    assert lines_of(cut(whole, 17, 3)) == list(whole.lines())


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_stretches_have_no_more_bytes_and_rows_than_they_may(tmp_path: Path, ending: str) -> None:
    """But for what is left of a line; cells of several lines count as one row."""
    chance = Random(4)
    file = tmp_path / "rows.csv"
    cells = ["Quill", f'"Elm St{ending}Apt 4"', '"say ""yes"""', '"Lima, OH"']
    with file.open("w", encoding="utf-8", newline="") as stream:
        for _ in range(4000):
            stream.write(",".join(chance.choices(cells, k=4)) + ending)
    whole = TextStretch(file, "utf-8", ",")
    stretches = cut(whole, 5000, 60)
    assert lines_of(stretches) == list(whole.lines())
    assert max(one.size for one in stretches) <= 5000 + 100
    assert max(len(list(one.lines())) for one in stretches) == 60
    assert len(stretches) < 2 * 4000 / 60


def test_the_line_that_names_the_delimiter_is_no_row(tmp_path: Path) -> None:
    file = tmp_path / "named.csv"
    file.write_bytes(b"sep=;\r\nName;Email\r\n" + b"Ana;ana@example.org\r\n" * 9)
    table = delimited.open_table(file)
    assert table.stretch
    assert lines_of(cut(table.stretch, 40, 3)) == list(table.lines())
    assert next(table.lines()).number == 2


def test_what_cannot_be_cut_stays_whole(tmp_path: Path) -> None:
    file = tmp_path / "wide.csv"
    file.write_text("Name,Email\n" + "Ana,ana@example.org\n" * 99, "utf-16")
    table = delimited.open_table(file)
    assert table.stretch
    assert cut(table.stretch, 40, 3) == [table.stretch]


def test_row_groups_of_a_parquet_file(tmp_path: Path) -> None:
    file = tmp_path / "rows.parquet"
    columns = {"name": [f"Ana {n}" for n in range(1000)], "zip": [None, 45801] * 500}
    arrow_parquet.write_table(pa.table(columns), file, row_group_size=300)
    whole = parquet.open_table(file)
    assert whole.stretch
    for size, rows in ((1 << 20, 1000), (1 << 20, 70), (500, 1000)):
        stretches = cut(whole.stretch, size, rows)
        assert lines_of(stretches) == list(whole.lines())[1:]
        assert max(len(list(one.lines())) for one in stretches) <= rows
        assert max(one.size for one in stretches) <= size


def test_a_row_is_counted_as_a_spreadsheet_counts_it_however_many_lines_a_cell_has(
    tmp_path: Path,
) -> None:
    file = tmp_path / "rows.csv"
    file.write_bytes(b'Name,Remarks\nAna,"one\ntwo\nthree"\n\nBo,none\n' * 50)
    whole = list(TextStretch(file, "utf-8", ",").lines())
    assert [(line.number, line.cells[:1]) for line in whole[:5]] == [
        (1, ["Name"]), (2, ["Ana"]), (3, []), (4, ["Bo"]), (5, ["Name"]),
    ]  # fmt: skip
    assert lines_of(cut(TextStretch(file, "utf-8", ","), 30, 3)) == whole

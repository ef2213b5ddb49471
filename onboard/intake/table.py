"""A table in a file before anybody knows what its columns mean: numbered lines of texts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import NamedTuple


class Line(NamedTuple):
    """One line of a table: its number in the file, from 1, and its cells as texts."""

    number: int
    cells: list[str]
    merged: tuple[int, ...] = ()  # places of cells whose text a merged cell above gave


@dataclass(frozen=True, slots=True)
class Table:
    """One table of a file; `lines()` reads it anew each time, a line at a time."""

    name: str  # of the sheet; "" in a text file
    lines: Callable[[], Iterator[Line]]
    delimiter: str = ""  # between cells, in a text file
    notes: tuple[str, ...] = ()  # what a coordinator should know of how it was read

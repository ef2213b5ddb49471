"""A table in a file before anybody knows what its columns mean: numbered lines of texts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple, Protocol, TypeAlias, runtime_checkable


class Line(NamedTuple):
    """One line of a table: its number in the file, from 1, and its cells as texts."""

    number: int
    cells: list[str]
    merged: tuple[int, ...] = ()  # places of cells whose text a merged cell above gave


# Does one function of many values, anywhere, and gives what they come to in their order.
Each: TypeAlias = Callable[[Callable[[Any], Any], Sequence[Any]], Iterator[Any]]


@runtime_checkable
class Stretch(Protocol):
    """Some rows of a file, one behind the other, that whoever sees the file can read by itself."""

    @property
    def file(self) -> Path:
        """Its whole path, the same wherever it is read."""

    @property
    def first(self) -> int:
        """The number of its first line."""

    @property
    def size(self) -> int:
        """How many bytes it has, about."""

    def lines(self) -> Iterator[Line]:
        """The rows, read anew each time."""

    def cut(self, size: int, rows: int, each: Each) -> Iterator[Stretch]:
        """The same rows in stretches of so many bytes and rows at the most, if no row is larger."""


@dataclass(frozen=True, slots=True)
class Table:
    """One table of a file; `lines()` reads it anew each time, a line at a time."""

    name: str  # of the sheet; "" in a text file
    lines: Callable[[], Iterator[Line]]
    delimiter: str = ""  # between cells, in a text file
    notes: tuple[str, ...] = ()  # what a coordinator should know of how it was read
    stretch: Stretch | None = None  # all of it, where it can be read a stretch at a time elsewhere

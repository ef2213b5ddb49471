"""What a report shows, before any face draws it: tables of plain texts, and sentences."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table."""

    heading: str
    is_number: bool = False  # set to the right, and never broken


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of texts as they are, one for each column; nothing in them is markup.

    >>> Table.of(("row", "name"), [("4", "Pat Lee")], numbers=("row",)).columns[0]
    Column(heading='row', is_number=True)
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    title: str = ""
    note: str = ""  # below it: how much was left out

    @classmethod
    def of(
        cls,
        headings: tuple[str, ...],
        rows: Iterable[tuple[str, ...]],
        *,
        title: str = "",
        note: str = "",
        numbers: tuple[str, ...] = (),
    ) -> Table:
        """A table under these headings; `numbers` are those of them that hold numbers."""
        columns = tuple(Column(heading, heading in numbers) for heading in headings)
        return cls(columns, tuple(rows), title, note)


@dataclass(frozen=True, slots=True)
class Words:
    """A sentence or more, as they are."""

    text: str
    is_strong: bool = False
    is_faint: bool = False


Piece: TypeAlias = Table | Words

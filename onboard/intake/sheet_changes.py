"""Reads the changes of a spreadsheet back, after somebody has approved what is right in them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from onboard.errors import FileTrouble
from onboard.guard import unguard
from onboard.intake.changes import NO, YES
from onboard.intake.headings import fold
from onboard.intake.opening import tables_of
from onboard.intake.table import Line, Table
from onboard.tables.sheet_changes import HEADINGS

_NEEDED = ("Approve", "Row", "Column", "Now", "Change to")


class Approved(NamedTuple):
    """A change of one cell that a person approved."""

    number: int  # its row in the file of changes
    line: int  # of the spreadsheet
    column: str  # its heading
    now: str
    after: str
    file: str = ""  # the name of the spreadsheet


def read_of_sheet(file: Path) -> list[Approved]:
    """The approved changes.

    Raises `FileTrouble` if the file holds no changes of a spreadsheet, or lists every row that cannot
    be used, and why.
    """
    for table, head in _heads(file):
        said = [fold(cell) for cell in head.cells]
        places = {name: said.index(fold(name)) for name in HEADINGS if fold(name) in said}
        lines = [line for line in table.lines() if line.number > head.number]
        return _approved(file, [(line.number, line.cells) for line in lines], places)
    raise FileTrouble(
        f"{file} holds no changes of a spreadsheet. Use the one that the audit of the spreadsheet made: "
        "audit/changes.xlsx"
    )


def holds_them(file: Path) -> bool:
    """Whether a file holds changes of a spreadsheet. Raises `FileTrouble` if it cannot be read."""
    return next(_heads(file), None) is not None


def _heads(file: Path) -> Iterator[tuple[Table, Line]]:
    """The tables with changes, and the line of the headings of each."""
    for table in tables_of(Path(file)):
        for line in islice(table.lines(), 20):
            if {fold(name) for name in _NEEDED} <= {fold(cell) for cell in line.cells}:
                yield table, line
                break


def _approved(
    file: Path, lines: Sequence[tuple[int, Sequence[str]]], places: dict[str, int]
) -> list[Approved]:
    found, wrong = [], []
    for number, cells in lines:
        said = {name: unguard(cells[at]) if at < len(cells) else "" for name, at in places.items()}
        word, row = fold(said["Approve"]), said["Row"].strip().removesuffix(".0")
        if not any(text.strip() for text in said.values()) or word in NO:
            continue
        if word not in YES:
            wrong.append(
                f'- row {number}: "{said["Approve"][:40]}" under Approve is neither yes nor no.'
            )
        elif not row.isdecimal():
            wrong.append(f'- row {number}: "{said["Row"][:40]}" under Row is no row number.')
        else:
            found.append(
                Approved(
                    number,
                    int(row),
                    said["Column"].strip(),
                    said["Now"],
                    said["Change to"],
                    said.get("File", ""),
                )
            )
    if wrong:
        raise FileTrouble(
            f"{file}: nothing was taken from it. Fix these rows, and give it again:\n"
            + "\n".join(wrong)
        )
    return found

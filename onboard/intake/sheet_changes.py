"""Reads the changes of a spreadsheet back, after somebody has approved what is right in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

from onboard.errors import FileTrouble
from onboard.intake import filled_in
from onboard.intake.changes import NO, YES
from onboard.intake.headings import fold
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
    lines = _lines(file)
    if lines is None:
        raise FileTrouble(
            f"{file} holds no changes of a spreadsheet. Use the one that the audit of the spreadsheet made: "
            "audit/changes.xlsx"
        )
    return _approved(file, lines)


def holds_them(file: Path) -> bool:
    """Whether a file holds changes of a spreadsheet. Raises `FileTrouble` if it cannot be read."""
    return _lines(file) is not None


def _lines(file: Path) -> Iterator[tuple[int, dict[str, str]]] | None:
    return filled_in.lines(Path(file), {fold(name): name for name in HEADINGS}, _NEEDED)


def _approved(file: Path, lines: Iterable[tuple[int, dict[str, str]]]) -> list[Approved]:
    found, wrong = [], []
    for number, said in lines:
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
        raise filled_in.refused(file, wrong)
    return found

"""The changes of a spreadsheet that an audit proposes: one row a cell, for a person to approve.

`onboard.intake.sheet_changes` reads it back. Nothing here goes to a roster: the old list itself can be
put right with it, by hand, or as a copy in which the approved changes are made (`onboard tidy`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING

from onboard.reports import cells, kinds
from onboard.tables.sheet_changes import HEADINGS

if TYPE_CHECKING:
    from onboard.audit.cells import CellChange

_WIDTHS = {
    "Approve": 9, "File": 18, "Row": 6, "Name": 22, "Column": 14, "Now": 30, "Change to": 30, "Reason": 46,
    "What it is": 26,
}  # fmt: skip


def write(file: Path, changes: Sequence[CellChange]) -> None:
    """Write a row for each change, of which there is at least one; none is approved.

    Raises `FileTrouble` when it cannot be written.
    """
    page = cells.Page(
        "Changes", HEADINGS, _lines(changes), _WIDTHS, {"Approve": ["yes", "no"]},
        frozenset(("Approve", "Change to")),
    )  # fmt: skip
    cells.write(file, page, _instructions({one.file: None for one in changes}))


def _lines(changes: Iterable[CellChange]) -> Iterator[list[object]]:
    for one in changes:
        yield [
            "", one.file, one.line, one.name, one.column, one.now, one.after,
            one.why.removesuffix(" Nothing to do."), kinds.titled(one.code),
        ]  # fmt: skip


def _instructions(files: Collection[str]) -> cells.Page:
    """`files` are the names of the spreadsheets."""
    each = " For the others, name them with --of." if len(files) > 1 else ""
    rows = [
        ("What to do", "Each row of the sheet Changes proposes a change of one cell of your list. Write yes "
         "where it is right, and save. Under Change to, you can write something better."),
        ("A copy with the changes", f"Preview it: onboard tidy audit/changes.xlsx --of {quote(next(iter(files)))}. Then "
         f"add --to and the name of a new file.{each} Your own list stays as it is. In the copy, each sheet is plain "
         "text: no colors, no formulas."),
        ("Or by hand", "Row is the row number in your spreadsheet program, and Column the heading. Fix the "
         "cell there."),
        ("What is not here", "What somebody must be asked about is in audit.xlsx, sheet by sheet. Two rows "
         "that may be one person are in pairs.xlsx."),
        ("Take care", "This file holds personal data. Keep it where only coordinators can read it, and delete "
         "it when all is done."),
    ]  # fmt: skip
    return cells.Page(
        "Instructions", ("What", "How"), rows, {"What": 26, "How": 90}, read_only_once=True
    )

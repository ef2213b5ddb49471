"""A copy of a spreadsheet with the approved changes of an audit; the spreadsheet itself is never touched."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from onboard.errors import FileTrouble
from onboard.intake import Sheet
from onboard.intake.opening import tables_of
from onboard.intake.sheet_changes import Approved
from onboard.reports import cells


@dataclass(slots=True)
class SheetTidied:
    """What was changed in the copy, and what not, each with why."""

    made: list[Approved] = field(default_factory=list)
    left_out: list[tuple[Approved, str]] = field(default_factory=list)
    already: int = 0  # were so before


def tidy_sheet(sheet: Sheet, changes: Sequence[Approved], to: Path | None) -> SheetTidied:
    """What comes of the approved changes of a spreadsheet; with `to`, a copy in which they are made.

    Every sheet, row and cell of it is in the copy, as text. A cell that is not as it was when the audit
    was made stays, and is told. Of the changes of several spreadsheets, those of this one are taken. Raises `FileTrouble` where the copy would take the place of a file.
    """
    if to is not None and to.exists():
        raise FileTrouble(
            f"{to} is there already, and nothing was written. Name a new file for the copy."
        )
    done = SheetTidied()
    of_line: dict[int, list[Approved]] = defaultdict(list)
    several = len({one.file for one in changes}) > 1
    for one in changes:
        if not several or one.file == sheet.file.name:
            of_line[one.line].append(one)
    pages = []
    for table in tables_of(sheet.file):
        is_this = table.name == sheet.table.name
        rows: list[list[str]] = []
        for line in table.lines():
            found = list(line.cells)
            if is_this and line.number >= sheet.first_line:
                for one in of_line.pop(line.number, ()):
                    _change(found, one, sheet, done)
            rows += [[] for _ in range(line.number - 1 - len(rows))]  # blank lines keep their place
            rows.append(found)
        wide = max(map(len, rows), default=0)
        pages.append((table.name or sheet.file.stem, wide, rows))
    done.left_out += [(one, "there is no such row") for line in of_line.values() for one in line]
    if to is not None:
        _write(to, pages)
    return done


def _change(found: list[str], one: Approved, sheet: Sheet, done: SheetTidied) -> None:
    places = [c.place for c in sheet.columns.columns if c.heading == one.column]
    if len(places) != 1:
        done.left_out.append((one, f"there is no column “{one.column[:40]}”"))
        return
    (place,) = places
    found += [""] * (place + 1 - len(found))
    now = " ".join(found[place].split())
    if now == " ".join(one.after.split()):
        done.already += 1
    elif now != " ".join(one.now.split()):
        done.left_out.append((one, f"the cell now says “{now[:40]}”"))
    else:
        found[place] = one.after
        done.made.append(one)


def _write(to: Path, pages: Sequence[tuple[str, int, list[list[str]]]]) -> None:
    if to.suffix.casefold() == ".csv" and len(pages) > 1:
        raise FileTrouble(
            f"{to} can hold one sheet, and the spreadsheet has {len(pages)}. Name a file that ends in .xlsx."
        )
    cells.write(
        to, *(cells.Page(name, (rows or [[]])[0] + [""] * (wide - len((rows or [[]])[0])), rows[1:])
              for name, wide, rows in pages),
    )  # fmt: skip

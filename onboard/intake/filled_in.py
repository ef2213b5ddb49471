"""A sheet of ours that a person has filled in: found by its headings, and read line by line."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path

from onboard.errors import FileTrouble
from onboard.guard import unguard
from onboard.intake.headings import fold
from onboard.intake.opening import tables_of
from onboard.intake.table import Table

FIRST = 20  # lines of a table among which its headings are


def lines(
    file: Path, names: Mapping[str, str], needed: Collection[str]
) -> Iterator[tuple[int, dict[str, str]]] | None:
    """The number of each line that is not blank, and what stands in it by column name; None where no table of the file
    has the columns that are `needed`.

    `names` are those of the columns, by folded heading. Raises `FileTrouble` where the file cannot be read.
    """
    for table in tables_of(file):
        for line in islice(table.lines(), FIRST):
            places = _places(line.cells, names)
            if places.keys() >= set(needed):
                return _below(table, line.number, places)
    return None


def refused(file: Path, wrong: Sequence[str]) -> FileTrouble:
    """What to say of a file in which these lines are wrong."""
    return FileTrouble(
        f"{file}: nothing was taken from it. Fix these rows, and give it again:\n"
        + "\n".join(wrong)
    )


def _places(cells: Sequence[str], names: Mapping[str, str]) -> dict[str, int]:
    """Where each column stands: of two with one name, the first."""
    found: dict[str, int] = {}
    for place, cell in enumerate(cells):
        if name := names.get(fold(cell)):
            found.setdefault(name, place)
    return found


def _below(
    table: Table, headings: int, places: Mapping[str, int]
) -> Iterator[tuple[int, dict[str, str]]]:
    for line in table.lines():
        if line.number > headings and any(cell.strip() for cell in line.cells):
            cells = line.cells
            yield (
                line.number,
                {
                    name: unguard(cells[at]) if at < len(cells) else ""
                    for name, at in places.items()
                },
            )

"""`onboard duplicates`: who is in a file twice, with evidence."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from onboard import intake
from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    SheetName,
    Told,
    counted,
    progress_bar,
    say,
    told_columns,
)
from onboard.errors import FileTrouble
from onboard.match.evidence import IN_DOUBT, SURE
from onboard.match.groups import TIED
from onboard.model import Verdict
from onboard.reports import cells
from onboard.tasks.find_duplicates import Duplicates, find_duplicates, read_rulings


class Least(StrEnum):
    """How sure a pair must be to be listed."""

    SURE = "sure"
    LIKELY = "likely"
    POSSIBLE = "possible"


CONFIDENCE = {Least.SURE: SURE, Least.LIKELY: TIED, Least.POSSIBLE: IN_DOUBT}
HEADINGS = ("id_a", "id_b", "confidence", "verdict", "evidence", "group", "ruling")


def duplicates(
    file: Annotated[Path, typer.Argument(help="A spreadsheet of people: CSV, XLSX or ODS.")],
    to: Annotated[Path, typer.Option("--to", help="Where the pairs go: .csv or .xlsx.")],
    least: Annotated[
        Least,
        typer.Option("--from", help="List the pairs that are sure, likely, or all possible ones."),
    ] = Least.POSSIBLE,
    grouped: Annotated[
        Path | None,
        typer.Option("--groups", help="Where the groups go: each row in one, its group beside it."),
    ] = None,
    ruled: Annotated[
        Path | None,
        typer.Option("--ruled", help="An earlier list of pairs, with your rulings filled in."),
    ] = None,
    column: Told = None,
    sheet_name: SheetName = "",
) -> None:
    """List who is in a spreadsheet twice, how sure that is, and why.

    Rows are told apart by a column of ids if there is one, else by their line. What you write
    under "ruling" (same, different) always wins when the list is given back with --ruled.

    Example: `onboard duplicates members.csv --to pairs.csv`

    Example: `onboard duplicates parish.xlsx --to pairs.xlsx --column "Clan=family" --from likely`
    """
    sheet = intake.open_rows(file, told=told_columns(column), needed=(), sheet=sheet_name)
    if sheet.columns.questions:
        asked = "\n".join(f"- {question.ask}" for question in sheet.columns.questions)
        raise FileTrouble(f"The columns of {file} are not all clear:\n{asked}")
    same, apart = read_rulings(ruled) if ruled else ((), ())
    with progress_bar("Rows", None, shown=True) as progress:
        found = find_duplicates(
            sheet, least=CONFIDENCE[least], same=same, apart=apart, progress=progress
        )
    cells.write(to, cells.Page("Pairs", HEADINGS, _pairs(found), filled_in=frozenset({"ruling"}),
                               choices={"ruling": ("same", "different")},
                               widths={"evidence": 90}))  # fmt: skip
    if grouped:
        cells.write(grouped, cells.Page("Groups", ("id", "group", "weakest_tie"), _groups(found)))
    for note in (*sheet.notes, *found.notes):
        say(note)
    unclear = sum(pair.verdict is Verdict.UNCLEAR for pair in found.pairs)
    sure = sum(pair.verdict is Verdict.SAME for pair in found.pairs)
    say(
        f"{counted(len(found.ids), 'row')}: {counted(sure, 'pair')} the same person, "
        f"{unclear:,} to look at; people there more than once: {len(found.groups):,}.",
        style="bold",
    )
    say(f"Wrote the pairs to {to}" + (f" and the groups to {grouped}." if grouped else "."))
    raise typer.Exit(NEEDS_A_PERSON if unclear else DONE)


def _pairs(found: Duplicates) -> Iterator[tuple[object, ...]]:
    group = {member: group.id for group in found.groups for member in group.members}
    for pair in found.pairs:
        together = group.get(pair.one) if group.get(pair.one) == group.get(pair.other) else None
        yield (
            pair.one, pair.other, round(pair.confidence, 4), str(pair.verdict), pair.evidence,
            together or "", pair.ruling,
        )  # fmt: skip


def _groups(found: Duplicates) -> Iterator[tuple[object, ...]]:
    for group in found.groups:
        for member in group.members:
            yield member, group.id, round(group.weakest, 4)

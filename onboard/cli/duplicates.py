"""`onboard duplicates`: who is in a file twice, with evidence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
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
    progress_bar,
    say,
    told_columns,
)
from onboard.errors import FileTrouble
from onboard.intake import Sheet
from onboard.intake.lists import read_groups, read_names, read_rulings, read_short_forms
from onboard.match.evidence import IN_DOUBT, SURE
from onboard.match.groups import TIED, Rulings
from onboard.model import Verdict
from onboard.reports import cells
from onboard.reports.counts import counted
from onboard.tasks.find_duplicates import (
    Duplicates,
    find_duplicates,
    side_by_side,
)


class Least(StrEnum):
    """How sure a pair must be to be listed."""

    SURE = "sure"
    LIKELY = "likely"
    POSSIBLE = "possible"


CONFIDENCE = {Least.SURE: SURE, Least.LIKELY: TIED, Least.POSSIBLE: IN_DOUBT}
HEADINGS = ("id_a", "id_b", "confidence", "verdict", "evidence", "bits", "group", "ruling")
REVIEW = ("id_a", "id_b", "confidence", "first", "second", "evidence", "ruling")
RULINGS = {"ruling": ("same", "different")}


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
    review: Annotated[
        Path | None,
        typer.Option("--review", help="Where the unclear pairs go, with both rows in full."),
    ] = None,
    ruled: Annotated[
        Path | None,
        typer.Option("--ruled", help="An earlier list of pairs, with your rulings filled in."),
    ] = None,
    learn: Annotated[
        bool,
        typer.Option("--learn", help="Let the rulings weigh on other pairs of their kind too."),
    ] = False,
    keep: Annotated[
        Path | None,
        typer.Option("--keep", help="An earlier list of groups: they stay, and rows join them."),
    ] = None,
    tie: Annotated[
        Least, typer.Option("--tie", help="How sure a pair must be to be put in one group.")
    ] = Least.LIKELY,
    no_chains: Annotated[
        bool,
        typer.Option("--no-chains", help="A group only where every two of its rows are tied."),
    ] = False,
    names: Annotated[
        Path | None,
        typer.Option(
            "--names",
            help="How common names are where you are: columns name, kind (given, family), count.",
        ),
    ] = None,
    short_forms: Annotated[
        Path | None,
        typer.Option(
            "--short-forms", help="Short and pet forms of yours: columns name, short_form."
        ),
    ] = None,
    spill: Annotated[
        Path | None,
        typer.Option("--spill", help="A folder for what memory cannot hold; emptied afterwards."),
    ] = None,
    column: Told = None,
    sheet_name: SheetName = "",
) -> None:
    """List who is in a spreadsheet twice, how sure that is, and why.

    Rows are told apart by a column of ids if there is one, else by their line. What you write
    under "ruling" (same, different) always wins when the list, or that of --review, is given back
    with --ruled.

    Example: `onboard duplicates members.csv --to pairs.csv`

    Example: `onboard duplicates parish.xlsx --to pairs.xlsx --column "Clan=family" --from likely`

    Example: `onboard duplicates members.csv --to pairs.csv --ruled review.xlsx --learn`

    Example: `onboard duplicates members.csv --to pairs.csv --short-forms forms.csv`
    """
    _refuse_to_overwrite(
        [one for one in (to, grouped, review) if one],
        [one for one in (file, names, short_forms) if one],
    )
    sheet = intake.open_rows(file, told=told_columns(column), needed=(), sheet=sheet_name)
    if sheet.columns.questions:
        asked = "\n".join(f"- {question.ask}" for question in sheet.columns.questions)
        raise FileTrouble(f"The columns of {file} are not all clear:\n{asked}")
    rulings = read_rulings(ruled) if ruled else Rulings()
    with progress_bar("Rows", None, shown=True) as progress:
        found = find_duplicates(
            sheet, processes=0, least=CONFIDENCE[least], tied=CONFIDENCE[tie], chains=not no_chains,
            rulings=rulings, learn=learn, keep=read_groups(keep) if keep else (),
            names=read_names(names) if names else None,
            short_forms=read_short_forms(short_forms) if short_forms else None,
            spill=spill, progress=progress,
        )  # fmt: skip
    cells.write(to, cells.Page("Pairs", HEADINGS, _pairs(found), filled_in=frozenset({"ruling"}),
                               choices=RULINGS, widths={"evidence": 90}))  # fmt: skip
    if grouped:
        cells.write(grouped, cells.Page("Groups", ("id", "group", "weakest_tie"), _groups(found)))
    if review:
        cells.write(review, cells.Page("Review", REVIEW, _review(sheet, found), choices=RULINGS,
                                       filled_in=frozenset({"ruling"}),
                                       widths={"first": 40, "second": 40, "evidence": 90}))  # fmt: skip
    for note in (*sheet.notes, *found.notes):
        say(note)
    unclear = sum(pair.verdict is Verdict.UNCLEAR for pair in found.pairs)
    sure = sum(pair.verdict is Verdict.SAME for pair in found.pairs)
    say(
        f"{counted(len(found.ids), 'row')}: {counted(sure, 'pair')} the same person, "
        f"{unclear:,} to look at; people there more than once: {len(found.groups):,}.",
        style="bold",
    )
    also = [f"the {what} to {file}" for what, file in
            (("groups", grouped), ("unclear ones, in full,", review)) if file]  # fmt: skip
    say(f"Wrote {' and '.join((f'the pairs to {to}', *also))}.")
    raise typer.Exit(NEEDS_A_PERSON if unclear else DONE)


def _refuse_to_overwrite(written: Sequence[Path], read: Sequence[Path]) -> None:
    """Trouble if two lists would go to one file, or one to a file that is read."""
    places = [one.resolve() for one in written]
    for at, place in enumerate(places):
        if place in places[:at] or place in {one.resolve() for one in read}:
            raise FileTrouble(f"{written[at]} is named twice: give every list a file of its own.")


def _pairs(found: Duplicates) -> Iterator[tuple[object, ...]]:
    group = {member: group.id for group in found.groups for member in group.members}
    for pair in found.pairs:
        together = group.get(pair.one) if group.get(pair.one) == group.get(pair.other) else None
        yield (
            pair.one, pair.other, round(pair.confidence, 4), str(pair.verdict), pair.evidence,
            round(pair.weight, 1), together or "", pair.ruling,
        )  # fmt: skip


def _groups(found: Duplicates) -> Iterator[tuple[object, ...]]:
    for group in found.groups:
        for member in group.members:
            yield member, group.id, round(group.weakest, 4)


def _review(sheet: Sheet, found: Duplicates) -> Iterator[tuple[object, ...]]:
    unclear = [pair for pair in found.pairs if pair.verdict is Verdict.UNCLEAR]
    for pair, first, second in side_by_side(sheet, found, unclear):
        yield pair.one, pair.other, round(pair.confidence, 4), first, second, pair.evidence, ""

"""`onboard duplicates`: who is in a file twice, with evidence."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from onboard import intake
from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    On,
    Reading,
    say,
    share_bar,
    show,
    told_columns,
)
from onboard.engines.reaching import caution
from onboard.intake.far_files import brought
from onboard.match.evidence import IN_DOUBT, SURE
from onboard.match.groups import TIED
from onboard.model import Verdict
from onboard.reports import duplicates as report
from onboard.reports.table import Words
from onboard.tasks.list_duplicates import (
    Bars,
    Lists,
    Where,
    list_duplicates,
)
from onboard.tasks.open_forms import files_meant, see_columns_are_clear


class Least(StrEnum):
    """How sure a pair must be to be listed."""

    SURE = "sure"
    LIKELY = "likely"
    POSSIBLE = "possible"


CONFIDENCE = {Least.SURE: SURE, Least.LIKELY: TIED, Least.POSSIBLE: IN_DOUBT}


From = Annotated[
    Least,
    typer.Option("--from", help="List the pairs that are sure, likely, or all possible ones."),
]
Groups = Annotated[
    Path | None,
    typer.Option("--groups", help="The file for the groups: each row with its group."),
]
Review = Annotated[
    Path | None,
    typer.Option("--review", help="The file for the unclear pairs, with both rows in full."),
]
Ruled = Annotated[
    Path | None,
    typer.Option("--ruled", help='An earlier list of pairs, with your decisions under "ruling".'),
]
Learn = Annotated[
    bool,
    typer.Option("--learn", help="Learn from your decisions for other pairs of their kind too."),
]
Keep = Annotated[
    Path | None,
    typer.Option("--keep", help="An earlier list of groups. They stay, and rows can join them."),
]
Tie = Annotated[
    Least, typer.Option("--tie", help="How sure a pair must be to be put in one group.")
]
NoChains = Annotated[
    bool,
    typer.Option("--no-chains", help="A group only where every two of its rows are tied."),
]
Names = Annotated[
    Path | None,
    typer.Option(
        "--names",
        help="How common names are where you are: columns name, kind (given, family), count.",
    ),
]
Shorts = Annotated[
    Path | None,
    typer.Option("--short-forms", help="Your own short forms of names: columns name, short_form."),
]
SpillTo = Annotated[
    Path | None,
    typer.Option(
        "--spill",
        help="A folder with room for what does not fit into memory. What was put there is deleted afterward.",
    ),
]


@dataclass(frozen=True, slots=True)
class Judged:
    """How sure a pair must be for what."""

    least: From = Least.POSSIBLE
    tie: Tie = Least.LIKELY
    no_chains: NoChains = False


@dataclass(frozen=True, slots=True)
class Further:
    """Further lists, written and read."""

    grouped: Groups = None
    review: Review = None
    ruled: Ruled = None
    learn: Learn = False
    keep: Keep = None


@dataclass(frozen=True, slots=True)
class Known:
    """What is known where you are, and where there is room."""

    names: Names = None
    short_forms: Shorts = None
    spill: SpillTo = None
    on: On = ""


def duplicates(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE…", help="Spreadsheets of people: CSV, XLSX, ODS or Parquet, or a pattern."
        ),
    ],
    to: Annotated[Path, typer.Option("--to", help="The file for the pairs: .csv or .xlsx.")],
    judged: Judged,
    lists: Further,
    known: Known,
    reading: Reading,
) -> None:
    """List who is in a spreadsheet twice, how sure that is, and why.

    Several files count as one. Each row is known by its id if there is a column of ids, or by its row number. Write same or
    different under "ruling", and give the list (or the one of --review) back with --ruled: what you
    decide always wins.

    Example: `onboard duplicates members.csv --to pairs.csv`

    Example: `onboard duplicates parish.xlsx --to pairs.xlsx --column "Clan=family" --from likely`

    Example: `onboard duplicates members.csv --to pairs.csv --ruled review.xlsx --learn`

    Example: `onboard duplicates members.csv --to pairs.csv --short-forms forms.csv`

    Example: `onboard duplicates "parts/*.csv" --to pairs.csv --on tls://10.0.0.5:8786`
    """
    with brought(files) as here:
        _listed(here, to, judged, lists, known, reading)


def _listed(
    files: list[Path], to: Path, judged: Judged, lists: Further, known: Known, reading: Reading
) -> None:
    told = told_columns(reading.column)
    sheets = [
        intake.open_rows(file, told=told, needed=(), sheet=reading.sheet_name)
        for file in files_meant(files)
    ]
    for sheet in sheets:
        see_columns_are_clear(sheet)
    named = Lists(
        to, lists.grouped, lists.review, lists.ruled, lists.keep, known.names, known.short_forms
    )
    if careful := caution(known.on):
        show(Words(careful))
    bars = Bars(CONFIDENCE[judged.least], CONFIDENCE[judged.tie], not judged.no_chains, lists.learn)
    with share_bar("Comparing") as progress:
        found, written = list_duplicates(
            sheets, named, bars, where=Where(known.on, known.spill, say), progress=progress
        )
    notes = dict.fromkeys(note for sheet in sheets for note in sheet.notes)
    show(
        *report.pieces(
            found, written, grouped=lists.grouped, review=lists.review, notes=tuple(notes)
        )
    )
    raise typer.Exit(NEEDS_A_PERSON if found.of(Verdict.UNCLEAR) or found.lost else DONE)

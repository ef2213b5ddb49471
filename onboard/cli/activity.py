"""`onboard activity`: the ordering page's list of last sign-ins and orders."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Reading,
    Record,
    answer,
    open_sheet,
    progress_bar,
)
from onboard.office import Office
from onboard.reports import activity as reports
from onboard.tasks.note_activity import note_activity, see_that_it_has_days


def activity(
    office: Office,
    file: Annotated[
        Path,
        typer.Argument(
            help="The page's list: sign-in names, with the days of the last sign-in and order."
        ),
    ],
    as_of: Annotated[
        datetime | None,
        typer.Option(
            "--as-of", formats=["%Y-%m-%d"], help="The day the list was made. If left out, today."
        ),
    ] = None,
    *,
    record: Record = False,
    reading: Reading,
    machine: Machine = False,
) -> None:
    """Take in when members last signed in and ordered, so that an audit can find idle accounts.

    An empty cell means never. The list may also have a column of days on which an email came back.
    Without `--record` you only get a preview.

    Example: `onboard activity page-list.csv --as-of 2026-11-20 --record`
    """
    sheet = open_sheet(office, file, reading, needed=("handle",), quiet=machine)
    see_that_it_has_days(sheet)
    with progress_bar("Members", None, shown=not machine) as progress:
        done = note_activity(
            office, sheet.rows(), file=file.name, as_of=as_of.date() if as_of else office.today(),
            keep=record, progress=progress,
        )  # fmt: skip
    pieces = reports.pieces(done, office.roster_name, kept=record)
    answer(pieces, [reports.as_json(done, kept=record)], machine)
    raise typer.Exit(NEEDS_A_PERSON if done.skipped else DONE)

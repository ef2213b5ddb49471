"""`onboard activity`: the ordering page's list of last sign-ins and orders."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    SettingsFile,
    SheetName,
    Told,
    Who,
    console,
    open_sheet,
    progress_bar,
    say,
)
from onboard.errors import FileTrouble
from onboard.office import open_office
from onboard.tasks.note_activity import DAYS, note_activity


def activity(
    file: Annotated[
        Path,
        typer.Argument(help="The page's list: handles with the days of last sign-in and order."),
    ],
    as_of: Annotated[
        datetime | None,
        typer.Option("--as-of", formats=["%Y-%m-%d"], help="The day of the list. Else today."),
    ] = None,
    record: Record = False,
    column: Told = None,
    sheet_name: SheetName = "",
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Take in when members last signed in and ordered, so that an audit can tell who is idle.

    An empty cell says that it never happened. A column of days on which mail bounced is understood
    too. Looks first; with `--record` it happens.

    Example: `onboard activity page-list.csv --as-of 2026-11-20 --record`
    """
    office = open_office(settings, beside=file, who=who)
    sheet = open_sheet(
        office, file, column, needed=("handle",), quiet=machine, sheet_name=sheet_name
    )
    if not any(c.field in DAYS for c in sheet.columns.columns):
        raise FileTrouble(
            f"{file} has no column of last sign-ins, last orders or bounces: name one with "
            '--column "Heading=last_sign_in", last_order or bounced.'
        )
    with progress_bar("Members", None, shown=not machine) as progress:
        done = note_activity(
            office, sheet.rows(), file=file.name, as_of=as_of.date() if as_of else office.today(),
            keep=record, progress=progress,
        )  # fmt: skip
    left_out = len(done.left_out) + done.not_told
    if machine:
        console.file.write(json.dumps(asdict(done) | {"recorded": record}) + "\n")
    else:
        for line, handle, why in done.left_out:
            say(f"line {line}, {handle or '(no handle)'}: {why}")
        if done.not_told:
            say(f"and {done.not_told:,} more lines.")
        older = f", {done.older:,} older than what is known" if done.older else ""
        say(
            f"{done.rows:,} rows: {done.noted:,} noted{older}, {left_out:,} left out.", style="bold"
        )
        if record:
            say(f"Recorded in {office.roster_name}.")
        else:
            say("This was a look: nothing was recorded. To record it, add --record.")
    raise typer.Exit(NEEDS_A_PERSON if left_out else DONE)

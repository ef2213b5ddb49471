"""`onboard adopt`: members who have accounts already."""

from __future__ import annotations

import json
from dataclasses import asdict
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
from onboard.office import open_office
from onboard.tasks.adopt_members import adopt_members


def adopt(
    file: Annotated[
        Path, typer.Argument(help="The members: CSV, XLSX or ODS, with their handles.")
    ],
    record: Record = False,
    column: Told = None,
    sheet_name: SheetName = "",
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Take over members who have accounts already, with the handles they sign in with.

    They get no new password and no packet. Looks first; with `--record` it happens.

    Example: `onboard adopt fixtures_demo/members.csv --record`
    """
    office = open_office(settings, beside=file, who=who)
    sheet = open_sheet(
        office, file, column, needed=("name", "handle"), quiet=machine, sheet_name=sheet_name
    )
    with progress_bar("Members", None, shown=not machine) as progress:
        done = adopt_members(office, sheet.rows(), file=file.name, keep=record, progress=progress)
    if machine:
        console.file.write(json.dumps(asdict(done) | {"recorded": record}) + "\n")
    else:
        for line, name, why in done.left_out:
            say(f"line {line}, {name}: {why}")
        say(
            f"{done.rows} rows: {done.adopted} taken over, {done.given_before} given before, "
            f"{len(done.left_out)} left out.",
            style="bold",
        )
        if record:
            say(f"Recorded in {office.roster_name}.")
        else:
            say("This was a look: nothing was recorded. To record it, add --record.")
    raise typer.Exit(NEEDS_A_PERSON if done.left_out else DONE)

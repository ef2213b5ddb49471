"""`onboard adopt`: members who have accounts already."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    SheetName,
    Told,
    answer,
    open_sheet,
    progress_bar,
    typed,
)
from onboard.office import Office
from onboard.reports import adopted as report
from onboard.tasks.adopt_members import adopt_members


def adopt(
    office: Office,
    file: Annotated[
        Path, typer.Argument(help="The members, with their sign-in names: CSV, XLSX or ODS.")
    ],
    record: Record = False,
    column: Told = None,
    sheet_name: SheetName = "",
    machine: Machine = False,
) -> None:
    """Bring in existing members, with the sign-in names they have.

    They get no new password and no packet. You get a preview first. With `--record` it is saved.

    Example: `onboard adopt fixtures_demo/members.csv --record`
    """
    sheet = open_sheet(
        office, file, column, needed=("name", "handle"), quiet=machine, sheet_name=sheet_name
    )
    with progress_bar("Members", None, shown=not machine) as progress:
        done = adopt_members(office, sheet.rows(), file=file.name, keep=record, progress=progress)
    roster = office.roster_name if record else ""
    answer(
        report.pieces(
            done, roster=roster, again=typed("--record"), passed_over=sheet.passed_over.words()
        ),
        [report.as_json(done, recorded=record)],
        machine,
    )
    raise typer.Exit(NEEDS_A_PERSON if done.left_out else DONE)

"""`onboard undo`: changes undone, or listed."""

from __future__ import annotations

from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    answer,
    show,
)
from onboard.office import Office
from onboard.reports import undone
from onboard.tasks import undo as task


def undo(
    office: Office,
    number: Annotated[
        int,
        typer.Argument(
            help="The number under which the changes were saved. Leave it out to list them."
        ),
    ] = 0,
    line: Annotated[
        list[int] | None,
        typer.Option("--line", help="Only this row of the file. You can give several."),
    ] = None,
    record: Record = False,
    machine: Machine = False,
) -> None:
    """List what was changed together, or undo it: all of it, or some rows.

    Without `--record` you only get a preview. If something has changed again since, the program
    leaves it as it is and tells you.

    Example: `onboard undo`

    Example: `onboard undo 12 --line 7 --record`
    """
    if not number:
        zone = ZoneInfo(office.settings.timezone)
        show(*undone.listed(task.list_applied(office), zone))
        raise typer.Exit(DONE)
    done = task.undo(office, number, keep=record, lines=line or ())
    answer(undone.pieces(done, kept=record), undone.as_json(done, kept=record), machine)
    raise typer.Exit(NEEDS_A_PERSON if done.undone.kept else DONE)

"""`onboard tidy`: approved changes applied together."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    answer,
)
from onboard.intake.changes import read_changes
from onboard.office import Office
from onboard.reports import tidied
from onboard.tasks import tidy as task


def tidy(
    office: Office,
    file: Annotated[
        Path,
        typer.Argument(help="The review file (XLSX, ODS, CSV), with yes where a change is right."),
    ],
    record: Record = False,
    machine: Machine = False,
) -> None:
    """Apply the approved changes of a review file, all of them together. You can undo each.

    Without `--record` you only get a preview. If a member has changed since the file was made, the
    program skips that row and tells you.

    Example: `onboard tidy audit/changes.xlsx`

    Example: `onboard tidy audit/changes.xlsx --record`
    """
    done = task.tidy(office, read_changes(file), file=file.name, keep=record)
    answer(tidied.pieces(done, kept=record), tidied.as_json(done, kept=record), machine)
    raise typer.Exit(NEEDS_A_PERSON if done.needs_a_person else DONE)

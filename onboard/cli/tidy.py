"""`onboard tidy`: approved changes applied together."""

from __future__ import annotations

from dataclasses import dataclass
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
)
from onboard.errors import FileTrouble
from onboard.intake import sheet_changes
from onboard.intake.changes import read_changes
from onboard.office import Office
from onboard.reports import tidied
from onboard.tasks import tidy as task
from onboard.tasks.tidy_sheet import tidy_sheet


@dataclass(frozen=True, slots=True)
class Copied(Reading):
    """A spreadsheet that was audited, and its copy with the changes."""

    of: Annotated[
        Path | None,
        typer.Option(
            "--of", help="The spreadsheet that was audited, if the changes are of its cells."
        ),
    ] = None
    to: Annotated[
        Path | None,
        typer.Option("--to", help="A new file for the copy of that spreadsheet with the changes."),
    ] = None


def tidy(
    office: Office,
    file: Annotated[
        Path,
        typer.Argument(help="The review file (XLSX, ODS, CSV), with yes where a change is right."),
    ],
    *,
    record: Record = False,
    copied: Copied,
    machine: Machine = False,
) -> None:
    """Apply the approved changes of a review file, all of them together. You can undo each.

    Without `--record` you only get a preview. If a member has changed since the file was made, the
    program skips that row and tells you.

    If the audit was of a spreadsheet, name it with `--of`, and a new file with `--to`: it becomes a
    copy with the approved changes. The spreadsheet itself is never changed.

    Example: `onboard tidy audit/changes.xlsx`

    Example: `onboard tidy audit/changes.xlsx --record`

    Example: `onboard tidy audit/changes.xlsx --of members.csv --to members-fixed.csv`
    """
    of, to = copied.of, copied.to
    if of is not None:
        sheet = open_sheet(office, of, copied, needed=(), quiet=True)
        done_in_copy = tidy_sheet(sheet, sheet_changes.read_of_sheet(file), to)
        answer(tidied.of_sheet(done_in_copy, to), tidied.sheet_as_json(done_in_copy, to), machine)
        raise typer.Exit(NEEDS_A_PERSON if done_in_copy.left_out else DONE)
    if sheet_changes.holds_them(file):
        raise FileTrouble(
            f"{file} holds changes of a spreadsheet. Name the spreadsheet: onboard tidy {file} --of FILE"
        )
    if to is not None:
        raise FileTrouble("--to is for the copy of a spreadsheet. Name the spreadsheet with --of.")
    done = task.tidy(office, read_changes(file), file=file.name, keep=record)
    told = tidied.pieces(done, kept=record, has_mail=bool(office.settings.mail.host))
    answer(told, tidied.as_json(done, kept=record), machine)
    raise typer.Exit(NEEDS_A_PERSON if done.needs_a_person else DONE)

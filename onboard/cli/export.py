"""`onboard export`: accounts for the ordering page, all or what changed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import DONE, NEEDS_A_PERSON, lines, show, typed
from onboard.errors import FileTrouble
from onboard.office import Office
from onboard.reports import exported as report
from onboard.tasks.export_accounts import export_file
from onboard.tasks.page_answer import take_answer


def export(
    office: Office,
    file: Annotated[
        Path | None, typer.Argument(help="The file to write: .csv, or .json for SCIM 2.0.")
    ] = None,
    changed: Annotated[
        bool, typer.Option("--changed", help="Only what changed since your last export.")
    ] = False,
    record: Annotated[
        bool, typer.Option("--record", help="Mark it as sent: the page takes this file in.")
    ] = False,
    answer: Annotated[
        Path | None,
        typer.Option("--answer", help="What the page answered to a SCIM request, a JSON file."),
    ] = None,
) -> None:
    """Write the new accounts, or only what changed, for the ordering page to take in.

    With `--record` they are marked as sent, and the next `--changed` does not list them again.

    Example: `onboard export accounts.csv --record`

    Example: `onboard export changes.csv --changed --record`

    Example: `onboard export changes.json --changed --record` writes SCIM 2.0 operations.

    Example: `onboard export --answer response.json --record` reads what the page answered.
    """
    if file is None and answer is None:
        raise FileTrouble(
            "Nothing to do. Give a file to write, or --answer with the page's answer."
        )
    again, line, left = typed("--record"), lines(office), 0
    if answer is not None:
        taken = take_answer(office, answer, keep=record)
        show(*report.answer_pieces(taken, answer, kept=record, again=again, line=line))
        left += taken.failed
    if file is not None:
        done = export_file(office, file, changed=changed, keep=record)
        told = report.pieces(done, file, changed=changed, marked=record, again=again, line=line)
        show(*told)
        left += done.unnamed
    raise typer.Exit(NEEDS_A_PERSON if left else DONE)

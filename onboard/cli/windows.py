"""`onboard windows`: when each ordering group may order."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    answer,
    console,
    errors,
    say,
    see_roster,
    show,
)
from onboard.office import Office
from onboard.reports import windows as report
from onboard.tasks.list_windows import list_windows
from onboard.tasks.publish_windows import publish_windows

To = Annotated[
    Path | None,
    typer.Option(
        "--to",
        help="Write calendar files to subscribe to, and sheets for the wall, into this folder.",
    ),
]


def windows(office: Office, to: To = None, machine: Machine = False) -> None:
    """Show when each ordering group may order in the next 18 months, and what to look at.

    The windows are those that you wrote under each `[[group]]` of the settings, and those that the rule under
    `[windows]` makes. Each is listed by month, with its group and drop sites. Windows that overlap, months
    without a window and windows that open on a holiday are told in words.

    `--to` writes a calendar file for each group and each drop site, which you can lay on your web space for people
    to subscribe to, and sheets to print for the wall (PDF): one page with all groups, and one for each. A file in
    that folder that this program did not make stays as it is.

    Example: `onboard windows`

    Example: `onboard windows --json`

    Example: `onboard windows --to web`
    """
    found = list_windows(office)
    if to:
        see_roster(office, record=True, quiet=machine)
        written = publish_windows(office, to)
        answer(report.written(written), report.written_as_json(written), machine)
    elif machine:
        for line in report.as_json(found):
            console.file.write(json.dumps(line) + "\n")
        for finding in found.findings:
            say(finding, to=errors)
    else:
        show(*report.pieces(found))
    raise typer.Exit(NEEDS_A_PERSON if found.findings else DONE)

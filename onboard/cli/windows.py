"""`onboard windows`: when each ordering group may order."""

from __future__ import annotations

import json

import typer

from onboard.cli.common import DONE, NEEDS_A_PERSON, Machine, console, errors, say, show
from onboard.office import Office
from onboard.reports import windows as report
from onboard.tasks.list_windows import list_windows


def windows(office: Office, machine: Machine = False) -> None:
    """Show when each ordering group may order in the next 18 months, and what to look at.

    The windows are those that you wrote under each `[[group]]` of the settings, and those that the rule under
    `[windows]` makes. Each is listed by month, with its group and drop sites. Windows that overlap, months
    without a window and windows that open on a holiday are told in words.

    Example: `onboard windows`

    Example: `onboard windows --json`
    """
    found = list_windows(office)
    if machine:
        for line in report.as_json(found):
            console.file.write(json.dumps(line) + "\n")
        for finding in found.findings:
            say(finding, to=errors)
    else:
        show(*report.pieces(found))
    raise typer.Exit(NEEDS_A_PERSON if found.findings else DONE)

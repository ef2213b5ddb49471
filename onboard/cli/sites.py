"""`onboard sites`: the drop sites, which are near, and how full they are."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import DONE, NEEDS_A_PERSON, Machine, answer, errors, say
from onboard.office import Office
from onboard.reports import sites as report
from onboard.tasks.list_sites import list_sites

Nearest = Annotated[
    str,
    typer.Option("--near", help="A ZIP code or a town: the open drop sites, the nearest first."),
]


def sites(office: Office, near: Nearest = "", machine: Machine = False) -> None:
    """List the drop sites with their members, how many they can serve, and when they order.

    With `--near` the open ones are listed from the nearest on. Distances are in a straight line, from the middle
    of one ZIP code to the middle of the other: roads are longer, and where two are both close, ask the member.

    How many members a site can serve is `capacity`, under its `[[site]]` in the settings. A full site still takes
    members, and the program tells you.

    Example: `onboard sites`

    Example: `onboard sites --near 45801`

    Example: `onboard sites --json`
    """
    found = list_sites(office, near)
    if machine:  # a line is a site
        for words in (*found.remarks, *found.findings):
            say(words, to=errors)
    answer(report.pieces(found), report.as_json(found), machine)
    raise typer.Exit(NEEDS_A_PERSON if found.findings else DONE)

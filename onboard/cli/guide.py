"""`onboard guide`: pages with which members help themselves."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import Machine, answer, see_roster
from onboard.office import Office
from onboard.reports import guide as report
from onboard.tasks.publish_guide import publish_guide

To = Annotated[Path, typer.Option("--to", help="The folder to write the guide into.")]


def guide(office: Office, to: To, machine: Machine = False) -> None:
    """Write pages with which members help themselves: where, when, how to sign in, and why no email came.

    The pages are in English and Spanish, and are made of the settings alone: no member's data is in them. Lay the
    folder on any web space, print it, or email a page. Each page is one file. It asks for nothing from
    anywhere, and it works from a disk and with scripts off.

    The folder also gets a calendar file for each group and each drop site, the sheets for the wall, a contact card,
    and a hand-out of two sides for hosts to lay out (PDF). A file in that folder that this program did not make
    stays as it is.

    Example: `onboard guide --to guide`
    """
    see_roster(office, record=True, quiet=machine)
    done = publish_guide(office, to)
    answer(report.written(done), report.as_json(done), machine)

"""`onboard disclose`: a copy of a member's data, in a file for them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import DONE, show
from onboard.office import Office
from onboard.reports import disclosure
from onboard.tasks.forget_member import tell_all


def disclose(
    office: Office,
    member: Annotated[str, typer.Argument(help="The member's number or sign-in name.")],
    to: Annotated[
        Path, typer.Option("--to", help="The file to make: .xlsx for people, .json for programs.")
    ],
) -> None:
    """Give a member a copy of their data, from all their accounts.

    First make sure it is they who ask: call back the number on file, or email the address on file and
    wait for the reply. What people may ask for, and how soon it is due, differs by state and country:
    ask somebody qualified.

    Example: `onboard disclose patlee --to patlee.xlsx`
    """
    told = tell_all(office, member)
    disclosure.write(to, told, coop=office.settings.coop, when=office.now())
    show(*disclosure.pieces(told, to))
    raise typer.Exit(DONE)

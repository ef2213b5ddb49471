"""`onboard disclose`: all that is known of one member, in a file for them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import DONE, SettingsFile, Who, say
from onboard.office import open_office
from onboard.reports import disclosure
from onboard.reports.counts import counted
from onboard.tasks.forget_member import tell_all


def disclose(
    member: Annotated[str, typer.Argument(help="The member's number or sign-in name.")],
    to: Annotated[
        Path, typer.Option("--to", help="Where to: .xlsx for people, .json for programs.")
    ],
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Write all that is known of one member, in all their accounts, for that member.

    See first that it is they who ask: call back, or write to the contact on file. What people may ask
    for, and how soon it is due, differs by state and country: ask somebody qualified.

    Example: `onboard disclose patlee --to patlee.xlsx`
    """
    office = open_office(settings, who=who)
    told = tell_all(office, member)
    disclosure.write(to, told, coop=office.settings.coop, when=office.now())
    parts = ", ".join(
        f"{name.replace('_', ' ')} {len(lines)}" for name, lines in told.items() if lines
    )
    say(f"Wrote {counted(sum(map(len, told.values())), 'line')} to {to}: {parts}.")
    say("It holds all that we know of a person: give it to nobody else, and delete it after use.")
    for note in disclosure.NOTES:
        say(f"- {note}")
    raise typer.Exit(DONE)

"""`onboard export`: accounts for the ordering page."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from onboard import wiring
from onboard.cli.common import DONE, SettingsFile, Who, counted, say
from onboard.errors import FileTrouble
from onboard.reports import accounts
from onboard.reports.private import private_file
from onboard.tasks.export_accounts import export_accounts

WRITERS = {".csv": accounts.write_csv, ".json": accounts.write_scim}


def export(
    file: Annotated[Path, typer.Argument(help="Where to: .csv, or .json for SCIM 2.0.")],
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Write the accounts that we made, for the ordering page to take in.

    Example: `onboard export accounts.csv`

    Example: `onboard export accounts.json` writes SCIM 2.0 User resources.
    """
    place = wiring.open_workplace(settings, who=who)
    write = WRITERS.get(file.suffix.casefold())
    if write is None:
        raise FileTrouble(f"{file}: name it .csv, or .json for SCIM 2.0.")
    engine = place.roster(to_write=False)
    with private_file(file) as out:
        count = write(export_accounts(engine), place.settings, out)
    say(
        f"Wrote {counted(count, 'account')} to {file}. It holds password hashes: keep it private, delete it after use."
    )
    say("What the page cannot hold, or must be able to do:")
    for sentence in accounts.CANNOT_HOLD["csv" if file.suffix.casefold() == ".csv" else "scim"]:
        say(f"- {sentence}")
    raise typer.Exit(DONE)

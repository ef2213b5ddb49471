"""`onboard move-roster`: the roster copied from a file to a server, or back."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import DONE, say
from onboard.tasks.move_roster import move_roster as move


def move_roster(
    source: Annotated[
        str, typer.Argument(metavar="FROM", help="The roster: a file, or the URL of a database.")
    ],
    target: Annotated[
        str, typer.Argument(metavar="TO", help="Where it goes: a new file, or an empty database.")
    ],
) -> None:
    """Copy the roster from a file to a PostgreSQL database, or back.

    Nobody should save anything meanwhile. The old roster stays as it is. The copy is read again and compared,
    and saved only if it is equal. Then name the new place in your settings. Keep a database's password
    in `~/.pgpass`, not in the address.

    Example: `onboard move-roster roster.db postgresql://onboard@db.example.org/roster?sslmode=verify-full`

    Example: `onboard move-roster postgresql://onboard@db.example.org/roster roster.db`
    """
    moved = move(source, target)
    say(
        f"{moved.rows:,} rows of all tables copied from {moved.source} to {moved.target}. Both are equal.",
        "bold",
    )
    say(
        "Next: in your settings, under [files], set roster to the new place. Then delete the old one when you are "
        "sure: it holds members' data."
    )
    raise typer.Exit(DONE)

"""The commands: each reads its arguments, calls one task, prints a report.

Exit codes: 0 done, 1 something needs a person, 2 could not run.
"""

from __future__ import annotations

import sys

import typer

from onboard.cli import (
    adopt,
    answer,
    batch,
    duplicates,
    export,
    packets,
    start,
)
from onboard.cli.common import errors
from onboard.errors import Trouble

app = typer.Typer(
    name="onboard",
    help="Turns a buying co-operative's join forms into working accounts.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_show_locals=False,  # locals could hold a first password
    rich_markup_mode="markdown",
)
for command in (
    start.start,
    adopt.adopt,
    batch.batch,
    answer.answer,
    packets.packets,
    export.export,
    duplicates.duplicates,
):
    app.command()(command)


def main() -> None:
    """Run the command line; trouble is printed as words, and ends with code 2."""
    try:
        app()
    except Trouble as trouble:
        errors.print(str(trouble), style="bold", markup=False, highlight=False)
        sys.exit(2)
    except KeyboardInterrupt:
        errors.print("Stopped. What was not yet recorded has not been changed.")
        sys.exit(2)

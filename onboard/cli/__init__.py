"""The commands: each reads its arguments, calls one task, prints a report.

Exit codes: 0 done, 1 something needs a person, 2 could not run.
"""

from __future__ import annotations

import sys
from typing import NoReturn

import typer

from onboard import wiring
from onboard.cli import (
    activity,
    adopt,
    answer,
    audit,
    batch,
    calls,
    correct,
    disclose,
    duplicates,
    export,
    find,
    forget,
    merge,
    packets,
    reissue,
    start,
    tidy,
    undo,
    why,
)
from onboard.cli.common import COULD_NOT_RUN, errors, in_words, say
from onboard.errors import Trouble

INTERRUPTED = 130  # what Typer makes of Ctrl-C

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
    audit.audit,
    activity.activity,
    tidy.tidy,
    undo.undo,
    merge.merge,
    disclose.disclose,
    forget.forget,
    find.find,
    why.why,
    reissue.reissue,
    correct.correct,
    calls.call,
    calls.calls,
):
    app.command()(command)


def main() -> None:
    """Run the command line; trouble is printed as words, and ends with code 2."""
    wiring.tend_memory()
    try:
        app()
    except (Trouble, OSError) as trouble:
        _stop(in_words(trouble))
    except (KeyboardInterrupt, SystemExit) as end:
        if isinstance(end, SystemExit) and end.code != INTERRUPTED:
            raise
        _stop("Stopped. What was not yet recorded has not been changed.")


def _stop(words: str) -> NoReturn:
    say(words, style="bold", to=errors)
    sys.exit(COULD_NOT_RUN)

"""The commands: each reads its arguments, calls one task, prints a report.

Exit codes: 0 done, 1 something needs a person, 2 could not run.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterable
from importlib import import_module
from typing import TYPE_CHECKING, NoReturn

from onboard.errors import Trouble

if TYPE_CHECKING:
    import typer

INTERRUPTED = 130  # what Typer makes of Ctrl-C

# The commands, in the order of the help, and the module that has a function of that name. Only the
# one that is asked for is loaded: all together take longer to load than most take to run, and each
# process that helps a command loads this module anew.
COMMANDS = {
    "start": "start", "adopt": "adopt", "batch": "batch", "answer": "answer",
    "packets": "packets", "export": "export", "duplicates": "duplicates", "audit": "audit",
    "activity": "activity", "tidy": "tidy", "undo": "undo", "merge": "merge",
    "disclose": "disclose", "forget": "forget", "find": "find", "why": "why",
    "reissue": "reissue", "correct": "correct", "call": "calls", "calls": "calls",
}  # fmt: skip


def app(names: Iterable[str] = COMMANDS) -> typer.Typer:
    """The command line, with these commands."""
    import typer

    made = typer.Typer(
        name="onboard",
        help="Turns a buying co-operative's join forms into working accounts.",
        no_args_is_help=True,
        add_completion=False,
        pretty_exceptions_show_locals=False,  # locals could hold a first password
        rich_markup_mode="markdown",
    )
    made.callback()(lambda: None)  # without one, a command that is alone would have no name
    for name in names:
        made.command()(getattr(import_module(f"onboard.cli.{COMMANDS[name]}"), name))
    return made


def main() -> None:
    """Run the command line; trouble is printed as words, and ends with code 2."""
    asked = sys.argv[1:2]
    run = app(asked if COMMANDS.keys() >= set(asked) and asked else COMMANDS)
    tend_memory()
    from onboard.cli.common import in_words

    try:
        run()
    except (Trouble, OSError) as trouble:
        _stop(in_words(trouble))
    except (KeyboardInterrupt, SystemExit) as end:
        if isinstance(end, SystemExit) and end.code != INTERRUPTED:
            raise
        _stop("Stopped. What was not yet recorded has not been changed.")


def tend_memory() -> None:
    """Let Python look for circular garbage seldom: there is little, and looking is a fifth of the
    time of a batch. For a program of ours that starts; a library does not decide this."""
    gc.freeze()
    gc.set_threshold(100_000, 20, 20)


def _stop(words: str) -> NoReturn:
    from onboard.cli.common import COULD_NOT_RUN, errors, say

    say(words, style="bold", to=errors)
    sys.exit(COULD_NOT_RUN)

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

# The commands under the headings of the help, and the module that has a function of that name. Only
# the one that is asked for is loaded: all together take longer to load than most take to run, and
# each process that helps a command loads this module anew.
HEADINGS = {
    "Join forms become accounts": {
        "start": "start", "adopt": "adopt", "batch": "batch", "answer": "answer",
        "packets": "packets", "export": "export",
    },
    "A member calls": {
        "find": "find", "why": "why", "reissue": "reissue", "correct": "correct",
        "call": "calls", "calls": "calls",
    },
    "The roster is kept clean": {
        "duplicates": "duplicates", "activity": "activity", "audit": "audit", "tidy": "tidy",
        "merge": "merge", "undo": "undo", "disclose": "disclose", "forget": "forget",
    },
}  # fmt: skip
COMMANDS = {
    name: (heading, module) for heading, named in HEADINGS.items() for name, module in named.items()
}


def app(names: Iterable[str] = COMMANDS) -> typer.Typer:
    """The command line, with these commands."""
    import typer

    made = typer.Typer(
        name="onboard",
        help="Looks after the members of a buying co-operative: join forms become working accounts, "
        "callers are helped to sign in, the roster is kept clean.",
        no_args_is_help=True,
        add_completion=False,
        pretty_exceptions_show_locals=False,  # locals could hold a first password
        rich_markup_mode="markdown",
    )
    made.callback()(lambda: None)  # without one, a command that is alone would have no name
    for name in names:
        heading, module = COMMANDS[name]
        function = getattr(import_module(f"onboard.cli.{module}"), name)
        made.command(rich_help_panel=heading)(function)
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

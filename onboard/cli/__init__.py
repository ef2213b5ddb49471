"""The commands: each reads its arguments, calls one task, prints a report.

Exit codes: 0 done, 1 something needs a person, 2 could not run, 3 the same command is at work already.
"""

from __future__ import annotations

import gc
import os
import sys
from io import TextIOWrapper
from typing import NoReturn

# Little is imported up here, and the rest in `main`: whoever presses Ctrl-C while it loads is
# answered in words too, and each process that helps a command loads this module anew.

COULD_NOT_RUN = 2
ALREADY_RUNNING = 3  # the same command is at work
INTERRUPTED = 130  # what Typer makes of Ctrl-C


def main() -> None:
    """Run the command line; trouble is printed as words, and ends with code 2."""
    try:
        _run()
    except KeyboardInterrupt:
        _stopped()
    except SystemExit as end:
        if end.code == INTERRUPTED:
            _stopped()
        raise
    except Exception as fault:
        from onboard.cli import faults

        if os.environ.get(faults.SHOWN):
            raise
        sys.stderr.write(faults.in_words(fault) + "\n")
        sys.exit(COULD_NOT_RUN)


def _run() -> None:
    gc.disable()  # while it loads: see `tend_memory`
    for stream in (sys.stdout, sys.stderr):
        # A screen that lacks a letter shows "?" for it; members have all letters.
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    from onboard.errors import AlreadyRunning, Trouble, in_words

    try:
        _see_that_words_are_text(sys.argv[1:])
        from onboard.cli import commands

        commands.group()()
    except (Trouble, OSError) as trouble:
        from onboard.cli.common import errors, say

        say(in_words(trouble), style="bold", to=errors)
        sys.exit(ALREADY_RUNNING if isinstance(trouble, AlreadyRunning) else COULD_NOT_RUN)


def _see_that_words_are_text(words: list[str]) -> None:
    """Raises `FileTrouble` for an argument that is no UTF-8: no roster and no report could hold it."""
    from onboard.errors import FileTrouble

    for word in words:
        try:
            word.encode()
        except UnicodeEncodeError:
            shown = word.encode(errors="backslashreplace").decode()
            raise FileTrouble(
                f"“{shown}” cannot be read: it is not UTF-8 text. If it is the name of a file, "
                "rename the file; otherwise set the terminal to UTF-8, and type it again."
            ) from None


def tend_memory() -> None:
    """Let Python look for circular garbage seldom, and never among what was loaded so far: there is little, and
    looking is a fifth of the time of a batch, and of that of a look-up. For a program of ours that starts; a library
    does not decide this."""
    gc.freeze()
    gc.set_threshold(100_000, 20, 20)
    gc.enable()


def _stopped() -> NoReturn:
    # In plain Python: the consoles may be what was being loaded.
    sys.stderr.write("Stopped. What was saved by then stays saved; nothing else changed.\n")
    sys.exit(COULD_NOT_RUN)

"""What is said of a fault of the program itself, which no check foresaw."""

from __future__ import annotations

import os
import tempfile

from onboard.errors import where

SHOWN = (
    "ONBOARD_TRACEBACK"  # an environment variable; set by developers, who want Python's own words
)


def in_words(fault: BaseException) -> str:
    """What to do about it; where it happened is in a file of its own, which only its owner can read.

    Neither holds a value: not the message of the fault, not a variable. Either could hold a
    member's data, or a first password.
    """
    try:
        handle, file = tempfile.mkstemp(prefix="onboard-fault-", suffix=".txt", text=True)
        with os.fdopen(handle, "w", encoding="utf-8") as report:
            report.write(where(fault))
        kept = f"Where it happened is in {file}: send that file along. No member's data is in it."
    except OSError:
        kept = f"To see where it happened, set {SHOWN}=1 and run the same line again."
    return (
        f"This is a fault of the program ({type(fault).__name__}), not of what you did. What was "
        f"not yet recorded has not been changed. Tell whoever looks after the program. {kept}"
    )

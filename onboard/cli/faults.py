"""What is said of a fault of the program itself, which no check foresaw."""

from __future__ import annotations

import os
import sys
import tempfile
import traceback

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
            report.write(_where(fault))
        kept = f"Where it happened is in {file}: send that file along. No member's data is in it."
    except OSError:
        kept = f"To see where it happened, set {SHOWN}=1 and run the same line again."
    return (
        f"This is a fault of the program ({type(fault).__name__}), not of what you did. What was "
        f"not yet recorded has not been changed. Tell whoever looks after the program. {kept}"
    )


def _where(fault: BaseException) -> str:
    lines = [f"onboard, Python {sys.version.split()[0]}, {sys.platform}\n"]
    told: BaseException | None = fault
    while told:
        lines.append(f"{type(told).__module__}.{type(told).__qualname__}\n")
        lines += traceback.format_tb(told.__traceback__, limit=-50)
        told = told.__cause__ or told.__context__
    return "".join(lines)

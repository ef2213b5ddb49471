"""What became of a finding of an audit."""

from __future__ import annotations

from enum import StrEnum


class Handled(StrEnum):
    """What a person did about a finding. From each they may go on to each other."""

    OPEN = "open"  # nothing yet
    ASKED = "asked"  # somebody was asked, and the answer is awaited
    LEFT = "left"  # it stays as it is, for a reason: the next audit does not ask again
    DONE = "done"  # it was settled; if the next audit finds it again, it is open again


WAITS = (Handled.OPEN, Handled.ASKED)  # what is still to be done

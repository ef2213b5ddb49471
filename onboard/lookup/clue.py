"""One thing that was said beside what is known of somebody."""

from __future__ import annotations

from dataclasses import dataclass

from onboard.lookup.costs import NOT_A_NAME


@dataclass(frozen=True, slots=True)
class Clue:
    """One thing that was said beside what is known, and its cost.

    `how` is a stable word: "same", "slip", "slips", "sound", "short form", "cut", "initial",
    "signs", "local", "provider", "domain", "as one", "name in it", "other of two", "other",
    "unknown".
    """

    # "name", "former name", "further name", "handle", "former handle", "email", "phone", "phone end",
    # "site", "zip", "street"
    kind: str
    said: str
    known: str
    bits: float
    how: str

    @property
    def agrees(self) -> bool:
        """Whether it speaks for them, with a slip or without."""
        return self.how not in ("other", "unknown") and self.bits < NOT_A_NAME

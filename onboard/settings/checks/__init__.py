"""What must hold of a value beyond its type.

A check gets the value and what pydantic read before it: `info.data` has the keys of the same table,
`info.context` the `Earlier`. It gives the value to keep, or raises ValueError with the words that
follow the key in the message, or a `Sentence`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pydantic import ValidationInfo

    Info = ValidationInfo["Earlier"]
    Check = Callable[[Any, Info], Any]


@dataclass(slots=True)
class Earlier:
    """What the file said so far, as far as it is right; what follows is checked by it."""

    region: str  # "" where it is wrong: then no phone can be judged
    folder: Path  # where the file is
    groups: list[str] = field(default_factory=list)
    sites: list[str] = field(default_factory=list)
    closed: frozenset[str] = frozenset()  # the sites that have closed for good
    windows: list[tuple[date, date]] = field(default_factory=list)  # of the group that is read
    questions: tuple[str, ...] = ()  # of the join form, the co-op's own
    moved: list[date] = field(default_factory=list)  # months whose window is moved

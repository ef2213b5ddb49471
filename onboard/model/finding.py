"""What a rule has to say: what was said, what was understood of it, and what was noticed.

A form has some eight values and as many findings: both are tuples with names, which are made in a
quarter of the time that a frozen dataclass takes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Generic, NamedTuple, TypeVar

T_co = TypeVar("T_co", covariant=True)


class Weight(StrEnum):
    """How much a finding matters."""

    MENDED = "mended"  # put right by itself
    DOUBTFUL = "doubtful"  # good enough to enrol, ask when you next can
    BLOCKING = "blocking"  # on hold until someone answers


class Finding(NamedTuple):
    """One thing noticed about one field of one row."""

    code: str  # stable, "field.what": docs/findings.md has a page for each
    field: str
    weight: Weight
    said: str
    note: str  # what is wrong with this value, then what to do


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of finding: its stable code, its weight, and an example either way.

    Each rule module lists its own in `KINDS`; the catalogue in docs/findings.md and the test
    that runs `wrong` and `right` through the rule are both made from that list.
    """

    code: str
    weight: Weight
    about: str  # one sentence a coordinator understands
    wrong: str  # text in which the rule finds this
    right: str  # text in which it does not
    context: Mapping[str, str] = field(default_factory=dict)  # further arguments of `clean`

    @property
    def field(self) -> str:
        """The field that the code begins with."""
        return self.code.partition(".")[0]

    def found(self, said: str, note: str) -> Finding:
        """A finding of this kind about `said`."""
        return Finding(self.code, self.field, self.weight, said, note)


class Cleaned(NamedTuple, Generic[T_co]):
    """What was said beside what was understood; `value` is None when nothing could be."""

    said: str
    value: T_co | None
    findings: tuple[Finding, ...] = ()

    @property
    def blocked(self) -> bool:
        """Whether a finding holds the row until somebody answers."""
        return any(f.weight is Weight.BLOCKING for f in self.findings)

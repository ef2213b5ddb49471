"""What an audit came to, whoever tells it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from onboard import audit
from onboard.audit import calls
from onboard.audit.briefs import Briefs
from onboard.audit.cells import CellChange
from onboard.audit.observation import Observation
from onboard.audit.record import Rules
from onboard.model import Kind


@dataclass(frozen=True, slots=True)
class Audit:
    """What an audit found, in the order in which it is told."""

    at: datetime
    source: str  # "roster", or the name of the spreadsheet
    rules: Rules
    briefs: Briefs
    found: Sequence[Observation]
    notes: tuple[str, ...]
    households: int  # pairs of one home who are two people
    is_roster: bool
    kinds: Mapping[str, Kind]  # every kind of finding there is, by code
    cells: Sequence[CellChange] = ()  # what is proposed for the cells of a spreadsheet

    @property
    def groups(self) -> list[str]:
        """The groups of findings, in the order in which they are told."""
        return list(audit.GROUPS)

    def group_of(self, code: str) -> str:
        """The group that tells a finding."""
        return audit.group_of(code)

    def calls(self) -> list[calls.Call]:
        """The calls worth making first."""
        return calls.first(self.found, self.briefs, self.rules)

"""One thing that the audit found: about whom, what, and what could be done."""

from __future__ import annotations

from dataclasses import dataclass, replace

from onboard.audit.record import Record
from onboard.model import Change, Finding, Kind


@dataclass(frozen=True, slots=True)
class Observation:
    """A finding about an account, a site ("site:Lima Grange Hall") or the roster ("roster")."""

    owner: str
    finding: Finding
    change: Change | None = None  # where one is safe, for a person to approve
    others: tuple[str, ...] = ()  # further owners that it is about

    @property
    def code(self) -> str:
        return self.finding.code

    @property
    def key(self) -> tuple[str, ...]:
        """What makes it the same finding in two audits."""
        return (self.code, *sorted((self.owner, *self.others)))


def about(
    account: Record,
    kind: Kind,
    said: str,
    note: str,
    *,
    change: Change | None = None,
    others: tuple[str, ...] = (),
) -> Observation:
    """A finding of this kind about an account."""
    finding = kind.found(" ".join(said.split())[:200], note)
    return Observation(
        account.owner, finding, replace(change, why=note) if change else None, others
    )

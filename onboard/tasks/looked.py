"""What is left of accounts once each has been looked at by itself: of some of them, and of all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from onboard.audit.briefs import Briefs
from onboard.audit.cells import CellChange
from onboard.audit.observation import Observation
from onboard.match import many
from onboard.match.columns import Index
from onboard.match.many import Everybody
from onboard.match.piles import Piles
from onboard.roster.condition import Flaw


@dataclass(frozen=True, slots=True)
class Looked:
    """What is left of some accounts, in their order."""

    briefs: Briefs
    found: list[Observation]
    folded: many.Folded  # their spellings
    account: Index  # whose each spelling is, counted from the first of these accounts
    flaws: list[Flaw]
    seen_on_page: int
    no_window: int  # accounts whose windows are not known
    changes: list[CellChange]  # of the cells of a spreadsheet


class Gathered:
    """What is left of all accounts, put together part by part as they come, so that none is held twice."""

    def __init__(self) -> None:
        self._accounts, self._people, self._count = Piles(), many.Gathering(), 0
        self.found: list[Observation] = []
        self.flaws: list[Flaw] = []
        self.changes: list[CellChange] = []
        self.seen_on_page = self.no_window = 0

    def add(self, part: Looked) -> None:
        """Put some accounts behind those before them."""
        part.briefs.add_to(self._accounts)
        self._people.add(part.folded)
        self._accounts.add("account of spelling", part.account + np.int32(self._count))
        self._count += len(part.briefs)
        self.found += part.found
        self.flaws += part.flaws
        self.changes += part.changes
        self.seen_on_page += part.seen_on_page
        self.no_window += part.no_window

    def briefs(self) -> Briefs:
        """All accounts, which are not kept here."""
        return Briefs.out_of(self._accounts)

    def people(self) -> tuple[Everybody, Index]:
        """All their spellings, and whose each is, counted from the first account; they are not kept here."""
        return self._people.everybody(), self._accounts.whole("account of spelling")

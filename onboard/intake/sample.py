"""The first rows of a file, column by column."""

from __future__ import annotations

from dataclasses import dataclass

from onboard.clean import consent


@dataclass(frozen=True, slots=True)
class Sample:
    """The columns of a file as its first rows show them."""

    labels: tuple[str, ...]  # the headings, each unlike the others
    rows: list[list[str]]
    cells: list[list[str]]  # by column, those that are filled

    def within(self, part: int, whole: int) -> bool:
        """Whether most cells of column `part` stand again inside column `whole`."""
        pairs = [(r[part], r[whole]) for r in self.rows if max(part, whole) < len(r) and r[part]]
        return sum(p.casefold() in w.casefold() for p, w in pairs) > len(pairs) / 2

    def has_empty(self, place: int) -> bool:
        """Whether some row says nothing in the column."""
        return any(place >= len(r) or consent.is_empty(r[place]) for r in self.rows if any(r))

    def alike(self, here: int, there: int) -> bool:
        """Whether two columns say the same in every row."""
        last = max(here, there)
        return all(r[here] == r[there] for r in self.rows if last < len(r))

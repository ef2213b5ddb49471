"""The first rows of a file, column by column."""

from __future__ import annotations

from dataclasses import dataclass

from onboard.clean import consent

_FIRST = 2  # cells of a column that a question shows
_LONGEST = 30  # letters of each


def _short(cell: str) -> str:
    text = " ".join(cell.split())
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


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

    def holds(self, place: int) -> str:
        """What the first cells of the column say, for a person who is asked about it; "" if none says anything."""
        firsts = [_short(cell) for cell in list(dict.fromkeys(self.cells[place]))[:_FIRST]]
        more = ", …" if len(set(self.cells[place])) > _FIRST else ""
        return f" ({', '.join(firsts)}{more})" if firsts else ""

    def has_empty(self, place: int) -> bool:
        """Whether some row says nothing in the column."""
        return any(place >= len(r) or consent.is_empty(r[place]) for r in self.rows if any(r))

    def alike(self, here: int, there: int) -> bool:
        """Whether two columns say the same in every row."""
        last = max(here, there)
        return all(r[here] == r[there] for r in self.rows if last < len(r))

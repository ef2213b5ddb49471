"""Lines of a file that hold no form: blank ones, headings again, totals, and another table below the first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import islice

from onboard.intake.headings import Why, by_heading
from onboard.intake.table import Line

_SHOWN = 20  # line numbers named of lines that were passed over
_TOTALS = frozenset(("total", "totals", "grand total", "sum", "count", "subtotal", "suma"))
_COUNTS = re.compile(
    r"(?:(?:grand |sub)?totals?|totales|(?:sum|count|number|suma|n[uú]mero) (?:of|de))\b"
)
_FIGURE = re.compile(r"[$(]?\d{1,3}(?:,?\d{3})?(?:\.\d{1,2})?[)%]?")
_LABEL = re.compile(r"[^\d:=@]{3,40}[:=]")  # "Active:"
_LOOKED_AT = 5_000  # lines in which another table is looked for
_FEWEST = 3  # headings that a line of another table has at the least


@dataclass(slots=True)
class PassedOver:
    """Lines that hold no join form, by the reason; full once `Sheet.rows` has run to its end."""

    lines: dict[str, list[int]] = field(default_factory=dict)  # the first few of each reason
    counts: dict[str, int] = field(default_factory=dict)

    def add(self, why: str, number: int) -> None:
        self.counts[why] = self.counts.get(why, 0) + 1
        shown = self.lines.setdefault(why, [])
        if len(shown) < _SHOWN:
            shown.append(number)

    def join(self, others: PassedOver) -> None:
        """Take in those of a later part of the file."""
        for why, count in others.counts.items():
            self.counts[why] = self.counts.get(why, 0) + count
            shown = self.lines.setdefault(why, [])
            shown += others.lines[why][: _SHOWN - len(shown)]

    def words(self) -> tuple[str, ...]:
        """A sentence for each reason.

        >>> over = PassedOver()
        >>> over.add("blank", 7)
        >>> over.words()
        ('1 row is blank: 7.',)
        """
        out = []
        for why, count in self.counts.items():
            numbers = ", ".join(str(n) for n in self.lines[why])
            more = ", …" if count > len(self.lines[why]) else ""
            what = f"1 row is {why}" if count == 1 else f"{count:,} rows are {why}"
            out.append(f"{what}: {numbers}{more}.")
        return tuple(out)


def no_form(line: Line, heads: Sequence[str]) -> str:
    """Why a line holds no join form, or ""; `heads` are the headings in small letters."""
    filled = _filled(line)
    if not filled:
        return "blank"
    if all(i < len(heads) and cell.casefold() == heads[i] for i, cell in filled):
        return "the headings again"
    return "totals" if _are_totals([cell for _i, cell in filled]) else ""


def _filled(line: Line) -> list[tuple[int, str]]:
    """The cells that say something, each with its place, without what a merged cell above gave."""
    return [(i, c.strip()) for i, c in enumerate(line.cells) if c.strip() and i not in line.merged]


def _are_totals(cells: Sequence[str]) -> bool:
    """Whether a line only counts: "TOTAL" above the sums, "Total members: 70", "Active:" beside a figure.

    >>> _are_totals(["Total members:", "70"]), _are_totals(["Active: 61"]), _are_totals(["Total", "Wine", "x@example.org"])
    (True, True, False)
    """
    first, rest = cells[0][:60], cells[1:]
    if first.casefold().rstrip("0123456789 :") in _TOTALS:
        return not any(c.isalpha() or c == "@" for c in "".join(rest))
    label = _LABEL.match(first)
    figures = [first[label.end() :].strip(), *rest] if label else rest
    figures = [figure for figure in figures if figure]
    counts = label or _COUNTS.match(first.casefold())
    return bool(counts and figures) and all(map(_FIGURE.fullmatch, figures))


def other_table(lines: Iterable[Line], first: int, heads: Sequence[str]) -> tuple[int, int]:
    """Where another table begins below the first: the line of its title or of its headings, and that of its
    headings; (0, 0) if there is none. It stands below a blank line or a title, under headings of its own.

    `first` is the first line below the headings of the first table, `heads` are those in small letters.
    """
    before: Line | None = None
    for line in islice(lines, _LOOKED_AT):
        if line.number < first:
            continue
        filled = _filled(line)
        apart = before is not None and (len(_filled(before)) < 2 or line.number > before.number + 1)
        if before is not None and apart and _are_headings(filled) and not no_form(line, heads):
            is_title = len(_filled(before)) == 1 and before.number == line.number - 1
            return (before.number if is_title else line.number), line.number
        before = line
    return 0, 0


def _are_headings(filled: Sequence[tuple[int, str]]) -> bool:
    cells = [cell for _i, cell in filled]
    if len(cells) < _FEWEST or any(map(_is_value, cells)):
        return False
    known = sum(by_heading(cell).why is Why.ALIAS for cell in cells)
    return known > 1 and known * 2 >= len(cells)


def _is_value(cell: str) -> bool:
    """Whether a cell says something of somebody: it has an email address, a number, or much text."""
    return "@" in cell or len(cell) > 40 or sum(map(str.isdigit, cell)) > 1

"""Reads the review file back after somebody has approved what is right in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from onboard.clean import stored
from onboard.errors import FileTrouble
from onboard.intake import filled_in
from onboard.intake.headings import fold
from onboard.model import Change
from onboard.tables import review_sheet

YES = frozenset(("yes", "y", "x", "true", "1", "ok", "approve", "approved", "si", "s"))
NO = frozenset(("", "no", "n", "false", "0", "not"))


@dataclass(frozen=True, slots=True)
class Reviewed:
    """A line of the review file."""

    line: int  # of the file, counted from 1
    change: Change
    approved: bool
    # What a person wrote in place of the proposed value; None where it stands as proposed.
    better: str | None = None
    # Whether somebody changed the proposed value to what no member's column holds.
    spoiled: bool = False


def read_changes(file: Path) -> tuple[Reviewed, ...]:
    """The lines of a review file (XLSX, ODS or CSV), in its order.

    Raises `FileTrouble` that lists every line that cannot be used, and why.
    """
    lines = filled_in.lines(Path(file), _names(), ("approve", "member", "exact"))
    if lines is None:
        columns = review_sheet.columns()
        raise FileTrouble(
            f'{file} is not a review file: it has no columns "{columns["approve"].heading}" and '
            f'"{columns["exact"].heading}". Use the one the audit made: audit/changes.xlsx'
        )
    found: list[Reviewed] = []
    wrong: list[str] = []
    for at, cells in lines:
        said = {name: text.strip() for name, text in cells.items()}
        mistake, reviewed = _reviewed(at, said)
        if mistake:
            wrong.append(f"- row {at}: {mistake}.")
        elif reviewed:
            found.append(reviewed)
    if wrong:
        raise filled_in.refused(file, wrong)
    return tuple(found)


def _reviewed(number: int, said: Mapping[str, str]) -> tuple[str, Reviewed | None]:
    """What is wrong with a line, and what it says; neither where it holds nothing."""
    word = fold(said["approve"])
    if word not in YES | NO:
        return f'"{said["approve"][:40]}" under Approve is neither yes nor no', None
    exact = review_sheet.read_exact(said["exact"])
    member = said["member"].removesuffix(".0")
    if exact is None or not (member.isdecimal() and len(member) < 10):
        if word not in YES:
            return "", None
        what = "the exact values were changed" if exact is None else "it has no member's number"
        return f"{what}. Copy the row from the file as it was made", None
    field, before, after = exact
    if not stored.could_hold(field, after):
        change = Change(int(member), field, before, after, said.get("why", ""))
        return "", Reviewed(number, change, word in YES, spoiled=True)
    shown, wanted = stored.show(field, after), said.get("after", "")
    change = Change(int(member), field, before, after, said.get("why", ""))
    if _same(wanted, shown or stored.NOTHING):
        return "", Reviewed(number, change, word in YES)
    if not wanted and word in YES:
        return 'nothing is under "Change to". To empty the field, write (nothing)', None
    return "", Reviewed(number, change, word in YES, wanted)


def _same(one: str, other: str) -> bool:
    """Whether two cells say the same, but for white space and what no cell can hold."""
    return _bare(one) == _bare(other)


def _bare(text: str) -> str:
    return "".join(c for c in text if c.isprintable() and c not in " \N{REPLACEMENT CHARACTER}")


def _names() -> dict[str, str]:
    """Columns, by folded heading."""
    return {
        fold(heading): name
        for name, column in review_sheet.columns().items()
        for heading in (column.heading, *column.also)
    }

"""Answers about forms that can be taken back, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import tzinfo
from typing import TYPE_CHECKING

from onboard.clean import name as names
from onboard.clean import row
from onboard.model import RawRow, Ruling
from onboard.reports.dates import day
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.roster.answered import Answered

TITLE = "Answers that you can take back. Nobody was enrolled by them."
NONE = "There is no answer to take back."


def pieces(
    found: Sequence[Answered], zone: tzinfo, line: Callable[[str], str] = "onboard {}".format
) -> Iterator[Piece]:
    """A line for each answer, the newest first, and how to take one back."""
    if not found:
        yield Words(NONE)
        return
    rows = [
        (
            one.raw.key[:6], f"{one.raw.line} of {one.raw.file}", called(one.raw), said(one.ruling), one.ruling.by,
            day(one.at.astimezone(zone)), one.ruling.why,
        )
        for one in found
    ]  # fmt: skip
    heads = ("key", "row", "name", "answer", "by", "on", "why")
    yield Table.of(heads, rows, title=TITLE)
    yield Words(
        f"To take one back, so that you are asked again: {line(f'answer {rows[0][0]} undo')}"
    )


def called(raw: RawRow) -> str:
    """Whose form it is, as understood, or as said."""
    name = row.clean(raw).name
    return names.show(name.value) if name.value else " ".join(name.said.split())[:60] or "(no name)"


def said(ruling: Ruling) -> str:
    """An answer, with the member whom it names."""
    if not ruling.member:
        return ruling.answer.shown
    named = f"{ruling.named} ({ruling.member.shown})" if ruling.named else ruling.member.shown
    return f"{ruling.answer.shown}: {named}"

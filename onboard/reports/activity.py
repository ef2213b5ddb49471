"""What was taken in of the ordering page's list of sign-ins and orders."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from onboard.reports.counts import counted
from onboard.reports.sentences import PREVIEW, saved
from onboard.reports.table import Piece, Words

if TYPE_CHECKING:
    from onboard.tasks.note_activity import ActivityReport


def pieces(done: ActivityReport, roster: str, *, kept: bool) -> Iterator[Piece]:
    """The rows that were skipped and why, and the sums; `roster` is its name."""
    for line, handle, why in done.left_out:
        yield Words(f"row {line}, {handle or '(no sign-in name)'}: {why}")
    if done.not_told:
        yield Words(f"and {counted(done.not_told, 'more row')}.")
    older = f", {done.older:,} older than what is on file" if done.older else ""
    yield Words(
        f"{counted(done.rows, 'row')}: {done.noted:,} {'saved' if kept else 'to save'}{older}, "
        f"{done.skipped:,} skipped.",
        is_strong=True,
    )
    if not kept:
        yield Words(PREVIEW)
    elif done.number:
        yield Words(saved(done.number))
    else:
        yield Words(f"Saved in {roster}.")


def as_json(done: ActivityReport, *, kept: bool) -> dict[str, Any]:
    """The same for a program."""
    return asdict(done) | {"recorded": kept}

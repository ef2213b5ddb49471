"""What making two accounts one came to, or would."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.reports import changes
from onboard.reports.sentences import PREVIEW, noticed, saved
from onboard.reports.table import Piece, Words

if TYPE_CHECKING:
    from onboard.tasks.merge_members import Merge


def pieces(done: Merge, *, kept: bool, has_mail: bool = True) -> Iterator[Piece]:
    """The changes, which account stays and why, and what is left to do."""
    stays, goes = done.stays.handle.text, done.goes.handle.text
    if not kept:
        one, other = (
            f"{names.show(member.name)} ({member.handle.text})"
            for member in (done.stays, done.goes)
        )
        yield Words(
            f"The program does not check whether {one} and {other} are one person. Make sure first. A wrong "
            "merge gives one person another's account.",
            is_strong=True,
        )
    whose = {member.id: member.handle.text for member in (done.stays, done.goes)}
    made = [(1, change) for change in done.changes]
    yield changes.table(made, whose, "Changed" if kept else "Would change")
    for field, reason in done.chosen.items():
        yield Words(f"{changes.called(field)}: {reason}.")
    yield Words(
        f"{stays} stays ({done.because}); {goes} {'is' if kept else 'would be'} part of it.",
        is_strong=True,
    )
    if not kept:
        yield Words(PREVIEW)
        return
    yield Words(saved(done.number))
    for sentence in (*done.told, *noticed(done.notices, stays, kept=kept, has_mail=has_mail)):
        yield Words(f"- {sentence}")


def as_json(done: Merge, *, kept: bool) -> Iterator[dict[str, Any]]:
    """Each change for a program, the sums last."""
    yield from map(asdict, done.changes)
    yield {
        "sums": {
            "stays": done.stays.handle.text, "goes": done.goes.handle.text, "because": done.because,
            "number": done.number if kept else 0, "recorded": kept,
        }
    }  # fmt: skip

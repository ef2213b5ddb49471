"""What was changed together, and what of it was undone, or would be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from datetime import tzinfo
from typing import TYPE_CHECKING, Any

from onboard.reports import changes
from onboard.reports.counts import counted
from onboard.reports.dates import moment
from onboard.reports.sentences import PAGE_IS_BEHIND, PREVIEW
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.roster.taking_back import Applied, Kept
    from onboard.tasks.undo import UndoReport

SHOWN = 20  # numbers listed


def listed(applied: Sequence[Applied], zone: tzinfo) -> tuple[Piece, ...]:
    """What was changed together, by number, with times in the time zone."""
    if not applied:
        return (Words("There is nothing to undo."),)
    rows = [
        (
            str(one.number), moment(one.at, zone), one.who, one.what, one.file,
            f"{one.changes:,}", f"{one.in_force:,}", _of_whom(one),
        )
        for one in applied[:SHOWN]
    ]  # fmt: skip
    headings = (
        "number",
        "when",
        "who",
        "what",
        "file",
        "changes",
        "in force",
        "sign-in names",
    )
    table = Table.of(headings, rows, numbers=("number", "changes", "in force"))
    more = [Words(f"… and {len(applied) - SHOWN:,} earlier.")] if len(applied) > SHOWN else []
    return (table, *more, Words("To preview what would be undone: onboard undo NUMBER"))


def _of_whom(one: Applied) -> str:
    """The members whom changes are about, the first by sign-in name."""
    more = one.members - len(one.whose)
    return ", ".join(one.whose) + (f", and {more:,} more" if more > 0 else "")


def pieces(done: UndoReport, *, kept: bool) -> Iterator[Piece]:
    """The changes that were undone, and those that could not be."""
    undone = done.undone
    if undone.taken:
        back = [(n, replace(c, before=c.after, after=c.before)) for n, c in undone.taken]
        yield changes.table(back, done.names, "Undone" if kept else "Would be undone")
    yield from (Words(_left(one, done.names)) for one in undone.kept)
    yield Words(
        f"{counted(done.lines, 'row')} {'undone' if kept else 'would be undone'}, "
        f"{counted(len(undone.kept), 'change')} left as now.",
        is_strong=True,
    )
    if not kept:
        yield Words(PREVIEW)
        return
    for file in done.called_off:
        yield Words(f"The notice to the old contact is canceled, and is out of the outbox: {file}.")
    if any(not change.field.startswith("call ") for _, change in undone.taken):
        yield Words(PAGE_IS_BEHIND)


def _left(kept: Kept, names: Mapping[int, str]) -> str:
    change = kept.change

    def called(number: int) -> str:
        return names.get(number, f"member {number}")

    where = f"row {kept.line}, {called(change.member_id)}"
    field = changes.called(change.field)
    if kept.later:
        return (
            f"{where}: {field} was changed again later, under number {kept.later}. Undo that first."
        )
    if kept.merged:
        return (
            f"{where}: it was merged into {called(change.after)}, and that was merged into "
            f"{called(kept.merged)} since. Undo that first."
        )
    now, then = (changes.shown(change.field, v, names) for v in (kept.now, change.after))
    return f"{where}: {field} is {now} now, no longer {then}. Left as it is."


def as_json(done: UndoReport, *, kept: bool) -> Iterator[dict[str, Any]]:
    """Each change for a program, the sums last."""
    for line, change in done.undone.taken:
        if change.field not in changes.HERE:
            yield {"line": line, "taken back": True} | asdict(change)
    for one in done.undone.kept:
        said = {"line": one.line, "taken back": False, "now": one.now, "later": one.later,
                "merged": one.merged}  # fmt: skip
        yield said | asdict(one.change)
    yield {
        "sums": {
            "number": done.undone.number, "taken back": done.lines,
            "left as now": len(done.undone.kept), "recorded": kept,
        }
    }  # fmt: skip

"""What became of the approved rows of a review file, or would."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from onboard.reports import changes
from onboard.reports.counts import counted
from onboard.reports.sentences import ORDERS, PAGE_IS_BEHIND, PREVIEW_EMAILS, saved
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from pathlib import Path

    from onboard.tasks.tidy import LeftOut, TidyReport
    from onboard.tasks.tidy_sheet import SheetTidied

SHOWN = 60  # cells that are listed


def pieces(done: TidyReport, *, kept: bool, has_mail: bool = True) -> Iterator[Piece]:
    """The changes, the rows that were skipped and why, and what is left to do."""
    if done.made:
        yield changes.table(done.made, done.names, "Changed" if kept else "Would change")
    for left in done.left_out:
        yield Words(f"row {left.line}, {_skipped(left, done)}")
    yield from map(Words, (*_merges(done, kept), *_notices(done, kept, has_mail)))
    for number, words in done.to_do.items():
        whose = done.names.get(number, f"member {number}")
        yield Words(f"Left to do for {whose}: {' '.join(words)}")
    applied = len(done.applied)
    yield Words(
        f"{counted(done.lines, 'row')}, {done.approved:,} approved: {applied:,} "
        f"{'applied' if kept else 'would be applied'}, {len(done.left_out):,} skipped.",
        is_strong=True,
    )
    if not kept:
        again = " To apply it, run the same line with --record." if applied else ""
        yield Words(f"This was a preview. Nothing was changed.{again}")
    elif done.number:
        yield Words(saved(done.number))
        yield Words(PAGE_IS_BEHIND)


def of_sheet(done: SheetTidied, to: Path | None) -> Iterator[Piece]:
    """The cells that were changed in the copy of a spreadsheet, or would be, and those that were not."""
    if done.made:
        rows = [(str(one.line), one.column, one.now, one.after) for one in done.made[:SHOWN]]
        more = len(done.made) - len(rows)
        yield Table.of(
            ("row", "column", "now", "change to"), rows, title="Changed" if to else "Would change",
            note=f"… and {more:,} more" if more else "", numbers=("row",),
        )  # fmt: skip
    for one, why in done.left_out:
        yield Words(f"row {one.line}, {one.column}: {why}; skipped.")
    approved = len(done.made) + len(done.left_out) + done.already
    yield Words(
        f"{counted(approved, 'approved change')}: {len(done.made):,} {'made' if to else 'would be made'}, "
        f"{done.already:,} already done, {len(done.left_out):,} skipped.",
        is_strong=True,
    )
    if to:
        yield Words(f"Wrote the copy to {to}. Your own list is as it was.")
    else:
        yield Words(
            "This was a preview. Nothing was written. For a copy with the changes, add --to and the name of "
            "a new file."
        )


def sheet_as_json(done: SheetTidied, to: Path | None) -> Iterator[dict[str, Any]]:
    """The same for a program, the sums last."""
    for one in done.made:
        yield {"row": one.line, "column": one.column, "before": one.now, "after": one.after}
    for one, why in done.left_out:
        yield {"row": one.line, "column": one.column, "skipped": why}
    yield {
        "made": len(done.made),
        "already": done.already,
        "skipped": len(done.left_out),
        "copy": str(to) if to else None,
    }


def _skipped(left: LeftOut, done: TidyReport) -> str:
    change = left.change
    whose = done.names.get(change.member_id, f"member {change.member_id}")
    field = changes.called(change.field)
    if left.why:
        return f"{whose}: {field}: {left.why}; skipped. Copy the row from the file as the audit wrote it."
    if not left.known:
        return f"member {change.member_id}: there is no such member anymore; skipped."
    if left.is_so_already:
        return f"{whose}: already done."
    if left.now == change.before:
        return (
            f"{whose}: {field} can't be that now; skipped. One of the two accounts is closed, merged "
            "or gone."
        )
    now, was = (changes.shown(change.field, v, done.names) for v in (left.now, change.before))
    return f"{whose}: {field} is {now} now, no longer {was}; skipped. Check it again."


def _merges(done: TidyReport, kept: bool) -> Iterator[str]:
    if not done.merges:
        return
    yield f"{ORDERS} Then tell the member how they sign in from now on:"
    for merge in done.merges[: changes.SHOWN]:
        goes, stays = merge.goes.handle.text, merge.stays.handle.text
        chosen = "".join(f"; {field}: {reason}" for field, reason in merge.chosen.items())
        yield f"- {goes} {'is' if kept else 'would be'} part of {stays}{chosen}"
    if len(done.merges) > changes.SHOWN:
        yield f"- … and {len(done.merges) - changes.SHOWN:,} more: --json has them all."


def _notices(done: TidyReport, kept: bool, has_mail: bool) -> Iterator[str]:
    """What becomes of the notices to contact info that was on file before; without a mail server
    (`has_mail`) all of them are printed."""
    emails = [name for name in done.notices if name.endswith(".eml") and has_mail]
    for files, what, step in (
        (emails, "email", f"not sent yet. To see what would go out: {PREVIEW_EMAILS}"),
        (
            [name for name in done.notices if name not in emails],
            "letter",
            "to print and mail (onboard packets --letters letters.pdf)",
        ),
    ):
        if files and not kept:
            yield f"{counted(len(files), what)} would tell the old contacts about it."
        elif files:
            shown = ", ".join(files[: changes.SHOWN]) + (", …" if files[changes.SHOWN :] else "")
            yield f"In the outbox, {counted(len(files), what)} to the old contacts, {step}: {shown}"


def as_json(done: TidyReport, *, kept: bool) -> Iterator[dict[str, Any]]:
    """Each change and each row that was skipped for a program, the sums last."""
    for line, change in done.made:
        if change.field not in changes.HERE:
            yield {"line": line, "done": True} | asdict(change)
    for left in done.left_out:
        said = {"line": left.line, "done": False, "now": left.now, "known": left.known}
        yield said | asdict(left.change)
    yield {
        "sums": {
            "lines": done.lines, "approved": done.approved, "applied": len(done.applied),
            "left out": len(done.left_out), "number": done.number if kept else 0, "recorded": kept,
            "notices": done.notices, "to do": done.to_do,
        }
    }  # fmt: skip

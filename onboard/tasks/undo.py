"""Changes taken back: those of a number, or some of its lines."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import Engine

from onboard.errors import FileTrouble
from onboard.model import Signature
from onboard.roster import change, store
from onboard.roster.change import Applied, Undone
from onboard.tasks import changed_contact


@dataclass(frozen=True, slots=True)
class UndoReport:
    """What was taken back of the changes made under a number."""

    applied: Applied
    undone: Undone


def undo(
    engine: Engine,
    number: int,
    *,
    signature: Signature,
    keep: bool,
    lines: Collection[int] = (),
) -> UndoReport:
    """What can be taken back of the changes made under a number; taken back if `keep`.

    `lines` are those of the file that was applied; all if there are none. Raises `FileTrouble`
    for a number or a line that is unknown, and `StoreTrouble`.
    """
    with store.transaction(engine, keep=keep) as connection:
        applied = change.applied(connection, number)
        if not applied:
            raise FileTrouble(f"Nothing was applied under number {number}: onboard undo lists all.")
        there = {line for line, _, _ in change.lines_of(connection, number)}
        if unknown := sorted(set(lines) - there):
            told = ", ".join(map(str, unknown))
            raise FileTrouble(f"Nothing was applied from line {told} under number {number}.")
        undone = change.undo(connection, number, signature, only=lines)
        changed_contact.lift_bars(connection, {c.member_id for _, c in undone.taken}, signature)
        return UndoReport(applied[0], undone)


def list_applied(engine: Engine) -> list[Applied]:
    """What was changed together, the newest first. Raises `StoreTrouble`."""
    with store.reading(engine) as connection:
        return change.applied(connection)

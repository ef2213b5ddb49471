"""Changes taken back: those of a number, or some of its lines."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from onboard.errors import FileTrouble
from onboard.office import Act, Office
from onboard.roster import audits, member_lines, search, taking_back
from onboard.roster.desk import CONTACTS
from onboard.roster.taking_back import Applied, Undone
from onboard.tasks import changed_contact

LARGEST = 2**31 - 1  # number that the roster could hold


@dataclass(frozen=True, slots=True)
class UndoReport:
    """What was taken back of the changes made under a number."""

    applied: Applied
    undone: Undone
    names: Mapping[int, str]  # sign-in names of all who are spoken of
    called_off: tuple[str, ...] = ()  # files of notices that had not gone out, and go nowhere now

    @property
    def lines(self) -> int:
        """How many lines were taken back."""
        return len({line for line, _ in self.undone.taken})


def undo(office: Office, number: int, *, keep: bool, lines: Collection[int] = ()) -> UndoReport:
    """What can be taken back of the changes made under a number; taken back if `keep`.

    `lines` are those of the file that was applied; all if there are none. Raises `SettingsTrouble`
    where the settings let others look members up, `FileTrouble` for a number or a line that is
    unknown, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    signature = office.signature()
    with office.work(keep=keep) as connection:
        applied = taking_back.applied(connection, number) if abs(number) <= LARGEST else []
        if not applied:
            raise FileTrouble(
                f"Nothing was saved under number {number}. To see the numbers: onboard undo"
            )
        there = {line for line, _, _ in taking_back.lines_of(connection, number)}
        if unknown := sorted(set(lines) - there):
            told = ", ".join(map(str, unknown))
            raise FileTrouble(
                f"Nothing was saved from row {told} under number {number}. To see the rows: onboard undo {number}"
            )
        undone = taking_back.undo(connection, number, signature, only=lines, keep=keep)
        called_off: tuple[str, ...] = ()
        if keep:
            whole = not (lines or undone.kept)
            taken = None if whole else {line for line, _ in undone.taken}
            audits.open_again(connection, number, signature, taken)
            changed_contact.lift_bars(connection, {c.member_id for _, c in undone.taken}, signature)
            opened = {c.member_id for _, c in undone.taken if c.field == member_lines.PACKET}
            changed_contact.settle_reopened(connection, office.settings, opened, signature)
            back = {c.member_id for _, c in undone.taken if c.field in CONTACTS}
            left = {one.change.member_id for one in undone.kept if one.change.field in CONTACTS}
            called_off = changed_contact.call_off(
                connection, office.settings, back - left, applied[0].at, signature
            )
        names = search.handles_of(connection, _spoken_of(undone))
        return UndoReport(applied[0], undone, names, called_off)


def _spoken_of(undone: Undone) -> set[int]:
    """Every member whom the report names."""
    changes = [*(c for _, c in undone.taken), *(one.change for one in undone.kept)]
    merged = [c for c in changes if c.field == "merged_into"]
    return {
        *(c.member_id for c in changes),
        *(one.merged for one in undone.kept if one.merged),
        *(number for c in merged for number in (c.before, c.after) if isinstance(number, int)),
    }


def list_applied(
    office: Office, named: int = 20, each: int = 3, *, before: int = 0, most: int = 0
) -> list[Applied]:
    """What was changed together, the newest first; the first `named` with sign-in names of at most
    `each` of their members.

    With `before`, only what has a lower number; with `most`, no more than so many. Raises `SettingsTrouble` where the settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    with office.reading() as connection:
        found = taking_back.applied(connection, before=before, most=most)
        shown = [taking_back.with_members(connection, one, each) for one in found[:named]]
        return shown + found[named:]

"""What closing accounts, or opening them again, came to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.model import Standing, State
from onboard.reports.counts import counted
from onboard.reports.sentences import ORDERS, PAGE_IS_BEHIND, PREVIEW, saved
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.tasks.close_members import Moved, Refused

CAUTION = {
    Standing.CLOSED: "Close an account only when the member asks for it, or has left. Nobody can sign in "
    "with a closed account.",
    Standing.OPEN: "Open an account again only when the member asks for it.",
}
CHECK = (
    "First make sure who is asking: call back the number on file, or email the address on file and wait "
    "for the reply."
)
VERB = {Standing.CLOSED: "closed", Standing.OPEN: "opened again"}


def pieces(done: Moved, *, kept: bool) -> Iterator[Piece]:
    """The accounts, those that stay as they are and why, and what is left to do."""
    yield from (Words(_stays(one, done.to)) for one in done.refused)
    if done.members:
        if not kept:
            yield Words(f"{CAUTION[done.to]} {CHECK}", is_strong=True)
        rows = [
            (str(row), one.handle.text, names.show(one.name), f"{one.standing}", f"{done.to}")
            for row, one in enumerate(done.members, 1)
        ]
        headings = ("row", "sign-in name", "name", "account", "is now" if kept else "would be")
        yield Table.of(headings, rows, numbers=("row",))
    said = "" if kept else "would be "
    yield Words(
        f"{counted(len(done.members), 'account')} {said}{VERB[done.to]}, {len(done.refused):,} left as now.",
        is_strong=True,
    )
    if done.members:
        yield from map(Words, _what_follows(done, kept))


def _stays(one: Refused, to: Standing) -> str:
    """Why an account stays as it is, and what to do."""
    handle = one.member.handle.text
    if one.into is not None:
        stays = f"{one.into.handle.text} (member {one.into.id})"
        words = f"Member {one.member.id}, {handle}, was merged into {stays}, so it is not an account of its own."
        if to is Standing.CLOSED:
            return f"{words} To close that one: onboard close {one.into.handle.text}"
        apart = f" {one.merge}" if one.merge else ""
        return f"{words} To take the merge apart: onboard undo{apart}"
    if to is Standing.CLOSED:
        since = f" since {one.member.closed}" if one.member.closed else ""
        return f"{handle} is closed already{since}. To open it again: onboard reopen {handle}"
    return f"{handle} is open already. There is nothing to open again."


def _what_follows(done: Moved, kept: bool) -> Iterator[str]:
    named = {one.id: one.handle.text for one in done.members}
    packets = ", ".join(named[number] for number in done.packets)
    if done.to is Standing.CLOSED:
        if packets:
            yield f"The welcome packet that has not gone out {_is(kept)} canceled: {packets}."
        if done.letters:
            yield (
                f"Letters in the outbox that may include theirs: {', '.join(done.letters)}. Take theirs out "
                "before you mail them."
            )
        yield ORDERS
        yield (
            "Everything on file stays on file. If the member wants it deleted: onboard forget SIGN-IN-NAME"
        )
    else:
        waiting = [n for n, state in done.packets.items() if state == State.WAITING]
        due = ", ".join(named[n] for n in done.packets if n not in waiting)
        if due:
            yield f"The welcome packet {_is(kept)} due again: {due}. To make it: onboard packets --write"
        for number in waiting:
            yield (
                f"The welcome packet of {named[number]} is held until you check the member: onboard reissue "
                f"{named[number]} --checked call-back --record"
            )
        if others := ", ".join(named[n] for n in named if n not in done.packets):
            yield (
                f"The password is the old one: {others}. If the member lost it, check who is calling, then "
                "run: onboard reissue SIGN-IN-NAME --checked call-back"
            )
    if not kept:
        yield PREVIEW
        return
    yield saved(done.number)
    yield PAGE_IS_BEHIND


def _is(kept: bool) -> str:
    return "is" if kept else "would be"


def as_json(done: Moved, *, kept: bool) -> Iterator[dict[str, Any]]:
    """Each account for a program, the sums last."""
    for row, one in enumerate(done.members, 1):
        yield {
            "line": row, "done": True, "member": one.id, "handle": one.handle.text,
            "before": str(one.standing), "after": str(done.to), "packet": done.packets.get(one.id),
        }  # fmt: skip
    for left in done.refused:
        yield {
            "done": False, "member": left.member.id, "handle": left.member.handle.text,
            "before": str(left.member.standing), "words": _stays(left, done.to),
        }  # fmt: skip
    yield {
        "sums": {
            "accounts": len(done.members), "left as now": len(done.refused),
            "letters": done.letters, "number": done.number if kept else 0, "recorded": kept and bool(done.number),
        }
    }  # fmt: skip

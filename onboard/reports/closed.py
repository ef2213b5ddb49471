"""What closing accounts, or opening them again, came to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from shlex import quote
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.model import Standing, State
from onboard.reports.counts import counted
from onboard.reports.sentences import ORDERS, PAGE_IS_BEHIND, PREVIEW, saved
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.settings import Settings
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


def pieces(done: Moved, settings: Settings, *, kept: bool) -> Iterator[Piece]:
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
        yield from map(Words, _what_follows(done, settings, kept))


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


def _what_follows(done: Moved, settings: Settings, kept: bool) -> Iterator[str]:
    if done.to is Standing.CLOSED:
        yield from _after_closing(done, kept)
    else:
        yield from _after_opening(done, settings, kept)
    if not kept:
        yield PREVIEW
        return
    yield saved(done.number)
    yield PAGE_IS_BEHIND


def _after_closing(done: Moved, kept: bool) -> Iterator[str]:
    named = {one.id: one.handle.text for one in done.members}
    if packets := ", ".join(named[number] for number in done.packets):
        yield f"The welcome packet that has not gone out {_is(kept)} canceled: {packets}."
    if done.letters:
        yield (
            f"The letter {'was' if kept else 'would be'} taken out of the outbox ({', '.join(done.letters)}). "
            "If you have printed it, throw it away."
        )
    yield ORDERS
    yield (
        f"Everything on file stays on file. If the member wants it deleted: {_each('onboard forget {}', named)}"
    )


def _after_opening(done: Moved, settings: Settings, kept: bool) -> Iterator[str]:
    named = {one.id: one.handle.text for one in done.members}
    waiting = {n: named[n] for n, state in done.packets.items() if state == State.WAITING}
    if due := ", ".join(named[n] for n in done.packets if n not in waiting):
        yield f"The welcome packet {_is(kept)} due again: {due}. To make it: onboard packets --write"
    for number, handle in waiting.items():
        if number in done.in_doubt:
            yield (
                f"The welcome packet of {handle} waits, because the email or mailing address may be wrong. To see "
                "why, and to answer: onboard packets"
            )
        else:
            yield (
                f"The welcome packet of {handle} is held, because the contact info changed before it went out. "
                f"Check the member first, then: onboard reissue {handle} --checked call-back --record"
            )
    others = {n: handle for n, handle in named.items() if n not in done.packets}
    if not others:
        return
    of_whom = ", ".join(others.values())
    if settings.password.set_by_member:
        yield (
            f"The password is the one that the member set: {of_whom}. If they lost it, they can set a new one "
            f"at {settings.ordering_page}: “{settings.password.set_link}”."
        )
    else:
        reissue = _each("onboard reissue {} --checked call-back", others)
        yield (
            f"The password is the old one: {of_whom}. If the member lost it, check who is calling, then "
            f"run: {reissue}"
        )


def _each(line: str, named: Mapping[int, str]) -> str:
    """The line for one member, or below each other for several."""
    lines = [line.format(quote(handle)) for handle in named.values()]
    return lines[0] if len(lines) == 1 else "".join(f"\n  {one}" for one in lines)


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

"""Members of whom it was said that they have died: nothing is made for them before a person has asked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sqlalchemy import Connection

from onboard.clean import deceased
from onboard.model import Member, Standing
from onboard.roster import closings, doubts

ASK = "they may have died. Ask the family or the host, gently, who filled out the form."
BACK = "if they want to come back: onboard reopen {} --record"
CODES = frozenset(kind.code for kind in deceased.KINDS)


def ever(connection: Connection, member_ids: Iterable[int]) -> list[int]:
    """Those of the members, by number, of whom it was ever said, whatever has become of it: hardly anybody."""
    return doubts.ever(connection, member_ids, CODES)


def refusals(connection: Connection, members: Sequence[Member]) -> dict[int, str]:
    """By the number of each member of whom it was said: why nothing is made for them, and what to do."""
    stand = doubts.of_members(connection, members)
    return {
        member.id: _words(member.handle.text, doubt.said)
        for member in members
        for doubt in reversed(stand.get(member.id, ()))
        if doubt.code in CODES
    }


def remarks(connection: Connection, members: Sequence[Member]) -> dict[int, str]:
    """What to know of those of the members in whose names no form should come: who may have died, and
    whose account is closed, by number."""
    stand = doubts.of_members(connection, members)
    closed = {one.id: one.handle.text for one in members if one.standing is Standing.CLOSED}
    why = closings.why_closed(connection, closed)
    found = {}
    for number, handle in closed.items():
        reason = why.get(number, "")
        said = f" (“{' '.join(reason.split())[:60]}”)" if reason else ""
        then = ASK if deceased.in_notes([reason]) else BACK.format(handle)
        found[number] = f"The account is closed{said}. {then[:1].upper()}{then[1:]}"
    for number, some in stand.items():
        if words := [one.said for one in some if one.code in CODES]:
            found[number] = f"“{' '.join(words[0].split())[:60]}” was said of them: {ASK}"
    return found


def refusal(connection: Connection, members: Sequence[Member]) -> str:
    """Why nothing is made for one of these members, and what to do; "" if it was said of none."""
    return next(iter(refusals(connection, members).values()), "")


def _words(handle: str, said: str) -> str:
    return (
        f"“{' '.join(said.split())[:60]}” was said of {handle}: they may have died. Ask the "
        f"family or the host first. If they live: onboard correct {handle} --all-right --record. If they have "
        f"died: onboard close {handle}"
    )

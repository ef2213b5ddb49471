"""Members of whom it was said that they have died: nothing is made for them before a person has asked."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from onboard.clean import deceased
from onboard.model import Member
from onboard.roster import doubts

CODES = frozenset(kind.code for kind in deceased.KINDS)


def refusals(connection: Connection, members: Sequence[Member]) -> dict[int, str]:
    """By the number of each member of whom it was said: why nothing is made for them, and what to do."""
    stand = doubts.of_members(connection, members)
    return {
        member.id: _words(member.handle.text, doubt.said)
        for member in members
        for doubt in reversed(stand.get(member.id, ()))
        if doubt.code in CODES
    }


def refusal(connection: Connection, members: Sequence[Member]) -> str:
    """Why nothing is made for one of these members, and what to do; "" if it was said of none."""
    return next(iter(refusals(connection, members).values()), "")


def _words(handle: str, said: str) -> str:
    return (
        f"“{' '.join(said.split())[:60]}” was said of {handle}: they may have died. Ask the "
        f"family or the host first. If they live: onboard correct {handle} --all-right --record. If they have "
        f"died: onboard close {handle}"
    )

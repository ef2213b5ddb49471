"""Members of whom it was said that they have died: nothing is made for them before a person has asked."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from onboard.clean import deceased
from onboard.model import Member
from onboard.roster import doubts

CODES = frozenset(kind.code for kind in deceased.KINDS)


def refusal(connection: Connection, members: Sequence[Member]) -> str:
    """Why nothing is made for one of these members, and what to do; "" if it was said of none."""
    stand = doubts.of_members(connection, members)
    for member in members:
        for doubt in stand.get(member.id, ()):
            if doubt.code in CODES:
                handle = member.handle.text
                return (
                    f"“{' '.join(doubt.said.split())[:60]}” was said of {handle}: they may have died. Ask the "
                    f"family or the host first. If they live: onboard correct {handle} --all-right --record. If they have "
                    f"died: onboard close {handle}"
                )
    return ""

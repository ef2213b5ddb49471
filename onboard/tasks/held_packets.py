"""Welcome packets that wait until somebody has checked whoever changed a contact."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection

from onboard.model import Member, State, What
from onboard.model.outgoing import ASKED
from onboard.roster import desk, outgoing, search


@dataclass(frozen=True, slots=True)
class HeldPacket:
    """A packet that waits for a check of whoever changed where it would go."""

    member: Member
    since: datetime  # UTC
    changed: tuple[
        str, ...
    ]  # "email", "phone", "address": what was changed then; () if nobody knows


def held_packets(connection: Connection) -> list[HeldPacket]:
    """These packets, by number of the member."""
    lines = [
        line
        for line in outgoing.by_state(connection, What.PACKET, State.WAITING)
        if line.why not in ASKED
    ]
    members = search.members_by_number(connection, {line.member_id for line in lines})
    return [
        HeldPacket(
            members[line.member_id],
            line.made,
            desk.contacts_changed_at(connection, members[line.member_id], line.made),
        )
        for line in sorted(lines, key=lambda line: line.member_id)
    ]

"""What a person said of mailing addresses on file: that a letter may go there as they are."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, select

from onboard.model import Member, Owner, Signature
from onboard.roster import journal, tables
from onboard.roster.among import among
from onboard.roster.journal import Entry

CONFIRMED = "mailing address confirmed"  # as the journal calls it


def confirmed(connection: Connection, members: Sequence[Member]) -> set[int]:
    """The numbers of the members of whose address on file, as it is now, a person said so."""
    now = {member.owner: list(member.address) for member in members}
    entry = tables.journal.c
    query = select(entry.about, entry.after).where(entry.what == CONFIRMED)
    return {
        number
        for about, after in among(connection, query, entry.about, list(now))
        if isinstance(after, dict) and after.get("address") == now[Owner(about)]
        if (number := Owner(about).member_id) is not None
    }


def confirm(connection: Connection, member: Member, why: str, signature: Signature) -> None:
    """Keep that a person said that a letter may go to the member's address as it is."""
    entry = Entry(CONFIRMED, member.owner, why, after={"address": list(member.address)})
    journal.write(connection, [entry], signature)

"""The email addresses and phones that a member has, or ever had, on file."""

from __future__ import annotations

from sqlalchemy import Connection, or_, select

from onboard.model import Owner
from onboard.roster import tables


def ever(connection: Connection, owner: Owner) -> tuple[set[str], set[str]]:
    """The email addresses and the phones, as they are written there, that are or were a member's own: those
    on file, those that a change took away, and those by which the account was made. What a later form
    says is none of them until somebody approves it."""
    member, person, row, entry = tables.member.c, tables.person, tables.row, tables.journal.c
    now = select(member.email, member.phone).where(member.id == owner.member_id)
    made_of = (
        select(person.c.email, person.c.phone)
        .select_from(person.outerjoin(row))
        .where(person.c.owner == owner)
        .where(or_(row.c.key.is_(None), row.c.decision == "enrol"))
    )
    found = [*connection.execute(now), *connection.execute(made_of)]
    emails, phones = {email for email, _ in found}, {phone for _, phone in found}
    for values in connection.execute(select(entry.before, entry.after).where(entry.about == owner)):
        for value in values:
            if isinstance(value, dict):
                emails.add(str(value.get("email") or ""))
                phones.add(str(value.get("phone") or ""))
    each = {line for text in phones for line in text.splitlines()}
    return emails - {""}, each - {""}

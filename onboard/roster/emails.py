"""What the roster knows of the email addresses of members: what forms said, and what became of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from sqlalchemy import Connection, exists, func, select

from onboard.model import Member, Owner, RawRow, Signature, State, Way, What
from onboard.roster import journal, tables
from onboard.roster.among import among
from onboard.roster.journal import Entry
from onboard.roster.search import raw_row

CONFIRMED = "email confirmed"  # as the journal calls it
BACK = ("packet refused", "packet returned")
TOLD = (*BACK, "packet sent", "packet unsure", "packet printed")
UNDONE = "taken back"
LIKELY = 0.5  # from so sure on, a form on hold is rather a member's than somebody else's


@dataclass(slots=True)
class Known:
    """What is known of one member's email address on file. Days are UTC."""

    forms: list[RawRow] = field(default_factory=list)  # in the order in which they came
    # Those on hold that are rather theirs than not, and came since a person last settled the address.
    on_hold: list[RawRow] = field(default_factory=list)
    confirmed: date | None = None  # when a person said that it is right as it is
    chosen: date | None = None  # when a person put it in place of another one
    back: date | None = None  # when, since then, a mail server refused a packet or it came back
    sent: bool = False  # whether a mail server ever took a packet by email
    told: bool = False  # whether a packet may ever have reached the member, by whatever way


def forms(connection: Connection, member_ids: Collection[int]) -> dict[int, list[RawRow]]:
    """The forms that made these members, or were found to be theirs, by number, in the order in which they came."""
    row, found = tables.row, defaultdict[int, list[RawRow]](list)
    # Not those that came with an account that was merged: then a person chose which email stays.
    decided = exists().where(
        tables.decision.c.row_key == row.c.key, tables.decision.c.member_id == row.c.member_id
    )
    query = select(row).where(row.c.decision.in_(("enrol", "same")), decided)
    for one in among(connection, query.order_by(row.c.position), row.c.member_id, member_ids):
        found[one.member_id].append(raw_row(one))
    return found


def _on_hold(
    connection: Connection, member_ids: Collection[int]
) -> Iterator[tuple[int, RawRow, date]]:
    """The forms on hold that are likely of one of these members, as each was judged last: whose, and when it came."""
    row, decision = tables.row, tables.decision
    newest = select(func.max(decision.c.id)).where(decision.c.row_key == row.c.key)
    query = (
        select(row, tables.batch.c.at, decision.c.matches)
        .join_from(row, tables.batch)
        .join(decision, decision.c.id == newest.correlate(row).scalar_subquery())
        .where(row.c.decision == "hold", row.c.asks_who)
    )
    for line in connection.execute(query.order_by(row.c.position)):
        for match in line.matches:
            number = Owner(match["owner"]).member_id
            if number and number in member_ids and match["confidence"] > LIKELY:
                yield number, raw_row(line), date.fromisoformat(line.at[:10])


def known(connection: Connection, members: Sequence[Member]) -> dict[int, Known]:
    """What is known of the email addresses of these members, by their numbers."""
    found = {member.id: Known() for member in members}
    line, entry = tables.outgoing.c, tables.journal.c
    for whose, some in forms(connection, list(found)).items():
        found[whose].forms.extend(some)
    query = select(line.member_id).where(
        line.what == What.PACKET, line.way == Way.EMAIL, line.state == State.SENT
    )
    for (number,) in among(connection, query, line.member_id, found):
        found[number].sent = found[number].told = True
    emails = {member.owner: member.email for member in members}
    query = select(entry.about, entry.at, entry.what, entry.after).order_by(entry.id)
    for about, at, what, after in among(connection, query, entry.about, list(emails)):
        number = Owner(about).member_id
        if number in found:
            _take(found[number], emails[Owner(about)], at, what, after)
    for number, raw, came in _on_hold(connection, found.keys()):
        one = found[number]
        if came > max(one.confirmed or date.min, one.chosen or date.min):
            one.on_hold.append(raw)
    return found


def _take(one: Known, email: str, at: str, what: str, after: Any) -> None:
    day = date.fromisoformat(at[:10])
    one.told = one.told or what in TOLD
    if what in BACK:
        one.back = day
    elif isinstance(after, dict) and isinstance(after.get("email"), str):
        is_it = after["email"] == email
        if what == CONFIRMED:
            one.confirmed = day if is_it else one.confirmed
        else:  # another address came, and what became of the one before says nothing of it
            one.chosen, one.back = day if is_it and what != UNDONE else None, None
        if what == CONFIRMED and is_it:
            one.back = None


def confirm(connection: Connection, member: Member, why: str, signature: Signature) -> None:
    """Keep that a person said that the member's address on file is right as it is."""
    entry = Entry(CONFIRMED, member.owner, why, after={"email": member.email})
    journal.write(connection, [entry], signature)

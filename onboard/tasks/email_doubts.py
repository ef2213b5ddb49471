"""Whose email address is in doubt: no temporary password goes there before a person has settled it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from sqlalchemy import Connection

from onboard.clean import email, on_behalf, row, shared_mailbox
from onboard.clean import name as names
from onboard.clean.email import doubts
from onboard.clean.email.mailbox import Relation, relation
from onboard.match import keys
from onboard.model import (
    Answer,
    Cleaned,
    Email,
    EmailDoubt,
    EmailQuestion,
    Member,
    Outgoing,
    PersonName,
    RawRow,
    Ruling,
    Standing,
    State,
    Way,
    What,
)
from onboard.model.outgoing import IN_DOUBT
from onboard.office import Office
from onboard.reports.dates import day
from onboard.roster import emails, outgoing, search
from onboard.roster.emails import Known

CALL = "Call or write, and ask for another email address."

# Packets that an email would still tell; one that was written goes nowhere while it is in doubt.
NOT_GONE = (State.DUE, State.WAITING, State.WRITTEN)


def of(connection: Connection, members: Sequence[Member]) -> dict[int, EmailDoubt]:
    """What is in doubt about the email addresses of these members, by number; of whom nothing is,
    and of whoever gets no email, there is none."""
    asked = [member for member in members if member.packet_goes_by is Way.EMAIL]
    return _of(connection, asked, emails.known(connection, asked))


def _of(
    connection: Connection, asked: Sequence[Member], known: Mapping[int, Known]
) -> dict[int, EmailDoubt]:
    forms = [raw.key for one in known.values() for raw in (*one.forms, *one.on_hold)]
    rulings = search.rulings(connection, forms)
    others = _others(connection, [m for m in asked if not known[m.id].confirmed], known)
    found = {
        member.id: _doubt(member, known[member.id], rulings, others.get(member.id))
        for member in asked
    }
    return {number: doubt for number, doubt in found.items() if doubt}


def questions(office: Office) -> list[EmailQuestion]:
    """The members whose packets wait for an answer about their email address, by number.

    Raises `StoreTrouble`.
    """
    with office.reading() as connection:
        return asked_about(connection, not_gone(connection))


def not_gone(connection: Connection, of: Sequence[int] = ()) -> list[Outgoing]:
    """The packets that an email would tell and that have not gone out, of all or of these members;
    not those that wait for a check of whoever changed a contact."""
    return [
        line
        for state in NOT_GONE
        for line in outgoing.by_state(connection, What.PACKET, state, of=of)
        if line.way is Way.EMAIL and (state is not State.WAITING or line.why == IN_DOUBT)
    ]


def asked_about(connection: Connection, lines: Sequence[Outgoing]) -> list[EmailQuestion]:
    """The questions about the members of these lines, by number."""
    members = search.members_by_number(connection, {line.member_id for line in lines})
    doubted = of(connection, list(members.values()))
    return [EmailQuestion(members[number], doubted[number]) for number in sorted(doubted)]


def is_unused(connection: Connection, member: Member) -> bool:
    """Whether the packet of a new member waits as its email address is in doubt, and nothing has gone out
    to them by any way: then another address is the answer, and takes nothing over."""
    is_new = bool(member.handle.steps) and not member.bounced
    if not is_new or member.packet_goes_by is not Way.EMAIL:
        return False
    if not not_gone(connection, [member.id]):
        return False
    known = emails.known(connection, [member])
    known[
        member.id
    ].on_hold.clear()  # anybody could have filled out a form that nobody has answered
    return not known[member.id].told and bool(_of(connection, [member], known))


def _others(
    connection: Connection, members: Sequence[Member], known: Mapping[int, Known]
) -> dict[int, Member]:
    """By number of a member: somebody who has the same mailbox on file, and whose it is rather than theirs, as far
    as names, homes and forms tell. Whoever got a packet there first is not doubted for one who came later."""
    found: dict[int, Member] = {}
    same = list(sharing(connection, members))
    forms = emails.forms(connection, {one.id for _, sharers in same for one in sharers})
    for member, sharers in same:
        for one in sharers:
            is_first = member.id < one.id and known[member.id].told
            said = [*known[member.id].forms, *forms.get(one.id, ())]
            if not is_first and _is_others(member, one, said):
                found.setdefault(member.id, one)
    return found


def sharing(
    connection: Connection, members: Sequence[Member]
) -> Iterator[tuple[Member, list[Member]]]:
    """The members, each with those who have the same mailbox on file, by number; without whoever has it alone."""
    key_of = {member.id: _key(member.email) for member in members}
    wanted = {key for key in key_of.values() if key}
    numbers: dict[str, set[int]] = defaultdict(set)
    for person, shared in search.people(connection, wanted):
        if (number := person.owner.member_id) is not None:
            for key in shared:
                numbers[key].add(number)
    others = {m.id: numbers[key_of[m.id]] - {m.id} for m in members if key_of[m.id]}
    people = search.members_by_number(connection, set().union(*others.values()))
    for member in members:
        same = [
            one
            for one in (people[number] for number in sorted(others.get(member.id, ())))
            if one.standing is not Standing.MERGED and _key(one.email) == key_of[member.id]
        ]
        if same:
            yield member, same


def _is_others(member: Member, other: Member, forms: Sequence[RawRow]) -> bool:
    """Whether a mailbox that both have is the other's rather than the member's. Where names tell nothing, it may
    be that of their home; and where a form of either says that it is shared, they know who reads it."""
    if doubts.is_theirs(member.email, member.name, other.name):
        return False
    if any(map(shared_mailbox.is_said, forms)):
        return False
    is_neutral = not doubts.is_theirs(member.email, other.name, member.name)
    return not (is_neutral and member.address and member.address == other.address)


def _key(address: str) -> str:
    """The key of a mailbox, under which everybody who ever had it is found; "" where there is none."""
    value = email.clean(address).value
    return keys.of_mailbox(value.identity) if value else ""


def _doubt(
    member: Member, known: Known, rulings: dict[str, Ruling], other: Member | None
) -> EmailDoubt | None:
    back = _came_back(member, known)
    notes = [back] if back else []
    notes += [
        _on_hold(raw, said.value)
        for raw in known.on_hold
        if (said := _said(raw, rulings, member.name)).value
        and _is_another(member, said.value, proven=known.sent)
    ]
    if known.confirmed and not notes:
        return None
    forms = (
        []
        if known.chosen or known.confirmed
        else [_said(raw, rulings, member.name) for raw in known.forms]
    )
    doubt = None if known.confirmed else doubts.doubt(member.email, forms, proven=known.sent)
    if other:
        note = (
            f"It is also the email address of {names.show(other.name)} ({other.owner.shown}). Ask "
            f"{names.show(member.name)} by phone: do you read email there? Whoever reads it can sign in as them."
        )
        doubt = doubt or EmailDoubt(member.email, ())
        doubt = replace(doubt, notes=(*doubt.notes, note))
    if not notes:
        return doubt
    alone = () if doubt or back else tuple(raw.key for raw in known.on_hold)
    doubt = doubt or EmailDoubt(member.email, ())
    return replace(doubt, notes=(*notes, *doubt.notes), forms=alone)


def _on_hold(raw: RawRow, said: Email) -> str:
    """That a form which may be the member's says another email, and what to do."""
    return (
        f"A form on hold that may be theirs ({raw.file}, row {raw.line}) says {said.address}. Answer that form "
        "first, or ask which email is right."
    )


def _is_another(member: Member, said: Email, *, proven: bool) -> bool:
    """Whether a form says another mailbox than the one on file, and not that one mistyped; of one to which email went
    before, whether it is that one mistyped in its name: a form that anybody could fill out says no more of it."""
    on_file = email.clean(member.email).value
    found = relation(on_file.identity, said.identity) if on_file else Relation.DIFFERENT
    return found is Relation.NEAR or (found is Relation.DIFFERENT and not proven)


def _said(raw: RawRow, rulings: dict[str, Ruling], name: PersonName) -> Cleaned[Email]:
    """What a form says as email, as a coordinator has corrected it, with all that is odd about it."""
    ruling = rulings.get(raw.key)
    corrections = ruling.corrections if ruling and ruling.answer is not Answer.WAIT else {}
    raw = row.corrected(raw, corrections)
    said = email.clean(raw.fields.get("email", ""))
    found = list(raw.findings)
    if "email" not in corrections:
        found += on_behalf.by_helper(raw, name, said, has_phone=False) + row.where_email_goes(raw)
    return said._replace(findings=(*(f for f in found if f.field == "email"), *said.findings))


def _came_back(member: Member, known: Known) -> str:
    """That email to the address came back, or was refused, and what to do; "" if it was not."""
    if member.bounced and member.bounced > (known.confirmed or date.min):
        return f"Email to it came back on {day(member.bounced)}. {CALL}"
    if known.back:
        return f"A mail server refused it on {day(known.back)}. {CALL}"
    return ""

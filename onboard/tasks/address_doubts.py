"""Whose letter nobody could deliver, or who may live elsewhere by now: no temporary password is printed for it
before a person has settled where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import Connection

from onboard.audit import newer
from onboard.clean.address import deliverable
from onboard.model import AddressQuestion, Member, Outgoing, State, Way, What
from onboard.model.outgoing import NO_ADDRESS
from onboard.office import Office
from onboard.roster import doubts, mail_addresses, outgoing, search
from onboard.settings import Settings


def of(connection: Connection, members: Sequence[Member]) -> dict[int, AddressQuestion]:
    """What is to be asked about the mailing addresses of these members, by number; of an address that a
    letter can be delivered to, and no later form of theirs has another, or that a person has said is right as
    it is, nothing is."""
    later = _later(connection, members)
    found = {
        member.id: AddressQuestion(
            member,
            why_not(member) or tuple(map(_which, later.get(member.id, ()))),
            later.get(member.id, ()),
        )
        for member in members
    }
    return _left_open(connection, found)


def undeliverable(connection: Connection, members: Sequence[Member]) -> set[int]:
    """The numbers of those of these members to whom no letter can be delivered."""
    found = {member.id: AddressQuestion(member, why_not(member)) for member in members}
    return set(_left_open(connection, found))


def _later(connection: Connection, members: Sequence[Member]) -> dict[int, tuple[str, ...]]:
    """By number, the address that the last form of a member gives, where it is another than the one on file."""
    stands = doubts.of_members(connection, members)
    code = newer.BY_FIELD["address"].code
    said = {
        number: [one.said for one in some if one.code == code] for number, some in stands.items()
    }
    return {number: (told[-1],) for number, told in said.items() if told}


def _which(said: str) -> str:
    return f"Another form of theirs says {said}. Ask which one is right."


def _left_open(
    connection: Connection, found: Mapping[int, AddressQuestion]
) -> dict[int, AddressQuestion]:
    asked = [one.member for one in found.values() if one.notes]
    right = mail_addresses.confirmed(connection, asked) if asked else set()
    return {one.id: found[one.id] for one in asked if one.id not in right}


def why_not(member: Member) -> tuple[str, ...]:
    """Why nobody could deliver a letter to the member's address, a sentence each; none if somebody could."""
    if not member.address:
        return ("No mailing address is on file. Ask for one.",)
    return deliverable.why_not(member.address)


def questions(office: Office) -> list[AddressQuestion]:
    """The members whose letters wait for an answer about their mailing address, by number.

    Raises `StoreTrouble`.
    """
    with office.reading() as connection:
        return asked_about(connection, not_gone(connection, office.settings))


def not_gone(connection: Connection, settings: Settings, of: Sequence[int] = ()) -> list[Outgoing]:
    """The packets that a letter would tell and that have not gone out, of all or of these members; not
    those that wait for a check of whoever changed a contact. Where the settings name no mail
    server, a packet that is an email goes by letter too."""
    return [
        line
        for state in (State.DUE, State.WAITING, State.WRITTEN)
        for line in outgoing.by_state(connection, What.PACKET, state, of=of)
        if line.way is Way.LETTER or not settings.mail.host
        if state is not State.WAITING or line.why == NO_ADDRESS
    ]


def asked_about(connection: Connection, lines: Sequence[Outgoing]) -> list[AddressQuestion]:
    """The questions about the members of these lines, by number."""
    members = search.members_by_number(connection, {line.member_id for line in lines})
    asked = of(connection, list(members.values()))
    return [asked[number] for number in sorted(asked)]

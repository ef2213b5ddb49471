"""What follows when what is on file of a member changes, whoever changes it.

Changing where a member can be reached is a road to take an account over. So whoever had the
contact before is told, and a packet that has not gone out waits until the caller is checked
(`reissue`). NIST SP 800-63B-4: section 4.6 on notices, 4.2.1.2 on new addresses.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from onboard.clean import phone, stored
from onboard.mail import outbox
from onboard.model import Deed, Event, Member, Signature, State, Way, What
from onboard.model.outgoing import ASKED
from onboard.roster import desk, members, outgoing, search
from onboard.roster.desk import CONTACTS
from onboard.settings import Settings
from onboard.tasks import address_doubts, email_doubts, where_questions
from onboard.welcome import letters
from onboard.welcome.notice import notice

# Packets that were written, and that the member cannot have got.
ON_ITS_WAY = (State.WRITTEN, State.CLAIMED, State.REFUSED)


@dataclass(frozen=True, slots=True)
class Notified:
    """Who is told of a changed contact, and who is left to be told."""

    notices: tuple[str, ...] = ()  # files in the outbox
    to_do: tuple[str, ...] = ()
    packet_due: bool = False  # a written packet told what was, and is to be written anew


def follow(
    connection: Connection,
    settings: Settings,
    member: Member,
    after: Mapping[str, Any],
    signature: Signature,
    keep: bool,
) -> Notified:
    """What follows from a change of a member, who is as they were before; `after` are the new
    values by column. Without `keep` nothing is written.

    A value that is only written in another way is no change. Raises `FileTrouble` when the outbox
    cannot be written.
    """
    before = members.columns(member)
    changed = {
        field: value
        for field, value in after.items()
        if field in before
        and not stored.is_same(field, before[field], value, region=settings.region)
    }
    answers = where_questions.answered_by(connection, settings, member)
    stands = _settle_packet(connection, settings, member, changed, signature, keep)
    contacts = [field for field in CONTACTS if field in changed]
    told = Notified()
    if not answers.issuperset(contacts):
        told = _tell(connection, settings, member, contacts, signature, keep)
    if stands is None:
        return told
    if stands is State.DUE:
        return replace(told, packet_due=True)
    words = (
        f"The unsent packet {'was' if keep else 'would be'} canceled. First make sure who is calling; "
        f"then run: onboard reissue {after.get('handle', member.handle.text)} --checked call-back --record"
    )
    return replace(told, to_do=(*told.to_do, words))


def lift_bars(connection: Connection, numbers: Collection[int], signature: Signature) -> None:
    """Packets of these members that wait for a check are due, if where they could go to is again
    what it was when they were barred."""
    if not numbers:
        return
    waiting = outgoing.by_state(connection, What.PACKET, State.WAITING, of=numbers)
    since = {line.member_id: line for line in waiting if line.why not in ASKED}
    for member in search.members_by_number(connection, since).values():
        line = since[member.id]
        changed = desk.changed_contacts(connection, member, line.made)
        if not {"email", "address"} & set(changed):
            outgoing.step(connection, [line.id], Event.LIFT, signature)


def settle_reopened(
    connection: Connection, settings: Settings, numbers: Collection[int], signature: Signature
) -> None:
    """How the packets stand that are back as accounts of these members were opened: whatever was
    changed, or put back, while they were closed counts as if they had been open."""
    if not numbers:
        return
    lift_bars(connection, numbers, signature)
    was = outgoing.voided(connection, numbers)
    due = {
        line.member_id: line.id
        for line in outgoing.by_state(connection, What.PACKET, State.DUE, of=numbers)
        if line.member_id in was and settings.desk.second_check_days
    }
    for member in search.members_by_number(connection, due).values():
        changed = desk.changed_contacts(connection, member, was[member.id].made)
        if "email" in changed or ("address" in changed and member.packet_goes_by is Way.LETTER):
            outgoing.step(connection, [due[member.id]], Event.BAR, signature, why="")
            desk.end_first_password(connection, member.id)


def call_off(
    connection: Connection,
    settings: Settings,
    numbers: Collection[int],
    made: str,
    signature: Signature,
) -> tuple[str, ...]:
    """The notices to these members of changes made at this time, which are undone: those that have not
    gone out go nowhere, and their files are taken out of the outbox. Raises `FileTrouble`."""
    files = outgoing.cancel_notices(connection, numbers, made, signature)
    for name in files:
        outbox.take_away(settings.outbox, name)
    return tuple(sorted(files))


def _settle_packet(
    connection: Connection,
    settings: Settings,
    member: Member,
    changed: Mapping[str, Any],
    signature: Signature,
    keep: bool,
) -> State | None:
    """How the member's packet stands now; None if it stands as it did.

    A packet that has not gone out is worth nothing now: its words or its address are old.

    Where the contact that it goes to was changed it waits for a check of the caller, else it is due; it
    is due too where that contact was in doubt, and nothing ever went there. Either way its first
    password works no more.
    """
    email = outbox.email_name(member.handle.text)
    if keep and "handle" in changed:
        outbox.take_away(settings.outbox, email)
    now = members.with_columns(member, changed)
    if now.standing.forbids(Deed.PACKET):
        if keep and member.packet in ON_ITS_WAY:
            outbox.take_away(settings.outbox, email)
        return None
    packet = outgoing.current_packets(connection, [member.id]).get(member.id)
    moved = "email" in changed or ("address" in changed and member.packet_goes_by is Way.LETTER)
    told = {"name", "address", "site", "handle"} & set(changed)  # what the packet speaks of
    if not where_questions.answered_by(connection, settings, member).isdisjoint(changed):
        stands = State.DUE  # this is the answer to the question about it
    elif moved and packet in (State.DUE, *ON_ITS_WAY, State.UNSURE):
        stands = State.WAITING if settings.desk.second_check_days else State.DUE
    elif (told and packet in ON_ITS_WAY) or ("consent" in changed and packet is State.DUE):
        stands = State.DUE
    else:
        if keep and changed.get("consent") is False:
            _goes_by_letter(connection, settings, member, signature)
        return None
    if keep:
        desk.end_first_password(connection, member.id)
        outgoing.again(connection, {member.id: now.packet_goes_by}, signature, state=stands)
        outbox.take_away(settings.outbox, email)
    return stands


def _goes_by_letter(
    connection: Connection, settings: Settings, member: Member, signature: Signature
) -> None:
    """The letter takes the place of the email that has not gone out."""
    lines = [line for line in email_doubts.not_gone(connection, [member.id]) if line.file]
    outgoing.by_letter(connection, [line.id for line in lines], signature)
    for line in lines:
        outbox.take_away(settings.outbox, line.file)


def _tell(
    connection: Connection,
    settings: Settings,
    member: Member,
    changed: Sequence[str],
    signature: Signature,
    keep: bool,
) -> Notified:
    """The notice of changed contacts to one that was on file before, or what is left to do."""
    today = signature.when.astimezone(ZoneInfo(settings.timezone)).date()
    if member.packet_goes_by is Way.EMAIL and not email_doubts.of(connection, [member]):
        ending = ".eml"
        told = notice(member, changed, settings, today, email=member.email)
    elif member.address and not address_doubts.why_not(member):
        ending = ".pdf"
        told = notice(member, changed, settings, today, address=member.address)
    elif member.phone:
        number = phone.stored_aloud(member.phone)
        return Notified(
            to_do=(
                f"Call the number that was on file before, {number}, and tell them. There is no other way.",
            )
        )
    else:
        return Notified(to_do=("No other contact info was on file before, so nobody can be told.",))
    name = outbox.notice_name(settings.outbox, member.id, signature.when, ending)
    if keep:
        content = told.message or letters.pdf([told], settings)
        outbox.write_file(settings.outbox, name, content)
        way = Way.EMAIL if told.message else Way.LETTER
        outgoing.add_notice(connection, member.id, way, name, signature)
    return Notified((name,))

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

from onboard.clean import stored
from onboard.model import Deed, Member, Signature, State, Way
from onboard.roster import desk, members, record, search
from onboard.roster.desk import CONTACTS
from onboard.settings import Settings
from onboard.welcome import letters, outbox
from onboard.welcome.notice import notice


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
    packet = members.packet_state(after["packet"]) if "packet" in after else member.packet
    stands = _settle_packet(connection, settings, member, packet, changed.keys(), signature, keep)
    contacts = [field for field in CONTACTS if field in changed]
    told = (
        _tell(connection, settings, member, contacts, signature, keep) if contacts else Notified()
    )
    if stands == packet:
        return told
    if stands is State.DUE:
        return replace(told, packet_due=True)
    words = (
        "The packet that had not gone out is worth nothing now: when the caller was checked, "
        f"onboard reissue {after.get('handle', member.handle.text)}"
    )
    return replace(told, to_do=(*told.to_do, words))


def lift_bars(connection: Connection, numbers: Collection[int], signature: Signature) -> None:
    """Packets of these members that wait for a check are due, if where they could go to is again
    what it was when they were barred."""
    for member in search.members_by_number(connection, numbers).values():
        if member.packet is State.WAITING and not member.standing.forbids(Deed.PACKET):
            since = desk.barred_since(connection, member.id)
            changed = desk.changed_contacts(connection, member, since) if since else {"email"}
            if not {"email", "address"} & set(changed):
                record.packets(connection, [member.id], State.DUE, signature)


def _settle_packet(
    connection: Connection,
    settings: Settings,
    member: Member,
    packet: State | None,
    changed: Collection[str],
    signature: Signature,
    keep: bool,
) -> State | None:
    """How the member's packet stands now.

    A packet that has not gone out is worth nothing now: its words or its address are old.

    Where the contact that it goes to was changed it waits for a check of the caller, else it is
    due. Either way its first password works no more.
    """
    if keep and "handle" in changed:
        outbox.take_away(settings.outbox, f"{member.handle.text}.eml")
    moved = "email" in changed or ("address" in changed and member.packet_goes_by is Way.LETTER)
    told = {"name", "address", "site", "handle"} & set(changed)  # what the packet speaks of
    if moved and packet in (State.DUE, State.WRITTEN, State.UNSURE):
        stands = State.WAITING if settings.desk.second_check_days else State.DUE
    elif told and packet is State.WRITTEN:
        stands = State.DUE
    else:
        return packet
    if keep:
        desk.end_first_password(connection, member.id)
        record.packets(connection, [member.id], stands, signature)
        outbox.take_away(settings.outbox, f"{member.handle.text}.eml")
    return stands


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
    if member.email and member.consent is not False and not member.bounced:
        ending = ".eml"
        told = notice(member, changed, settings, today, email=member.email)
    elif member.address:
        ending = ".pdf"
        told = notice(member, changed, settings, today, address=member.address)
    elif member.phone:
        number = member.phone.removeprefix("tel:")
        return Notified(
            to_do=(
                f"Tell them by the phone that was on file before, {number}: there is no other way.",
            )
        )
    else:
        return Notified(to_do=("Nobody can be told: no other contact was on file before.",))
    name = outbox.notice_name(settings.outbox, member.id, signature.when, ending)
    if keep:
        content = told.message or letters.pdf([told], settings)
        outbox.write_file(settings.outbox, name, content)
        desk.keep_notice(connection, member.id, name, signature)
    return Notified((name,))

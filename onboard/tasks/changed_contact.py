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

from sqlalchemy import Connection, Row

from onboard.clean import stored
from onboard.model import Signature
from onboard.roster import desk, record, search
from onboard.roster.desk import CONTACTS
from onboard.settings import Settings
from onboard.tasks.write_packets import goes_to
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
    line: Row[Any],
    after: Mapping[str, Any],
    signature: Signature,
    keep: bool,
) -> Notified:
    """What follows from a change of a member, whose `line` is as it was before; `after` are the new
    values by column. Without `keep` nothing is written to the outbox.

    A value that is only written in another way is no change. Raises `FileTrouble` when the outbox
    cannot be written.
    """
    changed = {
        field: value
        for field, value in after.items()
        if not stored.is_same(field, getattr(line, field), value, region=settings.region)
    }
    packet = after.get("packet", line.packet)
    stands = _settle_packet(connection, settings, line, packet, changed.keys(), signature, keep)
    contacts = [field for field in CONTACTS if field in changed]
    told = _tell(connection, settings, line, contacts, signature, keep) if contacts else Notified()
    if stands == packet:
        return told
    if stands == "due":
        return replace(told, packet_due=True)
    words = (
        "The packet that had not gone out is worth nothing now: when the caller was checked, "
        f"onboard reissue {after.get('handle', line.handle)}"
    )
    return replace(told, to_do=(*told.to_do, words))


def lift_bars(connection: Connection, numbers: Collection[int], signature: Signature) -> None:
    """Packets of these members that wait for a check are due, if where they could go to is again
    what it was when they were barred."""
    for line in search.lines_of_members(connection, numbers):
        if line.packet == "barred" and line.standing == "open":
            since = desk.barred_since(connection, line.id)
            changed = desk.changed_contacts(connection, line, since) if since else {"email"}
            if not {"email", "address"} & set(changed):
                record.packets(connection, [line.id], "due", signature)


def _settle_packet(
    connection: Connection,
    settings: Settings,
    line: Row[Any],
    packet: str,
    changed: Collection[str],
    signature: Signature,
    keep: bool,
) -> str:
    """How the member's packet stands now.

    A packet that has not gone out is worth nothing now: its words or its address are old.

    Where the contact that it goes to was changed it waits for a check of the caller, else it is
    due. Either way its first password works no more.
    """
    if keep and "handle" in changed:
        outbox.take_away(settings.outbox, f"{line.handle}.eml")
    moved = "email" in changed or ("address" in changed and goes_to(line) == "address")
    told = {"name", "address", "site", "handle"} & set(changed)  # what the packet speaks of
    if moved and packet in ("due", "written", "unsure"):
        stands = "barred" if settings.desk.second_check_days else "due"
    elif told and packet == "written":
        stands = "due"
    else:
        return packet
    desk.end_first_password(connection, line.id)
    record.packets(connection, [line.id], stands, signature)
    if keep:
        outbox.take_away(settings.outbox, f"{line.handle}.eml")
    return stands


def _tell(
    connection: Connection,
    settings: Settings,
    line: Row[Any],
    changed: Sequence[str],
    signature: Signature,
    keep: bool,
) -> Notified:
    """The notice of changed contacts to one that was on file before, or what is left to do."""
    member = search.member_of(line)
    today = signature.when.astimezone(ZoneInfo(settings.timezone)).date()
    if member.email and member.consent is not False and not line.bounced:
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

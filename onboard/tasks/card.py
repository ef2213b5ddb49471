"""What is at hand for whoever helps a member: the notes about them, and where to call them back.

A phone or an email address on file is what a caller is checked by, so it is for those who may issue
temporary passwords, and the change log says each time who saw it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta

from sqlalchemy import Connection

from onboard import passwords
from onboard.clean import name as names
from onboard.clean import phone as phones
from onboard.clean import secret
from onboard.model import Member, Owner, Standing
from onboard.office import Act, Office
from onboard.roster import desk, search
from onboard.settings import Settings
from onboard.tasks import said_dead
from onboard.tasks.proof import THROUGH, changed_recently, doubted_email
from onboard.tasks.shown import note_shown

NOT_LOGGED = (
    "The phone and email on file are not shown: the change log must say who saw them, and it can't be "
    "written now."
)


@dataclass(frozen=True, slots=True)
class Shared:
    """Whose a phone or an email address is besides: one of the three."""

    member: Member | None = None
    host_of: str = ""  # the drop site
    coop: bool = False  # the co-op's own


@dataclass(frozen=True, slots=True)
class Reach:
    """A phone or an email address on file, by which a caller can be checked."""

    check: str  # "call-back" or "mail"
    contact: str  # as it is on file: RFC 3966, or an email address
    shared: tuple[Shared, ...] = ()
    changed: date | None = None  # when, if that is so short ago that it proves nothing
    until: date | None = None  # before which day it proves nothing
    asked_for_none: bool = False  # they want no email


@dataclass(frozen=True, slots=True)
class Card:
    """What is shown of a member beside what was asked. `contacts` is None where they are not for
    whoever is at work, or `trouble` says why they are not shown."""

    member: Member
    died: str = ""  # that it was said of them that they have died, and what to do
    notes: str = ""  # without what seems to be a password
    contacts: tuple[Reach, ...] | None = None
    address: tuple[str, ...] = ()  # lines
    no_check: str = ""  # why the email address on file is not among them
    trouble: str = ""
    may: tuple[str, ...] = ()  # who may see them, where whoever is at work may not


def card(office: Office, owner: Owner, *, whole: bool = False) -> Card | None:
    """The card of a member; None of a form on hold. The `whole` one has the mailing address too.

    That contacts were shown is in the change log before this returns. Raises `SettingsTrouble` where
    the settings let others look members up, and `StoreTrouble` where the roster cannot be read.
    """
    office.see_that_one_may(Act.LOOK_UP)
    if (number := owner.member_id) is None:
        return None
    with office.reading() as connection:
        member = search.members_by_number(connection, [number])[number]
        if member.standing is Standing.MERGED:
            return Card(member, notes=_notes(member))
        shown_to_all = Card(member, said_dead.refusal(connection, [member]), _notes(member))
        if not office.sees_contacts(Act.REISSUE):
            return replace(shown_to_all, may=office.settings.desk.may_reissue)
        no_check = doubted_email(connection, member)
        contacts = tuple(
            one
            for one in _contacts(connection, office, member)
            if one.check != "mail" or not no_check
        )
    address = member.address if whole else ()
    shown = [*(THROUGH[one.check] for one in contacts), *(["address"] if address else [])]
    if not note_shown(office, member.owner, shown):
        return replace(shown_to_all, trouble=NOT_LOGGED)
    return replace(shown_to_all, contacts=contacts, no_check=no_check, address=address)


def _notes(member: Member) -> str:
    """The notes about a member, without what seems to be a password."""
    if not member.notes:
        return ""
    return secret.left_out(member.notes, passwords.words(), (member.handle.text,))


def _contacts(connection: Connection, office: Office, member: Member) -> list[Reach]:
    """What is on file, of what the settings let callers be checked by."""
    settings, found = office.settings, []
    recent = changed_recently(connection, settings, member, office.now())
    for check in settings.desk.checks:
        field = THROUGH[check]
        contact = getattr(member, field)
        if not contact:
            continue
        changed = recent[field].on if field in recent else None
        shared = _phone_shared if field == "phone" else _email_shared
        found.append(
            Reach(
                check, contact, tuple(shared(connection, settings, member)), changed,
                changed and changed + timedelta(days=settings.desk.second_check_days),
                field == "email" and member.consent is False,
            )
        )  # fmt: skip
    return found


def _phone_shared(connection: Connection, settings: Settings, member: Member) -> list[Shared]:
    numbers = set(e164s(member.phone))
    found = [Shared(coop=True)] if numbers & _numbers(settings.reply_phone, settings) else []
    own = names.show(member.name).casefold()
    found += [
        Shared(host_of=site.name)
        for site in settings.sites
        if numbers & _numbers(site.host_phone, settings) and site.host.casefold() != own
    ]
    return found + _others(desk.members_with_phone(connection, numbers), member)


def _email_shared(connection: Connection, settings: Settings, member: Member) -> list[Shared]:
    found = [Shared(coop=True)] if member.email.casefold() == settings.sender.casefold() else []
    return found + _others(desk.members_with_email(connection, member.email), member)


def _others(found: list[Member], member: Member) -> list[Shared]:
    return [
        Shared(other)
        for other in found
        if other.id != member.id and other.standing is not Standing.MERGED
    ]


def _numbers(said: str, settings: Settings) -> set[str]:
    value = phones.clean(said, region=settings.region).value if said else None
    return {value.e164, *value.others} if value else set()


def e164s(stored: str) -> list[str]:
    """The numbers of a member's phone as the roster has it, in E.164.

    >>> e164s("tel:+14195550143;ext=12\\ntel:+14195550144")
    ['+14195550143', '+14195550144']
    """
    return [
        line.removeprefix("tel:").partition(";")[0] for line in stored.splitlines() if line.strip()
    ]

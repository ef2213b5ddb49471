"""By which way a member is told what the co-op has to say: an email, a letter, or a call.

Only whoever said yes to email gets one: whoever said no, or was never asked, hears by paper or by phone. A packet and a
notice of a changed contact, which the account itself needs, have rules of their own.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from onboard.clean import consent
from onboard.model import Member, Way
from onboard.roster import reminded
from onboard.settings import Settings
from onboard.tasks import address_doubts, email_doubts
from onboard.tasks.said_dead import refusals

OPTED_OUT = "they opted out of email"
NO_ANSWER = "their form says neither yes nor no to email"


@dataclass(frozen=True, slots=True)
class Told:
    """By which way a member is told, and why not by email if they have one."""

    by: Way
    why: str = ""


def of(
    connection: Connection,
    settings: Settings,
    members: Sequence[Member],
    came_back: Collection[int] = (),
) -> dict[int, Told]:
    """By which way each of these members is told, by number; nobody who may have died is told anything.

    `came_back` are the numbers of those whose last email came back, as far as the caller knows more than the member.
    """
    in_doubt = email_doubts.of(connection, members)
    nowhere = address_doubts.undeliverable(connection, members)
    dead = said_dead(connection, members)
    unanswered = reminded.without_answer(connection, consent.NO_ANSWER)
    found = {}
    for member in members:
        if member.id in dead:
            continue
        why = _no_email(member, settings, member.id in in_doubt, member.id in came_back)
        if why == OPTED_OUT and member.id in unanswered:
            why = NO_ANSWER
        if member.email and not why:
            found[member.id] = Told(Way.EMAIL)
        else:
            found[member.id] = Told(Way.CALL if member.id in nowhere else Way.LETTER, why)
    return found


def said_dead(connection: Connection, members: Sequence[Member]) -> set[int]:
    """The numbers of those of whom something on file says that they have died."""
    return set(refusals(connection, members))


def _no_email(member: Member, settings: Settings, in_doubt: bool, came_back: bool) -> str:
    """Why a member who has an email address gets no email; "" if they do, or have none."""
    if not member.email:
        return ""
    if member.consent is False:
        return OPTED_OUT
    if member.consent is None:
        return "nobody asked if they want email"
    if not settings.mail.host:
        return "no mail server is set"
    if in_doubt:
        return "their email address is in doubt"
    if came_back or member.bounced:
        return "the last email came back"
    return ""

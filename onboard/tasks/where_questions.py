"""What is asked about where a member's welcome packet goes: an email address in doubt, or a letter that
nobody could deliver."""

from __future__ import annotations

from sqlalchemy import Connection

from onboard.model import EmailQuestion, Member, PacketQuestion, Way
from onboard.office import Office
from onboard.roster import emails
from onboard.settings import Settings
from onboard.tasks import address_doubts, email_doubts


def questions(office: Office) -> list[PacketQuestion]:
    """The members whose packets wait for an answer, those about email addresses first, each by number.

    Raises `StoreTrouble`.
    """
    return [*email_doubts.questions(office), *address_doubts.questions(office)]


def still_asked(
    connection: Connection, settings: Settings, member: Member
) -> tuple[PacketQuestion, ...]:
    """What is asked about a packet of this member that has not gone out, as `questions` has it."""
    return (
        *email_doubts.asked_about(connection, email_doubts.not_gone(connection, [member.id])),
        *address_doubts.asked_about(
            connection, address_doubts.not_gone(connection, settings, [member.id])
        ),
    )


def of(connection: Connection, member: Member) -> tuple[PacketQuestion, ...]:
    """What there would be to ask if a packet were made for the member now."""
    if member.packet_goes_by is Way.EMAIL:
        doubt = email_doubts.of(connection, [member]).get(member.id)
        return (EmailQuestion(member, doubt),) if doubt else ()
    return tuple(address_doubts.of(connection, [member]).values())


def answered_by(connection: Connection, settings: Settings, member: Member) -> frozenset[str]:
    """The contacts by which the question about a new member is answered whose packet waits, while nothing
    has ever gone out to them: then another one is the answer, and takes nothing over. None if there is
    no such question."""
    if email_doubts.is_unused(connection, member):
        return frozenset(("email",))
    if not member.handle.steps or not address_doubts.not_gone(connection, settings, [member.id]):
        return frozenset()
    if emails.known(connection, [member])[member.id].told:
        return frozenset()
    asked = address_doubts.of(connection, [member])
    return frozenset(("address", "email")) if asked else frozenset()

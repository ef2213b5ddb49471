"""A doubt about a member's email address settled: it is right, another one is, or a letter goes instead."""

from __future__ import annotations

from dataclasses import dataclass

from onboard.clean import email
from onboard.clean.email import doubts
from onboard.errors import FileTrouble
from onboard.mail import outbox
from onboard.model import Answer, Member, Ruling
from onboard.office import Act, Office
from onboard.roster import emails, outgoing
from onboard.tasks import email_doubts, where_questions
from onboard.tasks import meant as who
from onboard.tasks.correct_member import Corrected, correct_member

CORRECTION = "email"  # the one field that such an answer may correct


@dataclass(frozen=True, slots=True)
class Settled:
    """What an answer about an email address, or a mailing address, came to."""

    member: Member
    answer: Answer
    corrected: Corrected | None = None  # where the answer gave another address
    still_asked: bool = False  # the other address is in doubt too
    by_letter: bool = False  # the answer was about the mailing address of a letter


def settle_email(office: Office, ruling: Ruling, *, keep: bool = True) -> Settled:
    """Take an answer about the email address of a member whose packet has not gone out.

    `ruling.row` is a sign-in name, a number or the owner "member:17". The packet is due from then on, and
    `write_packets` makes it. Without `keep` nothing is changed. Raises `SettingsTrouble` where the
    settings let others look members up, `FileTrouble` if nobody is meant or nothing is asked about
    them, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.work(keep=keep) as connection:
        member = who.member(connection, ruling.row)
        lines = email_doubts.not_gone(connection, [member.id])
        asked = where_questions.still_asked(connection, office.settings, member)
        if not lines or (ruling.answer is Answer.RIGHT and not asked):
            raise FileTrouble(
                f"Nothing is asked about the email address of {member.handle.text}. To see what is: onboard packets"
            )
        said = ruling.corrections.get(CORRECTION, "")
        if keep and ruling.answer is Answer.LETTER:
            outgoing.by_letter(connection, [line.id for line in lines], office.signature())
            for line in lines:  # a letter takes its place
                if line.file:
                    outbox.take_away(office.settings.outbox, line.file)
        elif keep and ruling.answer is Answer.RIGHT and not said:
            emails.confirm(connection, member, ruling.why, office.signature())
            where_questions.lift(connection, office.signature(), [member.id])
    if ruling.answer is not Answer.RIGHT or not said:
        return Settled(member, ruling.answer)
    done = correct_member(office, member.handle.text, {"email": said}, why=ruling.why, keep=keep)
    if done.refused:
        raise FileTrouble(f"{member.handle.text}: {' '.join(done.refused)}")
    value = email.clean(said).value
    return Settled(
        member, ruling.answer, done, value is not None and doubts.doubt(value.address) is not None
    )

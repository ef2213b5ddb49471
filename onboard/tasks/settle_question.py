"""What is asked about where a member's packet goes, settled: an email address, or the mailing address of a letter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from onboard.errors import FileTrouble
from onboard.model import AddressQuestion, Answer, Ruling
from onboard.office import Act, Office
from onboard.reports.counts import counted
from onboard.roster import mail_addresses
from onboard.tasks import address_doubts, where_questions
from onboard.tasks import meant as who
from onboard.tasks.correct_member import correct_member
from onboard.tasks.settle_email import Settled, settle_email

# What such an answer may correct: where the letter goes, or where an email could go instead.
CORRECTIONS = ("address", "email")


def settle_address(office: Office, ruling: Ruling, *, keep: bool = True) -> Settled:
    """Take an answer about the mailing address of a member whose letter has not gone out.

    `ruling.row` is a sign-in name, a number or the owner "member:17". Both `Answer.RIGHT` and
    `Answer.LETTER` let the letter go as it is: to the address on file, or into the member's hand. Without
    `keep` nothing is changed. Raises what `settle_email` does.
    """
    office.see_that_one_may(Act.LOOK_UP)
    said = _corrections(ruling)
    with office.work(keep=keep) as connection:
        member = who.member(connection, ruling.row)
        lines = address_doubts.not_gone(connection, office.settings, [member.id])
        if not lines or not address_doubts.of(connection, [member]):
            raise FileTrouble(
                f"Nothing is asked about the mailing address of {member.handle.text}. To see what is: onboard packets"
            )
        if keep and not said:
            mail_addresses.confirm(connection, member, ruling.why, office.signature())
            where_questions.lift(connection, office.signature(), [member.id])
    if not said:
        return Settled(member, ruling.answer, by_letter=True)
    done = correct_member(office, member.handle.text, said, why=ruling.why, keep=keep)
    if done.refused:
        raise FileTrouble(f"{member.handle.text}: {' '.join(done.refused)}")
    with office.reading() as connection:
        now = who.member(connection, member.handle.text)
        left = where_questions.of(connection, now)
    return Settled(
        member, ruling.answer, done, still_asked=keep and bool(left), by_letter="address" in said
    )


def settle_question(office: Office, ruling: Ruling, *, keep: bool = True) -> Settled:
    """Take an answer to what is asked about a member's packet: their email address, or else their mailing
    address. Raises what `settle_email` does."""
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        member = who.member(connection, ruling.row)
        asked = where_questions.still_asked(connection, office.settings, member)
    if asked and isinstance(asked[0], AddressQuestion):
        return settle_address(office, ruling, keep=keep)
    return settle_email(office, ruling, keep=keep)


def settle_questions(office: Office, rulings: Sequence[Ruling], *, keep: bool) -> list[str]:
    """Take answers out of a sheet of questions; what there is to say of them.

    One that is given again changes nothing. Raises what `settle_email` does.
    """
    late: list[str] = []
    taken = 0
    for ruling in rulings:
        if ruling.answer is Answer.WAIT:
            continue
        meant, _, about = ruling.row.partition(" ")
        with office.reading() as connection:
            member = who.member(connection, meant)
            asked = where_questions.still_asked(connection, office.settings, member)
        if any(one.row == ruling.row for one in asked):
            settle_question(office, replace(ruling, row=meant), keep=keep)
            taken += 1
        else:
            which = "mailing" if about.startswith("letter:") else "email"
            late.append(
                f"Nothing is asked about the {which} address of {member.handle.text} any more. That "
                "answer was not used."
            )
    told = counted(taken, "answer about an address", "answers about addresses")
    return [f"{told} {'used' if keep else 'would be used'}.", *late] if taken else late


def _corrections(ruling: Ruling) -> Mapping[str, str]:
    return {
        field: ruling.corrections[field] for field in CORRECTIONS if ruling.corrections.get(field)
    }

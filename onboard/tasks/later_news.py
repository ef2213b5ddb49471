"""What a form says that comes from somebody who is a member already.

A no to email counts at once: that is always safe. A new email or phone is proposed, because whoever
fills out a form in a member's name could take the account over with it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from sqlalchemy import Connection

from onboard.clean import email, phone
from onboard.model import Applicant, Change, Member, News, Phone, Signature, Standing
from onboard.roster import change, search
from onboard.roster.change import Occasion

WHAT = "said no to email"  # as the change log calls it


class Said(NamedTuple):
    """A form of a member."""

    member_id: int
    applicant: Applicant
    is_repeat: bool  # it says of the person what an earlier form said: no contact info is new


def hear(connection: Connection, said: Sequence[Said], signature: Signature) -> list[News | None]:
    """The news of each form, in their order; what counts at once is recorded."""
    members = search.members_by_number(connection, {one.member_id for one in said})
    refused: dict[int, Change] = {}
    found: list[News | None] = []
    for one in said:
        member = members.get(one.member_id)
        if member is None or member.standing is Standing.MERGED:
            found.append(None)
            continue
        recorded: tuple[Change, ...] = ()
        if one.applicant.consent.value is False and member.consent is not False:
            no = Change(member.id, "consent", member.consent, False, _why(one.applicant))
            recorded = (refused.setdefault(member.id, no),)
        proposed = () if one.is_repeat else tuple(proposals(member, one.applicant))
        found.append(News(member, recorded, proposed))
    if refused:
        lines = enumerate(refused.values(), start=1)
        change.make(connection, lines, Occasion(signature, WHAT))
    return found


def proposals(member: Member, applicant: Applicant) -> Iterator[Change]:
    """The email and the phone of a form that are not those on file of its member."""
    why = _why(applicant)
    mail = applicant.email.value
    if mail and not applicant.email.blocked:
        on_file = email.clean(member.email).value
        known = on_file.identity if on_file else member.email.casefold()
        if known not in (mail.identity, *map(_identity, mail.others)):
            yield Change(member.id, "email", member.email, mail.address, why)
    number = applicant.phone.value
    known = _digits(member.phone)
    if number and not applicant.phone.blocked and known not in _all_digits(number):
        yield Change(member.id, "phone", member.phone, phone.show(number), why)


def _identity(address: str) -> str:
    understood = email.clean(address).value
    return understood.identity if understood else address.casefold()


def _all_digits(number: Phone) -> set[str]:
    return set(map(_digits, (number.e164, *number.others)))


def _digits(number: str) -> str:
    """Of a number as E.164 or RFC 3966 writes it, without its extension."""
    return "".join(filter(str.isdigit, number.partition(";")[0]))


def _why(applicant: Applicant) -> str:
    raw = applicant.raw
    return f"a later form of theirs says so ({raw.file}, row {raw.line})"

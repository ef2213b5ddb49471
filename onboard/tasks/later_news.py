"""What a form says that comes from somebody who is a member already.

A no to email counts at once: that is always safe. A new email, phone, address or drop site is proposed, because
whoever fills out a form in a member's name could take the account over with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import takewhile
from typing import NamedTuple

from rapidfuzz.distance import OSA
from sqlalchemy import Connection

from onboard.audit import newer
from onboard.clean import address, email, phone, row, statement
from onboard.clean.address import deliverable
from onboard.clean.address.moved import is_elsewhere
from onboard.clean.statement import Likeness
from onboard.match import folds
from onboard.model import (
    Applicant,
    Change,
    Member,
    News,
    PersonName,
    Phone,
    RawRow,
    Signature,
    Standing,
)
from onboard.roster import change, doubts, forms, members, outgoing, search
from onboard.roster.change import Occasion
from onboard.tasks import email_doubts, said_dead

ADDRESS_PARTS = ("address", "number", "street", "unit", "city", "state", "zip", "last_line")
WHAT = "said no to email"  # as the change log calls it


class Said(NamedTuple):
    """A form of a member."""

    member_id: int
    applicant: Applicant
    first: RawRow | None = None  # the earlier form that said the same of the person, if one did


def hear(connection: Connection, said: Sequence[Said], signature: Signature) -> list[News | None]:
    """The news of each form, in their order. What counts at once is recorded; what is proposed stands as a
    doubt until it is settled, for an audit to tell."""
    members = search.members_by_number(connection, {one.member_id for one in said})
    remarks = said_dead.remarks(connection, list(members.values()))
    earlier = forms.of_members(connection, remarks.keys())
    refused: dict[int, Change] = {}
    found: list[News | None] = []
    for one in said:
        member = members.get(one.member_id)
        if member is None or member.standing is Standing.MERGED:
            found.append(None)
            continue
        recorded: tuple[Change, ...] = ()
        if (
            one.applicant.consent.value is False
            and member.consent is not False
            and not _refused(one)
        ):
            no = Change(member.id, "consent", member.consent, False, _why(one.applicant))
            recorded = (refused.setdefault(member.id, no),)
        proposed = tuple(c for c in contacts(member, one.applicant) if _is_news(c.field, one))
        remark = remarks.get(member.id, "")
        if remark and _came_before(one.applicant.raw, earlier.get(member.id, ())):
            remark = ""  # it was told when that one came
        found.append(News(member, recorded, proposed, remark))
    _keep_doubts(connection, members, zip(said, found, strict=True))
    if refused:
        lines = enumerate(refused.values(), start=1)
        change.make(connection, lines, Occasion(signature, WHAT))
        unsent = email_doubts.not_gone(connection, list(refused))
        outgoing.by_letter(connection, [line.id for line in unsent], signature)
    return found


def _came_before(raw: RawRow, of_member: Sequence[tuple[str, Mapping[str, str]]]) -> bool:
    """Whether one of the member's forms that came before this one says the same of the person."""
    before = takewhile(lambda form: form[0] != raw.key, of_member)
    return any(statement.compare(raw.fields, said) is not Likeness.OTHER for _, said in before)


def _keep_doubts(
    connection: Connection, members: Mapping[int, Member], heard: Iterable[tuple[Said, News | None]]
) -> None:
    """Keep what is proposed as doubts, but for those that stand already."""
    stands = {
        (number, one.code, one.said)
        for number, some in doubts.of_members(connection, members.values()).items()
        for one in some
    }
    new = []
    for said, news in heard:
        for proposal in news.proposed if news else ():
            doubt = newer.doubt(proposal)
            same = (proposal.member_id, doubt.code, doubt.said)
            if same not in stands:
                stands.add(same)
                new.append((said.applicant.raw.key, doubt, proposal.before))
    doubts.add(connection, new)


def _refused(said: Said) -> bool:
    """Whether the earlier form said no as well: if the member says yes since then, that is the newer."""
    return said.first is not None and row.may_email(said.first).value is False


def _is_news(field: str, said: Said) -> bool:
    """Whether the form says it otherwise than the earlier one, whatever became of that since."""
    if said.first is None:
        return True
    if field == "consent":
        return not row.may_email(said.first).value
    if field == "name":
        return False  # by the same name it was known again
    parts = ADDRESS_PARTS if field == "address" else (field,)
    before, now = (
        [statement.folded(part, of.fields.get(part, "")) for part in parts]
        for of in (said.first, said.applicant.raw)
    )
    return before != now


def contacts(member: Member, applicant: Applicant) -> Iterator[Change]:
    """The email, phone, mailing address, drop site, last name and yes to email of a form that are not those on
    file of its member."""
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
    if moved := _moved_to(member, applicant):
        yield Change(member.id, "address", list(member.address), moved, why)
    site = applicant.site.value
    if site and site != member.site:
        yield Change(member.id, "site", member.site, site, why)
    if applicant.consent.value and member.consent is False:
        yield Change(member.id, "consent", False, True, why)
    if _has_another_last_name(member.name, applicant):
        before, after = members.columns(member), members.of_applicant(applicant)
        yield Change(member.id, "name", before["name"], after["name"], why)


def _moved_to(member: Member, applicant: Applicant) -> list[str] | None:
    """The lines of the address of a form, if it is a whole one and another place than the one on file."""
    said = applicant.address.value
    if said is None or applicant.address.blocked:
        return None
    lines = address.show(said).splitlines()
    if deliverable.why_not(lines):
        return None
    on_file = address.clean("\n".join(member.address)).value if member.address else None
    return lines if on_file is None or is_elsewhere(on_file, said) else None


def _has_another_last_name(on_file: PersonName, applicant: Applicant) -> bool:
    """Whether a form has the first name on file with another last name, as after a wedding or a divorce; not one
    that is only spelled otherwise, or cut short, or was theirs before."""
    said = applicant.name.value
    if said is None or applicant.name.blocked or said.joint or not said.given or not said.family:
        return False
    firsts = {_letters(one.split()[0]) for one in (on_file.given, on_file.called) if one}
    old, new = _letters(on_file.family), _letters(said.family)
    if _letters(said.given.split()[0]) not in firsts or new == _letters(on_file.former):
        return False
    if _drops_a_part(on_file.family, said.family):
        return True
    return bool(old) and new not in old and OSA.distance(old, new) > max(1, len(new) // 5)


def _drops_a_part(on_file: str, said: str) -> bool:
    """Whether a last name is one part of a double one, and no short way to write it: of two Spanish last names people
    often leave out the second, never the first.

    >>> _drops_a_part("Garcia-Rael", "Rael"), _drops_a_part("Garcia-Rael", "Garcia")
    (True, True)
    >>> _drops_a_part("Ortega Baca", "Baca"), _drops_a_part("Ortega Baca", "Ortega")
    (True, False)
    """
    old, new = (folds.family_name(text)[0].split() for text in (on_file, said))
    return bool(new) and set(new) < set(old) and ("-" in on_file or old[0] not in new)


def _letters(text: str) -> str:
    return "".join(filter(str.isalpha, folds.plain(text)))


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

"""A form on hold beside those whom it may be of: field by field, with what differs marked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from onboard.clean import address as addresses
from onboard.clean import email as emails
from onboard.clean import name as names
from onboard.clean import row, secret, stored
from onboard.model import Answer, Hold, Match, Owner, Part, RawRow
from onboard.model.form import ASIDE, EXTRA
from onboard.reports.decisions import shown_name

_LONGEST = 500  # characters shown of one cell


@dataclass(frozen=True, slots=True)
class Said:
    """What a form says in one field, and how it was understood; "" where it was not."""

    field: str
    said: str
    understood: str = ""


@dataclass(frozen=True, slots=True)
class Likeness:
    """What the form and the file say of one thing, and what that means."""

    field: str
    form: str
    file: str
    words: str
    agrees: bool


@dataclass(frozen=True, slots=True)
class Likely:
    """Somebody whom the form may be of."""

    owner: Owner
    name: str
    where: str
    sure: str
    household: bool  # they share a home or a helper, and seem to be two people
    likeness: tuple[Likeness, ...]


def answers(hold: Hold) -> tuple[Answer, ...]:
    """What a question about the form allows, in the order of `Answer`; "same" where there is somebody."""
    members = any(Owner(match.person.owner).is_member for match in hold.matches)
    return tuple(
        a for a in Answer
        if any(a in question.answers for question in hold.questions)
        and (members or a is not Answer.SAME)
    )  # fmt: skip


def called(hold: Hold) -> str:
    """Whose form it is: of two people both, as the form names them."""
    if any(one.code == "name.joint" for one in hold.applicant.findings):
        return " ".join(hold.applicant.name.said.split())[:60]
    return shown_name(hold)


def said(hold: Hold, written: RawRow | None = None) -> tuple[Said, ...]:
    """What the form says, field by field: first what we read in it, then the rest as it was written.

    `written` is the row as it came in, where a coordinator has corrected it since: that is what was
    said, and the correction is how we read it. Of what somebody wrote in their own words, what seems to be a password is left out.
    """
    form = hold.applicant
    came = row.clean(written) if written else form
    email, phone, address = form.email.value, form.phone.value, form.address.value
    read = (
        Said("name", came.name.said, names.show(form.name.value) if form.name.value else ""),
        Said("email", came.email.said, emails.show(email) if email else ""),
        Said("phone", came.phone.said, _phone(phone.e164) if phone else ""),
        Said("address", came.address.said, addresses.show(address) if address else ""),
        Said("drop site", came.site.said, form.site.value or ""),
        Said("sign-in name", came.raw.fields.get("handle", "")),
    )
    rest = (
        Said(field.removeprefix(EXTRA).removeprefix(ASIDE), _own_words(field, text))
        for field, text in came.raw.fields.items()
        if text and (field.startswith((EXTRA, ASIDE)) or field == "notes")
    )
    return tuple(one for one in (*map(_short, read), *rest) if one.said)


def likely(hold: Hold, *, whole: bool) -> tuple[Likely, ...]:
    """Those whom the form may be of, the likeliest first, each once.

    Without `whole`, what is on file of them is left out: it is for those who may look members up.
    """
    best: dict[Owner, Match] = {}
    for match in hold.matches:
        had = best.get(match.person.owner)
        if had is None or had.evidence.confidence < match.evidence.confidence:
            best[match.person.owner] = match
    ordered = sorted(best.values(), key=lambda match: -match.evidence.confidence)
    return tuple(_likely(match, whole=whole) for match in ordered)


def _likely(match: Match, *, whole: bool) -> Likely:
    person, evidence = match.person, match.evidence
    where = ", ".join(p for p in (person.street, person.unit, person.city) if p)
    return Likely(
        person.owner, match.named or person.shown, where if whole else "", evidence.sure, evidence.household,
        tuple(_parts(evidence.agreeing, agrees=True, whole=whole)
              + _parts(evidence.opposing, agrees=False, whole=whole)),
    )  # fmt: skip


# How the fields that matching weighs are called, where that is not their name.
_CALLED = {"given": "first name", "family": "last name", "place": "place", "birth": "date of birth"}


def _parts(parts: Sequence[Part], *, agrees: bool, whole: bool) -> list[Likeness]:
    return [
        Likeness(
            _CALLED.get(part.field, part.field),
            _value(part.field, part.here),
            _value(part.field, part.there) if whole else "",
            part.words,
            agrees,
        )
        for part in parts
    ]


def _value(field: str, text: str) -> str:
    return _phone(text) if field == "phone" and text else text


def _phone(e164: str) -> str:
    return stored.in_words("phone", f"tel:{e164}")


def _short(one: Said) -> Said:
    return Said(one.field, " ".join(one.said.split())[:_LONGEST], one.understood[:_LONGEST])


def _own_words(field: str, text: str) -> str:
    asked = field.removeprefix(EXTRA).removeprefix(ASIDE)
    return " ".join(secret.hidden(text, asked=asked).split())[:_LONGEST]

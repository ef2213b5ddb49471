"""Reach: whether a member can be written to or called, and whose address it is."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from onboard.audit.briefs import Briefs
from onboard.audit.observation import Observation, about
from onboard.audit.record import Brief, Record, Rules
from onboard.clean import email, phone
from onboard.model import Kind, Weight

# What the clean rules say of email and phone, but for what is put right by itself.
CODES = frozenset(k.code for k in (*email.KINDS, *phone.KINDS) if k.weight is not Weight.MENDED)

# Findings with which an email or a phone is not counted as a way to the member.
DEAD_EMAIL = frozenset(
    f"email.{what}"
    for what in (
        "no_mail", "special_use", "slip", "country_only", "throwaway", "filler", "signs",
    )
)  # fmt: skip
DEAD_PHONE = frozenset(
    f"phone.{what}"
    for what in (
        "impossible", "fictional", "placeholder", "not_in_service", "too_short", "too_long", "masked",
        "unreadable", "rounded", "directory", "wrong_field", "unassigned", "special",
    )
)  # fmt: skip
# Findings with which no letter arrives.
NO_LETTER = frozenset(
    f"address.{what}"
    for what in ("missing", "no_street", "no_number", "no_box", "no_city", "corner", "unsure")
) | {"place.missing", "place.unknown_zip"}

NONE = Kind(
    "reach.none", Weight.BLOCKING,
    "There is no way to reach the member by email, phone or letter.",
    "email: pat@; phone: 419; address: ", "phone: 419; address: ",
)  # fmt: skip
LETTER_ONLY = Kind(
    "reach.letter_only", Weight.DOUBTFUL,
    "The member can only be reached by letter.",
    "email: ; phone: 419", "phone: 419",
)  # fmt: skip
BOUNCED = Kind(
    "reach.bounced", Weight.BLOCKING,
    "Email to the member came back and can't be delivered.",
    "bounced: 2026-10-02", "bounced: ",
)  # fmt: skip
SAID_NO = Kind(
    "reach.said_no", Weight.MENDED,
    "The member opted out of email.",
    "consent: no", "consent: yes",
)  # fmt: skip
HELPER = Kind(
    "reach.helper", Weight.DOUBTFUL,
    "Many people in different homes have the same email or phone. It may be a helper's.",
    "| ".join(f"phone: (419) 234-5678; family: {n}; street: {i} Elm St"
              for i, n in enumerate(("Quill", "Voss", "Darby", "Moor"), 1)),
    "phone: (419) 234-5678| phone: (419) 234-5679; family: Voss",
)  # fmt: skip
HOUSEHOLD = Kind(
    "reach.household", Weight.MENDED,
    "People in one home share an email or a phone.",
    "phone: (419) 234-5678; family: Voss| phone: (419) 234-5678; family: Voss",
    "phone: (419) 234-5678; family: Voss| phone: (419) 234-5679; family: Voss",
)  # fmt: skip
SHARED = Kind(
    "reach.shared", Weight.DOUBTFUL,
    "People with nothing else in common have the same email or phone. It may be a typo.",
    "email: plee@example.org; family: Voss; street: 7 OAK ST| email: plee@example.org; family: Moor",
    "email: plee@example.org; family: Voss; street: 7 OAK ST| email: kmoor@example.org; family: Moor",
)  # fmt: skip
KINDS = (NONE, LETTER_ONLY, BOUNCED, SAID_NO, HELPER, HOUSEHOLD, SHARED)


def ways(account: Record) -> frozenset[str]:
    """The ways to the member that should work: "email", "phone", "letter".

    Consent is not asked here: an email address that works is a way to the member also where they
    opted out, and may opt in again.
    """
    found, applicant = set(), account.applicant
    mail = applicant.email
    said = (*mail.findings, *applicant.raw.findings, *account.doubts)
    dead = account.bounced or mail.blocked or any(f.code in DEAD_EMAIL for f in said)
    if mail.value and not dead:
        found.add("email")
    if applicant.phone.value and not DEAD_PHONE.intersection(
        f.code for f in applicant.phone.findings
    ):
        found.add("phone")
    where = {f.code for f in (*applicant.address.findings, *applicant.place.findings)}
    if applicant.address.value and not NO_LETTER & where:
        found.add("letter")
    return frozenset(found)


def look(account: Record, rules: Rules) -> Iterator[Observation]:
    """Whether this member can be reached."""
    if not account.is_open:
        return
    # Without a column for emails or for phones, how they can be reached may stand elsewhere.
    is_all = account.could_say("email") and account.could_say("phone")
    open_ways = ways(account)
    if is_all and not open_ways:
        note = (
            "The email, phone and address on file can't be used. Ask the host of the drop site, or ask "
            "the member at the next pickup."
        )
        yield about(account, NONE, "", note)
    elif is_all and open_ways == {"letter"}:
        note = "The email and phone on file can't be used. Write a letter and ask for both."
        yield about(account, LETTER_ONLY, "", note)
    if account.bounced:
        said = account.applicant.email.said
        note = (
            f"Email to this address came back on {account.bounced}. Call the number on file, and ask for "
            "an email address that works. Never change it because a caller says so."
        )
        yield about(account, BOUNCED, said, note)
    if account.consent is False:
        note = "This member never gets an email from us. Call, or write a letter."
        yield about(account, SAID_NO, "", note)


def helpers(briefs: Briefs, rules: Rules) -> dict[str, list[str]]:
    """The emails and phones, by field, that so many people of different names and homes have that they must be a helper's.

    They say nothing about whether two accounts are one person's; of those who are, the name is one.
    """
    found: dict[str, list[str]] = {"email": [], "phone": []}
    least = rules.settings.audit.helper_from
    for field, values in found.items():
        for having in briefs.shared(field, least):
            names = {brief.name.casefold() for brief in having}
            if len(names) >= least and _homes(having) > 1:
                values.append(getattr(having[0], field))
    return found


def among(
    briefs: Briefs, rules: Rules, one_person: Mapping[str, int] | None = None
) -> Iterator[Observation]:
    """Emails and phones that several open accounts have.

    `one_person` says, by owner, which accounts seem to be one person's: they count once.
    """
    one_person = one_person or {}
    for field in ("email", "phone"):
        for having in briefs.shared(field):
            if found := _shared(field, getattr(having[0], field), having, rules, one_person):
                yield found


_CALLED = {"email": "email address", "phone": "phone number"}


def _shared(
    field: str, value: str, having: list[Brief], rules: Rules, one_person: Mapping[str, int]
) -> Observation | None:
    people = {one_person.get(b.owner, b.owner): b for b in having}  # one account a person
    if len(people) < 2:
        return None
    homes = _homes(people.values())
    count = len(people)
    if homes == 1:
        kind = HOUSEHOLD
        note = f"{count} people in one home have this {_CALLED[field]}. Nothing to do. On a call, ask who is speaking."
    elif count >= rules.settings.audit.helper_from:
        kind = HELPER
        note = (
            f"{count} people in {homes} homes have this {_CALLED[field]}. Ask whose it is. If it is a helper's, "
            "ask each member for their own: the person who has it could take over the accounts."
        )
    else:
        kind = SHARED
        note = (
            f"{count} people in {homes} homes have this {_CALLED[field]}. Ask each one if it is theirs: with a typo, "
            "one member's messages go to another."
        )
    owners = [brief.owner for brief in having]
    return Observation(owners[0], kind.found(value, note), others=tuple(owners[1:]))


def _homes(people: Collection[Brief]) -> int:
    """How many homes the people are of: who shares an address or a family name is of one."""
    homes: list[set[str]] = []
    for brief in people:
        signs = {sign for sign in (brief.home and f"@{brief.home}", brief.family) if sign}
        joined = [home for home in homes if home & signs]
        homes = [home for home in homes if not home & signs]
        homes.append(signs.union(*joined))
    return len(homes)

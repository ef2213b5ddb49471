"""A member and a line of the member table, each made of the other; and what an applicant's line says."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime
from types import SimpleNamespace
from typing import Any

from onboard.errors import StoreTrouble
from onboard.model import Applicant, Handle, Member, PersonName, Standing, State, Step
from onboard.roster.journal import sound, stamp
from onboard.roster.trouble import REMEDY

COLUMNS = (
    "name",
    "address",
    "extras",
    "notes",
    "consent",
    "merged_into",
    "confirmed",
    "email",
    "phone",
)
NAME_PARTS = ("given", "middle", "family", "suffix", "title", "called", "former")
DAYS = (
    "born", "password_expires", "page_seen", "last_sign_in", "last_order", "bounced", "confirmed", "closed",
)  # fmt: skip


# What it comes to where a line does not hold what we write: it was changed by another program.
_UNFIT = (TypeError, ValueError, KeyError, AttributeError, RecursionError)


def of_line(line: Any, packet: State | None = None) -> Member:
    """The member that a line of the member table holds, whose newest packet stands so. Raises
    `StoreTrouble` if it holds none."""
    try:
        return _of_line(line, packet)
    except _UNFIT as error:
        raise _no_member(line.id, line) from error


def name_of(number: int, stored: Any) -> PersonName:
    """The name whose parts are stored with the member of that number. Raises `StoreTrouble`."""
    try:
        return name(stored)
    except _UNFIT as error:
        raise _no_member(number, SimpleNamespace(name=stored)) from error


def _no_member(number: int, line: Any) -> StoreTrouble:
    from onboard.clean.stored import could_hold  # it brings all rules, and is hardly ever asked

    held = {field: getattr(line, field) for field in COLUMNS if hasattr(line, field)}
    wrong = [field for field, value in held.items() if not could_hold(field, value)]
    what = f"as {wrong[0].replace('_', ' ')} " if wrong else ""
    return StoreTrouble(f"What the roster holds {what}of member {number} cannot be that. {REMEDY}")


def _of_line(line: Any, packet: State | None) -> Member:
    days = {field: _day(getattr(line, field)) for field in DAYS}
    return Member(
        id=line.id,
        handle=Handle(line.handle, tuple(Step(*step) for step in line.handle_steps)),
        name=name(line.name),
        email=line.email,
        phone=line.phone,
        address=tuple(line.address),
        site=line.site,
        language=line.language,
        consent=line.consent,
        joined=_time(line.joined),
        standing=Standing(line.standing),
        extras=line.extras,
        notes=line.notes,
        password_hash=line.password_hash or "",
        must_change=line.must_change,
        merged_into=line.merged_into,
        packet=packet,
        **days,
    )


def _time(text: str) -> datetime | None:
    """A time as the table has it; None where it was never known."""
    if not text:
        return None
    time = datetime.fromisoformat(text.removesuffix("Z"))
    if f"{time.isoformat()}Z" != text:
        raise ValueError(text)  # the standard has more ways to write a time than we do
    return time.replace(tzinfo=UTC)


def columns(member: Member) -> dict[str, Any]:
    """The member as a line of the member table writes it: values as JSON has them.

    A change of a member (`Change`) speaks of these.
    """
    said: dict[str, Any] = {
        "id": member.id,
        "handle": member.handle.text,
        "handle_steps": [[step.what, step.before, step.after] for step in member.handle.steps],
        **told(member),
        "language": member.language,
        "extras": dict(member.extras),
        "notes": sound(member.notes),
        "joined": stamp(member.joined) if member.joined else "",
        "standing": str(member.standing),
        "password_hash": member.password_hash or None,
        "must_change": member.must_change,
        "merged_into": member.merged_into,
    }
    for field in DAYS:
        day = getattr(member, field)
        said[field] = day.isoformat() if day else None
    return said


def told(member: Member) -> dict[str, Any]:
    """Those of the `columns` that the member or an audit may tell otherwise."""
    return {
        "name": parts(member.name),
        "email": sound(member.email),
        "phone": member.phone,
        "address": list(member.address),
        "site": member.site,
        "consent": member.consent,
    }


def with_columns(member: Member, said: Mapping[str, Any]) -> Member:
    """The member with other values in some columns; what is no column of theirs is passed over."""
    now = columns(member)
    now |= {field: value for field, value in said.items() if field in now}
    return of_line(SimpleNamespace(**now), member.packet)


def of_applicant(applicant: Applicant) -> dict[str, Any]:
    """What an applicant said of themselves, by column of the member table."""
    from onboard.clean import address, phone  # who only looks loads no rule of an address

    where, born = applicant.address.value, applicant.days.get("born")
    lines = (address.show(where) if where else applicant.address.said).splitlines()
    return {
        "name": parts(applicant.name.value or PersonName("")),
        "email": applicant.email.value.address if applicant.email.value else "",
        "phone": phone.show(applicant.phone.value) if applicant.phone.value else "",
        "address": list(map(sound, lines)),
        "site": applicant.site.value or "",
        "language": applicant.language.value or "",
        "consent": applicant.consent.value,
        "extras": dict(applicant.extras),
        "notes": applicant.raw.fields.get("notes", ""),
        "born": born.value.isoformat() if born and born.value else None,
    }


def name(stored: Mapping[str, Any]) -> PersonName:
    """The name whose parts are stored.

    >>> name({"given": "Pat", "family": "Lee"})
    PersonName(given='Pat', middle='', family='Lee', suffix='', title='', called='', former='', joint=())
    """
    if not all(isinstance(text, str) for part, text in stored.items() if part != "joint"):
        raise TypeError("a part of a name is a text")
    joint = tuple(map(name, stored.get("joint", ())))
    return PersonName(**{**stored, "joint": joint})


def parts(name: PersonName) -> dict[str, Any]:
    """The name part by part, as it is stored."""
    said: dict[str, Any] = {part: getattr(name, part) for part in NAME_PARTS}
    return said | {"joint": [parts(other) for other in name.joint]}


def _day(said: str | None) -> date | None:
    return date.fromisoformat(said[:10]) if said else None

"""What the help desk asks of the roster: who is meant, what is known of them, what was tried."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, func, select, update

from onboard.lookup.keys import phone as as_written
from onboard.match import folds, keys
from onboard.model import Handle, Member, Owner, Person, RawRow, Signature
from onboard.roster import index, index_asked, members, search, tables
from onboard.roster.journal import sound, stamp
from onboard.roster.search import _person

LONGEST_NUMBER = 15  # digits; more is nobody's

# Columns of a member by which they can be reached.
CONTACTS = ("email", "phone", "address")


@dataclass(frozen=True, slots=True)
class Changed:
    """A contact that was changed: what it was, and the day (UTC) of the last change."""

    before: Any
    on: date


def member_meant(connection: Connection, said: str) -> Member | None:
    """The member whom a handle ever theirs, or a member's number, means.

    Capitals in a handle do not matter. "17", "member 17" and "member:17" are numbers, unless
    somebody has the handle "17".
    """
    text = " ".join(said.replace(":", " ").split())
    number = handle_owner(connection, text)
    if number is None:
        digits = text.casefold().removeprefix("member").strip()
        if not digits.isdecimal() or not digits.isascii() or len(digits) > LONGEST_NUMBER:
            return None
        number = int(digits)
    return search.members_by_number(connection, [number]).get(number)


def still_bears(connection: Connection, text: str, besides: int) -> bool:
    """Whether another account has this handle now: one that was merged keeps its own."""
    member = tables.member.c
    query = select(member.id).where(member.handle == text, member.id != besides)
    return connection.execute(query.limit(1)).first() is not None


def handle_owner(connection: Connection, text: str) -> int | None:
    """The number of the member to whom the handle was given, ever; None also if forgotten since.

    Capitals do not matter.
    """
    folded = text.strip().casefold()
    handle = tables.handle.c
    for given, number in connection.execute(
        select(handle.text, handle.member_id).where(handle.base == Handle(folded).base)
    ):
        if given.casefold() == folded:
            return None if number is None else int(number)
    return None


def former_handles(connection: Connection, member: Member) -> tuple[str, ...]:
    """The handles that were the member's before; those of accounts merged with theirs too."""
    handle = tables.handle.c
    query = select(handle.text).where(handle.member_id == member.id).order_by(handle.text)
    return tuple(text for (text,) in connection.execute(query) if text != member.handle.text)


def held_rows(connection: Connection, beginning: str) -> list[RawRow]:
    """The rows on hold whose key begins so, at most two."""
    row = tables.row.c
    query = select(row.key).where(
        row.decision == "hold", func.substr(row.key, 1, len(beginning)) == beginning
    )
    keys = [key for (key,) in connection.execute(query.limit(2))]
    return list(search.raw_rows(connection, keys).values())


def owners_of_email(connection: Connection, identity: str) -> list[Owner]:
    """Everybody ever known by the mailbox (`Email.identity`): members, and rows on hold."""
    person, key = tables.person.c, tables.person_key.c
    query = (  # by its key: there is no index of addresses
        select(person.owner).join(tables.person_key, key.person_id == person.id)
        .where(key.key == sound(keys.of_mailbox(identity)), person.email == identity)
        .distinct().order_by(person.owner)
    )  # fmt: skip
    return [Owner(owner) for (owner,) in connection.execute(query)] if identity else []


def members_with_email(connection: Connection, address: str) -> list[Member]:
    """The members who have this mailbox on file, by number."""
    from onboard.clean import email  # it brings what a look-up does not need

    cleaned = email.clean(address).value
    owners = owners_of_email(connection, cleaned.identity) if cleaned else []
    numbers = {owner.member_id for owner in owners if owner.member_id is not None}
    known = search.members_by_number(connection, numbers)
    said = ((known[number], email.clean(known[number].email).value) for number in sorted(known))
    return [one for one, has in said if cleaned and has and has.identity == cleaned.identity]


def members_with_phone(connection: Connection, numbers: Collection[str]) -> list[Member]:
    """The members who have one of these numbers (E.164) on file, by number."""
    written = {as_written(digits) for number in numbers if (digits := folds.telephone(number))}
    docs = {doc for _, doc in index_asked.written(connection, written)}
    whose = (index.owner(connection, doc).member_id for doc in docs)
    known = search.members_by_number(connection, [number for number in whose if number is not None])
    wanted = {f"tel:{number}" for number in numbers}
    return [
        known[number]
        for number in sorted(known)
        if wanted.intersection(one.partition(";")[0] for one in known[number].phone.splitlines())
    ]


def spellings(connection: Connection, owner: Owner) -> list[Person]:
    """Everything by which the owner was ever known, oldest first."""
    person = tables.person
    query = select(person).where(person.c.owner == owner).order_by(person.c.id)
    return [_person(line) for line in connection.execute(query)]


def merged_into(connection: Connection, owner: Owner) -> list[Member]:
    """The accounts that a person merged into the owner's: they are one person's."""
    member = tables.member.c
    query = select(member.id).where(member.merged_into == owner.member_id)
    found = [] if owner.member_id is None else connection.execute(query).scalars().all()
    known = search.members_by_number(connection, found)
    return [known[number] for number in sorted(known)]


def changed_contacts(connection: Connection, member: Member, since: datetime) -> dict[str, Changed]:
    """Which of the member's contacts are not those of `since` (UTC): what each was, and on which day
    (UTC) it last changed.

    One that was changed and changed back is as it was.
    """
    entry = tables.journal.c
    query = (
        select(entry.at, entry.before, entry.after)
        .where(entry.about == member.owner, entry.at >= stamp(since))
        .order_by(entry.id)
    )
    was: dict[str, Any] = {}
    when: dict[str, str] = {}
    for at, before, after in connection.execute(query):
        for field in CONTACTS:
            if field in after and field in before:
                was.setdefault(field, before[field])
                when[field] = at
    now = members.columns(member)
    return {
        field: Changed(old, date.fromisoformat(when[field][:10]))
        for field, old in was.items()
        if old != now[field]
    }


def contacts_changed_at(connection: Connection, member: Member, at: datetime) -> tuple[str, ...]:
    """Which of the member's contacts were changed at this very time (UTC)."""
    entry = tables.journal.c
    query = select(entry.before, entry.after).where(
        entry.about == member.owner, entry.at == stamp(at)
    )
    fields = {
        field
        for before, after in connection.execute(query)
        for field in before.keys() & after.keys()
        if before[field] != after[field]
    }
    return tuple(field for field in CONTACTS if field in fields)


# ---------------------------------------------------------------- first passwords


def first_passwords(connection: Connection, owner: Owner) -> list[date]:
    """The days (UTC) on which the member was given a first password, oldest first."""
    entry = tables.journal.c
    query = (
        select(entry.at)
        .where(entry.about == owner, entry.what == "first password issued")
        .order_by(entry.id)
    )
    return [date.fromisoformat(at[:10]) for (at,) in connection.execute(query)]


def end_first_password(connection: Connection, member_id: int) -> None:
    """The first password of a member works no more; only its hash was kept, and that is gone."""
    member = tables.member
    connection.execute(
        update(member)
        .where(member.c.id == member_id)
        .values(password_hash=None, password_expires=None)
    )


# ---------------------------------------------------------------- tries


def tries(connection: Connection, member_id: int, since: datetime) -> list[str]:
    """When a new first password was asked for after `since` (UTC), oldest first, each ISO 8601 in UTC as the tables
    write it."""
    attempt = tables.attempt.c
    query = (
        select(attempt.at)
        .where(attempt.member_id == member_id, attempt.at > stamp(since))
        .order_by(attempt.at)
    )
    return [at for (at,) in connection.execute(query)]


def count_try(connection: Connection, member_id: int, ended: str, signature: Signature) -> None:
    """Keep that a new first password was asked for, and how it ended: done, refused, failed."""
    line = {
        "at": stamp(signature.when), "who": sound(signature.who), "member_id": member_id,
        "ended": ended,
    }  # fmt: skip
    connection.execute(tables.attempt.insert(), line)

"""Calls to the help desk: kept with their causes, and counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo

from sqlalchemy import Connection, func, select, update

from onboard.model import Owner, Signature
from onboard.roster import search, tables
from onboard.roster.forms import FORGOTTEN
from onboard.roster.journal import sound, stamp

OPEN = "open"  # how a call ended that somebody has to come back to


@dataclass(frozen=True, slots=True)
class Count:
    """How many calls of one month had a cause, at one drop site."""

    cause: str
    site: str  # "" if the member had none
    month: str  # "2026-11", as the co-op's days are
    calls: int


@dataclass(frozen=True, slots=True)
class Call:
    """A call to the help desk, as it is noted."""

    about: Owner
    site: str  # "" if the member has none
    causes: Collection[str]
    ended: str  # "helped", "open", "passed-on"
    note: str
    words: str = ""  # what it was about, where no cause says it
    handed_to: str = ""  # who is to come back to it; "" for nobody in particular


@dataclass(frozen=True, slots=True)
class Noted:
    """A call as it stands."""

    number: int
    at: str  # ISO 8601, UTC
    who: str  # noted it
    call: Call


def keep(connection: Connection, call: Call, signature: Signature) -> int:
    """The number of the call that is now kept."""
    line = {
        "at": stamp(signature.when), "who": sound(signature.who), "about": call.about,
        "site": sound(call.site), "ended": call.ended, "note": sound(call.note), "words": sound(call.words), "handed_to": sound(call.handed_to),
    }  # fmt: skip
    number = int(
        connection.execute(tables.call.insert().returning(tables.call.c.id), line).scalar_one()
    )
    if call.causes:
        causes = [{"call_id": number, "cause": cause} for cause in call.causes]
        connection.execute(tables.call_cause.insert(), causes)
    return number


def noted(connection: Connection, *, number: int = 0) -> list[Noted]:
    """The calls to come back to, oldest first; or the one with this number, if there is one. Not those
    of somebody who was forgotten."""
    call, cause = tables.call.c, tables.call_cause.c
    which = call.id == number if number else call.ended == OPEN
    query = select(tables.call).where(which, call.about != FORGOTTEN).order_by(call.at, call.id)
    lines = connection.execute(query).all()
    causes: dict[int, list[str]] = {}
    codes = select(cause.call_id, cause.cause).order_by(cause.cause)
    for call_id, code in search._among(connection, codes, cause.call_id, [one.id for one in lines]):
        causes.setdefault(call_id, []).append(code)
    return [
        Noted(one.id, one.at, one.who, Call(
            Owner(one.about), one.site, causes.get(one.id, []), one.ended, one.note, one.words,
            one.handed_to,
        ))
        for one in lines
    ]  # fmt: skip


def state(call: Call) -> dict[str, str]:
    """What changes of a call in time, as a change has it."""
    return {"ended": call.ended, "handed_to": call.handed_to, "note": call.note}


def set_state(connection: Connection, number: int, state: Mapping[str, str]) -> None:
    """The call stands so from now on."""
    call = tables.call
    sound_state = {key: sound(text) for key, text in state.items()}
    connection.execute(update(call).where(call.c.id == number).values(sound_state))


def members_of(connection: Connection, keys: Collection[str]) -> dict[str, int]:
    """By the key of a join form: the number of the member that it has become."""
    row = tables.row.c
    found = search._among(connection, select(row.key, row.member_id), row.key, keys)
    return {key: number for key, number in found if number is not None}


def counts(connection: Connection, since: datetime, until: datetime, zone: tzinfo) -> list[Count]:
    """How often each cause was met from `since` on and before `until` (UTC), by site and month.

    The month is YYYY-MM in the time zone `zone`.
    """
    call, cause = tables.call.c, tables.call_cause.c
    query = (
        select(cause.cause, call.site, call.at)
        .join(tables.call, call.id == cause.call_id)
        .where(call.at >= stamp(since), call.at < stamp(until))
    )
    found = Counter(
        (f"{datetime.fromisoformat(at).astimezone(zone):%Y-%m}", site, code)
        for code, site, at in connection.execute(query)
    )
    return [Count(code, site, month, n) for (month, site, code), n in sorted(found.items())]


def own_words(connection: Connection, since: datetime, until: datetime) -> Counter[str]:
    """What calls were about where no code says it, each with how often; of forgotten members nothing is told."""
    call = tables.call.c
    query = select(call.words).where(
        call.at >= stamp(since), call.at < stamp(until), call.words != "", call.about != FORGOTTEN
    )
    return Counter(connection.execute(query).scalars())


def endings(connection: Connection, since: datetime, until: datetime) -> dict[str, int]:
    """How many calls ended which way: "helped", "open", "passed-on"."""
    call = tables.call.c
    query = (
        select(call.ended, func.count())
        .where(call.at >= stamp(since), call.at < stamp(until))
        .group_by(call.ended)
    )
    return {ended: int(number) for ended, number in connection.execute(query)}

"""Calls to the help desk: kept with their causes, and counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, tzinfo

from sqlalchemy import Connection, func, select

from onboard.model import Owner, Signature
from onboard.roster import tables
from onboard.roster.journal import sound, stamp


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


def keep(connection: Connection, call: Call, signature: Signature) -> int:
    """The number of the call that is now kept."""
    line = {
        "at": stamp(signature.when), "who": sound(signature.who), "about": call.about,
        "site": sound(call.site), "ended": call.ended, "note": sound(call.note),
    }  # fmt: skip
    number = int(
        connection.execute(tables.call.insert().returning(tables.call.c.id), line).scalar_one()
    )
    connection.execute(
        tables.call_cause.insert(), [{"call_id": number, "cause": cause} for cause in call.causes]
    )
    return number


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


def endings(connection: Connection, since: datetime, until: datetime) -> dict[str, int]:
    """How many calls ended which way: "helped", "open", "passed-on"."""
    call = tables.call.c
    query = (
        select(call.ended, func.count())
        .where(call.at >= stamp(since), call.at < stamp(until))
        .group_by(call.ended)
    )
    return {ended: int(number) for ended, number in connection.execute(query)}

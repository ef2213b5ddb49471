"""The newest audit of the roster: what it came to, its findings, and what became of each.

Each function works within the transaction of the connection that it is given; none commits.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Text, cast, delete, func, insert, or_, select, update

from onboard.model import Change, Handled, Owner, Signature
from onboard.roster import bulk, tables
from onboard.roster.among import AT_ONCE, among, parts
from onboard.roster.journal import sound, stamp

OTHERS = 8  # further owners that a finding keeps
_whole, _one = tables.audit, tables.audit_finding


@dataclass(frozen=True, slots=True)
class KeptAudit:
    """An audit as it is kept."""

    number: int
    at: datetime
    who: str
    told: Mapping[str, Any]  # what it came to, as JSON has it


@dataclass(frozen=True, slots=True)
class Step:
    """What became of a finding last."""

    state: Handled = Handled.OPEN
    why: str = ""
    at: str = ""  # ISO 8601, UTC; "" if nothing became of it yet
    who: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """A finding of an audit."""

    code: str
    owner: Owner
    others: tuple[Owner, ...]
    name: str
    handle: str
    field: str
    said: str
    note: str
    change: Change | None
    key: tuple[str, ...]
    is_new: bool
    step: Step = Step()
    number: int = 0
    applied: int | None = None  # the number under which its change is undone
    version: int = 0


# ---------------------------------------------------------------- made


def begin(connection: Connection, signature: Signature) -> int:
    """The number of a new audit, which nobody sees before `finish`."""
    line = {"at": stamp(signature.when), "who": sound(signature.who), "is_whole": False, "told": {}}
    made = connection.execute(insert(_whole).values(line))
    number: int = made.inserted_primary_key[0]  # type: ignore[index]
    return number


def add(connection: Connection, audit: int, found: Iterable[Found]) -> bool:
    """Add findings, after those that it has; False where a later audit has ended, and took it away."""
    if connection.scalar(select(_whole.c.id).where(_whole.c.id == audit)) is None:
        return False
    lines = [
        {
            "audit_id": audit, "code": one.code, "owner": one.owner, "others": list(one.others[:OTHERS]),
            "name": sound(one.name), "handle": sound(one.handle), "field": one.field,
            "said": sound(one.said), "note": sound(one.note),
            "change": asdict(one.change) if one.change else None, "key": list(one.key),
            "is_new": one.is_new, "state": str(one.step.state), "why": one.step.why,
            "at": one.step.at, "who": one.step.who, "applied": None, "version": 0,
        }
        for one in found
    ]  # fmt: skip
    bulk.insert(connection, _one, lines)
    return True


def finish(connection: Connection, audit: int, told: Mapping[str, Any]) -> None:
    """All its findings are there: from now on it is the last audit."""
    done = {"is_whole": True, "told": dict(told)}
    connection.execute(update(_whole).where(_whole.c.id == audit).values(done))


def forget_earlier(connection: Connection, audit: int, most: int) -> bool:
    """Take away what is left of audits before this one, some at a time; whether there is more."""
    older = _one.c.audit_id < audit
    some = select(_one.c.id).where(older).order_by(_one.c.id).limit(most).scalar_subquery()
    gone = connection.execute(delete(_one).where(_one.c.id.in_(some))).rowcount
    if gone == most:
        return True
    connection.execute(delete(_whole).where(_whole.c.id < audit))
    return False


def last(connection: Connection) -> KeptAudit | None:
    """The newest audit that is whole."""
    query = select(_whole).where(_whole.c.is_whole).order_by(_whole.c.id.desc()).limit(1)
    line = connection.execute(query).first()
    if line is None:
        return None
    return KeptAudit(line.id, datetime.fromisoformat(line.at), line.who, line.told)


def keys(connection: Connection, audit: int) -> Iterator[tuple[str, tuple[str, ...], str, Step]]:
    """Code, key, what was said, and what became of it, of every finding."""
    one = _one.c
    query = select(one.code, one.key, one.said, one.state, one.why, one.at, one.who)
    for line in connection.execute(query.where(one.audit_id == audit)):
        step = Step(Handled(line.state), line.why, line.at, line.who)
        yield line.code, tuple(line.key), line.said, step


# ---------------------------------------------------------------- read


def counts(connection: Connection, audit: int) -> dict[str, dict[Handled, int]]:
    """By code, how many findings are in which state, but for the open ones: those are the rest."""
    one = _one.c
    others = [str(state) for state in Handled if state is not Handled.OPEN]
    query = (
        select(one.code, one.state, func.count())
        .where(one.audit_id == audit, one.state.in_(others))
        .group_by(one.code, one.state)
    )
    found: dict[str, dict[Handled, int]] = {}
    for code, state, count in connection.execute(query):
        found.setdefault(code, {})[Handled(state)] = count
    return found


@dataclass(frozen=True, slots=True)
class Part:
    """Which findings of a kind to list: those in one of the states, from one on, forward or backward."""

    states: Collection[Handled]
    after: int = 0  # number of the finding before the first
    before: int = 0  # or of the one after the last
    with_change: bool = False  # only those that propose a change
    most: int = 25


def listed(connection: Connection, audit: int, code: str, part: Part) -> list[Found]:
    """Findings of one kind, in their order; at most one more than asked for, to tell that there is more."""
    one = _one.c
    found: list[Row[Any]] = []
    for state in part.states:  # each by the index, in the order of their numbers
        query = select(_one).where(
            one.audit_id == audit, one.code == code, one.state == str(state), one.id > part.after
        )
        if part.with_change:
            query = query.where(one.change.is_not(None))
        if part.before:
            query = query.where(one.id < part.before).order_by(one.id.desc())
        found += connection.execute(query.order_by(one.id).limit(part.most + 1))
    found.sort(key=lambda line: line.id)
    kept = found[-part.most - 1 :] if part.before else found[: part.most + 1]
    return [_found(line) for line in kept]


def by_number(connection: Connection, numbers: Collection[int]) -> list[Found]:
    """The findings with these numbers, in their order."""
    found = among(connection, select(_one), _one.c.id, sorted(numbers))
    return sorted(map(_found, found), key=lambda one: one.number)


def about(connection: Connection, audit: int, owner: str, most: int = 20) -> list[Found]:
    """The findings of an audit that are somebody's, the first of them."""
    query = select(_one).where(_one.c.owner == owner, _one.c.audit_id == audit)
    return [_found(line) for line in connection.execute(query.order_by(_one.c.id).limit(most))]


# ---------------------------------------------------------------- what becomes of them


def step(
    connection: Connection, number: int, version: int, to: Step, *, applied: int | None = None
) -> bool:
    """Whether the finding went on, from the version that somebody saw."""
    done = {
        "state": str(to.state), "why": sound(to.why), "at": to.at, "who": sound(to.who), "applied": applied,
        "version": version + 1,
    }  # fmt: skip
    change = update(_one).where(_one.c.id == number, _one.c.version == version).values(done)
    return connection.execute(change).rowcount == 1


def applied_to(
    connection: Connection, numbers: Sequence[int], to: Step, applied: int | None
) -> None:
    """The changes of these findings were made, under a number; or were so already."""
    done = {
        "state": str(to.state), "why": sound(to.why), "at": to.at, "who": sound(to.who), "applied": applied,
        "version": _one.c.version + 1,
    }  # fmt: skip
    for some in parts(numbers, AT_ONCE):
        connection.execute(update(_one).where(_one.c.id.in_(some)).values(done))


def open_again(
    connection: Connection, applied: int, signature: Signature, only: Collection[int] | None = None
) -> None:
    """Changes were undone: their findings are open again, or those of some of the lines."""
    again = {
        "state": str(Handled.OPEN), "why": "", "at": stamp(signature.when), "who": sound(signature.who),
        "applied": None, "version": _one.c.version + 1,
    }  # fmt: skip
    mine = update(_one).where(_one.c.applied == applied).values(again)
    if only is None:
        connection.execute(mine)
        return
    for some in parts(only, AT_ONCE):
        connection.execute(mine.where(_one.c.id.in_(some)))


def forget(connection: Connection, owners: Collection[str], handles: Collection[str]) -> int:
    """Take away what audits say of somebody, and what they say of others that names them; how many findings."""
    one = _one.c
    named = [
        cast(column, Text).like(f'%"{owner}"%')
        for column in (one.others, one.key)
        for owner in owners
    ]
    named += [
        column.like(f"%{handle}%")
        for column in (one.note, one.said)
        for handle in handles
        if handle
    ]
    gone = connection.execute(delete(_one).where(or_(one.owner.in_(owners), *named))).rowcount
    for line in connection.execute(select(_whole.c.id, _whole.c.told)).all():
        calls = line.told.get("calls", [])
        left = [call for call in calls if not set(owners) & set(call["owners"])]
        if len(left) < len(calls):
            told = {"told": {**line.told, "calls": left}}
            connection.execute(update(_whole).where(_whole.c.id == line.id).values(told))
    return gone


def _found(line: Row[Any]) -> Found:
    return Found(
        line.code, Owner(line.owner), tuple(map(Owner, line.others)), line.name, line.handle, line.field,
        line.said, line.note, Change(**line.change) if line.change else None, tuple(line.key),
        line.is_new, Step(Handled(line.state), line.why, line.at, line.who), line.id, line.applied, line.version,
    )  # fmt: skip

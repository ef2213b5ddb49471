"""What the roster knows, read."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import sqlalchemy as sql
from sqlalchemy import ColumnElement, Connection, Row, Select, Text, bindparam, func, select

from onboard.model import (
    Answer,
    Finding,
    Member,
    Owner,
    Person,
    PersonName,
    RawRow,
    Ruling,
    Weight,
)
from onboard.roster import members as members_of
from onboard.roster import outgoing, tables
from onboard.roster.among import ALL, AT_ONCE, among, parts

__all__ = ["AT_ONCE", "parts"]
_among = among

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Seen:
    """What was decided of a row that the roster has already; of one that came again, of the first."""

    key: str  # of the row that it was decided of
    decision: str  # "enrol", "same", "hold", "drop"
    owner: Owner  # whom the row belongs to
    asks_who: bool  # on hold as a question of who they are
    position: int  # order of arrival
    file: str
    line: int
    at: str
    batch: int  # in which it came


def seen(connection: Connection, keys: Collection[str]) -> dict[str, Seen]:
    """What was decided of those of the rows that the roster has, by row key."""
    return {
        key: Seen(first_key, decision, _owner(first_key, member_id), *rest)
        for key, first_key, decision, member_id, *rest in _among(
            connection, _SEEN, tables.row.c.key, keys
        )
    }


def people(connection: Connection, keys: Collection[str]) -> list[tuple[Person, list[str]]]:
    """Every spelling of everybody who has one of the match keys, oldest first, with those keys."""
    key = tables.person_key.c
    return _with_keys(connection, _among(connection, select(key.person_id, key.key), key.key, keys))


def _with_keys(
    connection: Connection, lines: Iterable[Sequence[Any]]
) -> list[tuple[Person, list[str]]]:
    person = tables.person
    found: dict[int, list[str]] = defaultdict(list)
    for number, text in lines:
        found[number].append(text)
    told = _among(connection, select(person), person.c.id, sorted(found))
    return [(_person(line), found[line.id]) for line in told]


def sharing(
    connection: Connection, keys: Collection[str], size: int
) -> tuple[list[tuple[Person, list[str]]], set[str]]:
    """As `people`, but for those who share nothing but keys of crowds; and these keys, which so many owners and more
    have.

    Most keys are few people's: unless there are many lines, all are read, and counted here.
    """
    key = tables.person_key.c
    most = size + 4 * len(keys)
    query = select(key.person_id, key.key).limit(most)
    lines = [tuple(line) for line in _among(connection, query, key.key, keys)]
    if len(lines) >= most:
        shared = crowds(connection, keys, size)
        return people(connection, [text for text in keys if text not in shared]), shared
    many = Counter(text for _, text in lines)
    shared = {text for text, count in many.items() if count >= size}
    shared = {text for text in shared if _is_crowd(connection, text, size)}
    return _with_keys(connection, (line for line in lines if line[1] not in shared)), shared


def crowds(connection: Connection, keys: Collection[str], size: int) -> set[str]:
    """Those of the match keys that so many owners and more share; their people are not read."""
    found: set[str] = set()
    if connection.dialect.name == "sqlite":
        questions = [(_SHARED, {"all": json.dumps(list(keys)), "last": size - 1})] if keys else []
    else:
        questions = [(_shared(some), {"last": size - 1}) for some in parts(keys, AT_ONCE)]
    for shared, said in questions:
        told = connection.execute(shared, said).all()
        found |= {text for (text,) in told if _is_crowd(connection, text, size)}
    return found


def _is_crowd(connection: Connection, key: str, size: int) -> bool:
    return len(connection.execute(_OWNERS, {"key": key, "size": size}).all()) == size


def handles(connection: Connection, bases: Collection[str]) -> set[str]:
    """Every handle ever given that is one of `bases`, or one of them with a number after it.

    All are in small letters: "PatLee" from an old roster stands in the way of "patlee".
    """
    handle = tables.handle.c
    folded = {base.casefold() for base in bases}
    lines = _among(connection, select(handle.text), handle.base, folded)
    return {text.casefold() for (text,) in lines}


def held_keys(connection: Connection) -> list[str]:
    """The keys of the rows on hold, in the order in which they came."""
    row = tables.row.c
    query = select(row.key).where(row.decision == "hold").order_by(row.position)
    return list(connection.execute(query).scalars())


def held(connection: Connection, only: Collection[str] = ()) -> Iterator[RawRow]:
    """The rows on hold, in the order in which they came; or those `only` that have one of these keys, few."""
    row = tables.row
    query = select(row).where(row.c.decision == "hold").order_by(row.c.position)
    if only:
        query = query.where(row.c.key.in_(only))
    positions = [0]
    while lines := connection.execute(
        query.where(row.c.position > positions[0]).limit(AT_ONCE)
    ).all():
        # By position and not by one open cursor: what is decided meanwhile changes the table.
        positions[0] = lines[-1].position
        yield from map(raw_row, lines)


def raw_rows(connection: Connection, keys: Collection[str]) -> dict[str, RawRow]:
    """The rows as they were written, by row key."""
    row = tables.row
    return {line.key: raw_row(line) for line in _among(connection, select(row), row.c.key, keys)}


def rulings(connection: Connection, keys: Collection[str]) -> dict[str, Ruling]:
    """The newest ruling on each of the rows that has one, by row key; merged members are as today."""
    ruling = tables.ruling
    query = select(ruling).order_by(ruling.c.id)
    lines = list(_among(connection, query, ruling.c.row_key, keys))
    today = stays(connection, {line.member_id for line in lines if line.member_id})
    meant = {today.get(line.member_id, line.member_id) for line in lines if line.member_id}
    named = {
        number: _shown(one.name) for number, one in members_by_number(connection, meant).items()
    }
    return {
        line.row_key: Ruling(
            line.row_key,
            Answer(line.answer),
            line.who,
            line.why,
            Owner.of_member(today.get(line.member_id, line.member_id)) if line.member_id else None,
            line.corrections,
            named.get(today.get(line.member_id, line.member_id), ""),
        )
        for line in lines
    }


def _shown(name: PersonName) -> str:
    return " ".join(part for part in (name.given, name.family, name.suffix) if part)


def apart(connection: Connection, keys: Collection[str]) -> dict[str, set[Owner]]:
    """By row key: the owners, as they are today, from whom a ruling told the row apart."""
    told = tables.apart.c
    found: dict[str, set[Owner]] = defaultdict(set)
    for key, other in _among(connection, select(told.row_key, told.other), told.row_key, keys):
        found[key].add(Owner(other))
    mirrored = [Owner.of_row(key) for key in keys]
    for key, other in _among(connection, select(told.row_key, told.other), told.other, mirrored):
        if row := Owner(other).row_key:
            found[row].add(Owner.of_row(key))
    everybody = {other for others in found.values() for other in others}
    rows = seen(connection, {other.row_key for other in everybody if other.row_key})
    today = {Owner.of_row(key): was.owner for key, was in rows.items()}
    for number, stayed in stays(
        connection, {o.member_id for o in everybody if o.member_id}
    ).items():
        today[Owner.of_member(number)] = Owner.of_member(stayed)
    return {key: {today.get(other, other) for other in others} for key, others in found.items()}


def last_questions(connection: Connection, keys: Collection[str]) -> dict[str, list[Any]]:
    """By row key: the questions of the newest decision of the row."""
    decision = tables.decision.c
    # The newest comes last, and is what stays.
    query = select(decision.row_key, decision.questions).order_by(decision.id)
    return dict(tuple(line) for line in _among(connection, query, decision.row_key, keys))


def members(
    connection: Connection,
    *,
    after: int = 0,
    most: int = 0,
    among: Collection[int] = (),
) -> list[Member]:
    """Members in the order of their numbers: those above `after`, at most `most` (0: all).

    `among` are the few numbers to keep to, all if there are none.
    """
    member = tables.member
    query = select(member).where(member.c.id > after).order_by(member.c.id)
    if among:
        query = query.where(member.c.id.in_(among))
    if most:
        query = query.limit(most)
    return _members(connection, connection.execute(query))


def last_number(connection: Connection) -> int:
    """The highest number of a member; 0 if there is none."""
    return int(
        connection.execute(select(func.coalesce(func.max(tables.member.c.id), 0))).scalar_one()
    )


def members_by_handle(connection: Connection, texts: Collection[str]) -> dict[str, Member]:
    """Members by their handle, those of the texts that are one."""
    member = tables.member
    lines = _among(connection, select(member), member.c.handle, texts)
    return {member.handle.text: member for member in _members(connection, lines)}


def members_by_number(connection: Connection, member_ids: Collection[int]) -> dict[int, Member]:
    """Members by their number, those of the numbers that are one."""
    member = tables.member
    lines = _among(connection, select(member), member.c.id, member_ids)
    return {member.id: member for member in _members(connection, lines)}


def handles_of(connection: Connection, member_ids: Collection[int]) -> dict[int, str]:
    """The handles of members by number, those of the numbers that are one."""
    member = tables.member.c
    query = select(member.id, member.handle)
    found = _among(connection, query, member.id, member_ids)
    return {line.id: line.handle for line in found}


def names_of(connection: Connection, member_ids: Collection[int]) -> dict[int, PersonName]:
    """The names on file of members by number, those of the numbers that are one."""
    member = tables.member.c
    lines = _among(connection, select(member.id, member.name), member.id, member_ids)
    return {line.id: members_of.name_of(line.id, line.name) for line in lines}


def _members(connection: Connection, lines: Iterable[Row[Any]]) -> list[Member]:
    """The members whose lines of the member table these are, each with how their packet stands."""
    lines = list(lines)
    packets = outgoing.current_packets(connection, [line.id for line in lines])
    return [members_of.of_line(line, packets.get(line.id)) for line in lines]


def forgotten(connection: Connection) -> list[tuple[int, str, str]]:
    """(number, when, by whom) of every member deleted on request, oldest first; when is ISO 8601, UTC."""
    gone = tables.forgotten.c
    query = select(gone.member_id, gone.at, gone.who).order_by(gone.at, gone.member_id)
    return [(number, at, who) for number, at, who in connection.execute(query)]


def handles_of_nobody(connection: Connection) -> list[str]:
    """The sign-in names of members who were deleted: they are given to nobody else."""
    handle = tables.handle.c
    return list(connection.execute(select(handle.text).where(handle.member_id.is_(None))).scalars())


def existing(connection: Connection, member_ids: Collection[int]) -> set[int]:
    """Those of the numbers that are members'."""
    number = tables.member.c.id
    return {found for (found,) in _among(connection, select(number), number, member_ids)}


def count(connection: Connection) -> int:
    """How many members there are."""
    return connection.execute(select(func.count()).select_from(tables.member)).scalar_one()


def count_held(connection: Connection) -> int:
    """How many rows are on hold."""
    query = select(func.count()).select_from(tables.row).where(tables.row.c.decision == "hold")
    return connection.execute(query).scalar_one()


def stays(connection: Connection, member_ids: Collection[int]) -> dict[int, int]:
    """By number of a merged member: the number of the member whose account stays in the end."""
    member = tables.member.c
    found: dict[int, int] = {}
    asked = set(member_ids)
    while asked:
        query = select(member.id, member.merged_into).where(member.merged_into.is_not(None))
        step = dict(_among(connection, query, member.id, asked))
        found |= step
        asked = set(step.values()) - found.keys()
    ends = {}
    for number in found.keys() & set(member_ids):
        end = found[number]
        while end in found:
            end = found[end]
        ends[number] = end
    return ends


def _those_shared(wanted: ColumnElement[str]) -> Select[Any]:
    """Those of the wanted match keys that more than `last` spellings have."""
    key = tables.person_key.c
    last = select(key.person_id).where(key.key == wanted).limit(1).offset(bindparam("last"))
    return select(wanted).where(last.scalar_subquery().is_not(None))


def _shared(some: Sequence[str]) -> Select[Any]:
    wanted = sql.values(sql.column("value", Text), name="wanted")
    return _those_shared(wanted.data([(text,) for text in some]).c.value)


# Statements that are asked for each part of a batch are made once.
_FIRST = tables.row.alias("first")
_SEEN = (
    select(
        tables.row.c.key, _FIRST.c.key, _FIRST.c.decision, _FIRST.c.member_id, _FIRST.c.asks_who,
        _FIRST.c.position, _FIRST.c.file, _FIRST.c.line, tables.batch.c.at, tables.batch.c.id,
    )
    .join(_FIRST, _FIRST.c.key == func.coalesce(tables.row.c.again_of, tables.row.c.key))
    .join(tables.batch, tables.batch.c.id == _FIRST.c.batch_id)
)  # fmt: skip
_SHARED = _those_shared(ALL)
_OWNERS = (
    select(tables.person.c.owner)
    .join(tables.person_key)
    .where(tables.person_key.c.key == bindparam("key"))
    .distinct()
    .limit(bindparam("size"))
)


def _owner(key: str, member_id: int | None) -> Owner:
    return Owner.of_member(member_id) if member_id else Owner.of_row(key)


def _person(line: Row[Any]) -> Person:
    return Person(
        Owner(line.owner), line.given, line.middle, line.family, line.suffix, line.called, line.former,
        line.email, line.phone, line.street, line.unit, line.city, line.state, line.zip5,
        line.born, tuple(line.joint),
    )  # fmt: skip


def raw_row(line: Row[Any]) -> RawRow:
    """The join form that a line of the row table holds."""
    raw = RawRow(
        file=line.file,
        line=line.line,
        cells=tuple((head, cell) for head, cell in line.cells),
        fields=line.fields,
        findings=tuple(
            Finding(code, field, Weight(weight), said, note)
            for code, field, weight, said, note in line.repairs
        ),
    )
    # The key of its cells as they came: since then a name may have been taken out of them.
    object.__setattr__(raw, "key", line.key)
    return raw

"""Changes taken back: those made under one number, alone or with the others.

Of changes of one field of one member the newest is taken back first: then every way back ends
where it began.

Each function works within the transaction of the connection that it is given; none commits.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, Row, func, select, update

from onboard.model import Change, Owner, Signature
from onboard.roster import belongings, journal, member_lines, search, tables
from onboard.roster.journal import sound, stamp

# What says how an account stands; of one line these are taken back together or not at all.
STANDING = ("standing", "closed", "merged_into", "packet", "belongings")


@dataclass(frozen=True, slots=True)
class Kept:
    """A change that could not be taken back, and why: one of the three."""

    line: int
    change: Change
    now: Any = None  # the value today, which is not the one that the change made
    later: int = 0  # number of a later change of the same field, in force
    merged: int = 0  # number of the member into whom the one that stayed was merged since


@dataclass(frozen=True, slots=True)
class Undone:
    """What was taken back, and what could not be."""

    number: int
    taken: tuple[tuple[int, Change], ...]
    kept: tuple[Kept, ...]


@dataclass(frozen=True, slots=True)
class Applied:
    """Changes that were made together."""

    number: int
    at: str
    who: str
    what: str
    file: str
    changes: int
    in_force: int
    whose: tuple[str, ...] = ()  # sign-in names of the first members concerned
    members: int = 0  # how many members are concerned


def undo(
    connection: Connection,
    number: int,
    signature: Signature,
    *,
    only: Collection[int] = (),
    keep: bool = True,
) -> Undone:
    """What was taken back of the changes of this number, or of those of the lines `only`.

    A change is taken back if its value is still the member's, and no later change of the same
    field is in force. What came to a member after a merge stays with the one who stayed. Without
    `keep` nothing is written: it is what would be taken back.
    """
    parts = _parts(connection, number)
    members = member_lines.read(connection, [_change(part) for part in parts], lock=keep)
    before = {n: dict(line) for n, line in members.items()}
    in_force = _in_force(connection, members)
    wanted = [p for p in parts if p.line and (not only or p.line in only)]
    taken: list[Row[Any]] = []
    kept: list[Kept] = []
    for group in _groups(reversed(wanted)):
        reasons = [r for p in group if (r := _hindrance(p, members, in_force))]
        if reasons:
            kept += reasons
            continue
        for part in group:
            members[part.member_id][part.field] = part.before
            in_force[part.member_id, part.field].pop()
        taken += group
    pairs = [(part.line, _taken(part)) for part in reversed(taken)]
    undone = Undone(number, tuple(pairs), tuple(reversed(kept)))
    if not keep:
        return undone
    for part in taken:
        if part.field == "belongings":
            belongings.give_back(connection, part)
    member_lines.write(connection, before, members, signature)
    unspelt, owners = _unspell(connection, parts, {p.id for p in taken}, only)
    _mark(connection, [p.id for p in taken] + unspelt, signature)
    entries = member_lines.entries(
        "taken back", [(line, _turned(change)) for line, change in pairs]
    )
    journal.write(connection, [replace(e, why=f"number {number}") for e in entries], signature)
    member_lines.index_again(connection, pairs, owners)
    return undone


def applied(
    connection: Connection, number: int = 0, *, before: int = 0, most: int = 0
) -> list[Applied]:
    """What was changed together, the newest first; with a number that alone, with `before` what has a lower one,
    with `most` no more than so many."""
    change, whole = tables.applied_change.c, tables.applied
    of_lines = change.line > 0
    query = (
        select(
            whole.c.id, whole.c.at, whole.c.who, whole.c.what, whole.c.file,
            func.count(change.id).filter(of_lines),
            func.count(change.id).filter(of_lines & change.undone_at.is_(None)),
        )
        .select_from(whole)
        .outerjoin(tables.applied_change)
        .group_by(whole.c.id)
        .order_by(whole.c.id.desc())
    )  # fmt: skip
    if number:
        query = query.where(whole.c.id == number)
    if before:
        query = query.where(whole.c.id < before)
    if most:
        query = query.limit(most)
    return [Applied(*line) for line in connection.execute(query)]


def with_members(connection: Connection, applied: Applied, most: int) -> Applied:
    """The same with the sign-in names of its first members, at most so many, and how many there are."""
    part, member = tables.applied_change.c, tables.member.c
    those = select(part.member_id).where(part.applied_id == applied.number).distinct()
    first = select(member.handle).where(member.id.in_(those)).order_by(member.id).limit(most)
    count = select(func.count(part.member_id.distinct())).where(part.applied_id == applied.number)
    return replace(
        applied,
        whose=tuple(connection.execute(first).scalars()),
        members=connection.execute(count).scalar_one(),
    )


def lines_of(connection: Connection, number: int) -> list[tuple[int, Change, bool]]:
    """The changes of a number with their lines, and whether each is in force."""
    part = tables.applied_change.c
    query = select(tables.applied_change).where(part.applied_id == number, part.line > 0)
    return [
        (line.line, _change(line), line.undone_at is None)
        for line in connection.execute(query.order_by(part.id))
    ]


def newest(connection: Connection, member_id: int, field: str) -> int:
    """The number of the newest change in force of a field of a member; 0 if there is none."""
    in_force = _in_force(connection, [member_id])[member_id, field]
    return in_force[-1][1] if in_force else 0


def _parts(connection: Connection, number: int) -> list[Row[Any]]:
    """The changes of a number that are in force, as they were made."""
    part = tables.applied_change
    query = select(part).where(part.c.applied_id == number, part.c.undone_at.is_(None))
    return list(connection.execute(query.order_by(part.c.id)))


def _in_force(
    connection: Connection, members: Collection[int]
) -> dict[tuple[int, str], list[tuple[int, int]]]:
    """Of each field of the members: the changes in force (id, number), the newest last."""
    part = tables.applied_change.c
    query = select(part.member_id, part.field, part.id, part.applied_id)
    found: dict[tuple[int, str], list[tuple[int, int]]] = defaultdict(list)
    query = query.where(part.undone_at.is_(None)).order_by(part.id)
    for member_id, field, number, whole in search._among(
        connection, query, part.member_id, sorted(members)
    ):
        found[member_id, field].append((number, whole))
    return found


def _groups(parts: Iterable[Row[Any]]) -> Iterator[list[Row[Any]]]:
    """What is taken back together, in the order given."""
    together: dict[tuple[int, int, str], list[Row[Any]]] = defaultdict(list)
    for part in parts:
        about = "standing" if part.field in STANDING else part.field
        key = (part.line, part.member_id, about)
        # Of a field that one line changes twice, each change stands for itself.
        if any(part.field == other.field for other in together[key]):
            yield together.pop(key)
        together[key].append(part)
    yield from together.values()


def _hindrance(
    part: Row[Any],
    members: Mapping[int, dict[str, Any]],
    in_force: Mapping[tuple[int, str], list[tuple[int, int]]],
) -> Kept | None:
    """Why the change cannot be taken back; None if it can."""
    kept = Kept(part.line, _change(part))
    newest, number = in_force[part.member_id, part.field][-1]
    if newest != part.id:
        return replace(kept, later=number)
    if part.field == "belongings":
        since = members[part.after]["merged_into"]
        return replace(kept, merged=since) if since else None
    if (
        part.field == member_lines.PACKET
    ):  # it goes with the account, whatever became of it meanwhile
        return None
    now = members[part.member_id][part.field]
    return None if now == part.after else replace(kept, now=now)


def _unspell(
    connection: Connection, parts: Sequence[Row[Any]], taken: set[int], only: Collection[int]
) -> tuple[list[int], set[Owner]]:
    """Take away the spellings of members of whose changes here none is in force any longer.

    The changes that added them, and whose they were.
    """
    changed = {p.member_id for p in parts if p.line and p.id not in taken}
    gone = [
        p for p in parts
        if not p.line and p.member_id not in changed and (taken or not only)
    ]  # fmt: skip
    person, key = tables.person.c.id, tables.person_key.c.person_id
    owners: set[Owner] = set()
    for some in search.parts([n for part in gone for n in part.after], search.AT_ONCE):
        owner = select(tables.person.c.owner).where(person.in_(some))
        owners.update(map(Owner, connection.execute(owner).scalars()))
        connection.execute(tables.person_key.delete().where(key.in_(some)))
        connection.execute(tables.person.delete().where(person.in_(some)))
    return [part.id for part in gone], owners


def _mark(connection: Connection, numbers: Collection[int], signature: Signature) -> None:
    part = tables.applied_change
    said = {"undone_at": stamp(signature.when), "undone_by": sound(signature.who)}
    for some in search.parts(numbers, search.AT_ONCE):
        connection.execute(update(part).where(part.c.id.in_(some)).values(said))


def _change(part: Row[Any]) -> Change:
    return Change(part.member_id, part.field, part.before, part.after, part.why)


def _taken(part: Row[Any]) -> Change:
    """The change that is taken back, with what is so again in front."""
    change = _change(part)
    if change.field == member_lines.PACKET and change.after == member_lines.NONE:
        return replace(change, before=member_lines.again(change.before))
    return change


def _turned(change: Change) -> Change:
    return replace(change, before=change.after, after=change.before)

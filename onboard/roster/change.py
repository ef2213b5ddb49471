"""The one door by which a stored member changes, and by which a change is taken back.

Changes made together have a number; those of one line stand or fall together. Each is journaled,
and kept with what was before, so that it can be taken back, alone or with the others. Of changes
of one field of one member the newest is taken back first: then every way back ends where it began.

Each function works within the transaction of the connection that it is given; none commits.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Column, Connection, Row, bindparam, func, select, update

from onboard.model import Change, Handle, Owner, Person, Signature, State, Way
from onboard.model.outgoing import NOT_OUT
from onboard.roster import index, journal, outgoing, search, tables
from onboard.roster import members as members_of
from onboard.roster import spellings as spellings_of
from onboard.roster.bulk import insert
from onboard.roster.journal import Entry, sound, stamp

# What says how an account stands; of one line these are taken back together or not at all.
STANDING = ("standing", "closed", "merged_into", "packet", "belongings")
# Columns of `member` that no change may name: the number, and what only a packet changes.
NOT_HERE = frozenset({"id", "password_hash", "password_expires", "must_change"})
FIELDS = tuple(column.name for column in tables.member.c if column.name not in NOT_HERE)
# How the packet stands, which is no column: it goes nowhere when the account is closed or merged,
# and is due again when that is taken back.
PACKET, NONE = "packet", "none"

__all__ = [
    "Applied",
    "Change",
    "Kept",
    "Made",
    "Undone",
    "applied",
    "apply",
    "lines_of",
    "make",
    "spell",
    "undo",
    "would_make",
]

Spelling = tuple[Person, frozenset[str]]  # with the keys under which it is found


@dataclass(frozen=True, slots=True)
class Made:
    """What became of changes; each with the line that it came from."""

    number: int  # by which they are taken back; 0 if nothing was changed
    made: tuple[tuple[int, Change], ...]
    left_out: tuple[tuple[int, Change], ...]  # the member is not as the line says


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


def apply(
    connection: Connection,
    changes: Sequence[Change],
    signature: Signature,
    *,
    what: str = "corrected",
    spellings: Sequence[tuple[Person, frozenset[str]]] = (),
) -> list[Change]:
    """The changes not made, because the member's value was no longer `before`.

    Each change stands for itself. Of a closed or merged account no packet goes out, and the
    day is noted; with `merged_into` whatever belonged to the member goes to the one who stays. A
    handle that somebody else ever had is not given. `spellings` have the owner "member:17" and
    are added if any change of that member is made, or none is asked for.
    """
    lines = list(enumerate(changes, 1))
    done = make(connection, lines, signature, what=what, spellings=spellings)
    return [change for _, change in done.left_out]


def make(
    connection: Connection,
    lines: Iterable[tuple[int, Change]],
    signature: Signature,
    *,
    what: str,
    file: str = "",
    spellings: Sequence[Spelling] = (),
    number: int = 0,
) -> Made:
    """What became of the changes, by line; those of one line are made together or not at all.

    `spellings` are added as `apply` says. With `number` the changes join those made under it.
    """
    by_line = _by_line(lines)
    asked = [change for some in by_line.values() for change in some]
    members = _members(connection, asked, lock=True)
    before = {number: dict(line) for number, line in members.items()}
    made, left_out = _judge(connection, by_line, members, signature)
    changed = {change.member_id for _, change in made}
    unasked = {_number(p) for p, _ in spellings} - {change.member_id for change in asked}
    spelt = [(p, keys) for p, keys in spellings if _number(p) in changed | unasked]
    if not made and not spelt:
        return Made(number, (), tuple(left_out))
    number = number or _applied(connection, what, file, signature)
    for line, change in list(made):
        if change.field == "handle":
            _reserve(connection, change)
        if change.field == "merged_into" and change.after is not None:
            made.append((line, _hand_over(connection, change)))
    _write(connection, before, members, signature)
    _keep(connection, number, made)
    journal.write(connection, _entries(what, made), signature)
    spell(connection, number, spelt)
    _reindex(connection, made)
    return Made(number, tuple(made), tuple(left_out))


def would_make(
    connection: Connection,
    lines: Iterable[tuple[int, Change]],
    signature: Signature,
    *,
    since: Iterable[tuple[int, Change]] = (),
) -> Made:
    """What `make` would come to, if the changes `since` had been made: nothing is written.

    It has no number, and not what would go from a merged member to the one who stays.
    """
    by_line = _by_line(lines)
    asked = [change for some in by_line.values() for change in some]
    members = _members(connection, asked, lock=False)
    _follow(members, since)
    made, left_out = _judge(connection, by_line, members, signature)
    return Made(0, tuple(made), tuple(left_out))


def _follow(members: Mapping[int, dict[str, Any]], made: Iterable[tuple[int, Change]]) -> None:
    """Bring the members' lines up to what they are once these changes are made."""
    for _, change in made:
        if change.member_id in members and change.field in (*FIELDS, PACKET):
            members[change.member_id][change.field] = change.after


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
    members = _members(connection, [_change(part) for part in parts], lock=keep)
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
    pairs = [(part.line, _change(part)) for part in reversed(taken)]
    undone = Undone(number, tuple(pairs), tuple(reversed(kept)))
    if not keep:
        return undone
    for part in taken:
        if part.field == "belongings":
            _give_back(connection, part)
    _write(connection, before, members, signature)
    unspelt, owners = _unspell(connection, parts, {p.id for p in taken}, only)
    _mark(connection, [p.id for p in taken] + unspelt, signature)
    entries = _entries("taken back", [(line, _turned(change)) for line, change in pairs])
    journal.write(connection, [replace(e, why=f"number {number}") for e in entries], signature)
    _reindex(connection, pairs, owners)
    return undone


def applied(connection: Connection, number: int = 0) -> list[Applied]:
    """What was changed together, the newest first; with a number that alone."""
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
    return [Applied(*line) for line in connection.execute(query)]


def packet_after(made: Change) -> State | None:
    """How the packet stands after a change of it."""
    return None if made.after == NONE else State(made.after)


def lines_of(connection: Connection, number: int) -> list[tuple[int, Change, bool]]:
    """The changes of a number with their lines, and whether each is in force."""
    part = tables.applied_change.c
    query = select(tables.applied_change).where(part.applied_id == number, part.line > 0)
    return [
        (line.line, _change(line), line.undone_at is None)
        for line in connection.execute(query.order_by(part.id))
    ]


# ---------------------------------------------------------------- what is asked


def _plain(change: Change) -> Change:
    return replace(change, before=_as_json(change.before), after=_as_json(change.after))


def _as_json(value: Any) -> Any:
    """The value as it comes back from the store."""
    match value:
        case str():
            return sound(value)
        case Mapping():
            return {sound(str(key)): _as_json(item) for key, item in value.items()}
        case list() | tuple():
            return [_as_json(item) for item in value]
        case _:
            return value


def _by_line(lines: Iterable[tuple[int, Change]]) -> dict[int, list[Change]]:
    by_line: dict[int, list[Change]] = defaultdict(list)
    for line, change in lines:
        by_line[line].append(_plain(change))
    return by_line


def _judge(
    connection: Connection,
    by_line: Mapping[int, Sequence[Change]],
    members: Mapping[int, dict[str, Any]],
    signature: Signature,
) -> tuple[list[tuple[int, Change]], list[tuple[int, Change]]]:
    """The changes that can be made, with what goes with them, and those left out; the members' lines
    are brought up to them."""
    asked = [change for some in by_line.values() for change in some]
    taken, at_closing = _handles(connection, asked), _packets_at_closing(connection, asked)
    made: list[tuple[int, Change]] = []
    left_out: list[tuple[int, Change]] = []
    for line, changes in by_line.items():
        meant = _with_what_follows(changes, members, at_closing, signature)
        if all(_possible(change, members, taken) for change in meant) and _in_order(meant, members):
            for change in meant:
                members[change.member_id][change.field] = change.after
                if change.field == "handle":
                    taken[change.after.casefold()] = change.member_id
            made += [(line, change) for change in meant if change.before != change.after]
        else:
            left_out += [(line, change) for change in changes]
    return made, left_out


def _with_what_follows(
    changes: Sequence[Change],
    members: Mapping[int, dict[str, Any]],
    at_closing: Mapping[int, str],
    signature: Signature,
) -> list[Change]:
    """The changes of a line, and what goes with an account that is closed, merged or opened, or with
    another email."""
    said = {(change.member_id, change.field) for change in changes}
    meant = []
    for change in changes:
        meant.append(change)
        line = members.get(change.member_id)
        if not line:
            continue
        follows: dict[str, Any] = {}
        if change.field == "email" and line["bounced"] and not _is_mailbox(change, line["email"]):
            follows = {"bounced": None}  # that was the other address
        if change.field == "standing":
            is_open = change.after == "open"
            day = None if is_open else stamp(signature.when)[:10]
            follows = {"closed": day}
            if not is_open and line[PACKET] in NOT_OUT:
                follows[PACKET] = NONE
            if is_open and line[PACKET] == NONE and change.member_id in at_closing:
                follows[PACKET] = at_closing[change.member_id]
        meant += [
            replace(change, field=field, before=line[field], after=after)
            for field, after in follows.items()
            if (change.member_id, field) not in said
        ]
    return meant


def _is_mailbox(change: Change, email: str) -> bool:
    return bool(change.after.casefold() == email.casefold())


def _possible(
    change: Change, members: Mapping[int, dict[str, Any]], taken: Mapping[str, int | None]
) -> bool:
    if change.field not in FIELDS and change.field != PACKET:
        raise ValueError(f"no change of a member may name {change.field!r}")
    if change.member_id not in members:
        return False
    if change.field == "merged_into" and change.after is not None:
        stays = members.get(change.after)
        return change.after != change.member_id and bool(stays) and stays["standing"] == "open"  # type: ignore[index]
    if change.field == "handle":
        owner = taken.get(change.after.casefold(), change.member_id)
        return bool(change.after) and owner == change.member_id
    return True


def _in_order(changes: Sequence[Change], members: Mapping[int, dict[str, Any]]) -> bool:
    """Whether each change finds the member as it says, after those before it."""
    now = {(c.member_id, c.field): members[c.member_id][c.field] for c in changes}
    for change in changes:
        if now[change.member_id, change.field] != change.before:
            return False
        now[change.member_id, change.field] = change.after
    return True


def _members(
    connection: Connection, changes: Iterable[Change], *, lock: bool
) -> dict[int, dict[str, Any]]:
    """The lines of the members of these changes, and of those who stay after a merge."""
    wanted = set()
    for change in changes:
        wanted.add(change.member_id)
        if change.field == "merged_into":
            wanted |= {number for number in (change.before, change.after) if number}
    member = tables.member
    query = select(member)
    if lock:  # nobody else may change them meanwhile
        query = query.with_for_update()
    lines = search._among(connection, query, member.c.id, wanted)
    packets = outgoing.current_packets(connection, wanted)
    found = {
        line.id: dict(line._mapping) | {PACKET: str(packets.get(line.id, NONE))} for line in lines
    }
    for line in found.values():  # every part of it, also of a name that lacks some
        line["name"] = members_of.parts(members_of.name(line["name"]))
    return found


def _packets_at_closing(connection: Connection, changes: Iterable[Change]) -> dict[int, str]:
    """How the packets stood that went nowhere because the account was closed, of those members whose
    account is to be opened again."""
    part = tables.applied_change.c
    opened = {c.member_id for c in changes if c.field == "standing" and c.after == "open"}
    query = select(part.member_id, part.before, part.after).where(
        part.field == PACKET, part.undone_at.is_(None)
    )
    found: dict[int, str] = {}
    for number, before, after in search._among(
        connection, query.order_by(part.id), part.member_id, opened
    ):
        found.pop(number, None)
        if after == NONE:
            found[number] = before
    return found


def _handles(connection: Connection, changes: Sequence[Change]) -> dict[str, int | None]:
    """Whose the handles are or were that are asked for, in small letters."""
    handle = tables.handle.c
    bases = {Handle(c.after).base for c in changes if c.field == "handle" and c.after}
    query = select(handle.text, handle.member_id)
    return {
        text.casefold(): owner
        for text, owner in search._among(connection, query, handle.base, sorted(bases))
    }


# ---------------------------------------------------------------- what is written


def _applied(connection: Connection, what: str, file: str, signature: Signature) -> int:
    line = {"at": stamp(signature.when), "who": sound(signature.who), "what": what}
    into = tables.applied
    query = into.insert().returning(into.c.id)
    return int(connection.execute(query, line | {"file": sound(file)}).scalar_one())


def _write(
    connection: Connection,
    before: Mapping[int, Mapping[str, Any]],
    after: Mapping[int, Mapping[str, Any]],
    signature: Signature,
) -> None:
    """Write what differs; those members of whom the same columns do, at once."""
    alike: dict[tuple[str, ...], list[dict[str, Any]]] = defaultdict(list)
    for number, line in after.items():
        columns = tuple(f for f in FIELDS if line[f] != before[number][f])
        if columns:
            alike[columns].append({f"_{f}": line[f] for f in columns} | {"_number": number})
    member = tables.member
    for columns, values in alike.items():
        change = update(member).where(member.c.id == bindparam("_number"))
        connection.execute(
            change.values({f: bindparam(f"_{f}", type_=member.c[f].type) for f in columns}), values
        )
    _write_packets(connection, before, after, signature)


def _write_packets(
    connection: Connection,
    before: Mapping[int, Mapping[str, Any]],
    after: Mapping[int, Mapping[str, Any]],
    signature: Signature,
) -> None:
    """Packets that go nowhere now, and those that are to be made after all.

    What was written is made anew: nobody knows what became of it. What waited for an answer waits,
    since the day on which it began to.
    """
    differs = {n: line[PACKET] for n, line in after.items() if line[PACKET] != before[n][PACKET]}
    outgoing.cancel(connection, [n for n, to in differs.items() if to == NONE], signature)
    back = [n for n, to in differs.items() if to != NONE and before[n][PACKET] == NONE]
    made = outgoing.voided(connection, back)
    for state in (State.DUE, State.WAITING):
        waits = state is State.WAITING
        ways = {n: _way(after[n]) for n in back if (differs[n] == State.WAITING) is waits}
        outgoing.again(connection, ways, signature, state=state, made=made)


def _way(line: Mapping[str, Any]) -> Way:
    """`Member.packet_goes_by`, of a line of the member table."""
    return Way.EMAIL if line["email"] and line["consent"] is not False else Way.LETTER


def _keep(connection: Connection, number: int, made: Sequence[tuple[int, Change]]) -> None:
    insert(
        connection,
        tables.applied_change,
        [
            {
                "applied_id": number,
                "line": line,
                "member_id": change.member_id,
                "field": change.field,
                "before": change.before,
                "after": change.after,
                "why": sound(change.why),
            }
            for line, change in made
        ],
    )


def _entries(what: str, made: Iterable[tuple[int, Change]]) -> list[Entry]:
    """A line of the journal for each member of each line."""
    together: dict[tuple[int, int], list[Change]] = defaultdict(list)
    for line, change in made:
        if change.field != "belongings":
            together[line, change.member_id].append(change)
    return [
        Entry(
            what,
            Owner.of_member(number),
            "; ".join(dict.fromkeys(c.why for c in changes if c.why)),
            {c.field: c.before for c in changes},
            {c.field: c.after for c in changes},
        )
        for (_, number), changes in together.items()
    ]


def _reserve(connection: Connection, change: Change) -> None:
    """The new handle is the member's, now and for ever."""
    handle = tables.handle
    if not connection.execute(select(handle.c.text).where(handle.c.text == change.after)).first():
        connection.execute(
            handle.insert(),
            {
                "text": change.after,
                "base": Handle(change.after).base,
                "member_id": change.member_id,
            },
        )


def spell(connection: Connection, number: int, spelt: Sequence[Spelling]) -> None:
    """Add spellings to members; they go when no change of the member under the number is left."""
    kept = spellings_of.add(
        connection,
        [spellings_of.Spelling(person.owner, None, person, keys) for person, keys in spelt],
    )
    added: dict[int, list[int]] = defaultdict(list)
    for (person, _), person_id in zip(spelt, kept, strict=True):
        added[_number(person)].append(person_id)
    _keep(connection, number, [(0, Change(n, "spelling", None, ids)) for n, ids in added.items()])
    index.update(connection, {spelling.owner for spelling, _ in spelt})


def _number(spelling: Person) -> int:
    assert spelling.owner.member_id is not None
    return spelling.owner.member_id


def _reindex(
    connection: Connection, made: Iterable[tuple[int, Change]], owners: Iterable[Owner] = ()
) -> None:
    touched = set(owners)
    for _, change in made:
        touched.add(Owner.of_member(change.member_id))
        if change.field == "merged_into":
            touched |= {Owner.of_member(n) for n in (change.before, change.after) if n}
    index.update(connection, touched)


# ---------------------------------------------------------------- merged accounts

# What goes to the member who stays: its key, the column of its owner, and the owner as it is there.
_BELONGINGS: dict[str, tuple[Column[Any], Column[Any], Callable[[int], Owner | int]]] = {
    "spellings": (tables.person.c.id, tables.person.c.owner, Owner.of_member),
    "rows": (tables.row.c.key, tables.row.c.member_id, int),
    "handles": (tables.handle.c.text, tables.handle.c.member_id, int),
}


def _hand_over(connection: Connection, merged: Change) -> Change:
    """Give all that belongs to the merged member to the one who stays; what that was."""
    what: dict[str, list[Any]] = {}
    for name, (key, owner, form) in _BELONGINGS.items():
        old, new = map(form, (merged.member_id, merged.after))
        what[name] = sorted(k for (k,) in connection.execute(select(key).where(owner == old)))
        connection.execute(update(key.table).where(owner == old).values({owner.name: new}))
    return replace(merged, field="belongings", before=what)


def _give_back(connection: Connection, part: Row[Any]) -> None:
    for name, (key, owner, form) in _BELONGINGS.items():
        stayed, old = map(form, (part.after, part.member_id))
        for some in search.parts(part.before[name], search.AT_ONCE):
            change = update(key.table).where(key.in_(some), owner == stayed)
            connection.execute(change.values({owner.name: old}))


# ---------------------------------------------------------------- taking back


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
    if part.field == PACKET:  # it goes with the account, whatever became of it meanwhile
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


def _turned(change: Change) -> Change:
    return replace(change, before=change.after, after=change.before)

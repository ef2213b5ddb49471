"""The one door by which a stored member changes.

Changes made together have a number; those of one line stand or fall together. Each is journaled,
and kept with what was before, so that it can be taken back (`taking_back`).

Each function works within the transaction of the connection that it is given; none commits.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, select

from onboard.model import Change, Handle, Person, Signature, Standing, State
from onboard.model.outgoing import NOT_OUT
from onboard.roster import belongings, index, journal, member_lines, search, tables
from onboard.roster import spellings as spellings_of
from onboard.roster.bulk import insert
from onboard.roster.journal import sound, stamp

__all__ = ["Change", "Made", "Occasion", "apply", "make", "spell", "would_make"]

Spelling = tuple[Person, frozenset[str]]  # with the keys under which it is found


@dataclass(frozen=True, slots=True)
class Occasion:
    """What changes that are made together have in common."""

    signature: Signature  # who makes them, and when
    what: str  # as the journal calls it: "corrected", "merged", "tidied"
    file: str = ""  # in which they were approved


@dataclass(frozen=True, slots=True)
class Made:
    """What became of changes; each with the line that it came from."""

    number: int  # by which they are taken back; 0 if nothing was changed
    made: tuple[tuple[int, Change], ...]
    left_out: tuple[tuple[int, Change], ...]  # the member is not as the line says


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
    done = make(connection, lines, Occasion(signature, what), spellings=spellings)
    return [change for _, change in done.left_out]


def make(
    connection: Connection,
    lines: Iterable[tuple[int, Change]],
    occasion: Occasion,
    *,
    spellings: Sequence[Spelling] = (),
    number: int = 0,
) -> Made:
    """What became of the changes, by line; those of one line are made together or not at all.

    `spellings` are added as `apply` says. With `number` the changes join those made under it.
    """
    by_line = _by_line(lines)
    asked = [change for some in by_line.values() for change in some]
    members = member_lines.read(connection, asked, lock=True)
    before = {number: dict(line) for number, line in members.items()}
    made, left_out = _judge(connection, by_line, members, occasion.signature)
    changed = {change.member_id for _, change in made}
    unasked = {_number(p) for p, _ in spellings} - {change.member_id for change in asked}
    spelt = [(p, keys) for p, keys in spellings if _number(p) in changed | unasked]
    if not made and not spelt:
        return Made(number, (), tuple(left_out))
    number = number or _applied(connection, occasion)
    for line, change in list(made):
        if change.field == "handle":
            _reserve(connection, change)
        if change.field == "merged_into" and change.after is not None:
            made.append((line, belongings.hand_over(connection, change)))
    member_lines.write(connection, before, members, occasion.signature)
    _keep(connection, number, made)
    journal.write(connection, member_lines.entries(occasion.what, made), occasion.signature)
    spell(connection, number, spelt)
    member_lines.index_again(connection, made)
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
    members = member_lines.read(connection, asked, lock=False)
    _follow(members, since)
    made, left_out = _judge(connection, by_line, members, signature)
    return Made(0, tuple(made), tuple(left_out))


def _follow(members: Mapping[int, dict[str, Any]], made: Iterable[tuple[int, Change]]) -> None:
    """Bring the members' lines up to what they are once these changes are made."""
    for _, change in made:
        if change.member_id in members and change.field in (
            *member_lines.FIELDS,
            member_lines.PACKET,
        ):
            members[change.member_id][change.field] = change.after


def packet_after(made: Change) -> State | None:
    """How the packet stands after a change of it."""
    return None if made.after == member_lines.NONE else State(made.after)


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
            made += [(line, change) for change in meant if change.says_something]
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
            if not is_open and line[member_lines.PACKET] in NOT_OUT:
                follows[member_lines.PACKET] = member_lines.NONE
            if (
                is_open
                and line[member_lines.PACKET] == member_lines.NONE
                and change.member_id in at_closing
            ):
                follows[member_lines.PACKET] = at_closing[change.member_id]
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
    here = (*member_lines.FIELDS, member_lines.PACKET)
    if change.field not in here and not member_lines.call_of(change.field):
        raise ValueError(f"no change of a member may name {change.field!r}")
    if change.member_id not in members:
        return False
    if change.field == "standing" and change.after != Standing.MERGED:
        # A merged account stands on its own again only when the merge is taken back.
        return not members[change.member_id]["merged_into"]
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


def _packets_at_closing(connection: Connection, changes: Iterable[Change]) -> dict[int, str]:
    """How the packets stood that went nowhere because the account was closed, of those members whose
    account is to be opened again."""
    part = tables.applied_change.c
    opened = {c.member_id for c in changes if c.field == "standing" and c.after == "open"}
    query = select(part.member_id, part.before, part.after).where(
        part.field == member_lines.PACKET, part.undone_at.is_(None)
    )
    found: dict[int, str] = {}
    for number, before, after in search._among(
        connection, query.order_by(part.id), part.member_id, opened
    ):
        found.pop(number, None)
        if after == member_lines.NONE:
            found[number] = member_lines.again(before)
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


def _applied(connection: Connection, occasion: Occasion) -> int:
    """The number of changes that are made now."""
    signature = occasion.signature
    into = tables.applied
    line = {
        "at": stamp(signature.when), "who": sound(signature.who), "what": occasion.what,
        "file": sound(occasion.file),
    }  # fmt: skip
    return int(connection.execute(into.insert().returning(into.c.id), line).scalar_one())


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

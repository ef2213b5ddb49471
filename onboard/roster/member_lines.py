"""The lines of members whom changes are about: read, written, journaled, and found again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, bindparam, select, update

from onboard.model import Change, Owner, Signature, State, Way
from onboard.model.outgoing import ASKED
from onboard.roster import calls, index, outgoing, search, tables
from onboard.roster import members as members_of
from onboard.roster.journal import Entry

# Columns of `member` that no change may name: the number, and what only a packet changes.
NOT_HERE = frozenset({"id", "password_hash", "password_expires", "must_change"})
FIELDS = tuple(column.name for column in tables.member.c if column.name not in NOT_HERE)
# How the packet stands, which is no column: it goes nowhere when the account is closed or merged,
# and is due again when that is taken back.
PACKET, NONE = "packet", "none"
CALL = "call "  # with its number: a call to the help desk about them
# Nobody is found by these; a list of the ordering page changes them for everybody at once.
NOT_FOUND_BY = frozenset({"page_seen", "last_sign_in", "last_order", "bounced"})


def read(
    connection: Connection, changes: Iterable[Change], *, lock: bool
) -> dict[int, dict[str, Any]]:
    """The lines of the members of these changes, and of those who stay after a merge."""
    wanted, changes = set(), list(changes)
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
    for change in changes:
        if (number := call_of(change.field)) and change.member_id in found:
            states = [calls.state(one.call) for one in calls.noted(connection, number=number)]
            found[change.member_id][change.field] = states[0] if states else None
    for line in found.values():  # every part of it, also of a name that lacks some
        line["name"] = members_of.parts(members_of.name(line["name"]))
    return found


def write(
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
    for n, line in after.items():
        for field, value in line.items():
            if (call := call_of(field)) and value and value != before[n][field]:
                calls.set_state(connection, call, value)
    _write_packets(connection, before, after, signature)


def call_field(number: int) -> str:
    """What a change of a call is called: it is no column of the member."""
    return f"{CALL}{number}"


def call_of(field: str) -> int:
    """The number of the call that a change names; 0 if it names none.

    >>> call_of(call_field(3)), call_of("email")
    (3, 0)
    """
    return int(field.removeprefix(CALL)) if field.startswith(CALL) else 0


def again(packet: str) -> str:
    """How a packet that was canceled stands when that is taken back: what was written must be made
    anew, and what waited for an answer waits.

    >>> again("written"), again("waiting"), again("none")
    ('due', 'waiting', 'none')
    """
    return packet if packet in (NONE, State.WAITING) else str(State.DUE)


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
    was = outgoing.voided(connection, back)
    made = {number: line.made for number, line in was.items()}
    # Whether where it goes is in doubt is asked again when the packet is made.
    held = {n for n in back if differs[n] == State.WAITING and was[n].why not in ASKED}
    for state in (State.DUE, State.WAITING):
        waits = state is State.WAITING
        ways = {n: _way(after[n]) for n in back if (n in held) is waits}
        outgoing.again(connection, ways, signature, state=state, made=made)


def _way(line: Mapping[str, Any]) -> Way:
    """`Member.packet_goes_by`, of a line of the member table."""
    return Way.EMAIL if line["email"] and line["consent"] is not False else Way.LETTER


def entries(what: str, made: Iterable[tuple[int, Change]]) -> list[Entry]:
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


def index_again(
    connection: Connection, made: Iterable[tuple[int, Change]], owners: Iterable[Owner] = ()
) -> None:
    """Find anew those who are found by something that was changed, and these owners."""
    touched = set(owners)
    for _, change in made:
        if change.field in NOT_FOUND_BY or call_of(change.field):
            continue
        touched.add(Owner.of_member(change.member_id))
        if change.field == "merged_into":
            touched |= {Owner.of_member(n) for n in (change.before, change.after) if n}
    index.update(connection, touched)

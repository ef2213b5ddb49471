"""How members' packets stand in the list of what goes out: read, and put so by tests."""

from __future__ import annotations

from coop_forms import NOON
from sqlalchemy import Connection, Engine

from onboard.model import Outgoing, Signature, State, Way, What
from onboard.roster import outgoing, search, store, tables
from onboard.roster.journal import stamp


def packet(engine: Engine, number: int = 1) -> State | None:
    """How the member's packet stands."""
    with store.reading(engine) as connection:
        return outgoing.current_packets(connection, [number]).get(number)


def lines(engine: Engine, number: int = 1) -> list[Outgoing]:
    """Everything that was to be told to the member, oldest first."""
    with store.reading(engine) as connection:
        found = connection.execute(tables.outgoing.select().order_by(tables.outgoing.c.id))
        return [outgoing.of_line(line) for line in found if line.member_id == number]


def put(connection: Connection, state: State, *numbers: int, file: str = "") -> None:
    """As if the packets of these members, or of all, had come to stand so."""
    line = tables.outgoing
    wanted = numbers or [member.id for member in search.members(connection)]
    there = outgoing.current_packets(connection, wanted)
    missing = {number: Way.EMAIL for number in wanted if number not in there}
    outgoing.add(connection, What.PACKET, missing, Signature("test", NOON), state=state)
    connection.execute(line.update().where(line.c.member_id.in_(missing)).values(file=file))
    change = line.update().where(line.c.member_id.in_(there), line.c.what == What.PACKET)
    connection.execute(change.where(line.c.state != State.VOID).values(state=state, at=stamp(NOON)))

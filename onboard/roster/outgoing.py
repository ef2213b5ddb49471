"""The list of everything that is told to a member. Nobody else writes its table.

Each function works within the transaction of the connection that it is given; none commits. What
may follow what stands in `model.outgoing`; here a line moves only if it is where it is thought to be.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Row, bindparam, exists, func, select, update

from onboard.model import (
    Event,
    Outgoing,
    Owner,
    ReminderKind,
    Signature,
    SiteNews,
    Standing,
    State,
    ToldSite,
    ToldWindow,
    Way,
    What,
)  # fmt: skip
from onboard.model.outgoing import NEXT, NOT_OUT
from onboard.roster import journal, tables
from onboard.roster.among import AT_ONCE, among, parts
from onboard.roster.bulk import insert
from onboard.roster.journal import Entry, clock, clock_as_text, sound, stamp

# Of these the journal says nothing: a claim passes, and what is void gave way to something it tells.
UNTOLD = (State.CLAIMED, State.VOID)


def add(
    connection: Connection,
    what: What,
    ways: Mapping[int, Way],
    signature: Signature,
    *,
    state: State = State.DUE,
    made: Mapping[int, datetime] | None = None,
) -> None:
    """New lines, one for each member, who is told by the way that stands by their number.

    `made` is when they became due, if that was not now. A member has one packet at most that is
    not out yet.
    """
    at = stamp(signature.when)
    lines = [
        {
            "member_id": number, "what": what, "way": way, "state": state,
            "made": stamp(made[number]) if made and number in made else at, "at": at,
            "file": "", "letter": "", "claim": "", "why": "",
        }
        for number, way in ways.items()
    ]  # fmt: skip
    insert(connection, tables.outgoing, lines)


def add_notice(
    connection: Connection,
    member_id: int,
    way: Way,
    file: str,
    signature: Signature,
    told: Sequence[ToldWindow] | None = None,
    told_site: ToldSite | None = None,
) -> None:
    """A notice to the member that is in the outbox already, in this file, or that a person told on the phone; `told`
    are ordering windows in it, `told_site` what it tells of a drop site."""
    add(connection, What.NOTICE, {member_id: way}, signature)
    line = tables.outgoing.c
    mine = (line.member_id == member_id, line.what == What.NOTICE, line.state == State.DUE)
    state, _ = leads(Event.TELL if way is Way.CALL else Event.WRITE)
    windows = None if told is None else list(map(window_as_json, told))
    connection.execute(
        update(tables.outgoing)
        .where(*mine)
        .values(
            state=state,
            file=file,
            told=windows,
            told_site=None if told_site is None else _site_as_json(told_site),
        )
    )


def again(
    connection: Connection,
    ways: Mapping[int, Way],
    signature: Signature,
    *,
    state: State = State.DUE,
    made: Mapping[int, datetime] | None = None,
) -> None:
    """A new packet for each member in place of what they have: due, or waiting for an answer.

    The older ones are void if nobody knows them to have gone out. None is in the outbox any more.
    """
    line = tables.outgoing.c
    cancel(connection, ways, signature, states=frozenset(State))
    for some in parts(ways, AT_ONCE):
        older = update(tables.outgoing).where(
            line.member_id.in_(some), line.what == What.PACKET, line.state != State.VOID
        )
        connection.execute(older.values(file="", letter=""))
    add(connection, What.PACKET, ways, signature, state=state, made=made)
    _tell_journal(connection, state, ways, signature)


def cancel(
    connection: Connection,
    member_ids: Collection[int],
    signature: Signature,
    *,
    states: frozenset[State] = NOT_OUT,
    why: str = "",
) -> None:
    """The packets of these members go nowhere, if they are in one of the states."""
    line = tables.outgoing.c
    query = select(line.id).where(line.what == What.PACKET, line.state.in_(states))
    numbers = [n for (n,) in among(connection, query, line.member_id, member_ids)]
    # What a packet waited for is kept with it: it waits for the same if this is taken back.
    step(connection, numbers, Event.CANCEL, signature, **({"why": why} if why else {}))


def cancel_notices(
    connection: Connection, member_ids: Collection[int], made: str, signature: Signature
) -> list[str]:
    """The files of the notices to these members that were made at this time and have not gone out: they go
    nowhere now."""
    line = tables.outgoing.c
    query = select(line.id, line.file).where(
        line.what == What.NOTICE, line.made == made, line.state.in_((State.DUE, State.WRITTEN))
    )
    found = dict(tuple(one) for one in among(connection, query, line.member_id, member_ids))
    return [found[number] for number in step(connection, list(found), Event.CANCEL, signature)]


def step(
    connection: Connection,
    numbers: Collection[int],
    event: Event,
    signature: Signature,
    *,
    held_by: str = "",
    **values: str,
) -> list[int]:
    """The numbers of those lines that the event moved on; the others are no longer where it happens.

    With `held_by` only those move that this program claimed. `values` are set with the state:
    `claim`, `letter`, `message_id`, `not_before`, `put_off`, `token`, `why`.
    """
    reached, before = leads(event)
    line = tables.outgoing.c
    change = update(tables.outgoing).values(
        state=reached, at=stamp(signature.when), **{name: sound(v) for name, v in values.items()}
    )
    change = change.where(line.state.in_(before))
    if held_by:
        change = change.where(line.claim == held_by)
    returning = change.returning(line.id, line.member_id, line.what)
    moved: list[Row[Any]] = []
    for some in parts(numbers, AT_ONCE):
        moved += connection.execute(returning.where(line.id.in_(some)))
    packets = sorted(found.member_id for found in moved if found.what == What.PACKET)
    _tell_journal(connection, reached, packets, signature)
    return [found.id for found in moved]


def leads(event: Event) -> tuple[State, frozenset[State]]:
    """Where the event leads to, and from where; what it leaves as it is, is not among these."""
    moves = {(old, new) for (old, e), new in NEXT.items() if e is event and old is not new}
    (reached,) = {new for _, new in moves}
    return reached, frozenset(old for old, _ in moves)


def written(
    connection: Connection,
    files: Mapping[int, str],
    letter: str,
    signature: Signature,
    *,
    told: Mapping[int, Sequence[ToldWindow]] | None = None,
    words: Mapping[int, str] | None = None,
) -> None:
    """The packets are in the outbox, in print in the file `letter`; `files` are the emails by
    number of the line, "" for whoever gets the letter alone, `told` the ordering windows that each tells, and
    `words` the versions of the words that each is made with."""
    line = tables.outgoing
    moved = step(connection, files, Event.WRITE, signature, letter=letter)
    change = update(line).where(line.c.id == bindparam("number"))
    change = change.values(
        file=bindparam("name"),
        way=bindparam("by"),
        told=bindparam("windows"),
        words=bindparam("version"),
    )
    places = [
        {
            "number": number,
            "name": files[number] or letter,
            "by": Way.EMAIL if files[number] else Way.LETTER,
            "windows": None if told is None else list(map(window_as_json, told[number])),
            "version": words[number] if words else "",
        }
        for number in moved
    ]
    if places:
        connection.execute(change, places)


def _tell_journal(
    connection: Connection, state: State, member_ids: Iterable[int], signature: Signature
) -> None:
    if state in UNTOLD:
        return
    what = "packet barred" if state is State.WAITING else f"packet {state}"
    entries = [Entry(what, Owner.of_member(number)) for number in member_ids]
    journal.write(connection, entries, signature)


def by_letter(connection: Connection, numbers: Collection[int], signature: Signature) -> None:
    """These packets, which have not gone out, go by letter alone; those that wait are due."""
    line = tables.outgoing
    step(connection, numbers, Event.LIFT, signature)
    for some in parts(numbers, AT_ONCE):
        change = update(line).where(
            line.c.id.in_(some), line.c.state.in_((State.DUE, State.WRITTEN))
        )
        connection.execute(change.values(way=Way.LETTER))


# ---------------------------------------------------------------- read


def by_state(
    connection: Connection,
    what: What,
    state: State,
    *,
    most: int = 0,
    of: Collection[int] = (),
    lock: bool = False,
) -> list[Outgoing]:
    """The lines that stand so, by number of the member; packets only of open accounts.

    `of` are the few members to keep to, all if there are none; `most` is how many at most. With
    `lock` nobody else may move them before this transaction ends.
    """
    line, member = tables.outgoing, tables.member.c
    query = select(line).where(line.c.what == what, line.c.state == state)
    if what is What.PACKET:
        query = query.join(tables.member).where(member.standing == Standing.OPEN)
    if of:
        query = query.where(line.c.member_id.in_(of))
    if most:
        query = query.limit(most)
    if lock:
        query = query.with_for_update(of=line)
    query = query.order_by(line.c.member_id, line.c.id)
    return [of_line(found) for found in connection.execute(query)]


def telling(
    connection: Connection, before: datetime | None, *, of: Collection[int] | None = None
) -> Iterator[Outgoing]:
    """What tells ordering windows to members whose accounts are open, or to those `of` these numbers, and became due no
    later than `before`; the oldest first, and none that is void."""
    line = tables.outgoing
    query = (
        select(line)
        .join(tables.member)
        .where(tables.member.c.standing == Standing.OPEN, line.c.told.is_not(None))
        .where(line.c.state != State.VOID)
        .order_by(line.c.id)
    )
    if before:
        query = query.where(line.c.made <= stamp(before))
    if of is None:
        return map(of_line, connection.execute(query))
    return map(
        of_line, sorted(among(connection, query, line.c.member_id, of), key=lambda one: one.id)
    )


def telling_sites(connection: Connection) -> Iterator[Outgoing]:
    """What tells members with open accounts of drop sites, the oldest first, and none that is void."""
    line = tables.outgoing
    query = (
        select(line)
        .join(tables.member)
        .where(tables.member.c.standing == Standing.OPEN, line.c.told_site.is_not(None))
        .where(line.c.state != State.VOID)
    )
    return map(of_line, connection.execute(query.order_by(line.c.id)))


def current_packets(connection: Connection, member_ids: Collection[int]) -> dict[int, State]:
    """How the newest packet of each of these members stands; not of whoever was never due one, or
    has none but void ones."""
    line = tables.outgoing.c
    query = select(line.member_id, line.state).where(
        line.what == What.PACKET, line.state != State.VOID
    )
    lines = among(connection, query.order_by(line.id), line.member_id, member_ids)
    return {number: State(state) for number, state in lines}  # the newest comes last, and stays


def count(connection: Connection) -> dict[State, int]:
    """How many open accounts have a packet that stands so; states that nobody's has are left out."""
    line, newer, member = tables.outgoing.c, tables.outgoing.alias(), tables.member.c
    overtaken = exists().where(
        newer.c.member_id == line.member_id, newer.c.what == What.PACKET,
        newer.c.state != State.VOID, newer.c.id > line.id,
    )  # fmt: skip
    query = (
        select(line.state, func.count())
        .join(tables.member)
        .where(line.what == What.PACKET, line.state != State.VOID, member.standing == Standing.OPEN)
        .where(~overtaken)
        .group_by(line.state)
    )
    return {State(state): number for state, number in connection.execute(query)}


def number(connection: Connection, what: What, state: State) -> int:
    """How many messages stand so."""
    line = tables.outgoing.c
    query = select(func.count()).where(line.what == what, line.state == state)
    return connection.scalar(query) or 0


def newest_packets(connection: Connection, member_ids: Collection[int]) -> dict[int, Outgoing]:
    """The newest packet of each of these members that is not void, or else their newest; not of whoever was never due one."""
    line = tables.outgoing.c
    query = select(tables.outgoing).where(line.what == What.PACKET)
    # What counts comes last, and stays.
    query = query.order_by(line.state != State.VOID, line.id)
    lines = among(connection, query, line.member_id, member_ids)
    return {found.member_id: of_line(found) for found in lines}


def line(connection: Connection, number: int) -> Outgoing | None:
    """The line with this number; None if it went with its member."""
    return lines(connection, [number]).get(number)


def lines(connection: Connection, numbers: Collection[int]) -> dict[int, Outgoing]:
    """The lines with these numbers; those that went with their members are left out."""
    found = among(connection, select(tables.outgoing), tables.outgoing.c.id, numbers)
    return {one.id: of_line(one) for one in found}


def by_message_id(connection: Connection, ids: Collection[str]) -> dict[str, Outgoing]:
    """The message that went out under each of these, as far as the roster knows."""
    line = tables.outgoing.c
    query = select(tables.outgoing).where(line.message_id != "")
    return {
        found.message_id: of_line(found)
        for found in among(connection, query, line.message_id, set(ids))
    }


def by_id_before_at(connection: Connection, before: str) -> Outgoing | None:
    """The message of whose Message-ID this stands before the @, whatever domain it has."""
    line = tables.outgoing.c
    query = select(tables.outgoing).where(
        line.message_id.startswith(f"<{before}@", autoescape=True)
    )
    found = connection.execute(query.limit(1)).one_or_none()
    return of_line(found) if found else None


def by_token(connection: Connection, tokens: Collection[str]) -> dict[str, Outgoing]:
    """The message whose reports come back to the address with each of these tokens."""
    line = tables.outgoing.c
    query = select(tables.outgoing).where(line.token != "")
    return {
        found.token: of_line(found) for found in among(connection, query, line.token, set(tokens))
    }


def voided(connection: Connection, member_ids: Collection[int]) -> dict[int, Outgoing]:
    """The newest void packet of each of these members."""
    line = tables.outgoing.c
    query = select(tables.outgoing).where(line.what == What.PACKET, line.state == State.VOID)
    lines = among(connection, query.order_by(line.id), line.member_id, member_ids)
    return {found.member_id: of_line(found) for found in lines}


def kept(connection: Connection, *, besides: Collection[int] = ()) -> set[str]:
    """The names of the files of letters and notices that are worth something, but for the packets
    of members `besides` these few."""
    line = tables.outgoing.c
    query = select(line.letter).where(line.letter != "", line.state != State.VOID).distinct()
    if besides:
        query = query.where(line.member_id.not_in(besides))
    notices = select(line.file).where(line.what == What.NOTICE, line.state != State.VOID)
    return {name for (name,) in connection.execute(query.union(notices))}


def letters_of(connection: Connection, files: Collection[str]) -> dict[str, frozenset[str]]:
    """By file of letters, the sign-in names of those whose letter in it counts."""
    line, member = tables.outgoing.c, tables.member.c
    query = (
        select(line.letter, member.handle)
        .join(tables.member)
        .where(line.what == What.PACKET, line.state != State.VOID)
    )
    found: dict[str, set[str]] = {}
    for name, handle in among(connection, query, line.letter, files):
        found.setdefault(name, set()).add(handle)
    return {name: frozenset(handles) for name, handles in found.items()}


def emails_of_others(connection: Connection, member_ids: Collection[int]) -> set[str]:
    """The names of the emails in the outbox that are to others than these members."""
    line = tables.outgoing.c
    query = select(line.file).where(
        line.file.endswith(".eml"), line.state != State.VOID, line.member_id.not_in(member_ids)
    )
    return {name for (name,) in connection.execute(query)}


def remade(connection: Connection) -> list[int]:
    """The members who had a packet that does not count any more: an old letter of theirs may lie about."""
    line = tables.outgoing.c
    old = (line.state == State.VOID) | (
        (line.letter == "") & line.state.not_in((State.DUE, State.WAITING))
    )
    query = select(line.member_id).where(line.what == What.PACKET, old).distinct()
    return [number for (number,) in connection.execute(query)]


def overtaken(connection: Connection) -> set[str]:
    """The names of the emails of packets that are worth nothing any more, or that a letter takes the place
    of: none may go out."""
    line, other = tables.outgoing.c, tables.outgoing.alias()
    good = exists().where(
        other.c.member_id == line.member_id,
        other.c.file == line.file,
        other.c.state.not_in((State.VOID, State.PRINTED)),
        other.c.way == Way.EMAIL,
    )
    overtook = line.state.in_((State.VOID, State.PRINTED)) | (line.way == Way.LETTER)
    query = select(line.file).where(line.what == What.PACKET, overtook)
    query = query.where(line.file.endswith(".eml"), ~good)
    return {name for (name,) in connection.execute(query)}


def of_line(line: Row[Any]) -> Outgoing:
    return Outgoing(
        id=line.id,
        member_id=line.member_id,
        what=What(line.what),
        way=Way(line.way),
        state=State(line.state),
        made=datetime.fromisoformat(line.made),
        at=datetime.fromisoformat(line.at),
        file=line.file,
        letter=line.letter,
        claim=line.claim,
        why=line.why,
        told=None if line.told is None else tuple(map(_window, line.told)),
        put_off=datetime.fromisoformat(line.put_off) if line.put_off else None,
        not_before=datetime.fromisoformat(line.not_before) if line.not_before else None,
        words=line.words,
        told_site=None if line.told_site is None else _site(line.told_site),
        kind=ReminderKind(line.kind) if line.kind else None,
    )


def window_as_json(one: ToldWindow) -> dict[str, Any]:
    return {
        "uid": one.uid,
        "group": one.group,
        "opens": one.opens.isoformat(),
        "closes": one.closes.isoformat(),
        "opens_at": clock_as_text(one.opens_at),
        "closes_at": clock_as_text(one.closes_at),
        "canceled": one.canceled,
    } | ({"zone": one.zone} if one.zone else {})


def _window(said: Mapping[str, Any]) -> ToldWindow:
    return ToldWindow(
        said["uid"],
        said["group"],
        date.fromisoformat(said["opens"]),
        date.fromisoformat(said["closes"]),
        clock(said["opens_at"]),
        clock(said["closes_at"]),
        said["canceled"],
        said.get("zone", ""),
    )


def _site_as_json(told: ToldSite) -> dict[str, str]:
    day = told.on.isoformat() if told.on else ""
    return {
        "news": told.news, "site": told.site, "on": day, "instead": told.instead, "address": told.address,
    }  # fmt: skip


def _site(said: dict[str, str]) -> ToldSite:
    return ToldSite(
        SiteNews(said["news"]), said["site"], date.fromisoformat(said["on"]) if said["on"] else None,
        said["instead"], said["address"],
    )  # fmt: skip

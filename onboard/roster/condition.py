"""The whole roster, read for an audit: every member with their spellings, and what is not sound of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from math import inf

from sqlalchemy import Connection, exists, func, select, text

from onboard.model import Finding, Member, Owner, Person
from onboard.roster import doubts, search, tables
from onboard.roster.doubts import Settled
from onboard.roster.search import AT_ONCE, _among, _person

Spelling = tuple[Person, frozenset[str]]  # with the keys under which it is found
MOST = 200  # of the database's own findings about its file


@dataclass(frozen=True, slots=True)
class Flaw:
    """Something in the roster that cannot be as it was recorded."""

    what: str  # "file", "dangling", "journal", "handle", "spelling", "index"
    owner: str  # an `Owner`, or "roster"
    said: str
    words: str


def numbers(connection: Connection, size: int) -> list[tuple[int, int]]:
    """The numbers of all members in ranges of so many: above the one, up to the other."""
    last = search.last_number(connection)
    return [(after, after + size) for after in range(0, last, size)]


def last_entry(connection: Connection) -> int:
    """The number of the newest entry of the change log: every change of a member brings another."""
    return int(
        connection.execute(select(func.coalesce(func.max(tables.journal.c.id), 0))).scalar_one()
    )


def members(
    connection: Connection, within: tuple[int, float] = (0, inf), settled: Settled | None = None
) -> Iterator[list[tuple[Member, list[Spelling], list[Finding], frozenset[str]]]]:
    """Every member with the member's spellings, the doubts that stand about them, and the columns that
    a person has settled; some hundreds at a time, by number. Or those `within` a range of `numbers`. What was
    `settled` is read unless given."""
    (after, last), settled = within, settled or doubts.settled(connection)
    while some := search.members(connection, after=after, most=AT_ONCE):
        after = some[-1].id
        some = [member for member in some if member.id <= last]
        if not some:
            return
        spelt = _spellings(connection, [member.owner for member in some])
        stand = doubts.of_members(connection, some, settled)
        yield [
            (member, spelt[member.owner], stand.get(member.id, []), settled.of(member))
            for member in some
        ]


def _spellings(connection: Connection, owners: list[Owner]) -> dict[Owner, list[Spelling]]:
    person, key = tables.person, tables.person_key
    of_owners = person.c.owner.in_(owners)
    keys: dict[int, list[str]] = defaultdict(list)
    query = select(key.c.person_id, key.c.key).join(person).where(of_owners)
    for number, found in connection.execute(query).all():  # a dozen a member: not one by one
        keys[number].append(found)
    spelt: dict[Owner, list[Spelling]] = defaultdict(list)
    for line in connection.execute(select(person).where(of_owners).order_by(person.c.id)):
        spelt[Owner(line.owner)].append((_person(line), frozenset(keys[line.id])))
    return spelt


def apart(connection: Connection) -> set[frozenset[str]]:
    """The pairs of members whom a ruling told apart."""
    row, told = tables.row.c, tables.apart.c
    pairs = [
        (Owner.of_row(key), Owner(other))
        for key, other in connection.execute(select(told.row_key, told.other))
    ]
    keys = {owner.row_key for pair in pairs for owner in pair if owner.row_key}
    query = select(row.key, row.member_id)
    today = {
        Owner.of_row(key): Owner.of_member(number)
        for key, number in _among(connection, query, row.key, sorted(keys))
        if number
    }
    found = [{today.get(owner, owner) for owner in pair} for pair in pairs]
    return {frozenset(pair) for pair in found if len(pair) == 2 and all(o.is_member for o in pair)}


# What the lists of the ordering page say of a member, by column: days, ISO dates.
SEEN = ("page_seen", "last_sign_in", "last_order", "bounced")


def seen_on_page(
    connection: Connection, texts: Collection[str]
) -> dict[str, tuple[int, dict[str, str | None]]]:
    """By handle, those of the texts that are one: whose it is, and what is known by the lists of the
    ordering page (`SEEN`). A handle that was given up leads to the member who had it."""
    member, handle = tables.member, tables.handle
    query = select(handle.c.text, member.c.id, *(member.c[name] for name in SEEN)).join(
        member, handle.c.member_id == member.c.id
    )
    return {
        text: (number, dict(zip(SEEN, days, strict=True)))
        for text, number, *days in _among(connection, query, handle.c.text, texts)
    }


def flaws(connection: Connection) -> Iterator[Flaw]:
    """What is not sound, but for the index of people, which only their keys can tell."""
    if connection.dialect.name == "sqlite":
        yield from _flaws_of_the_file(connection)
    yield from _unwritten(connection)
    yield from _handles_at_odds(connection)


def _flaws_of_the_file(connection: Connection) -> Iterator[Flaw]:
    # Other engines keep these themselves; SQLite only in programs that ask it to.
    for (said,) in connection.execute(text(f"PRAGMA quick_check({MOST})")):
        if said != "ok":
            yield Flaw("file", "roster", said, "The database found damage in its file.")
    for table, rowid, parent, _ in connection.execute(text("PRAGMA foreign_key_check")):
        words = f"Record {rowid} of {table} points to a record of {parent} that is missing."
        yield Flaw("dangling", "roster", f"{table} {rowid}", words)


def _unwritten(connection: Connection) -> Iterator[Flaw]:
    """Members of whom the journal knows nothing, and numbers that it skips."""
    member, journal = tables.member, tables.journal
    known = exists().where(journal.c.about == func.concat("member:", member.c.id))
    if connection.dialect.name == "sqlite":
        known = exists().where(journal.c.about == text("'member:' || member.id"))
    query = select(member.c.id).where(~known).order_by(member.c.id)
    for (number,) in connection.execute(query):
        words = f"The change log has no entry about member {number}, not even that they joined."
        yield Flaw("journal", Owner.of_member(number), "", words)
    if connection.dialect.name != "sqlite":
        return  # a number may be skipped there where a change was taken back
    before = func.lag(journal.c.id, 1, 0).over(order_by=journal.c.id).label("before")
    lines = select(journal.c.id, before).subquery()
    gaps = select(lines).where(lines.c.id != lines.c.before + 1)
    for number, last in connection.execute(gaps):
        gone = number - last - 1
        words = f"Before entry {number} of the change log, {gone:,} {'entries are' if gone > 1 else 'entry is'} missing."
        yield Flaw("journal", "roster", str(number), words)


def _handles_at_odds(connection: Connection) -> Iterator[Flaw]:
    member, handle = tables.member, tables.handle
    query = (
        select(member.c.id, member.c.handle)
        .outerjoin(handle, (handle.c.text == member.c.handle) & (handle.c.member_id == member.c.id))
        .where(handle.c.text.is_(None), member.c.standing != "merged")
    )
    for number, said in connection.execute(query):
        words = f"The list of sign-in names does not give “{said}” to member {number}."
        yield Flaw("handle", Owner.of_member(number), said, words)


def unspelt(owner: str) -> Flaw:
    """That a member has no spelling."""
    return Flaw(
        "spelling", owner, "", "No spelling of this member is on file, so nobody could find them."
    )


def unlike_index(owner: str, missing: int, extra: int) -> Flaw:
    """That a spelling's keys are not those that it should have."""
    words = f"In the search index, this member has {missing} keys missing and {extra} too many."
    return Flaw("index", owner, "", words)


def unlike_tables(words: str) -> Flaw:
    """That the look-up index does not say what the tables say now, in the index's own words."""
    owner = words.partition(" ")[0]
    return Flaw("index", owner if Owner(owner).is_member else "roster", "", f"{words}.")

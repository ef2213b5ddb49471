"""Who shares a home, a phone or a mailbox with somebody, asked of the look-up index."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection

from onboard.lookup import keys
from onboard.lookup.facts import Facts, Home, bare
from onboard.roster import index_asked

MOST = 500  # owners who are read: more share no home


def of(connection: Connection, doc: int, facts: Facts) -> dict[int, Facts]:
    """The others of the household of the owner with this number, by their numbers."""
    written = {keys.phone(phone) for phone in facts.phones}
    written |= {bare(email.rpartition("@")[0]) for email in facts.emails}
    docs = {other for _, other in index_asked.written(connection, written, most=MOST)}
    for home in facts.homes:
        docs |= _living_near(connection, home)
    docs.discard(doc)
    known = index_asked.facts(connection, sorted(docs)[:MOST])
    return {other: theirs for other, theirs in known.items() if _share(facts, theirs)}


def _living_near(connection: Connection, home: Home) -> set[int]:
    """Who lives in the ZIP code, at a street with these words; nobody if the home says too little."""
    if not (home.zip5 and home.street and home.number):
        return set()
    words = index_asked.words(connection, [home.zip5, *home.street])
    there = [set(index_asked.anywhere(connection, [one], 20 * MOST)) for one in words.values()]
    return set.intersection(*there) if there else set()


def _share(one: Facts, other: Facts) -> bool:
    if other.standing not in ("open", "hold"):
        return False
    both = set(one.phones).intersection(other.phones), set(one.emails).intersection(other.emails)
    return any(both) or not set(_at(one)).isdisjoint(_at(other))


def _at(facts: Facts) -> Iterator[tuple[str, ...]]:
    """Where they live, as far as it is one home and no house with many."""
    for home in facts.homes:
        if home.number and home.street and home.zip5:
            yield (home.number, *home.street, home.way, home.zip5, home.unit)

"""Whether the look-up index says what the tables that it is made of say now."""

from __future__ import annotations

from array import array
from typing import Any

from sqlalchemy import Connection, func, select

from onboard.lookup import keys as keys_of
from onboard.roster import index, tables
from onboard.roster.index_asked import facts
from onboard.roster.search import parts


def check(connection: Connection) -> list[str]:
    """What differs between the index and the tables it is made of; nothing, if all is well.

    Every entry is compared, in one pass over each table, with what is wanted: see `_Balance`.
    """
    wrong: dict[int, str] = {}
    seen = 0
    owners = _Balance(connection, tables.index_owner.c.doc)
    numbers = index.Numbers(connection)
    numbers.words = index.all_numbers(connection, tables.index_word.c.text)
    numbers.sites = index.all_numbers(connection, tables.index_site.c.name)
    for some in parts(index.everybody(connection), index.AT_ONCE):
        now = index.read(connection, some)
        before = facts(connection, now)
        for doc, found in now.items():
            seen += doc in before
            if found != before.get(doc):
                wrong[doc] = f"{index.owner(connection, doc)} is not indexed as it stands now"
        for doc, known in before.items():
            keys = keys_of.of(known)
            for word in keys.words:
                owners.want(doc, "place", numbers.place_if_known(word, known.site))
            for pair in keys.pairs:
                owners.want(doc, "pair", numbers.pair_if_known(*pair))
            for one in keys.written:
                owners.want(doc, False, one)
                owners.want(doc, True, keys_of.turned(one))
    stale = connection.execute(select(func.count()).select_from(tables.index_owner)).scalar_one()
    for table, what in ((tables.index_place, "place"), (tables.index_pair, "pair")):
        for said, doc in index.all_lines(connection, table):
            owners.turn(doc, what, said)
    for turned, said, doc in index.all_lines(connection, tables.index_written):
        owners.turn(doc, turned, said)
    for doc in owners.uneven():
        wrong.setdefault(
            doc, f"{index.owner(connection, doc)} is not found by just what it should be"
        )
    told = [wrong[doc] for doc in sorted(wrong)]
    if stale > seen:
        told.append(f"{stale - seen} owners are indexed who are no longer there")
    elif strangers := owners.strangers():
        told.append(f"{strangers} numbers of the index lead to nobody")

    words = _Balance(connection, tables.index_word.c.id)
    for word, number in numbers.words.items():
        for key in keys_of.of_word(word):
            words.want(number, "near", key)
    for key, number in index.all_lines(connection, tables.index_near):
        words.turn(number, "near", key)
    if amiss := len(words.uneven()) + words.strangers():
        told.append(f"{amiss} words are not found, when misspelt, as they should be")
    return told


class _Balance:
    """What is wanted of each number beside what is there, in eight bytes a number.

    An entry is turned once when it is wanted and once when it is there, which changes a number and
    puts it back; what is not even in the end has too few entries or too many. That errors even each
    other out is as likely as guessing a number of some sixty bits.
    """

    def __init__(self, connection: Connection, column: Any) -> None:
        most = connection.execute(select(func.coalesce(func.max(column), 0))).scalar_one()
        self.sums = array("q", bytes(8 * (most + 1)))
        self.wanted = bytearray(most + 1)
        self.beyond: set[int] = set()

    def want(self, number: int, *entry: Any) -> None:
        self.wanted[number] = True
        self.sums[number] ^= hash(entry)

    def turn(self, number: int, *entry: Any) -> None:
        if 0 <= number < len(self.sums):
            self.sums[number] ^= hash(entry)
        else:
            self.beyond.add(number)

    def uneven(self) -> list[int]:
        """The numbers of which something is wanted, and something else is there."""
        return [n for n, total in enumerate(self.sums) if total and self.wanted[n]]

    def strangers(self) -> int:
        """How many numbers have entries of which none is wanted."""
        odd = sum(1 for n, total in enumerate(self.sums) if total and not self.wanted[n])
        return odd + len(self.beyond)

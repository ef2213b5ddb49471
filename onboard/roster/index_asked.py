"""What the look-up index is asked: who has a word, a pair of names, a mailbox, and how near it is.

Plain SQL, as these are asked many times a second with hundreds of values.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

from sqlalchemy import Connection

from onboard.lookup import facts as facts_of
from onboard.lookup import keys as keys_of
from onboard.lookup.facts import Facts
from onboard.roster import members
from onboard.roster.asking import ask, cursor, loaded

SITES = 20  # bits for a site in `place`
WORDS = 24  # bits for a family name in `pair`

_SIZE = "SELECT max(id) FROM member"
_SHOWN = (
    "SELECT m.id, m.name, m.handle, m.site, m.standing "
    "FROM {numbers} k CROSS JOIN member m WHERE m.id = k.v"
)
WORD_IDS = "SELECT w.id, w.text FROM {texts} k CROSS JOIN index_word w WHERE w.text = k.v"
_WORDS_BEGINNING = (
    "SELECT w.id, w.text FROM {texts} k CROSS JOIN index_word w "
    "WHERE w.text >= k.v AND w.text < k.v || '~' LIMIT :most"
)
SITE_IDS = "SELECT s.id, s.name FROM {texts} k CROSS JOIN index_site s WHERE s.name = k.v"
_FACTS = "SELECT o.doc, o.facts FROM {numbers} k CROSS JOIN index_owner o WHERE o.doc = k.v"
_NEAR = (
    "SELECT w.id, w.text FROM (SELECT DISTINCT n.word FROM {numbers} k CROSS JOIN index_near n "
    "WHERE n.key = k.v) found CROSS JOIN index_word w WHERE w.id = found.word"
)
_GIVEN = (
    "SELECT k.v FROM {numbers} k WHERE EXISTS ("
    "SELECT 1 FROM index_pair p WHERE p.pair >= k.v << :bits AND p.pair < (k.v + 1) << :bits)"
)
_BEARERS = (
    "SELECT w.text, (SELECT count(*) FROM (SELECT 1 FROM index_place p "
    "WHERE p.place >= w.n << :bits AND p.place < (w.n + 1) << :bits LIMIT :most) found) "
    "FROM (SELECT x.text, CAST(x.id AS BIGINT) AS n FROM {texts} k CROSS JOIN index_word x "
    "WHERE x.text = k.v) w"
)
_AT = "SELECT p.place, p.doc FROM {numbers} k CROSS JOIN index_place p WHERE p.place = k.v LIMIT :most"
_ANYWHERE = (
    "SELECT p.doc FROM {numbers} k CROSS JOIN index_place p "
    "WHERE p.place >= k.v << :bits AND p.place < (k.v + 1) << :bits LIMIT :most"
)
_PAIR = (
    "SELECT p.pair, p.doc FROM {numbers} k CROSS JOIN index_pair p WHERE p.pair = k.v LIMIT :most"
)
_WRITTEN = (
    "SELECT w.text, w.doc FROM {texts} k CROSS JOIN index_written w "
    "WHERE w.turned = :turned AND w.text = k.v LIMIT :most"
)
# Written things are a plus sign, small letters and digits, so "~" comes after all of them.
_BEGINNING = (
    "SELECT text, doc FROM (SELECT w.text, w.doc FROM {texts} k CROSS JOIN index_written w "
    "WHERE w.turned = :turned AND w.text >= k.v AND w.text < k.v || '~' LIMIT :most) found "
    "WHERE length(text) BETWEEN :least AND :longest"
)
_NO_END = 1 << 40


def facts(connection: Connection, docs: Iterable[int]) -> dict[int, Facts]:
    """What is known of the owners of these numbers; who is not indexed is left out."""
    return {doc: facts_of.of_text(text) for doc, text in kept(connection, docs).items()}


def kept(connection: Connection, docs: Iterable[int]) -> dict[int, str]:
    """The same as the index keeps it, as text."""
    return dict(ask(connection, _FACTS, docs))


def size(connection: Connection) -> int:
    """About how many owners there are: the highest number of a member."""
    with cursor(connection, _SIZE) as opened:
        opened.execute(_SIZE)
        return int(opened.fetchone()[0] or 0)


def shown(connection: Connection, member_ids: Iterable[int]) -> dict[int, tuple[Any, ...]]:
    """By number of a member: name, handle, site, standing."""
    return {
        number: (members.name_of(number, loaded(name)), *rest)
        for number, name, *rest in ask(connection, _SHOWN, member_ids)
    }


def near(connection: Connection, words: Iterable[str], slips: int = 2) -> list[tuple[int, str]]:
    """Every word known that one of the words could be a misspelling of, with its number."""
    found = set().union(*(keys_of.near(word, slips) for word in words))
    return ask(connection, _NEAR, found)


def heard(connection: Connection, word: str) -> list[tuple[int, str]]:
    """Every word known that one who wrote what they heard may mean, with its number."""
    return ask(connection, _NEAR, keys_of.heard(word))


def sites(connection: Connection, names: Iterable[str]) -> dict[str, int]:
    """The numbers of drop sites by their folded names."""
    return {name: number for number, name in ask(connection, SITE_IDS, names)}


def words(connection: Connection, texts: Iterable[str]) -> dict[str, int]:
    """The numbers of these words, those that somebody has."""
    return {word: number for number, word in ask(connection, WORD_IDS, texts)}


def bearers(connection: Connection, texts: Collection[str], most: int = 400) -> dict[str, int]:
    """How many have each of the words, counted up to `most`."""
    counted = ask(connection, _BEARERS, texts, bits=SITES, most=most)
    return dict.fromkeys(texts, 0) | dict(counted)


def given(connection: Connection, word_ids: Iterable[int]) -> set[int]:
    """Those of the words that are a given name of somebody, so that a pair begins with them."""
    return {number for (number,) in ask(connection, _GIVEN, word_ids, bits=WORDS)}


def words_beginning(connection: Connection, starts: Collection[str], most: int) -> dict[str, int]:
    """The words that begin so, with their numbers."""
    found = ask(connection, _WORDS_BEGINNING, starts, most=most)
    return {word: number for number, word in found}


def at(connection: Connection, places: Iterable[int], most: int = _NO_END) -> list[tuple[int, int]]:
    """(place, owner): who has a word at a site; see `place`."""
    return ask(connection, _AT, places, most=most)


def anywhere(connection: Connection, word_ids: Iterable[int], most: int) -> list[int]:
    """Who has one of the words, at whatever site."""
    return [doc for (doc,) in ask(connection, _ANYWHERE, word_ids, bits=SITES, most=most)]


def pair(
    connection: Connection, pairs: Iterable[int], most: int = _NO_END
) -> list[tuple[int, int]]:
    """(pair, owner): who has a given and a family name."""
    return ask(connection, _PAIR, pairs, most=most)


def written(
    connection: Connection, texts: Iterable[str], turned: bool = False, most: int = _NO_END
) -> list[tuple[str, int]]:
    """(text, owner): whose mailbox, handle or phone is one of the texts."""
    return ask(connection, _WRITTEN, texts, turned=turned, most=most)


def beginning(
    connection: Connection, texts: Iterable[str], turned: bool, most: int,
    lengths: tuple[int, int] = (0, _NO_END),
) -> list[tuple[str, int]]:  # fmt: skip
    """(text, owner): whose mailbox, handle or phone begins so, or, turned round, ends so.

    Of the first `most` of them those that are as long as `lengths` says.
    """
    least, longest = lengths
    return ask(
        connection, _BEGINNING, texts, turned=turned, most=most, least=least, longest=longest
    )


def place(word: int, site: int) -> int:
    """A word at a site, as one number."""
    return word << SITES | site


def pair_of(given: int, family: int) -> int:
    """A given and a family name, as one number."""
    return given << WORDS | family

"""The look-up index: by which words, mailboxes, handles and phones each owner is found.

It is made of `person`, `member`, `handle` and the rows on hold, and of nothing else, in the same
transaction that changes them: whoever writes those tables calls `update` for the owners concerned.
What an owner is found by is a matter of `onboard.lookup.keys`; this module keeps it.

`index_owner` holds an owner's facts as they were last indexed, so that what they were found by is
known when they change, and so that a look-up reads hundreds of people with one question.
"""

from __future__ import annotations

import json
from array import array
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from typing import Any

from sqlalchemy import Connection, Dialect, Table, bindparam, delete, func, select, text
from sqlalchemy.exc import DBAPIError

from onboard.lookup import facts as facts_of
from onboard.lookup import keys as keys_of
from onboard.lookup.facts import Facts
from onboard.lookup.keys import Keys
from onboard.model import Owner, Person
from onboard.roster import members, tables
from onboard.roster.search import parts
from onboard.roster.trouble import read_json

AT_ONCE = 500
SITES = 20  # bits for a site in `place`
WORDS = 24  # bits for a family name in `pair`
NOTHING = Keys(frozenset(), frozenset(), frozenset())


# ---------------------------------------------------------------- kept equal to the tables


def update(connection: Connection, owners: Collection[Owner]) -> None:
    """Bring the index of these owners up to what the tables say now.

    In the caller's transaction. An owner who is gone, and a row that is no longer on hold, are
    taken out; so are the rows that have become one of the members named.
    """
    for some in parts(dict.fromkeys(owners), AT_ONCE):
        now = _read(connection, some)
        before = facts(connection, now)
        changed = {doc: found for doc, found in now.items() if found != before.get(doc)}
        if changed:
            _write(connection, {doc: (before.get(doc), new) for doc, new in changed.items()})


def rebuild(connection: Connection) -> None:
    """Make the whole index anew. It is written in order, so that it takes the least room."""
    for table in _TABLES:
        connection.execute(delete(table))
    keep = _Numbers(connection, at_once=False)
    places: list[tuple[int, int]] = []
    pairs: list[tuple[int, int]] = []
    for some in parts(_everybody(connection), 10 * AT_ONCE):
        found = {doc: new for doc, new in _read(connection, some).items() if new}
        keys = {doc: keys_of.of(new) for doc, new in found.items()}
        keep.know(
            set().union(*(k.words for k in keys.values())), {new.site for new in found.values()}
        )
        kept = ((doc, facts_of.as_text(new)) for doc, new in found.items())
        _insert(connection, tables.index_owner, kept)
        for doc, new in found.items():
            places += [(keep.place(word, new.site), doc) for word in keys[doc].words]
            pairs += [(keep.pair(*pair), doc) for pair in keys[doc].pairs]
    _insert(connection, tables.index_place, sorted(places))
    del places
    _insert(connection, tables.index_pair, sorted(pairs))
    del pairs
    keep.write_near()
    for turned in (False, True):
        texts = sorted(
            (turned, keys_of.turned(one) if turned else one, doc)
            for doc, found_now in _indexed(connection)
            for one in keys_of.of(found_now).written
        )
        _insert(connection, tables.index_written, texts)
        del texts
    if connection.dialect.name == "postgresql":
        # So that it goes by the keys at once: until it has counted, it reads whole tables.
        for table in _TABLES:
            connection.execute(text(f"ANALYZE {table.name}"))


def check(connection: Connection) -> list[str]:
    """What differs between the index and the tables it is made of; nothing, if all is well.

    Every entry is compared, in one pass over each table, with what is wanted: see `_Balance`.
    """
    wrong: dict[int, str] = {}
    seen = 0
    owners = _Balance(connection, tables.index_owner.c.doc)
    numbers = _Numbers(connection)
    numbers.words = _all_numbers(connection, tables.index_word.c.text)
    numbers.sites = _all_numbers(connection, tables.index_site.c.name)
    for some in parts(_everybody(connection), AT_ONCE):
        now = _read(connection, some)
        before = facts(connection, now)
        for doc, found in now.items():
            seen += doc in before
            if found != before.get(doc):
                wrong[doc] = f"{owner(connection, doc)} is not indexed as it stands now"
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
        for said, doc in _all(connection, table):
            owners.turn(doc, what, said)
    for turned, said, doc in _all(connection, tables.index_written):
        owners.turn(doc, turned, said)
    for doc in owners.uneven():
        wrong.setdefault(doc, f"{owner(connection, doc)} is not found by just what it should be")
    told = [wrong[doc] for doc in sorted(wrong)]
    if stale > seen:
        told.append(f"{stale - seen} owners are indexed who are no longer there")
    elif strangers := owners.strangers():
        told.append(f"{strangers} numbers of the index lead to nobody")

    words = _Balance(connection, tables.index_word.c.id)
    for word, number in numbers.words.items():
        for key in keys_of.near(word):
            words.want(number, "near", key)
    for key, number in _all(connection, tables.index_near):
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


_TABLES: tuple[Table, ...] = (
    tables.index_owner, tables.index_site, tables.index_near, tables.index_word,
    tables.index_place, tables.index_pair, tables.index_written,
)  # fmt: skip


def doc_of(member_id: int) -> int:
    """The number of a member in the index: even; a row on hold has an odd one."""
    return 2 * member_id


def owner(connection: Connection, doc: int) -> Owner:
    """Whose number it is."""
    if doc % 2 == 0:
        return Owner.of_member(doc // 2)
    row = tables.row.c
    key = connection.execute(select(row.key).where(row.position == doc // 2)).scalar()
    return Owner.of_row(str(key))


def _everybody(connection: Connection) -> Iterator[Owner]:
    """Every owner there is, in the order of their numbers; also those the index alone knows."""
    member, row = tables.member.c, tables.row.c
    for (number,) in _stream(connection, select(member.id), member.id):
        yield Owner.of_member(number)
    held = select(row.position, row.key).where(row.decision == "hold")
    for _, key in _stream(connection, held, row.position):
        yield Owner.of_row(key)


def _stream(connection: Connection, query: Any, column: Any) -> Iterator[Any]:
    """The query's lines by a whole-number column that comes first, a part at a time."""
    after = -1
    query = query.order_by(column).limit(10 * AT_ONCE)
    while lines := connection.execute(query.where(column > after)).all():
        after = lines[-1][0]
        yield from lines


def _indexed(connection: Connection) -> Iterator[tuple[int, Facts]]:
    kept = tables.index_owner.c
    for doc, found in _stream(connection, select(kept.doc, kept.facts), kept.doc):
        yield doc, facts_of.of_text(found)


def _read(connection: Connection, owners: Sequence[Owner]) -> dict[int, Facts | None]:
    """By number: the facts of the owners as the tables have them; None for who is gone."""
    members = [owner.member_id for owner in owners if owner.member_id is not None]
    rows = [owner.row_key for owner in owners if owner.row_key is not None]
    found: dict[int, Facts | None] = {doc_of(number): None for number in members}
    held = {}
    for position, key, decision, fields in _ask(connection, _ROWS, rows):
        found[2 * position + 1] = None
        if decision == "hold":
            held[Owner.of_row(key)] = (2 * position + 1, _loaded(fields))
    for (position,) in _ask(connection, _ROWS_OF, members):
        found[2 * position + 1] = None
    people: dict[Owner, list[Person]] = {}
    for whose, given, middle, family, called, former, *contact, joint in _ask(
        connection, _PEOPLE, owners
    ):
        email, phone, street, zip5 = contact
        owner = Owner(whose)
        people.setdefault(owner, []).append(
            Person(owner, given, middle, family, "", called, former, email, phone, street,
                   zip5=zip5, joint=tuple(_loaded(joint)))
        )  # fmt: skip
    handles: dict[int, list[str]] = {}
    for handle, number in _ask(connection, _HANDLES, members):
        handles.setdefault(number, []).append(handle)
    for number, handle, email, phone, site, standing in _ask(connection, _MEMBERS, members):
        found[doc_of(number)] = facts_of.of(
            people.get(Owner.of_member(number), ()),
            site=site, standing=standing, emails=[email], phones=[phone],
            handles=[handle, *sorted(handles.get(number, ()))],
        )  # fmt: skip
    for name, (doc, fields) in held.items():
        found[doc] = facts_of.of(people.get(name, ()), site=fields.get("site", ""), standing="hold")
    return found


def _loaded(value: Any) -> Any:
    """A JSON column as plain SQL gives it: text from SQLite, a value from PostgreSQL."""
    return read_json(value) if isinstance(value, str) else value


def _write(connection: Connection, changes: dict[int, tuple[Facts | None, Facts | None]]) -> None:
    """Write what is new and take out what is no more, table by table."""
    keys = {
        doc: tuple(keys_of.of(found) if found else NOTHING for found in change)
        for doc, change in changes.items()
    }
    numbers = _Numbers(connection)
    numbers.know(
        set().union(*(k.words for pair in keys.values() for k in pair)),
        {found.site for change in changes.values() for found in change if found},
    )
    out = _Change(), _Change()  # what goes, what comes
    for doc, change in changes.items():
        for into, found, k in zip(out, change, keys[doc], strict=True):
            if found:
                into.add(doc, found, k, numbers)
    gone, come = out
    _delete(connection, tables.index_owner, [(doc,) for doc, (old, _) in changes.items() if old])
    kept = [(doc, facts_of.as_text(new)) for doc, (_, new) in changes.items() if new]
    _insert(connection, tables.index_owner, kept)
    lines: tuple[tuple[Table, set[Any], set[Any]], ...] = (
        (tables.index_place, gone.places, come.places),
        (tables.index_pair, gone.pairs, come.pairs),
        (tables.index_written, gone.written, come.written),
    )
    for table, old, new in lines:
        _delete(connection, table, sorted(old - new))
        _insert(connection, table, sorted(new - old))
    _forget_words(connection, {place >> SITES for place, _ in gone.places - come.places})


class _Change:
    """Lines of the index, table by table."""

    def __init__(self) -> None:
        self.places: set[tuple[int, int]] = set()
        self.pairs: set[tuple[int, int]] = set()
        self.written: set[tuple[bool, str, int]] = set()

    def add(self, doc: int, found: Facts, keys: Keys, numbers: _Numbers) -> None:
        self.places.update((numbers.place(word, found.site), doc) for word in keys.words)
        self.pairs.update((numbers.pair(*pair), doc) for pair in keys.pairs)
        for one in keys.written:
            self.written |= {(False, one, doc), (True, keys_of.turned(one), doc)}


class _Numbers:
    """Words and sites as numbers; new ones are written down, words with their keys."""

    def __init__(self, connection: Connection, *, at_once: bool = True) -> None:
        self.connection = connection
        self.words: dict[str, int] = {}
        self.sites: dict[str, int] = {}
        self.at_once = at_once  # else the keys of new words wait for `write_near`
        self.fresh: dict[str, int] = {}

    def know(self, words: Collection[str], sites: Collection[str]) -> None:
        """Have the numbers of all these."""
        self._know(tables.index_site, _SITE_IDS, self.sites, sites)
        self.fresh |= self._know(tables.index_word, _WORD_IDS, self.words, words)
        if self.at_once:
            self.write_near()

    def write_near(self) -> None:
        """Write the keys under which the new words are found when they are misspelt."""
        near = sorted((key, n) for word, n in self.fresh.items() for key in keys_of.near(word))
        _insert(self.connection, tables.index_near, near)
        self.fresh = {}

    def _know(
        self, table: Table, ask: str, known: dict[str, int], wanted: Collection[str]
    ) -> dict[str, int]:
        missing = [one for one in wanted if one not in known]
        known.update((one, number) for number, one in _ask(self.connection, ask, missing))
        new = sorted(one for one in missing if one not in known)
        if not new:
            return {}
        last = self.connection.execute(select(func.coalesce(func.max(table.c.id), 0))).scalar_one()
        fresh = {one: last + 1 + at for at, one in enumerate(new)}
        known.update(fresh)
        _insert(self.connection, table, ((number, one) for one, number in fresh.items()))
        return fresh

    def place(self, word: str, site: str) -> int:
        return place(self.words[word], self.sites[site])

    def pair(self, given: str, family: str) -> int:
        return pair_of(self.words[given], self.words[family])

    def place_if_known(self, word: str, site: str) -> int:
        """The same, of a word or a site that may have no number: 0 is none's."""
        return place(self.words.get(word, 0), self.sites.get(site, 0))

    def pair_if_known(self, given: str, family: str) -> int:
        return pair_of(self.words.get(given, 0), self.words.get(family, 0))


def _forget_words(connection: Connection, numbers: set[int]) -> None:
    """Take out the words that nobody has any more: a rare name is a fact about its bearer."""
    if not numbers:
        return
    gone = [(n, word) for n, word in _ask(connection, _UNUSED, sorted(numbers), bits=SITES)]
    near = [(key, n) for n, word in gone for key in keys_of.near(word)]
    _delete(connection, tables.index_near, near)
    _delete(connection, tables.index_word, [(n,) for n, _ in gone])


def _insert(connection: Connection, table: Table, lines: Iterable[tuple[Any, ...]]) -> None:
    """Insert the lines, each with a value for every column."""
    sql, names = _insertion(table, connection.dialect)
    if connection.dialect.name != "postgresql":
        _each(connection, sql, names, lines)
        return
    # A server takes a stream of lines five times as fast as one INSERT after another.
    copying = f"COPY {table.name} ({', '.join(names)}) FROM STDIN"
    with _cursor(connection, copying) as cursor, cursor.copy(copying) as copy:
        for line in lines:
            copy.write_row(line)


def _delete(connection: Connection, table: Table, keys: Iterable[tuple[Any, ...]]) -> None:
    """Take out the lines with these primary keys."""
    _each(connection, *_deletion(table, connection.dialect), keys)


def _each(
    connection: Connection, sql: str, names: tuple[str, ...], lines: Iterable[tuple[Any, ...]]
) -> None:
    # Straight to the driver: there are a dozen lines a member, and SQLAlchemy would take thrice
    # the time for each.
    for some in parts(lines, 20 * AT_ONCE):
        with _cursor(connection, sql) as cursor:
            if connection.dialect.positional:
                cursor.executemany(sql, some)
            else:
                cursor.executemany(sql, [dict(zip(names, line, strict=True)) for line in some])


@cache
def _insertion(table: Table, dialect: Dialect) -> tuple[str, tuple[str, ...]]:
    names = tuple(column.name for column in table.c)
    return str(table.insert().compile(dialect=dialect, column_keys=names)), names


@cache
def _deletion(table: Table, dialect: Dialect) -> tuple[str, tuple[str, ...]]:
    names = tuple(column.name for column in table.primary_key.columns)
    where = [table.c[name] == bindparam(name) for name in names]
    return str(delete(table).where(*where).compile(dialect=dialect)), names


def _all(connection: Connection, table: Table) -> Iterator[Any]:
    """Every line of a table, never all at once."""
    yield from connection.execute(select(table).execution_options(yield_per=20 * AT_ONCE))


def _all_numbers(connection: Connection, column: Any) -> dict[str, int]:
    return {line[0]: line[1] for line in connection.execute(select(column, column.table.c.id))}


# ---------------------------------------------------------------- asked
# Plain SQL, as these are asked many times a second with hundreds of values. What differs between
# engines is how a list of values becomes a table, and stands in `_LISTS` alone.

_LISTS = {
    "sqlite": ("(SELECT value AS v FROM json_each(:these))",) * 2,
    "postgresql": (
        "(SELECT unnest(CAST(:these AS bigint[])) AS v)",
        "(SELECT unnest(CAST(:these AS text[])) AS v)",
    ),
}


def _as_list(values: list[Any], dialect: Dialect) -> Any:
    """The values as `_LISTS` reads them."""
    if dialect.name == "sqlite":
        return json.dumps(values)
    # Written out here: the driver takes several times as long for a list, and sends small numbers
    # and large ones as lists of different types, which are different questions to the server.
    if isinstance(values[0], str):
        values = ['"' + v.replace("\\", r"\\").replace('"', r"\"") + '"' for v in values]
    return f"{{{','.join(map(str, values))}}}"


_SIZE = "SELECT max(id) FROM member"
_ROWS = "SELECT r.position, r.key, r.decision, r.fields FROM {texts} k CROSS JOIN row r WHERE r.key = k.v"
_ROWS_OF = "SELECT r.position FROM {numbers} k CROSS JOIN row r WHERE r.member_id = k.v"
_PEOPLE = (
    "SELECT p.owner, p.given, p.middle, p.family, p.called, p.former, p.email, p.phone, p.street, "
    "p.zip5, p.joint FROM {texts} k CROSS JOIN person p WHERE p.owner = k.v ORDER BY p.id"
)
_HANDLES = "SELECT h.text, h.member_id FROM {numbers} k CROSS JOIN handle h WHERE h.member_id = k.v"
_MEMBERS = (
    "SELECT m.id, m.handle, m.email, m.phone, m.site, m.standing "
    "FROM {numbers} k CROSS JOIN member m WHERE m.id = k.v"
)
_SHOWN = (
    "SELECT m.id, m.name, m.handle, m.site, m.standing "
    "FROM {numbers} k CROSS JOIN member m WHERE m.id = k.v"
)
_WORD_IDS = "SELECT w.id, w.text FROM {texts} k CROSS JOIN index_word w WHERE w.text = k.v"
_WORDS_BEGINNING = (
    "SELECT w.id, w.text FROM {texts} k CROSS JOIN index_word w "
    "WHERE w.text >= k.v AND w.text < k.v || '~' LIMIT :most"
)
_SITE_IDS = "SELECT s.id, s.name FROM {texts} k CROSS JOIN index_site s WHERE s.name = k.v"
_UNUSED = (
    "SELECT w.id, w.text FROM {numbers} k CROSS JOIN index_word w WHERE w.id = k.v AND NOT EXISTS ("
    "SELECT 1 FROM index_place p WHERE p.place >= k.v << :bits AND p.place < (k.v + 1) << :bits)"
)
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
    return {doc: facts_of.of_text(kept) for doc, kept in _ask(connection, _FACTS, docs)}


def size(connection: Connection) -> int:
    """About how many owners there are: the highest number of a member."""
    with _cursor(connection, _SIZE) as cursor:
        cursor.execute(_SIZE)
        return int(cursor.fetchone()[0] or 0)


def shown(connection: Connection, member_ids: Iterable[int]) -> dict[int, tuple[Any, ...]]:
    """By number of a member: name, handle, site, standing."""
    return {
        number: (members.name_of(number, _loaded(name)), *rest)
        for number, name, *rest in _ask(connection, _SHOWN, member_ids)
    }


def near(connection: Connection, words: Iterable[str], slips: int = 2) -> list[tuple[int, str]]:
    """Every word known that one of the words could be a misspelling of, with its number."""
    found = set().union(*(keys_of.near(word, slips) for word in words))
    return _ask(connection, _NEAR, found)


def sites(connection: Connection, names: Iterable[str]) -> dict[str, int]:
    """The numbers of drop sites by their folded names."""
    return {name: number for number, name in _ask(connection, _SITE_IDS, names)}


def words(connection: Connection, texts: Iterable[str]) -> dict[str, int]:
    """The numbers of these words, those that somebody has."""
    return {word: number for number, word in _ask(connection, _WORD_IDS, texts)}


def bearers(connection: Connection, texts: Collection[str], most: int = 400) -> dict[str, int]:
    """How many have each of the words, counted up to `most`."""
    counted = _ask(connection, _BEARERS, texts, bits=SITES, most=most)
    return dict.fromkeys(texts, 0) | dict(counted)


def given(connection: Connection, word_ids: Iterable[int]) -> set[int]:
    """Those of the words that are a given name of somebody, so that a pair begins with them."""
    return {number for (number,) in _ask(connection, _GIVEN, word_ids, bits=WORDS)}


def words_beginning(connection: Connection, starts: Collection[str], most: int) -> dict[str, int]:
    """The words that begin so, with their numbers."""
    found = _ask(connection, _WORDS_BEGINNING, starts, most=most)
    return {word: number for number, word in found}


def at(connection: Connection, places: Iterable[int], most: int = _NO_END) -> list[tuple[int, int]]:
    """(place, owner): who has a word at a site; see `place`."""
    return _ask(connection, _AT, places, most=most)


def anywhere(connection: Connection, word_ids: Iterable[int], most: int) -> list[int]:
    """Who has one of the words, at whatever site."""
    return [doc for (doc,) in _ask(connection, _ANYWHERE, word_ids, bits=SITES, most=most)]


def pair(
    connection: Connection, pairs: Iterable[int], most: int = _NO_END
) -> list[tuple[int, int]]:
    """(pair, owner): who has a given and a family name."""
    return _ask(connection, _PAIR, pairs, most=most)


def written(
    connection: Connection, texts: Iterable[str], turned: bool = False, most: int = _NO_END
) -> list[tuple[str, int]]:
    """(text, owner): whose mailbox, handle or phone is one of the texts."""
    return _ask(connection, _WRITTEN, texts, turned=turned, most=most)


def beginning(
    connection: Connection, texts: Iterable[str], turned: bool, most: int,
    lengths: tuple[int, int] = (0, _NO_END),
) -> list[tuple[str, int]]:  # fmt: skip
    """(text, owner): whose mailbox, handle or phone begins so, or, turned round, ends so.

    Of the first `most` of them those that are as long as `lengths` says.
    """
    least, longest = lengths
    return _ask(
        connection, _BEGINNING, texts, turned=turned, most=most, least=least, longest=longest
    )


def place(word: int, site: int) -> int:
    """A word at a site, as one number."""
    return word << SITES | site


def pair_of(given: int, family: int) -> int:
    """A given and a family name, as one number."""
    return given << WORDS | family


def _ask(connection: Connection, sql: str, these: Iterable[Any], **more: Any) -> list[Any]:
    """The lines that the question has for a list of values, as tuples.

    Straight to the driver and from it: a look-up asks a dozen questions in a few milliseconds, and
    SQLAlchemy would take ten times the driver's time for each.
    """
    values = list(these)
    if not values:
        return []
    asked, order = _asked(sql, connection.dialect)
    said = {"these": _as_list(values, connection.dialect), **more}
    with _cursor(connection, asked) as cursor:
        cursor.execute(asked, tuple(said[name] for name in order) if order else said)
        return list(cursor.fetchall())


@contextmanager
def _cursor(connection: Connection, sql: str) -> Iterator[Any]:
    """The driver's cursor, within the connection's transaction."""
    if not connection.in_transaction():
        connection.begin()  # as every other question to a connection does
    cursor = connection.connection.cursor()
    try:
        yield cursor
    except connection.dialect.loaded_dbapi.Error as error:
        # As SQLAlchemy would say it; the values are nobody's business.
        raise DBAPIError(sql, None, error) from error
    finally:
        cursor.close()


@cache
def _asked(sql: str, dialect: Dialect) -> tuple[str, tuple[str, ...]]:
    """The question as this driver takes it, and the order of what it is given, if it has one."""
    numbers, texts = _LISTS[dialect.name]
    compiled = text(sql.format(numbers=numbers, texts=texts)).compile(dialect=dialect)
    return str(compiled), tuple(compiled.positiontup or ())

"""The look-up index: by which words, mailboxes, handles and phones each owner is found.

It is made of `person`, `member`, `handle` and the rows on hold, and of nothing else, in the same
transaction that changes them: whoever writes those tables calls `update` for the owners concerned.
What an owner is found by is a matter of `onboard.lookup.keys`; this module keeps it.

`index_owner` holds an owner's facts as they were last indexed, so that what they were found by is
known when they change, and so that a look-up reads hundreds of people with one question.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import cache
from typing import Any

from sqlalchemy import Connection, Dialect, Table, bindparam, delete, func, select, text

from onboard.lookup import facts as facts_of
from onboard.lookup import keys as keys_of
from onboard.lookup.facts import Facts
from onboard.lookup.keys import Keys
from onboard.model import Owner, Person
from onboard.roster import spellings, tables
from onboard.roster.apart import is_apart
from onboard.roster.asking import ask, cursor, loaded
from onboard.roster.index_asked import SITE_IDS, SITES, WORD_IDS, facts, pair_of, place
from onboard.roster.search import parts

AT_ONCE = 500
NOTHING = Keys(frozenset(), frozenset(), frozenset())


# ---------------------------------------------------------------- kept equal to the tables


# Plain SQL, as a batch asks these for every row.
_ROWS = "SELECT r.position, r.key, r.decision, r.fields FROM {texts} k CROSS JOIN row r WHERE r.key = k.v"
_ROWS_OF = "SELECT r.position FROM {numbers} k CROSS JOIN row r WHERE r.member_id = k.v"
_PEOPLE = (
    "SELECT p.owner, p.joint, " + ", ".join(f"p.{name}" for name in spellings.TEXTS) + " "
    "FROM {texts} k CROSS JOIN person p WHERE p.owner = k.v ORDER BY p.id"
)  # fmt: skip
_HANDLES = "SELECT h.text, h.member_id FROM {numbers} k CROSS JOIN handle h WHERE h.member_id = k.v"
_MEMBERS = (
    "SELECT m.id, m.handle, m.email, m.phone, m.site, m.standing, m.joined, m.address "
    "FROM {numbers} k CROSS JOIN member m WHERE m.id = k.v"
)
_UNUSED = (
    "SELECT w.id, w.text FROM {numbers} k CROSS JOIN index_word w WHERE w.id = k.v AND NOT EXISTS ("
    "SELECT 1 FROM index_place p WHERE p.place >= k.v << :bits AND p.place < (k.v + 1) << :bits)"
)


def update(connection: Connection, owners: Collection[Owner]) -> None:
    """Bring the index of these owners up to what the tables say now.

    In the caller's transaction. An owner who is gone, and a row that is no longer on hold, are
    taken out; so are the rows that have become one of the members named. What is only tried on a server is
    looked up by nobody: there nothing is done.
    """
    if is_apart(connection):
        return
    for some in parts(dict.fromkeys(owners), AT_ONCE):
        now = read(connection, some)
        before = facts(connection, now)
        changed = {doc: found for doc, found in now.items() if found != before.get(doc)}
        if changed:
            _write(connection, {doc: (before.get(doc), new) for doc, new in changed.items()})


def rebuild(connection: Connection) -> None:
    """Make the whole index anew. It is written in order, so that it takes the least room."""
    for table in _TABLES:
        connection.execute(delete(table))
    keep = Numbers(connection, at_once=False)
    places: list[tuple[int, int]] = []
    pairs: list[tuple[int, int]] = []
    for some in parts(everybody(connection), 10 * AT_ONCE):
        found = {doc: new for doc, new in read(connection, some).items() if new}
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


_TABLES: tuple[Table, ...] = (
    tables.index_owner, tables.index_site, tables.index_near, tables.index_word,
    tables.index_place, tables.index_pair, tables.index_written,
)  # fmt: skip


def doc_of(member_id: int) -> int:
    """The number of a member in the index: even; a row on hold has an odd one."""
    return 2 * member_id


def owner(connection: Connection, doc: int) -> Owner:
    """Whose number in the index (`doc_of`) it is."""
    if doc % 2 == 0:
        return Owner.of_member(doc // 2)
    row = tables.row.c
    key = connection.execute(select(row.key).where(row.position == doc // 2)).scalar()
    return Owner.of_row(str(key))


def everybody(connection: Connection) -> Iterator[Owner]:
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


def read(connection: Connection, owners: Sequence[Owner]) -> dict[int, Facts | None]:
    """By number: the facts of the owners as the tables have them; None for who is gone."""
    members = [owner.member_id for owner in owners if owner.member_id is not None]
    rows = [owner.row_key for owner in owners if owner.row_key is not None]
    found: dict[int, Facts | None] = {doc_of(number): None for number in members}
    held = {}
    for position, key, decision, fields in ask(connection, _ROWS, rows):
        found[2 * position + 1] = None
        if decision == "hold":
            held[Owner.of_row(key)] = (2 * position + 1, loaded(fields))
    for (position,) in ask(connection, _ROWS_OF, members):
        found[2 * position + 1] = None
    known = people(connection, owners)
    handles: dict[int, list[str]] = {}
    for handle, number in ask(connection, _HANDLES, members):
        handles.setdefault(number, []).append(handle)
    for number, handle, email, phone, site, standing, joined, lines in ask(
        connection, _MEMBERS, members
    ):
        found[doc_of(number)] = facts_of.of(
            known.get(Owner.of_member(number), ()),
            site=site, standing=standing, joined=joined, emails=[email], phones=[phone],
            handles=[handle, *sorted(handles.get(number, ()))],
            last_line=(loaded(lines) or [""])[-1],
        )  # fmt: skip
    for name, (doc, fields) in held.items():
        found[doc] = facts_of.of(known.get(name, ()), site=fields.get("site", ""), standing="hold")
    return found


def people(connection: Connection, owners: Iterable[Owner]) -> dict[Owner, list[Person]]:
    """Everything by which each of the owners was ever known, oldest first."""
    found: dict[Owner, list[Person]] = {}
    for whose, joint, *texts in ask(connection, _PEOPLE, owners):
        owner = Owner(whose)
        said = dict(zip(spellings.TEXTS, texts, strict=True))
        found.setdefault(owner, []).append(Person(owner, **said, joint=tuple(loaded(joint))))
    return found


def _write(connection: Connection, changes: dict[int, tuple[Facts | None, Facts | None]]) -> None:
    """Write what is new and take out what is no more, table by table."""
    keys = {
        doc: tuple(keys_of.of(found) if found else NOTHING for found in change)
        for doc, change in changes.items()
    }
    numbers = Numbers(connection)
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

    def add(self, doc: int, found: Facts, keys: Keys, numbers: Numbers) -> None:
        self.places.update((numbers.place(word, found.site), doc) for word in keys.words)
        self.pairs.update((numbers.pair(*pair), doc) for pair in keys.pairs)
        for one in keys.written:
            self.written |= {(False, one, doc), (True, keys_of.turned(one), doc)}


class Numbers:
    """Words and sites as numbers; new ones are written down, words with their keys."""

    def __init__(self, connection: Connection, *, at_once: bool = True) -> None:
        self.connection = connection
        self.words: dict[str, int] = {}
        self.sites: dict[str, int] = {}
        self.at_once = at_once  # else the keys of new words wait for `write_near`
        self.fresh: dict[str, int] = {}

    def know(self, words: Collection[str], sites: Collection[str]) -> None:
        """Have the numbers of all these."""
        self._know(tables.index_site, SITE_IDS, self.sites, sites)
        self.fresh |= self._know(tables.index_word, WORD_IDS, self.words, words)
        if self.at_once:
            self.write_near()

    def write_near(self) -> None:
        """Write the keys under which the new words are found when they are misspelt."""
        near = sorted((key, n) for word, n in self.fresh.items() for key in keys_of.of_word(word))
        _insert(self.connection, tables.index_near, near)
        self.fresh = {}

    def _know(
        self, table: Table, question: str, known: dict[str, int], wanted: Collection[str]
    ) -> dict[str, int]:
        missing = [one for one in wanted if one not in known]
        known.update((one, number) for number, one in ask(self.connection, question, missing))
        new = sorted(one for one in missing if one not in known)
        if not new:
            return {}
        last = self.connection.execute(select(func.coalesce(func.max(table.c.id), 0))).scalar_one()
        fresh = {one: last + 1 + at for at, one in enumerate(new)}
        known.update(fresh)
        _insert(self.connection, table, ((number, one) for one, number in fresh.items()))
        return fresh

    def place(self, word: str, site: str) -> int:
        """The number of a word at a site (see `index_asked.place`); both must have numbers."""
        return place(self.words[word], self.sites[site])

    def pair(self, given: str, family: str) -> int:
        """The number of a given and a family name (see `index_asked.pair_of`); both must have numbers."""
        return pair_of(self.words[given], self.words[family])

    def place_if_known(self, word: str, site: str) -> int:
        """The same, of a word or a site that may have no number: 0 is none's."""
        return place(self.words.get(word, 0), self.sites.get(site, 0))

    def pair_if_known(self, given: str, family: str) -> int:
        """The same, of names that may have no number: 0 is nobody's."""
        return pair_of(self.words.get(given, 0), self.words.get(family, 0))


def _forget_words(connection: Connection, numbers: set[int]) -> None:
    """Take out the words that nobody has any more: a rare name is a fact about its bearer."""
    if not numbers:
        return
    gone = [(n, word) for n, word in ask(connection, _UNUSED, sorted(numbers), bits=SITES)]
    near = [(key, n) for n, word in gone for key in keys_of.of_word(word)]
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
    with cursor(connection, copying) as opened, opened.copy(copying) as copy:
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
        with cursor(connection, sql) as opened:
            if connection.dialect.positional:
                opened.executemany(sql, some)
            else:
                opened.executemany(sql, [dict(zip(names, line, strict=True)) for line in some])


@cache
def _insertion(table: Table, dialect: Dialect) -> tuple[str, tuple[str, ...]]:
    names = tuple(column.name for column in table.c)
    return str(table.insert().compile(dialect=dialect, column_keys=names)), names


@cache
def _deletion(table: Table, dialect: Dialect) -> tuple[str, tuple[str, ...]]:
    names = tuple(column.name for column in table.primary_key.columns)
    where = [table.c[name] == bindparam(name) for name in names]
    return str(delete(table).where(*where).compile(dialect=dialect)), names


def all_lines(connection: Connection, table: Table) -> Iterator[Any]:
    """Every line of a table, never all at once."""
    yield from connection.execute(select(table).execution_options(yield_per=20 * AT_ONCE))


def all_numbers(connection: Connection, column: Any) -> dict[str, int]:
    """The number of each value in the column."""
    return {line[0]: line[1] for line in connection.execute(select(column, column.table.c.id))}

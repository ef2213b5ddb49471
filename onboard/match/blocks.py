"""The pairs of a whole file that share a key.

The same keys as those of `keys`, but as numbers and a column at a time: of each kind the numbers
are sorted, so that people who share one stand side by side. Memory is 12 bytes a key and 8 bytes a
pair, and no block of a key is larger than `keys.CROWD` people.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from onboard.match import keys
from onboard.match.columns import Flags, Index
from onboard.match.texts import Numbers, Texts, mixed, texts

Keys: TypeAlias = tuple[Numbers, Index]  # of one kind: the numbers, and whose each is
Joint: TypeAlias = Mapping[int, tuple[str, ...]]  # person: the others of a joint sign-up

AT, SPACE = ord("@"), ord(" ")
# "o" is there twice, with the ZIP and with the city; "n" takes two names in any order.
KINDS = tuple("empinzyqahbufglsdxock")


@dataclass(frozen=True, slots=True)
class _Names:
    """Names with whose they are, sorted by person: somebody may have several, or none."""

    owners: Index
    whole: Numbers
    first: Numbers  # letter
    two: Numbers  # letters
    three: Numbers


def numbered(fields: Mapping[str, Texts], joint: Joint) -> dict[str, Keys]:
    """The keys of these people by kind, as numbers, sorted by person.

    64 bits: in a million people two keys fall together about once in a million files, and then
    two people are compared who share no key, which harms nobody.
    """
    size = len(fields["given"].numbers)
    known = {field: column.numbers != 0 for field, column in fields.items()}
    value = {field: column.numbers for field, column in fields.items()}
    given, family = _givens(fields, joint), _families(fields)
    found: dict[str, Keys] = {}

    def add(kind: str, who: Flags, *parts: Numbers) -> None:
        """A key for each of these people."""
        rows = np.flatnonzero(who).astype(np.int32)
        found[kind] = mixed(KINDS.index(kind) + 1, *(part[rows] for part in parts)), rows

    def add_named(kind: str, names: _Names, who: Flags, of: Numbers, *parts: Numbers) -> None:
        """A key for each name of these people; `of` is what of the name goes into it."""
        some = np.flatnonzero(who[names.owners])
        rows = names.owners[some]
        told = (part[rows] for part in parts)
        found[kind] = mixed(KINDS.index(kind) + 1, *told, of[some]), rows

    email, local, long = _mailboxes(fields["email"])
    add("e", email, value["email"])
    add("m", email & long, local)
    add("p", known["phone"], value["phone"])
    add("i", known["personal"], value["personal"])

    zip5, number, street, unit = (value[f] for f in ("zip5", "number", "street", "unit"))
    has_zip, has_number, has_street = (known[f] for f in ("zip5", "number", "street"))
    at_home = has_number & has_street
    add_named("a", given, at_home, given.first, number, street)
    add_named("h", given, has_number & has_zip, given.first, number, zip5)
    add_named("f", family, has_number & has_zip, family.two, number, zip5)
    add_named("g", family, at_home, family.two, number, street)
    add_named("s", family, has_street & has_zip, family.two, street, zip5)
    near = np.where(known["unit"], unit, zip5)
    add("l", at_home & (near != 0), number, street, near)

    here, there = _both(given.owners, family.owners, size)
    owners = given.owners[here]
    names = _Names(owners, *(given_part[here] for given_part in (
        given.whole, given.first, given.two, given.three)))  # fmt: skip
    other = _Names(owners, *(family_part[there] for family_part in (
        family.whole, family.first, family.two, family.three)))  # fmt: skip
    low, high = np.minimum(names.whole, other.whole), np.maximum(names.whole, other.whole)
    everybody = np.ones(size, np.bool_)
    add_named("n", names, everybody, mixed(low, high))
    add_named("z", names, has_zip, mixed(names.first, other.whole), zip5)

    born = known["born"]
    if not born.any():
        return found
    date, pieces = value["born"], fields["born"].pieces()
    year, month, day = pieces.first(4), pieces.first(7), pieces.after(5)
    start = mixed(names.two, other.two)
    add_named("y", names, born, start, year)
    add_named("q", names, born, start, day)
    add_named("b", given, born, given.first, date)
    add_named("u", given, born, given.whole, month)
    add_named("d", family, born, family.three, date)
    add_named("x", family, born, family.whole, month)
    add("o", born & has_zip, date, zip5)
    add("c", born & known["city"], date, fields["city"].pieces().first(4))
    add("k", born & at_home, year, number, street)
    return found


def _mailboxes(email: Texts) -> tuple[Flags, Numbers, Flags]:
    """Who has a mailbox, the number of its local part, and whether that is long enough to tell."""
    pieces = email.pieces()
    if not len(email.letters):
        nobody = np.zeros(len(email.ends), np.bool_)
        return nobody, email.numbers, nobody
    signs = np.concatenate([[-1], np.flatnonzero(email.letters == AT)])
    last = signs[np.searchsorted(signs, email.ends) - 1]
    local = np.maximum(last, pieces.starts)
    following = np.cumsum(np.concatenate([[0], (email.letters & 0xC0) == 0x80]))  # of a character
    length = (local - following[local]) - (pieces.starts - following[pieces.starts])
    return email.numbers != 0, pieces.between(pieces.starts, local), length >= 7


def _givens(fields: Mapping[str, Texts], joint: Joint) -> _Names:
    """What somebody is called, and the given names of those who signed up with them."""
    more: list[tuple[int, str]] = []
    for row, others in joint.items():
        more += [(row, other) for other in others]
    called = np.flatnonzero(fields["called"].numbers)
    more += zip(called.tolist(), fields["called"].at(called), strict=True)
    return _names(fields["given"], np.ones(len(fields["given"].ends), np.bool_), more)


def _families(fields: Mapping[str, Texts]) -> _Names:
    """Each part of a family name, and of a former one."""
    family, former = fields["family"], fields["former"]
    alone = np.ones(len(family.ends), np.bool_)
    alone[np.searchsorted(family.ends, np.flatnonzero(family.letters == SPACE), "right")] = False
    more: list[tuple[int, str]] = []
    for name, rows in ((family, np.flatnonzero(~alone)), (former, np.flatnonzero(former.numbers))):
        for row, text in zip(rows.tolist(), name.at(rows), strict=True):
            more += [(row, part) for part in text.split(" ")]
    return _names(family, alone, more)


def _names(base: Texts, those: Flags, more: Sequence[tuple[int, str]]) -> _Names:
    """The names of the base column for those people, and more names with whose they are."""
    rows = np.flatnonzero(those & (base.numbers != 0)).astype(np.int32)
    more = [(row, name) for row, name in more if name]
    pieces, others = base.pieces(), texts([name for _, name in more])
    other_pieces = others.pieces()
    owners = np.concatenate([rows, np.array([row for row, _ in more], np.int32)])
    order = np.argsort(owners, kind="stable")
    columns = [(base.numbers, others.numbers)]
    columns += [(pieces.first(count), other_pieces.first(count)) for count in (1, 2, 3)]
    return _Names(
        owners[order], *(np.concatenate([mine[rows], theirs])[order] for mine, theirs in columns)
    )


def _both(left: Index, right: Index, size: int) -> tuple[Index, Index]:
    """Each place in `left` with each in `right` that has the same owner; both are sorted."""
    counts = np.bincount(right, minlength=size)
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]])[:size]
    times = counts[left] if len(left) else np.empty(0, np.int64)
    here = np.repeat(np.arange(len(left)), times)
    first = np.repeat(np.concatenate([[0], np.cumsum(times)[:-1]])[: len(left)], times)
    there = np.repeat(starts[left], times) + np.arange(len(here)) - first if len(left) else here
    return here.astype(np.int32), there.astype(np.int32)


def pairs(found: Mapping[str, Keys], size: int, part: int = 0, parts: int = 1) -> NDArray[np.int64]:
    """Each pair of the `size` people who share a key, once and in order: earlier * size + later.

    With `parts`, only those who share one of the keys of this part; a pair may be in several.
    """
    distinct = [np.empty(0, np.int64)]
    for numbers, owners in found.values():
        if parts > 1:
            some = numbers % np.uint64(parts) == part
            numbers, owners = numbers[some], owners[some]
        shared = [np.empty(0, np.int64), *_sharing(numbers, owners, size)]
        distinct.append(np.unique(np.concatenate(shared)))
    return np.unique(np.concatenate(distinct))


def _sharing(numbers: Numbers, owners: Index, size: int) -> Iterator[NDArray[np.int64]]:
    """The pairs who share a key of one kind; some come more than once."""
    order = np.argsort(numbers, kind="stable")  # and so by owner within a key
    number, owner = numbers[order], owners[order]
    if not len(number):
        return
    first = np.concatenate([[True], number[1:] != number[:-1]])
    again = ~first & np.concatenate([[False], owner[1:] == owner[:-1]])  # by two of their names
    number, owner, first = number[~again], owner[~again], first[~again]
    starts = np.flatnonzero(first)
    lengths = np.diff(np.concatenate([starts, [len(number)]]))
    for length in np.unique(lengths[(lengths > 1) & (lengths <= keys.CROWD)]):
        block = owner[starts[lengths == length][:, None] + np.arange(length)].astype(np.int64)
        left, right = np.triu_indices(length, 1)
        for some in np.array_split(np.arange(len(left)), 1 + len(left) * len(block) // 1_000_000):
            yield (block[:, left[some]] * size + block[:, right[some]]).ravel()

"""The pairs of a whole file that share a key.

By the rules of `keys`, but in numbers and a column at a time: of each kind the numbers are sorted,
so that people who share one stand side by side. Memory is 12 bytes a key and 8 bytes a
pair, and no block of a key is larger than `keys.CROWD` people.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from onboard.match import keys
from onboard.match.columns import Flags, Index
from onboard.match.texts import Numbers, Texts, below, cut_out, joined, mixed, texts

Keys: TypeAlias = tuple[Numbers, Index]  # of one kind: the numbers, and whose each is
Joint: TypeAlias = Mapping[int, tuple[str, ...]]  # person: the others of a joint sign-up

AT, SPACE = ord("@"), ord(" ")


@dataclass(frozen=True, slots=True)
class _Names:
    """Names with whose they are, sorted by person: somebody may have several, or none."""

    owners: Index
    pieces: Mapping[str, Numbers]
    written: Texts
    places: Index  # in `written`


def numbered(fields: Mapping[str, Texts], joint: Joint) -> dict[int, Keys]:
    """The keys of these people as numbers, sorted by person, by the place of their rule in `RULES`.

    64 bits: in a million people two keys fall together about once in a million files, and then
    two people are compared who share no key, which harms nobody.
    """
    size = len(fields["given"].numbers)
    said = _said(fields)
    given, family = _givens(fields, joint), _families(fields)
    both = _both(given, family, size)
    names = {
        "given": given,
        "family": family,
        "both": both,
        "letters": _letters(both, fields["email"]),
    }
    found: dict[int, Keys] = {}
    for at, (_, pieces) in enumerate(keys.RULES):
        plain = [said[piece] for piece in pieces if piece in said]
        who = np.ones(size, np.bool_)
        for known, _ in plain:
            who &= known
        if not who.any():
            continue
        named = names.get(keys.named(pieces))
        some = np.flatnonzero(who if named is None else who[named.owners])
        rows = some.astype(np.int32) if named is None else named.owners[some]
        parts = [numbers[rows] for _, numbers in plain]
        if named is not None:
            parts += [named.pieces[piece][some] for piece in pieces if piece not in said]
        found[at] = mixed(*parts), rows
    return found


def _said(fields: Mapping[str, Texts]) -> dict[str, tuple[Flags, Numbers]]:
    """The pieces that people have one of: who has one, and its numbers."""
    said: dict[str, tuple[Flags, Numbers]] = {}
    for field in keys.WHOLE:
        known = fields[field].numbers != 0
        said[field] = known, fields[field].numbers
        if field in keys.CUTS:
            said |= {piece: (known, part) for piece, part in _cuts(field, fields[field]).items()}
    said["local"] = _locals(fields["email"])
    unit, zip5 = fields["unit"].numbers, fields["zip5"].numbers
    near = np.where(unit != 0, unit, zip5)
    said["near"] = near != 0, near
    return said


def _cuts(field: str, written: Texts) -> dict[str, Numbers]:
    """The field and the pieces that are cut from it, as numbers."""
    pieces = written.pieces()
    cuts = {piece: pieces.cut(cut) for piece, cut in keys.CUTS[field].items()}
    return {field: written.numbers, **cuts}


def _locals(email: Texts) -> tuple[Flags, Numbers]:
    """Whose mailbox has a local part that is long enough to tell, and the numbers of these."""
    if not len(email.letters):
        return np.zeros(len(email.ends), np.bool_), email.numbers
    pieces, end = email.pieces(), _local_ends(email)
    following = np.cumsum(np.concatenate([[0], (email.letters & 0xC0) == 0x80]))  # of a character
    length = (end - following[end]) - (pieces.starts - following[pieces.starts])
    return length >= keys.LONG, pieces.between(pieces.starts, end)


def _local_ends(email: Texts) -> NDArray[np.int64]:
    """Where in the letters the local part of each mailbox ends."""
    signs = np.concatenate([[-1], np.flatnonzero(email.letters == AT)])
    last = signs[np.searchsorted(signs, email.ends) - 1]
    return np.asarray(np.maximum(last, email.starts()))


def _givens(fields: Mapping[str, Texts], joint: Joint) -> _Names:
    """What somebody is called, and the given names of those who signed up with them."""
    more: list[tuple[int, str]] = []
    for row, others in joint.items():
        more += [(row, other) for other in others]
    called = np.flatnonzero(fields["called"].numbers)
    more += zip(called.tolist(), fields["called"].at(called), strict=True)
    return _names("given", fields["given"], np.ones(len(fields["given"].ends), np.bool_), more)


def _families(fields: Mapping[str, Texts]) -> _Names:
    """Each part of a family name, and of a former one."""
    family, former = fields["family"], fields["former"]
    alone = np.ones(len(family.ends), np.bool_)
    alone[np.searchsorted(family.ends, np.flatnonzero(family.letters == SPACE), "right")] = False
    more: list[tuple[int, str]] = []
    for name, rows in ((family, np.flatnonzero(~alone)), (former, np.flatnonzero(former.numbers))):
        for row, text in zip(rows.tolist(), name.at(rows), strict=True):
            more += [(row, part) for part in text.split(" ")]
    return _names("family", family, alone, more)


def _names(field: str, base: Texts, those: Flags, more: Sequence[tuple[int, str]]) -> _Names:
    """The names of the base column for those people, and more names with whose they are."""
    rows = np.flatnonzero(those & (base.numbers != 0)).astype(np.int32)
    more = [(row, name) for row, name in more if name]
    others = texts([name for _, name in more])
    owners = np.concatenate([rows, np.array([row for row, _ in more], np.int32)])
    order = np.argsort(owners, kind="stable")
    places = np.concatenate([rows, len(base.ends) + np.arange(len(more), dtype=np.int32)])[order]
    mine, theirs = _cuts(field, base), _cuts(field, others)
    pieces = {piece: np.concatenate([mine[piece], theirs[piece]])[places] for piece in mine}
    return _Names(owners[order], pieces, below(base, others), places)


def _both(given: _Names, family: _Names, size: int) -> _Names:
    """Each given name of each person beside each part of their family name; written in one."""
    here, there = _same_owner(given.owners, family.owners, size)
    pieces = {piece: numbers[here] for piece, numbers in given.pieces.items()}
    pieces |= {piece: numbers[there] for piece, numbers in family.pieces.items()}
    one, other = pieces["given"], pieces["family"]
    pieces["names"] = mixed(np.minimum(one, other), np.maximum(one, other))
    written = joined(given.written, given.places[here], family.written, family.places[there])
    return _Names(given.owners[here], pieces, written, np.arange(len(here), dtype=np.int32))


def _letters(both: _Names, email: Texts) -> _Names:
    """The letters of the whole names, and of the mailboxes, of those that have enough of them."""
    letter = (email.letters >= ord("a")) & (email.letters <= ord("z"))
    before = np.concatenate([np.zeros(1, np.int64), np.cumsum(letter)])
    local = cut_out(email.letters[letter], before[email.starts()], before[_local_ends(email)])
    written = below(both.written, local)
    owners = np.concatenate([both.owners, np.arange(len(email.ends), dtype=np.int32)])
    long = np.flatnonzero(written.ends - written.starts() >= keys.MANY_LETTERS)
    places = long[np.argsort(owners[long], kind="stable")].astype(np.int32)
    return _Names(owners[places], {"letters": written.numbers[places]}, written, places)


def _same_owner(left: Index, right: Index, size: int) -> tuple[Index, Index]:
    """Each place in `left` with each in `right` that has the same owner; both are sorted."""
    counts = np.bincount(right, minlength=size)
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]])[:size]
    times = counts[left] if len(left) else np.empty(0, np.int64)
    here = np.repeat(np.arange(len(left)), times)
    first = np.repeat(np.concatenate([[0], np.cumsum(times)[:-1]])[: len(left)], times)
    there = np.repeat(starts[left], times) + np.arange(len(here)) - first if len(left) else here
    return here.astype(np.int32), there.astype(np.int32)


def pairs(
    found: Mapping[int, Keys], size: int, places: NDArray[np.int64] | None = None,
    progress: Callable[[float], None] = lambda share: None,
) -> NDArray[np.int64]:  # fmt: skip
    """Each pair of the `size` people who share a key, once and in order: earlier * size + later.

    Whoever is n is counted as `places[n]` where places are given. `progress` is told the share of the work that
    each step was.
    """
    distinct = np.empty(0, np.int64)
    more: list[NDArray[np.int64]] = []
    for numbers, owners in found.values():
        more.append(
            _once(list(_sharing(numbers, owners if places is None else places[owners], size)))
        )
        if sum(map(len, more)) > len(distinct):  # a few times at most, however many there are
            distinct, more = _once([distinct, *more]), []
        progress(1 / len(found))
    return _once([distinct, *more]) if more else distinct


def _once(some: Sequence[NDArray[np.int64]]) -> NDArray[np.int64]:
    """The values of all these in order, each once."""
    every = np.concatenate([np.empty(0, np.int64), *some])
    every.sort()
    return np.asarray(every[begins(every)])


def begins(values: NDArray[np.generic]) -> Flags:
    """Which of the sorted values is not the one before it."""
    return np.concatenate([np.ones(min(len(values), 1), np.bool_), values[1:] != values[:-1]])


def _sharing(
    numbers: Numbers, owners: NDArray[np.integer], size: int
) -> Iterator[NDArray[np.int64]]:
    """The pairs who share a key of one kind; some come more than once."""
    order = np.argsort(numbers)
    number = numbers[order]
    first = begins(number)
    shared = ~first
    shared[:-1] |= ~first[1:]
    group = np.cumsum(first[shared])
    # By key and owner; somebody may have a key by two of their names.
    both = _once([group * max(size, 1) + owners[order[shared]]])
    group, owner = np.divmod(both, max(size, 1))
    starts = np.flatnonzero(begins(group))
    lengths = np.diff(np.concatenate([starts, [len(group)]]))
    for length in np.unique(lengths[(lengths > 1) & (lengths <= keys.CROWD)]):
        block = owner[starts[lengths == length][:, None] + np.arange(length)]
        left, right = np.triu_indices(length, 1)
        for some in np.array_split(np.arange(len(left)), 1 + len(left) * len(block) // 1_000_000):
            yield (block[:, left[some]] * size + block[:, right[some]]).ravel()

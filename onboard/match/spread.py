"""Everybody of a file whose parts lie on many machines: what each machine does, and what goes between them.

A part has its rows and knows the number of its first. What goes from part to part are tables of Arrow, of
numbers and of folded letters; `home` says to which part a line of a table goes:

    folded part → keys → (by key) pairs → (by later row) with its fields → (by earlier row) judged

So a pair that shares several keys comes together again at its later row, and is judged once. A part is cut into
ranges of rows, by how many bytes their pairs will take, which is counted before they go; so no machine needs to hold more
than a part, and a block of pairs. Keys of crowds are cut at each part to as many rows as show that it is one, so no
key can fill a machine.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from onboard.match import blocks, frequencies, given_names, keys, many
from onboard.match.columns import Index
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.judged import Judged
from onboard.match.texts import Numbers, Texts, below, cut_out, mixed, texts
from onboard.match.weights import Weights

# Memory of a worker is bounded by these. Of pairs that share keys, so many are made at a time (some 100 MB);
PAIRS_AT_ONCE = 1_000_000
# what is compared at a time has so many bytes, and with what is made of it some 300 MB;
BLOCK = 32 << 20
CELL = 64  # and it is cut between so many rows.

# By field: how often a value comes, and the values that tell nobody from anybody.
NAMES = ("given", "family")
COUNTED = (*NAMES, "zip5", "city")
PERSONAL = next(at for at, (_, pieces) in enumerate(keys.RULES) if pieces == ("personal",))
JOINT = "joint"  # the given names of a joint sign-up, divided by spaces, which folded names have none of

KEYS = pa.schema(
    [("home", pa.int32()), ("key", pa.uint64()), ("rule", pa.int8()), ("row", pa.int32())]
)
PAIRS = pa.schema([("home", pa.int32()), ("here", pa.int32()), ("there", pa.int32())])
GUESTS = pa.schema([*PAIRS, *((field, pa.large_binary()) for field in (*many.FIELDS, JOINT))])


@dataclass(frozen=True, slots=True)
class Counts:
    """How many rows have each value of a field, by the number of its text."""

    size: int  # rows
    of: Mapping[str, tuple[Numbers, NDArray[np.int64]]] = field(repr=False)


def counts(part: many.Folded) -> Counts:
    """How often each value comes in a part."""
    return Counts(
        part.size,
        {name: np.unique(part.fields[name].numbers, return_counts=True) for name in COUNTED},
    )


def summed(some: Sequence[Counts]) -> Counts:
    """How often each value comes in all of them."""
    found = {}
    for name in COUNTED:
        numbers, at = np.unique(
            np.concatenate([one.of[name][0] for one in some]), return_inverse=True
        )
        times = np.zeros(len(numbers), np.int64)
        np.add.at(times, at, np.concatenate([one.of[name][1] for one in some]))
        found[name] = numbers, times
    return Counts(sum(one.size for one in some), found)


def keys_of(part: many.Folded, first: int, buckets: int) -> pa.Table:
    """The keys of a part's rows, of which the first has this number, each to one of so many buckets."""
    enough = max(keys.CROWD, many.MOST_ROWS) + 1
    tables = [KEYS.empty_table()]
    for rule, (numbers, owners) in part.keys.items():
        order = np.lexsort((owners, numbers))
        numbers, owners = numbers[order], owners[order]
        new = blocks.begins(numbers)
        once = new | blocks.begins(owners)
        numbers, owners, new = numbers[once], owners[once], new[once]
        starts = np.flatnonzero(new)
        nth = np.arange(len(numbers)) - np.repeat(starts, np.diff([*starts, len(numbers)]))
        few = nth < enough
        tables.append(_table(KEYS, {
            "home": mixed(numbers[few], rule) % np.uint64(buckets), "key": numbers[few],
            "rule": np.full(int(few.sum()), rule), "row": owners[few] + np.int64(first),
        }))  # fmt: skip
    return pa.concat_tables(tables)


def pieces_of(bucket: pa.Table) -> int:
    """In how many pieces the pairs of a bucket are made, at least one."""
    return int(_pieces(bucket)[1].max(initial=0)) + 1


def _pieces(bucket: pa.Table) -> tuple[NDArray[np.intp], NDArray[np.int64]]:
    """The lines of a bucket by rule, key and row, and in which piece each is: the rows of one key are together,
    and no piece has more than `PAIRS_AT_ONCE` pairs, and those of one key more."""
    rule, key = (_array(bucket, name) for name in ("rule", "key"))
    order = np.lexsort((_array(bucket, "row"), key, rule))
    starts = np.flatnonzero(blocks.begins(rule[order]) | blocks.begins(key[order]))
    lengths = np.diff([*starts, len(order)])
    met = np.where(lengths <= keys.CROWD, lengths * (lengths - 1) // 2, 0)
    return order, np.repeat((np.cumsum(met) - met) // PAIRS_AT_ONCE, lengths)


def pairs_of(bucket: pa.Table, size: int, piece: int) -> pa.Table:
    """The pairs of the `size` rows that share a key of this piece of a bucket; they have no homes yet."""
    order, pieces = _pieces(bucket)
    some = order[pieces == piece]
    rule, key, row = (_array(bucket, name)[some] for name in ("rule", "key", "row"))
    found = {one: (key[rule == one], row[rule == one]) for one in np.unique(rule).tolist()}
    here, there = np.divmod(blocks.pairs(found, size), max(size, 1))
    return _table(PAIRS, {"home": np.zeros(len(here)), "here": here, "there": there})


def at_home(pairs: pa.Table, starts: NDArray[np.int64]) -> pa.Table:
    """The pairs, each to the range of its later row; `starts` are the first rows of the ranges."""
    return pairs.set_column(
        0, PAIRS.field("home"), pa.array(home(_array(pairs, "there"), starts).astype(np.int32))
    )


def fillers(bucket: pa.Table) -> Numbers:
    """The keys of a bucket of personal numbers that too many rows give."""
    numbers, times = np.unique(
        _array(bucket, "key")[_array(bucket, "rule") == PERSONAL], return_counts=True
    )
    return np.asarray(numbers[times > many.MOST_ROWS])


def guests(pairs: pa.Table, part: many.Folded, first: int, starts: NDArray[np.int64]) -> pa.Table:
    """The pairs whose later row is in this part, once each, with its fields, to the range of the earlier one."""
    here, there = _once(pairs)
    columns = {"home": home(here, starts), "here": here, "there": there}
    return _table(GUESTS, columns | records(part, there - first))


def _once(pairs: pa.Table) -> tuple[Index, Index]:
    """Pairs that may come several times, once each and in order."""
    both = np.stack([_array(pairs, "here"), _array(pairs, "there")], axis=1)
    here, there = np.unique(both, axis=0).T
    return here, there


def records(part: many.Folded, rows: NDArray[np.integer]) -> dict[str, pa.Array]:
    """The fields of these rows of a part, counted from 0, as columns."""
    found = {}
    for name, written in part.fields.items():
        some = cut_out(written.letters, written.starts()[rows], written.ends[rows])
        found[name] = _as_arrow(some)
    joint = (
        [" ".join(part.joint.get(row, ())) for row in rows.tolist()]
        if part.joint
        else [""] * len(rows)
    )
    found[JOINT] = _as_arrow(texts(joint))
    return found


def folded_of(records: pa.Table) -> many.Folded:
    """People out of the columns of `records`; they have no keys."""
    fields = {name: _as_texts(records.column(name)) for name in many.FIELDS}
    joint = _as_texts(records.column(JOINT))
    some = np.flatnonzero(joint.ends - joint.starts())
    names = zip(some.tolist(), joint.at(some), strict=True)
    return many.Folded(fields, {row: tuple(text.split(" ")) for row, text in names}, {})


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of all rows together, and what is given from outside."""

    counts: Counts
    fillers: Numbers = field(repr=False)
    shares: Frequencies | None = field(repr=False, default=None)
    shorts: ShortForms | None = field(repr=False, default=None)


def known(
    counts: Counts,
    fillers: Sequence[Numbers],
    shares: Frequencies | None,
    shorts: ShortForms | None,
) -> Known:
    """All that is known, once every part has counted and every bucket has told its fillers."""
    return Known(counts, np.concatenate([np.empty(0, np.uint64), *fillers]), shares, shorts)


def everybody(people: many.Folded, known: Known) -> many.Everybody:
    """These people, ready to be judged by what is known of all."""
    bearers = [times[numbers != 0] for numbers, times in map(known.counts.of.__getitem__, NAMES)]
    given, family = (_counted(people, name, known.counts) for name in NAMES)
    shares = frequencies.among(given, family, known.shares, [int(one.sum()) for one in bearers])
    untold = {
        name: many.of_most(*known.counts.of[name], known.counts.size) for name in ("zip5", "city")
    }
    numbers = np.unique(people.fields["personal"].numbers)
    untold["personal"] = numbers[np.isin(mixed(numbers), known.fillers)]
    return many.Everybody(
        people.size, people.fields, people.joint, {}, shares,
        known.shorts or given_names.shipped(), untold,
    )  # fmt: skip


def judged(
    guests: pa.Table, part: many.Folded, first: int, known: Known, least: float, worth: Weights
) -> Judged:
    """The pairs whose earlier row is in this part, judged."""
    visiting = folded_of(guests)
    fields = {name: below(written, visiting.fields[name]) for name, written in part.fields.items()}
    joint = {**part.joint, **{row + part.size: names for row, names in visiting.joint.items()}}
    here = _array(guests, "here")
    found = Judged.of(
        everybody(many.Folded(fields, joint, {}), known),
        (here - first).astype(np.int32),
        np.arange(part.size, part.size + visiting.size, dtype=np.int32),
        least, worth,
    )  # fmt: skip
    return Judged(here, _array(guests, "there"), found.confidence, found.same, found.against,
                  found.told, found.levels)  # fmt: skip


def wanted(found: Judged, rows: Sequence[Index], heads: Sequence[Index]) -> Judged:
    """Those of `Judged.wanted`, by rows and heads in pieces."""
    return found.wanted(*(np.concatenate([np.empty(0, np.int32), *some]) for some in (rows, heads)))


# --------------------------------------------------------------------------------- ranges


def home(rows: NDArray[np.integer], firsts: NDArray[np.int64]) -> NDArray[np.int64]:
    """The part, or the range, of each row: the last one that does not begin behind it."""
    return np.asarray(np.searchsorted(firsts, rows, "right") - 1)


def cells(firsts: NDArray[np.int64], sizes: Sequence[int]) -> NDArray[np.int64]:
    """The first rows of cells of a few rows, none of which is in two parts."""
    some = [np.arange(first, first + size, CELL) for first, size in zip(firsts, sizes, strict=True)]
    return np.concatenate([np.empty(0, np.int64), *some])


def heaviest(part: many.Folded) -> NDArray[np.int64]:
    """How many bytes a pair takes, at the most, whose later row is in this part, for each of its cells."""
    weights = _weights(part)
    return np.maximum.reduceat(weights, np.arange(0, part.size, CELL)) if part.size else weights


def _weights(part: many.Folded) -> NDArray[np.int64]:
    """How many bytes a line of `GUESTS` takes with each of these rows."""
    found = np.full(part.size, 3 * 4 + 8 * (len(many.FIELDS) + 1), np.int64)
    for written in part.fields.values():
        found += written.ends - written.starts()
    for row, names in part.joint.items():
        found[row] += len(" ".join(names).encode())
    return found


def met(pairs: pa.Table, cells: NDArray[np.int64]) -> NDArray[np.int64]:
    """How many of these pairs have their later row in each cell."""
    return np.bincount(home(_array(pairs, "there"), cells), minlength=len(cells))


def meeting(
    pairs: pa.Table, part: many.Folded, first: int, cells: NDArray[np.int64]
) -> NDArray[np.int64]:
    """How many bytes `guests` takes of each cell of the earlier rows."""
    here, there = _once(pairs)
    weights = _weights(part)[there - first]
    return np.bincount(home(here, cells), weights, len(cells)).astype(np.int64)


def added(some: Sequence[NDArray[np.int64]]) -> NDArray[np.int64]:
    """The sums of all these, of which there is at least one."""
    return np.asarray(np.sum(some, axis=0))


def ranges(
    cells: NDArray[np.int64], firsts: NDArray[np.int64], weights: NDArray[np.int64], most: int
) -> NDArray[np.int64]:
    """The first rows of ranges of whole cells, each within one part and of no more weight than `most`, if no
    cell by itself has more.

    >>> ranges(np.array([0, 64, 100, 164]), np.array([0, 100]), np.array([5, 1, 3, 4]), 6).tolist()
    [0, 100, 164]
    """
    starts, together = [], 0
    begins = np.isin(cells, firsts).tolist()
    for row, begin, weight in zip(cells.tolist(), begins, weights.tolist(), strict=True):
        if begin or together + weight > most:
            starts.append(row)
            together = 0
        together += weight
    return np.array(starts or [0], np.int64)


# --------------------------------------------------------------------------------- arrays


def _counted(people: many.Folded, name: str, known: Counts) -> dict[str, int]:
    """How many of all bear each name that these people bear."""
    numbers, times = known.of[name]
    found: dict[str, int] = {}
    for column in {"given": ("given", "called"), "family": ("family", "former")}[name]:
        written = people.fields[column]
        mine, first = np.unique(written.numbers, return_index=True)
        at = np.minimum(np.searchsorted(numbers, mine), max(len(numbers) - 1, 0))
        there = (numbers[at] == mine) if len(numbers) else np.zeros(len(mine), np.bool_)
        found |= zip(written.at(first[there]), times[at[there]].tolist(), strict=True)
    found.pop("", None)
    return found


def _table(schema: pa.Schema, columns: Mapping[str, object]) -> pa.Table:
    return pa.table(
        [
            column if isinstance(column, pa.Array) else pa.array(np.asarray(column).astype(one.type.to_pandas_dtype()))
            for one, column in ((one, columns[one.name]) for one in schema)
        ],
        schema=schema,
    )  # fmt: skip


def _array(table: pa.Table, name: str) -> NDArray[Any]:
    return np.asarray(table.column(name).to_numpy())


def _as_arrow(written: Texts) -> pa.Array:
    offsets = np.concatenate([np.zeros(1, np.int64), written.ends])
    buffers = [None, pa.py_buffer(offsets), pa.py_buffer(np.ascontiguousarray(written.letters))]
    return pa.Array.from_buffers(pa.large_binary(), len(written.ends), buffers)


def _as_texts(column: pa.ChunkedArray) -> Texts:
    some = column.combine_chunks() if column.num_chunks != 1 else column.chunk(0)
    size = len(some)
    _, offsets, letters = some.buffers()
    ends = (
        np.frombuffer(offsets, np.int64)[some.offset : some.offset + size + 1]
        if size
        else np.zeros(1, np.int64)
    )
    every = np.frombuffer(letters, np.uint8) if letters else np.empty(0, np.uint8)
    return cut_out(every, ends[:-1], ends[1:])

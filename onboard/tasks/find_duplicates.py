"""Who is in a file twice: any spreadsheet of people to pairs with their evidence, and to groups.

The rows are folded, not cleaned: cleaning a row takes thirty times as long, and what it mends in
plain columns, folding mends as well for this purpose. Only a column that holds a whole name or a
whole address is taken apart by its field rule.
"""

from __future__ import annotations

import os
import re
from collections import Counter, deque
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future
from contextlib import nullcontext
from dataclasses import dataclass
from itertools import chain, combinations, islice
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from onboard.clean import address, name
from onboard.errors import FileTrouble
from onboard.guard import unguard
from onboard.intake import Sheet
from onboard.intake.sheet import tables_of
from onboard.intake.table import Line
from onboard.match import folds, given_names, groups, many, weights
from onboard.match.columns import Flags, Index
from onboard.match.evidence import CHANCE, IN_DOUBT
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.groups import Group, Tie
from onboard.match.levels import FIELDS
from onboard.match.weights import Weights
from onboard.model import Verdict
from onboard.tasks.helpers import start_helpers
from onboard.tasks.spill import Spill

# Rows folded at a time, in one process.
PART = 10_000
# What a list must be, for who gives another.
PAIRS = "a list of pairs that this command wrote"
GROUPS = "a list of groups that this command wrote"
NAMES = "a list with these headings, and a name a line"
SHORT_FORMS = "a list with these headings, and a name and a short form of it a line"
PLAIN_NUMBER = re.compile(r"[0-9]{1,12}(\.[0-9]{1,12})?", re.ASCII)
# Where more rows than this hang together, those who share no key are not compared either.
LARGEST = 100


@dataclass(frozen=True, slots=True)
class Pair:
    """Two rows that are or may be one person."""

    one: str  # their ids
    other: str
    confidence: float
    verdict: Verdict
    evidence: str  # in words; the bits are for (+) or against (-) their being one
    weight: float  # bits, the sum of the evidence
    ruling: str = ""  # what a person said of them: "same", "different"


@dataclass(frozen=True, slots=True)
class Duplicates:
    """What was found in a file."""

    ids: Sequence[str]  # of all rows
    pairs: Sequence[Pair]  # the surest first
    groups: Sequence[Group]
    compared: int  # pairs
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Rulings:
    """What a person has said of pairs of ids."""

    same: Collection[tuple[str, str]] = ()
    apart: Collection[tuple[str, str]] = ()

    def __len__(self) -> int:
        return len(self.same) + len(self.apart)

    def of(self, ids: Sequence[str]) -> tuple[Index, Index, Flags]:
        """The places of the pairs of which both are there, and which are one person."""
        place = {one: at for at, one in enumerate(ids)}
        pairs = dict.fromkeys(self.same, True) | dict.fromkeys(self.apart, False)
        there = [
            (place[a], place[b], one) for (a, b), one in pairs.items() if {a, b} <= place.keys()
        ]
        here = np.array([(min(a, b), max(a, b)) for a, b, _ in there], np.int32).reshape(-1, 2)
        return here[:, 0], here[:, 1], np.array([one for _, _, one in there], np.bool_)


def find_duplicates(
    sheet: Sheet,
    *,
    processes: int = 1,
    least: float = IN_DOUBT,
    tied: float = groups.TIED,
    chains: bool = True,
    rulings: Rulings = Rulings(),
    learn: bool = False,
    keep: Collection[Group] = (),
    names: Frequencies | None = None,
    short_forms: ShortForms | None = None,
    spill: Path | None = None,
    progress: Callable[[int], None] = lambda rows: None,
) -> Duplicates:
    """The pairs and groups of rows that are or may be one person.

    Pairs of less confidence than `least` are left out; of `tied` and more hold groups together,
    without `chains` only where every two of a group are. Rulings always win; with `learn` they
    weigh on other pairs of the same kind as well. Groups found before (`keep`) stay together under
    their names, and rows join them. How common names are is counted in the file, smoothed by
    `names` (`read_names`), the Census unless given; which are short for which is what
    `short_forms` say (`read_short_forms`), as shipped unless given. `processes` is how many work
    at once, 0 is one a processor; what is found does not depend on it. A program that wants more
    than one keeps what it runs behind `if __name__ == "__main__":`, as each of them loads it anew.
    With `spill`, a folder, what is known of the rows lies in files there meanwhile. Raises
    `FileTrouble` if the file cannot be read to its end.
    """
    layout = tuple((c.place, c.field) for c in sheet.columns.columns if c.field in TELLING)
    ids: list[str] = []

    def parts() -> Iterator[many.Folded]:
        for some, part in _folded(_lines(sheet), layout, processes or os.cpu_count() or 1):
            ids.extend(some)
            progress(len(some))
            yield part

    with Spill(spill) if spill else nullcontext() as piles:
        everybody = many.together(parts(), piles, names, short_forms)
        ids, notes = _unlike(ids)
        worth = weights.shipped()
        if learn:
            worth, note = _learned(everybody, rulings, ids)
            notes = (*notes, note)
        here, there = everybody.alike()
        found = _Found.of(everybody, here, there, least, worth)
        more = _Found.of(everybody, *_never_compared(found, len(ids), tied), least, worth)
    rows = np.zeros(len(ids), np.bool_)
    rows[found.here[found.tied(tied)]] = rows[found.there[found.tied(tied)]] = True
    ties = chain(found.ties(rows, ids, tied), more.ties(rows, ids, tied))
    named = {one for pair in chain(rulings.same, rulings.apart) for one in pair}
    named |= {member for group in keep for member in group.members}
    concerned = [
        one for one, tied_too in zip(ids, rows.tolist(), strict=True) if tied_too or one in named
    ]
    return Duplicates(
        ids,
        found.pairs(ids, rulings, worth.chance),
        groups.group(
            concerned, ties, same=rulings.same, apart=rulings.apart, together=keep, tied=tied,
            chains=chains,
        ),
        len(here),
        notes,
    )  # fmt: skip


def _learned(
    everybody: many.Everybody, rulings: Rulings, ids: Sequence[str]
) -> tuple[Weights, str]:
    """The weights after these rulings, and a word about them."""
    here, there, same = rulings.of(ids)
    if not len(same):
        return weights.shipped(), "No ruling is about two rows of this file: nothing was learned."
    judged = list(everybody.judge(here, there))
    levels = {field: np.concatenate([one.levels[field] for one in judged]) for field in FIELDS}
    worth = weights.adapted(weights.shipped(), levels, same)
    return worth, f"The weights were moved by {len(same):,} rulings: {int(same.sum()):,} the same."


def read_rulings(file: Path) -> Rulings:
    """The pairs ruled the same and those ruled different, out of an earlier list of pairs.

    Raises `FileTrouble` if the file is no such list, or says something else under "ruling".
    """
    rulings: dict[str, list[tuple[str, str]]] = {"same": [], "different": []}
    for number, (one, other, ruling) in _table(file, ("id_a", "id_b", "ruling"), PAIRS):
        if not ruling:
            continue
        if ruling.casefold() not in rulings:
            raise FileTrouble(
                f'{file}, line {number}: the ruling "{ruling[:40]}" is neither same nor '
                "different. Write one of the two, or leave it empty."
            )
        rulings[ruling.casefold()].append((one, other))
    return Rulings(rulings["same"], rulings["different"])


def read_groups(file: Path) -> list[Group]:
    """The groups out of an earlier list of groups. Raises `FileTrouble` if it is none."""
    members: dict[str, list[str]] = {}
    weakest: dict[str, float] = {}
    for number, (one, group, tie) in _table(file, ("id", "group", "weakest_tie"), GROUPS):
        try:
            weakest[group] = min(float(tie), weakest.get(group, 1.0))
        except ValueError as error:
            raise FileTrouble(
                f'{file}, line {number}: "{tie[:40]}" is no confidence between 0 and 1. Give the '
                "list as this command wrote it."
            ) from error
        members.setdefault(group, []).append(one)
    return [Group(group, tuple(of), weakest[group]) for group, of in members.items()]


def read_names(file: Path) -> Frequencies:
    """How common names are, out of a list of names with how many people bear each.

    Columns name, kind (given or family), count. Raises `FileTrouble` if it is no such list.
    """
    counts: dict[str, dict[str, float]] = {"given": {}, "family": {}}
    for number, (said, kind, count) in _table(file, ("name", "kind", "count"), NAMES):
        where = f"{file}, line {number}"
        if kind.casefold() not in counts:
            raise FileTrouble(
                f'{where}: the kind "{kind[:40]}" is neither given nor family. Write one of the '
                "two, or take the line out."
            )
        bearers = float(count) if PLAIN_NUMBER.fullmatch(count) else 0.0
        if not bearers:
            raise FileTrouble(
                f'{where}: the count "{count[:40]}" is no number above 0. Write it in digits '
                "alone, such as 1234 or 0.5, or take the line out."
            )
        fold = folds.given_name if kind.casefold() == "given" else folds.family_name
        name = _folded_name(said, fold, where)
        of = counts[kind.casefold()]
        of[name] = of.get(name, 0.0) + bearers  # two spellings may fold to one name
    return Frequencies.counted(counts["given"], counts["family"])


def read_short_forms(file: Path) -> ShortForms:
    """The short forms that come with the package, and those of this list.

    Columns name, short_form, a pair a line. Raises `FileTrouble` if it is no such list.
    """
    return given_names.besides(
        [
            (
                _folded_name(full, folds.given_name, f"{file}, line {number}"),
                _folded_name(short, folds.given_name, f"{file}, line {number}"),
            )
            for number, (full, short) in _table(file, ("name", "short_form"), SHORT_FORMS)
        ]
    )


def _folded_name(said: str, fold: Callable[[str], tuple[str, str]], where: str) -> str:
    name, _ = fold(said)
    if not name:
        raise FileTrouble(
            f'{where}: "{said[:40]}" is no name. Write one there, or take the line out.'
        )
    return name


def _table(
    file: Path, headings: tuple[str, ...], what: str
) -> Iterator[tuple[int, tuple[str, ...]]]:
    """The cells under these headings, with the number of their line; blank lines are left out.

    `what` is what file is wanted, for who gave another.
    """
    for table in tables_of(file):
        lines = iter(table.lines())
        said = [
            cell.strip().casefold().replace(" ", "_") for cell in next(lines, Line(0, [])).cells
        ]
        if not set(headings) <= set(said):
            continue
        places = [said.index(heading) for heading in headings]
        for line in lines:
            padded = [*line.cells, *[""] * len(said)]
            cells = tuple(unguard(padded[place].strip()) for place in places)
            if any(cells):
                yield line.number, cells
        return
    *first, last = headings
    raise FileTrouble(f"{file} has no columns {', '.join(first)} and {last}. Give {what}.")


def side_by_side(
    sheet: Sheet, found: Duplicates, pairs: Sequence[Pair]
) -> Iterator[tuple[Pair, str, str]]:
    """These pairs, each with what stands in its two rows, a cell a line; reads the file again."""
    layout = tuple((c.place, c.heading) for c in sheet.columns.columns if c.field in TELLING)
    wanted = {one for pair in pairs for one in (pair.one, pair.other)}
    said: dict[str, str] = {}
    for one, (_, cells) in zip(found.ids, _lines(sheet), strict=True):
        if one in wanted:
            told = ((heading, cells[at].strip()) for at, heading in layout if at < len(cells))
            said[one] = "\n".join(f"{heading}: {text}" for heading, text in told if text)
    return ((pair, said[pair.one], said[pair.other]) for pair in pairs)


# ------------------------------------------------------------------------------------- rows

Row = tuple[int, Sequence[str]]  # line of the file, cells
Layout = tuple[tuple[int, str], ...]  # place of a column, field it holds
Said = Mapping[str, Sequence[str]]  # field: its cells, a row each


def _lines(sheet: Sheet) -> Iterator[Row]:
    for line in sheet.table.lines():
        if line.number >= sheet.first_line and any(map(str.strip, line.cells)):
            yield line.number, line.cells


def _folded(
    rows: Iterable[Row], layout: Layout, processes: int
) -> Iterator[tuple[list[str], many.Folded]]:
    """The rows part by part, in order; a few parts for each process are on their way at a time."""
    rows = iter(rows)
    parts = iter(lambda: list(islice(rows, PART)), [])
    first = next(parts, [])
    parts = chain([first], parts)
    if processes == 1 or len(first) < PART:
        for part in parts:
            yield ids_of(part, layout), fold_columns(columns(part, layout), len(part))
        return
    with start_helpers(processes) as pool:
        waiting: deque[tuple[list[str], Future[many.Folded]]] = deque()
        for part in parts:
            future = pool.submit(fold_columns, columns(part, layout), len(part))
            waiting.append((ids_of(part, layout), future))
            if len(waiting) > 2 * processes:
                ids, done = waiting.popleft()
                yield ids, done.result()
        while waiting:
            ids, done = waiting.popleft()
            yield ids, done.result()


def ids_of(rows: Sequence[Row], layout: Layout) -> list[str]:
    """What each row is called: its id, or its line if it has none."""
    place = next((place for place, field in layout if field == "id"), -1)
    return [
        (cells[place].strip() if 0 <= place < len(cells) else "") or f"line {line}"
        for line, cells in rows
    ]


def columns(rows: Sequence[Row], layout: Layout) -> dict[str, list[str]]:
    """The cells of each field that says who somebody is."""
    said: dict[str, list[str]] = {}
    for place, field in layout:
        if field == "id":
            continue
        cells = [row[place] if place < len(row) else "" for _, row in rows]
        if field in said:  # several columns may hold one field: year, month and day of birth
            cells = [
                f"{one} {two}" if two else one for one, two in zip(said[field], cells, strict=True)
            ]
        said[field] = cells
    return said


# Fields of a sheet that are fields of a `Person` as they stand, and what these are called there.
PLAIN = {
    "given": "given", "middle": "middle", "family": "family", "suffix": "suffix", "email": "email",
    "phone": "phone", "street": "street", "unit": "unit", "city": "city", "zip": "zip5",
    "born": "born", "personal": "personal",
}  # fmt: skip


# Fields that say who somebody is; the others are left unread.
TELLING = PLAIN.keys() | {"id", "number", "full_name", "address", "last_line"}


def fold_columns(said: Said, size: int) -> many.Folded:
    """The people whose fields are in these columns, ready to be compared."""
    plain = {PLAIN[field]: cells for field, cells in said.items() if field in PLAIN}
    if "number" in said:
        streets = plain.get("street", [""] * size)
        plain["street"] = [
            f"{number} {street}" if number else street
            for number, street in zip(said["number"], streets, strict=True)
        ]
    joint: dict[int, tuple[str, ...]] = {}
    if "full_name" in said:
        found = {text: name.clean(text).value for text in set(said["full_name"]) if text}
        names = [found.get(text) for text in said["full_name"]]
        for part in ("given", "middle", "family", "suffix", "called", "former"):
            _fill(plain, part, [getattr(who, part) if who else "" for who in names])
        joint = {
            row: tuple(other.given for other in who.joint)
            for row, who in enumerate(names)
            if who and who.joint
        }
    if said.keys() & {"address", "last_line"}:
        wholes = zip(
            *(said[part] for part in ("address", "last_line") if part in said), strict=True
        )
        places = _places(["\n".join(filter(None, whole)) for whole in wholes])
        for at, part in enumerate(("street", "unit", "city", "zip5")):
            _fill(plain, part, [place[at] for place in places])
    return many.folded_columns(plain, joint, size)


def _fill(columns: dict[str, Sequence[str]], field: str, values: Sequence[str]) -> None:
    """Put these values where a column of its own says nothing."""
    own = columns.get(field)
    columns[field] = (
        values if own is None else [here or value for here, value in zip(own, values, strict=True)]
    )


def _places(wholes: Sequence[str]) -> list[tuple[str, str, str, str]]:
    """Street, unit, city and ZIP of each whole address."""
    found = {"": ("", "", "", "")}
    for text in set(wholes) - {""}:
        where = address.clean(text).value
        if where is None:
            found[text] = found[""]
        else:
            street = where.lines[0].removesuffix(where.unit).rstrip() if where.lines else ""
            found[text] = (street, where.unit, where.city, where.zip5)
    return [found[text] for text in wholes]


def _unlike(ids: list[str]) -> tuple[list[str], tuple[str, ...]]:
    """The ids, with a mark behind those that come again."""
    if len(set(ids)) == len(ids):
        return ids, ()
    seen: Counter[str] = Counter()
    taken = set(ids)
    unlike = []
    for one in ids:
        seen[one] += 1
        mark = one
        while seen[one] > 1 and mark in taken:
            mark = f"{one} ({seen[one]})"
            seen[one] += mark in taken
        taken.add(mark)
        unlike.append(mark)
    again = len(ids) - len(set(ids))
    return unlike, (
        f"{again:,} ids stand in the file more than once; the later ones are shown with a number "
        "behind them. Give --column with the heading of a column whose values are all unlike.",
    )


# ------------------------------------------------------------------------------------ pairs


@dataclass(frozen=True, slots=True)
class _Found:
    """All pairs that were judged; the evidence is kept of those worth telling."""

    here: Index
    there: Index
    confidence: NDArray[np.float64]
    told: Index  # places of pairs in the three above
    same: Flags  # of those
    levels: NDArray[np.int8]
    parts: NDArray[np.float32]

    @classmethod
    def of(
        cls, everybody: many.Everybody, here: Index, there: Index, least: float, worth: Weights
    ) -> _Found:
        confidence, told_at = [np.empty(0)], [np.empty(0, np.int32)]
        same, levels = [np.empty(0, np.bool_)], [np.empty((0, len(FIELDS)), np.int8)]
        parts = [np.empty((0, len(FIELDS)), np.float32)]
        start = 0
        for judged in everybody.judge(here, there, worth):
            told = np.flatnonzero(judged.confidence >= least)
            confidence.append(judged.confidence)
            told_at.append((told + start).astype(np.int32))
            same.append(judged.same[told])
            levels.append(np.stack([judged.levels[field][told] for field in FIELDS], axis=1))
            parts.append(judged.parts[told].astype(np.float32))
            start += len(judged.confidence)
        return cls(
            here, there, np.concatenate(confidence), np.concatenate(told_at), np.concatenate(same),
            np.concatenate(levels), np.concatenate(parts),
        )  # fmt: skip

    def pairs(self, ids: Sequence[str], rulings: Rulings, chance: float) -> list[Pair]:
        order = np.argsort(-self.confidence[self.told], kind="stable")
        ruled = {frozenset(pair): Verdict.SAME for pair in rulings.same}
        ruled |= {frozenset(pair): Verdict.DIFFERENT for pair in rulings.apart}
        pairs = []
        for at, same, levels, parts in zip(
            self.told[order].tolist(), self.same[order].tolist(), self.levels[order].tolist(),
            self.parts[order].tolist(), strict=True,
        ):  # fmt: skip
            one, other = ids[self.here[at]], ids[self.there[at]]
            ruling = ruled.get(frozenset((one, other)))
            verdict = ruling or (Verdict.SAME if same else Verdict.UNCLEAR)
            words = _words(chance, levels, parts)
            confidence = float(self.confidence[at])
            weight = chance + sum(parts)
            pairs.append(Pair(one, other, confidence, verdict, words, weight, str(ruling or "")))
        return pairs

    def tied(self, least: float) -> Flags:
        """Which pairs are close enough to be put together."""
        return np.asarray(self.confidence >= least)

    def ties(self, rows: Flags, ids: Sequence[str], tied: float) -> Iterator[Tie]:
        """What holds these rows together, and what speaks against it."""
        tells = self.tied(tied) | (self.confidence < groups.AGAINST)
        for at in np.flatnonzero(tells & rows[self.here] & rows[self.there]).tolist():
            yield Tie(ids[self.here[at]], ids[self.there[at]], float(self.confidence[at]))


def _never_compared(found: _Found, size: int, least: float) -> tuple[Index, Index]:
    """The pairs that hang together by other rows, and share no key themselves."""
    tied = found.tied(least)
    heads: dict[int, int] = {}

    def head(row: int) -> int:
        while (above := heads.setdefault(row, row)) != row:
            heads[row] = row = heads[above]
        return row

    for one, other in zip(found.here[tied].tolist(), found.there[tied].tolist(), strict=True):
        heads[head(one)] = head(other)
    hang: dict[int, list[int]] = {}
    for row in sorted(heads):
        hang.setdefault(head(row), []).append(row)
    pairs = np.array(
        [
            one * size + other
            for rows in hang.values()
            if 2 < len(rows) <= LARGEST
            for one, other in combinations(rows, 2)
        ],
        np.int64,
    )
    compared = found.here.astype(np.int64) * size + found.there
    here, there = np.divmod(np.setdiff1d(pairs, compared), max(size, 1))
    return here.astype(np.int32), there.astype(np.int32)


def _words(chance: float, levels: Sequence[int], parts: Sequence[float]) -> str:
    """The evidence in words, each with its bits, which add up to the confidence."""
    return f"{CHANCE} ({chance:+.1f})" + "".join(
        f"; {names[level][1]} ({bits:+.1f})"
        for names, level, bits in zip(FIELDS.values(), levels, parts, strict=True)
        if level
    )

"""Who is in a file twice: any spreadsheet of people to pairs with their evidence, and to groups."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from itertools import chain, combinations
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from onboard import engines
from onboard.engines.spill import Spill
from onboard.intake import Sheet
from onboard.match import groups, many, weights
from onboard.match.cells import TELLING, Cells, Row, cells_of, folded, ids_of
from onboard.match.columns import Flags, Index
from onboard.match.evidence import CHANCE, IN_DOUBT
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.groups import NO_RULINGS, Group, Rulings, Surely, Tie
from onboard.match.levels import FIELDS
from onboard.match.weights import Weights
from onboard.model import Verdict
from onboard.reports.counts import counted
from onboard.reports.duplicates import Duplicates, Pair
from onboard.reports.side_by_side import MOST, Both

# Rows folded at a time, in one process.
PART = 10_000
SETTLED = "; a surer pair of the same people settles this one"
# Where more rows than this hang together, those who share no key are not compared either.
LARGEST = 100


def find_duplicates(
    sheet: Sheet,
    *,
    processes: int = 1,
    least: float = IN_DOUBT,
    tied: float = groups.TIED,
    chains: bool = True,
    rulings: Rulings = NO_RULINGS,
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
    `FileTrouble` if the file cannot be read to its end, `EngineTrouble` if a process is stopped.
    """
    ids: list[str] = []
    with Spill(spill) if spill else nullcontext() as piles:
        everybody = many.together(
            _folded(sheet, processes, ids, progress), piles, names, short_forms
        )
        ids, notes = _unlike(ids)
        worth = weights.shipped()
        if learn:
            worth, note = _learned(everybody, rulings, ids)
            notes = (*notes, note)
        here, there = everybody.alike()
        found = _Found.of(everybody, here, there, least, worth)
        more = _Found.of(everybody, *_never_compared(found, len(ids), tied), least, worth)
    surely = groups.surely(
        _concerned(ids, rows := found.rows(found.same), rulings),
        chain(found.sure(rows, ids), more.sure(rows, ids)),
        rulings=rulings,
        chains=chains,
    )
    rows = found.rows(found.tied(tied))
    ties = chain(found.ties(rows, ids, tied), more.ties(rows, ids, tied))
    concerned = _concerned(ids, rows, rulings, keep)
    return Duplicates(
        ids,
        found.pairs(ids, rulings, surely, worth.chance),
        groups.group(concerned, ties, rulings=rulings, together=keep, tied=tied, chains=chains),
        len(here),
        notes,
    )


def _concerned(
    ids: Sequence[str], tied: Flags, rulings: Rulings, keep: Collection[Group] = ()
) -> list[str]:
    """Who may be in a group: rows that are tied to others, and those that a person has named."""
    named = {one for pair in chain(rulings.same, rulings.apart) for one in pair}
    named |= {member for group in keep for member in group.members}
    return [one for one, too in zip(ids, tied.tolist(), strict=True) if too or one in named]


def _learned(
    everybody: many.Everybody, rulings: Rulings, ids: Sequence[str]
) -> tuple[Weights, str]:
    """The weights after these rulings, and a word about them."""
    here, there, same = rulings.of(ids)
    if not len(same):
        return (
            weights.shipped(),
            "None of your decisions is about two rows of this file. The program learned nothing.",
        )
    judged = list(everybody.judge(here, there))
    levels = {field: np.concatenate([one.levels[field] for one in judged]) for field in FIELDS}
    worth = weights.adapted(weights.shipped(), levels, same)
    return (
        worth,
        f"The program learned from {counted(len(same), 'decision')}, {int(same.sum()):,} of them the same.",
    )


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


# When an account was last used tells which one stays. A personal number is nobody's to read here.
SHOWN = (TELLING | {"handle", "site", "submitted", "last_sign_in", "last_order"}) - {"personal"}


def fields_beside(sheet: Sheet, found: Duplicates) -> list[tuple[str, list[Both]]]:
    """What stands in both rows of the surest pairs, field by field; reads the file again."""
    pairs = found.pairs[:MOST]
    layout = tuple((c.place, c.heading) for c in sheet.columns.columns if c.field in SHOWN)
    wanted = {one for pair in pairs for one in (pair.one, pair.other)}
    said: dict[str, Sequence[str]] = {}
    for one, (_, cells) in zip(found.ids, _lines(sheet), strict=True):
        if one in wanted:
            said[one] = [cells[at].strip() if at < len(cells) else "" for at, _ in layout]
    headings = [heading for _, heading in layout]
    return [
        (
            f"{pair.one} and {pair.other}",
            list(map(Both, headings, said[pair.one], said[pair.other])),
        )
        for pair in pairs
    ]


# ------------------------------------------------------------------------------------- rows


def _folded(
    sheet: Sheet, processes: int, ids: list[str], progress: Callable[[int], None]
) -> Iterator[many.Folded]:
    """The rows part by part, ready to be compared; what each is called is put into `ids`."""
    layout = tuple((c.place, c.field) for c in sheet.columns.columns if c.field in TELLING)
    parts = engines.parts(_lines(sheet), PART)
    first = next(parts)

    def read() -> Iterator[Cells]:
        for part in chain([first], parts):
            ids.extend(ids_of(part, layout))
            yield cells_of(part, layout)

    with engines.choose(processes, folded, small=len(first) < PART) as engine:
        for some in engine.map(read()):
            progress(some.size)
            yield some


def _lines(sheet: Sheet) -> Iterator[Row]:
    for line in sheet.table.lines():
        if line.number >= sheet.first_line and any(map(str.strip, line.cells)):
            yield line.number, line.cells


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
        f"{counted(again, 'id')} in the file had come before. The later ones have a number behind "
        "them. Is there a column whose values are all different? Name it with --column.",
    )


# ------------------------------------------------------------------------------------ pairs


@dataclass(frozen=True, slots=True)
class _Found:
    """All pairs that were judged; the evidence is kept of those worth telling."""

    size: int  # rows of the file
    here: Index
    there: Index
    confidence: NDArray[np.float64]
    same: Flags  # which may be decided alone
    against: Flags  # where something speaks hard against it
    told: Index  # places of pairs in those above
    levels: NDArray[np.int8]  # of those
    parts: NDArray[np.float32]

    @classmethod
    def of(
        cls, everybody: many.Everybody, here: Index, there: Index, least: float, worth: Weights
    ) -> _Found:
        confidence, told_at = [np.empty(0)], [np.empty(0, np.int32)]
        same, against = [np.empty(0, np.bool_)], [np.empty(0, np.bool_)]
        levels = [np.empty((0, len(FIELDS)), np.int8)]
        parts = [np.empty((0, len(FIELDS)), np.float32)]
        start = 0
        for judged in everybody.judge(here, there, worth):
            told = np.flatnonzero(judged.confidence >= least)
            confidence.append(judged.confidence)
            told_at.append((told + start).astype(np.int32))
            same.append(judged.same)
            against.append(judged.against)
            levels.append(np.stack([judged.levels[field][told] for field in FIELDS], axis=1))
            parts.append(judged.parts[told].astype(np.float32))
            start += len(judged.confidence)
        return cls(
            everybody.size, here, there, np.concatenate(confidence), np.concatenate(same), np.concatenate(against),
            np.concatenate(told_at), np.concatenate(levels), np.concatenate(parts),
        )  # fmt: skip

    def pairs(
        self, ids: Sequence[str], rulings: Rulings, surely: Surely, chance: float
    ) -> list[Pair]:
        order = np.argsort(-self.confidence[self.told], kind="stable")
        ruled = {frozenset(pair): Verdict.SAME for pair in rulings.same}
        ruled |= {frozenset(pair): Verdict.DIFFERENT for pair in rulings.apart}
        asked: set[frozenset[str]] = set()
        pairs = []
        for at, levels, parts in zip(
            self.told[order].tolist(), self.levels[order].tolist(), self.parts[order].tolist(),
            strict=True,
        ):  # fmt: skip
            one, other = ids[self.here[at]], ids[self.there[at]]
            ruling = ruled.get(frozenset((one, other)))
            two = surely.between(one, other)
            verdict = ruling or _verdict(two, surely, asked)
            if verdict is Verdict.UNCLEAR:
                asked.add(two)
            words = _words(chance, levels, parts)
            if not ruling and verdict is not Verdict.UNCLEAR and not self.same[at]:
                words += SETTLED
            confidence = float(self.confidence[at])
            weight = chance + sum(parts)
            pairs.append(Pair(one, other, confidence, verdict, words, weight, str(ruling or "")))
        return pairs

    def tied(self, least: float) -> Flags:
        """Which pairs are close enough to be put together."""
        return np.asarray(self.confidence >= least)

    def rows(self, pairs: Flags) -> Flags:
        """Which rows are in these pairs."""
        found = np.zeros(self.size, np.bool_)
        found[self.here[pairs]] = found[self.there[pairs]] = True
        return found

    def sure(self, rows: Flags, ids: Sequence[str]) -> Iterator[Tie]:
        """What needs no question about these rows, and what speaks against it."""
        no = self.against | (self.confidence < groups.AGAINST)
        for at in np.flatnonzero((self.same | no) & rows[self.here] & rows[self.there]).tolist():
            confidence = 0.0 if no[at] else float(self.confidence[at])
            yield Tie(ids[self.here[at]], ids[self.there[at]], confidence)

    def ties(self, rows: Flags, ids: Sequence[str], tied: float) -> Iterator[Tie]:
        """What holds these rows together, and what speaks against it."""
        tells = self.tied(tied) | (self.confidence < groups.AGAINST)
        for at in np.flatnonzero(tells & rows[self.here] & rows[self.there]).tolist():
            yield Tie(ids[self.here[at]], ids[self.there[at]], float(self.confidence[at]))


def _verdict(two: frozenset[str], surely: Surely, asked: Collection[frozenset[str]]) -> Verdict:
    """What is said of a pair of these two people, or this one, of whom others may have been asked about."""
    if len(two) == 1:
        return Verdict.SAME
    if two in surely.apart:
        return Verdict.DIFFERENT
    return Verdict.FOLLOWS if two in asked else Verdict.UNCLEAR


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

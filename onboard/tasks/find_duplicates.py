"""Who is in a file twice: any spreadsheet of people to pairs with their evidence, and to groups."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import nullcontext
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from onboard import engines
from onboard.engines.spill import Spill
from onboard.intake import Sheet
from onboard.match import groups, many, weights
from onboard.match.cells import TELLING, Cells, Row, cells_of, folded, ids_of
from onboard.match.columns import Flags
from onboard.match.evidence import CHANCE, IN_DOUBT
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.groups import NO_RULINGS, Group, Rulings, Surely
from onboard.match.judged import Judged, never_compared
from onboard.match.levels import FIELDS
from onboard.match.weights import Weights
from onboard.model import Verdict
from onboard.reports.counts import counted
from onboard.reports.duplicates import Duplicates, Pair
from onboard.reports.side_by_side import MOST, Both

if TYPE_CHECKING:
    from onboard.engines.cluster import Cluster
    from onboard.engines.scattered import Scattered

# Rows folded at a time, in one process; and those that a worker of a cluster has in one piece.
PART, SHARE = 10_000, 50_000
SETTLED = "; a surer pair of the same people settles this one"


def find_duplicates(
    sheet: Sheet | Sequence[Sheet],
    *,
    processes: int = 1,
    engine: Cluster | None = None,
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
    """The pairs and groups of rows, of one sheet or of several, that are or may be one person.

    Pairs of less confidence than `least` are left out; of `tied` and more hold groups together,
    without `chains` only where every two of a group are. Rulings always win; with `learn` they
    weigh on other pairs of the same kind as well. Groups found before (`keep`) stay together under
    their names, and rows join them. How common names are is counted in the file, smoothed by
    `names` (`read_names`), the Census unless given; which are short for which is what
    `short_forms` say (`read_short_forms`), as shipped unless given. `processes` is how many work
    at once, 0 is one a processor; an `engine` (`onboard.engines.cluster.reached`) works on many
    machines. What is found does not depend on either. A program that wants more
    than one process keeps what it runs behind `if __name__ == "__main__":`, as each of them loads it anew.
    With `spill`, a folder, what is known of the rows lies in files there meanwhile. Raises
    `FileTrouble` if the file cannot be read to its end, `EngineTrouble` if a process is stopped or
    the cluster is lost.
    """
    sheets = _sheets(sheet)
    ids: list[str] = []
    with Spill(spill) if spill and not engine else nullcontext() as piles:
        everybody: many.Everybody | Scattered
        if engine:
            from onboard.engines.scattered import Scattered  # needs the extra `cluster`

            everybody = Scattered(
                engine, _parts(sheets, ids, SHARE), (names, short_forms), progress
            )
        else:
            everybody = many.together(
                _folded(sheets, processes, ids, progress), piles, names, short_forms
            )
        ids, notes = _unlike(ids)
        worth = weights.shipped()
        if learn:
            worth, note = _learned(everybody, rulings, ids)
            notes = (*notes, note)
        found, compared = everybody.found(least, worth, tied, _linked(ids, rulings, keep))
        more = Judged.of(everybody, *never_compared(found, len(ids), tied), least, worth)
    surely = groups.surely(
        _concerned(ids, rows := found.rows(found.same, len(ids)), rulings),
        chain(found.sure(rows, ids), more.sure(rows, ids)),
        rulings=rulings,
        chains=chains,
    )
    rows = found.rows(found.tied(tied), len(ids))
    ties = chain(found.ties(rows, ids, tied), more.ties(rows, ids, tied))
    concerned = _concerned(ids, rows, rulings, keep)
    return Duplicates(
        ids,
        _pairs(found, ids, rulings, surely, worth.chance),
        groups.group(concerned, ties, rulings=rulings, together=keep, tied=tied, chains=chains),
        compared,
        notes,
    )


def _linked(ids: Sequence[str], rulings: Rulings, keep: Collection[Group]) -> list[tuple[int, int]]:
    """The rows that a person has put together, by rulings or in groups that stay."""
    pairs = [*rulings.same, *((found.members[0], one) for found in keep for one in found.members)]
    named = {one for pair in pairs for one in pair}
    place = {one: at for at, one in enumerate(ids) if one in named} if named else {}
    return [(place[one], place[other]) for one, other in pairs if {one, other} <= place.keys()]


def _concerned(
    ids: Sequence[str], tied: Flags, rulings: Rulings, keep: Collection[Group] = ()
) -> list[str]:
    """Who may be in a group: rows that are tied to others, and those that a person has named."""
    named = {one for pair in chain(rulings.same, rulings.apart) for one in pair}
    named |= {member for group in keep for member in group.members}
    return [one for one, too in zip(ids, tied.tolist(), strict=True) if too or one in named]


def _learned(
    everybody: many.Everybody | Scattered, rulings: Rulings, ids: Sequence[str]
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
    sheet: Sheet | Sequence[Sheet], found: Duplicates, pairs: Sequence[Pair]
) -> Iterator[tuple[Pair, str, str]]:
    """These pairs, each with what stands in its two rows, a cell a line; reads the file again."""
    said = {
        one: "\n".join(f"{heading}: {text}" for (heading, _), text in told.items() if text)
        for one, told in _said(_sheets(sheet), found, pairs, TELLING)
    }
    return ((pair, said[pair.one], said[pair.other]) for pair in pairs)


# When an account was last used tells which one stays. A personal number is nobody's to read here.
SHOWN = (TELLING | {"handle", "site", "submitted", "last_sign_in", "last_order"}) - {"personal"}


def fields_beside(
    sheet: Sheet | Sequence[Sheet], found: Duplicates
) -> list[tuple[str, list[Both]]]:
    """What stands in both rows of the surest pairs, field by field; reads the file again."""
    pairs = found.pairs[:MOST]
    said = dict(_said(_sheets(sheet), found, pairs, SHOWN))
    return [
        (
            f"{pair.one} and {pair.other}",
            [
                Both(heading[0], said[pair.one].get(heading, ""), said[pair.other].get(heading, ""))
                for heading in said[pair.one] | said[pair.other]
            ],
        )
        for pair in pairs
    ]


def _said(
    sheets: Sequence[Sheet], found: Duplicates, pairs: Sequence[Pair], fields: Collection[str]
) -> Iterator[tuple[str, dict[tuple[str, int], str]]]:
    """What the rows of these pairs say under each heading of these fields, which may come several times."""
    wanted = {one for pair in pairs for one in (pair.one, pair.other)}
    ids = iter(found.ids)
    for sheet in sheets:
        layout: dict[tuple[str, int], int] = {}
        for column in sheet.columns.columns:
            if column.field in fields:
                again = sum(heading == column.heading for heading, _ in layout)
                layout[column.heading, again] = column.place
        for _, cells in _lines(sheet):
            if (one := next(ids)) in wanted:
                yield (
                    one,
                    {
                        heading: cells[at].strip() if at < len(cells) else ""
                        for heading, at in layout.items()
                    },
                )


# ------------------------------------------------------------------------------------- rows


def _parts(sheets: Sequence[Sheet], ids: list[str], size: int) -> Iterator[Cells]:
    """The rows of the sheets part by part; what each is called is put into `ids`."""
    for sheet in sheets:
        layout = tuple((c.place, c.field) for c in sheet.columns.columns if c.field in TELLING)
        for part in engines.parts(_lines(sheet), size):
            ids.extend(ids_of(part, layout, f"{sheet.file.name} " if len(sheets) > 1 else ""))
            yield cells_of(part, layout)


def _folded(
    sheets: Sequence[Sheet], processes: int, ids: list[str], progress: Callable[[int], None]
) -> Iterator[many.Folded]:
    """The rows part by part, ready to be compared; what each is called is put into `ids`."""
    parts = _parts(sheets, ids, PART)
    first = next(parts)
    small = first.size < PART and len(sheets) == 1
    with engines.choose(processes, folded, small=small) as engine:
        for some in engine.map(chain([first], parts)):
            progress(some.size)
            yield some


def _lines(sheet: Sheet) -> Iterator[Row]:
    for line in sheet.table.lines():
        if line.number >= sheet.first_line and any(map(str.strip, line.cells)):
            yield line.number, line.cells


def _sheets(sheet: Sheet | Sequence[Sheet]) -> Sequence[Sheet]:
    return (sheet,) if isinstance(sheet, Sheet) else tuple(sheet)


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


def _pairs(
    found: Judged, ids: Sequence[str], rulings: Rulings, surely: Surely, chance: float
) -> list[Pair]:
    order = np.argsort(-found.confidence[found.told], kind="stable")
    ruled = {frozenset(pair): Verdict.SAME for pair in rulings.same}
    ruled |= {frozenset(pair): Verdict.DIFFERENT for pair in rulings.apart}
    asked: set[frozenset[str]] = set()
    pairs = []
    for at, levels, parts in zip(
        found.told[order].tolist(), found.levels[order].tolist(), found.parts[order].tolist(),
        strict=True,
    ):  # fmt: skip
        one, other = ids[found.here[at]], ids[found.there[at]]
        ruling = ruled.get(frozenset((one, other)))
        two = surely.between(one, other)
        verdict = ruling or _verdict(two, surely, asked)
        if verdict is Verdict.UNCLEAR:
            asked.add(two)
        words = _words(chance, levels, parts)
        if not ruling and verdict is not Verdict.UNCLEAR and not found.same[at]:
            words += SETTLED
        confidence = float(found.confidence[at])
        weight = chance + sum(parts)
        pairs.append(Pair(one, other, confidence, verdict, words, weight, str(ruling or "")))
    return pairs


def _verdict(two: frozenset[str], surely: Surely, asked: Collection[frozenset[str]]) -> Verdict:
    """What is said of a pair of these two people, or this one, of whom others may have been asked about."""
    if len(two) == 1:
        return Verdict.SAME
    if two in surely.apart:
        return Verdict.DIFFERENT
    return Verdict.FOLLOWS if two in asked else Verdict.UNCLEAR


def _words(chance: float, levels: Sequence[int], parts: Sequence[float]) -> str:
    """The evidence in words, each with its bits, which add up to the confidence."""
    return f"{CHANCE} ({chance:+.1f})" + "".join(
        f"; {names[level][1]} ({bits:+.1f})"
        for names, level, bits in zip(FIELDS.values(), levels, parts, strict=True)
        if level
    )

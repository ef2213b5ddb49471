"""Who is in a file twice: any spreadsheet of people to pairs with their evidence, and to groups."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from functools import partial
from math import log10
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from onboard import engines
from onboard.engines.spill import Spill
from onboard.intake import Sheet
from onboard.match import groups, many, weights
from onboard.match.called import Called
from onboard.match.cells import TELLING, Lost, Row, Told
from onboard.match.columns import Flags, Index
from onboard.match.evidence import IN_DOUBT
from onboard.match.found_groups import Group
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.groups import NO_RULINGS, Rulings, Surely
from onboard.match.judged import Judged, never_compared
from onboard.match.levels import FIELDS
from onboard.match.ties import Ties
from onboard.match.weights import Weights
from onboard.model import Verdict
from onboard.reports.counts import counted
from onboard.reports.duplicates import Duplicates
from onboard.reports.pairs import VERDICTS, Pair, Pairs
from onboard.reports.side_by_side import MOST, Both
from onboard.tasks.course import Course
from onboard.tasks.rows_in_parts import Limits, Making, made, parts

if TYPE_CHECKING:
    from onboard.engines.cluster import Cluster
    from onboard.engines.scattered import Scattered

# How much of a file a process, and a worker of a cluster, has in one piece.
PART = Limits()
SHARE = Limits(8 << 20, 50_000, 64 << 20)


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
    progress: Callable[[float], None] | Course = lambda share: None,
) -> Duplicates:
    """The pairs and groups of rows, of one sheet or of several, that are or may be one person.

    Pairs of less confidence than `least` are left out; of `tied` and more hold groups together,
    without `chains` only where every two of a group are. Rulings always win; with `learn` they
    weigh on other pairs of the same kind as well. Groups found before (`keep`) stay together under
    their names, and rows join them. How common names are is counted in the file, smoothed by
    `names` (`read_names`), the Census unless given; which are short for which is what
    `short_forms` say (`read_short_forms`), as shipped unless given. `processes` is how many work
    at once, 0 is one a processor; an `engine` (`onboard.engines.reaching.reached`) works on many
    machines. What is found does not depend on either. A program that wants more
    than one process keeps what it runs behind `if __name__ == "__main__":`, as each of them loads it anew.
    With `spill`, a folder, what is known of the rows lies in files there meanwhile. `progress` is told the
    share of the time that is over, 0 to 1, as far as can be known; a `Course` gets these steps besides its own, of which
    "write" is one for each pair. Raises
    `FileTrouble` if the file cannot be read to its end, `EngineTrouble` if a process is stopped or
    the cluster is lost.
    """
    sheets = _sheets(sheet)
    told: list[Told] = []
    shared = {"read", "alike", "judge"} if engine else {"read", "judge"} if spill else {"read"}
    course = _course(sheets, engine.workers if engine else processes, progress, shared)
    with Spill(spill) if spill and not engine else nullcontext() as piles:
        everybody: many.Everybody | Scattered
        if engine:
            from onboard.engines.scattered import Scattered  # needs the extra `cluster`

            everybody = Scattered(
                engine, _shares(sheets, engine), told, (names, short_forms), course
            )
            find = everybody.found
        else:
            everybody = many.together(
                _folded(sheets, processes, told, course), piles, names, short_forms
            )
            # What lies in files need not go to another process, which reads it there.
            find = partial(everybody.found, each=partial(in_processes, processes if spill else 1))
        ids, again = Called.of([one.called for one in told]).unlike()
        lost = [row for one in told for row in one.lost]
        told.clear()
        worth = weights.shipped()
        notes = (*_never_closed(lost), *_come_again(again))
        if learn:
            worth, note = _learned(everybody, rulings, ids)
            notes = (*notes, note)
        found, compared = find(least, worth, tied, _linked(ids, rulings, keep), course)
        course.over("judge")
        course.expect(settle=len(found.told), write=len(found.told))
        more = Judged.of(everybody, *never_compared(found, len(ids), tied), least, worth)
        del everybody, find  # before more is put beside it
    both = (found, more)
    sure = found.rows(found.same, len(ids))
    surely = groups.surely(
        ids, Ties.joined([one.sure(sure) for one in both]), rulings=rulings, chains=chains
    )
    course.part("settle", 0.5)
    pairs = _pairs(found, ids, rulings, surely, worth)
    rows = found.rows(found.tied(tied), len(ids))
    grouped = groups.group(
        ids, Ties.joined([one.ties(rows, tied) for one in both]),
        rulings=rulings, together=keep, tied=tied, chains=chains,
    )  # fmt: skip
    course.over("settle")
    return Duplicates(ids, pairs, grouped, compared, notes, sum(row.lines for row in lost))


# Millionths of a second of one processor to start a process that helps, for a byte that is read, a pair that is found and
# half a row, a pair that is judged, and one that is told: tests/benchmarks/large.py. On a cluster, with what goes between its workers.
COSTS = {"start": 800_000, "read": 0.28, "alike": 0.9, "judge": 5.5, "settle": 5.0}
ON_CLUSTER = {"start": 0, "read": 0.5, "alike": 100.0, "judge": 100.0, "settle": 5.0}
# What a file most often has, until it is known.
BYTES_A_ROW = 100


def hoped(rows: float) -> dict[str, float]:
    """What so many rows most often bring: the more there are, the more have somebody's name, each of them."""
    size = log10(max(rows, 1) / 1_000_000)
    pairs = 1.85 * rows * 10 ** (size * (0.53 - 0.106 * size))
    told = rows * (0.1 + 0.0545 * 10 ** (0.84 * size))
    return {"alike": rows / 2 + pairs, "judge": pairs, "settle": told, "write": told}


def _course(
    sheets: Sequence[Sheet],
    workers: int,
    told: Callable[[float], None] | Course,
    shared: Collection[str],
) -> Course:
    """How far the search in these files is, with so many who share these steps; all but the last on a cluster."""
    workers = workers or os.cpu_count() or 1
    costs = dict(ON_CLUSTER if "alike" in shared else COSTS)
    for step in shared:
        costs[step] /= workers
    course = told if isinstance(told, Course) else Course({}, told)
    course.add(costs)
    size = sum(one.file.stat().st_size for one in sheets)
    starts = workers > 1 and not _is_small(sheets)
    course.expect(start=starts, read=size, **hoped(size / BYTES_A_ROW))
    return course


def _linked(ids: Called, rulings: Rulings, keep: Collection[Group]) -> list[tuple[int, int]]:
    """The rows that a person has put together, by rulings or in groups that stay."""
    pairs = [*rulings.same, *((found.members[0], one) for found in keep for one in found.members)]
    place = ids.places({one for pair in pairs for one in pair})
    return [(place[one], place[other]) for one, other in pairs if {one, other} <= place.keys()]


def _learned(
    everybody: many.Everybody | Scattered, rulings: Rulings, ids: Called
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


@dataclass(frozen=True, slots=True)
class Again:
    """What stands in some rows, which were read a second time once it was known which they are."""

    sheets: Sequence[Sheet]
    cells: Mapping[
        int, tuple[int, Sequence[str]]
    ]  # by row, from 0: the place of its sheet, and its cells

    @classmethod
    def read(cls, sheet: Sheet | Sequence[Sheet], rows: Flags) -> Again:
        """These of all rows. Raises `FileTrouble` if a file cannot be read any more."""
        sheets = _sheets(sheet)
        lines = ((at, cells) for at, one in enumerate(sheets) for _, cells in _lines(one))
        wanted = enumerate(zip(lines, rows.tolist(), strict=False))
        return cls(sheets, {row: line for row, (line, is_wanted) in wanted if is_wanted})

    def said(self, fields: Collection[str]) -> Callable[[int], dict[tuple[str, int], str]]:
        """Tells what a row says under each heading of these fields; a heading may come several times."""
        layouts: list[dict[tuple[str, int], int]] = []
        for sheet in self.sheets:
            layout: dict[tuple[str, int], int] = {}
            layouts.append(layout)
            for column in sheet.columns.columns:
                if column.field in fields:
                    again = sum(heading == column.heading for heading, _ in layout)
                    layout[column.heading, again] = column.place

        def of(row: int) -> dict[tuple[str, int], str]:
            sheet, cells = self.cells[row]
            return {
                heading: cells[at].strip() if at < len(cells) else ""
                for heading, at in layouts[sheet].items()
            }

        return of


def side_by_side(
    sheet: Sheet | Sequence[Sheet], found: Duplicates, pairs: Pairs, again: Again | None = None
) -> Iterator[tuple[Pair, str, str]]:
    """These pairs, each with what stands in its two rows, a cell a line; reads the file again, unless that was done."""
    said = (again or Again.read(sheet, pairs.rows())).said(TELLING)

    def in_full(row: int) -> str:
        return "\n".join(f"{heading}: {text}" for (heading, _), text in said(row).items() if text)

    return zip(
        pairs, map(in_full, pairs.here.tolist()), map(in_full, pairs.there.tolist()), strict=True
    )


# When an account was last used tells which one stays. A personal number is nobody's to read here.
SHOWN = (TELLING | {"handle", "site", "submitted", "last_sign_in", "last_order"}) - {"personal"}


def fields_beside(
    sheet: Sheet | Sequence[Sheet], found: Duplicates, again: Again | None = None
) -> list[tuple[str, list[Both]]]:
    """What stands in both rows of the surest pairs, field by field; reads the file again, unless that was done."""
    pairs = found.pairs[:MOST]
    said = (again or Again.read(sheet, pairs.rows())).said(SHOWN)
    beside = []
    for pair, *rows in zip(pairs, pairs.here.tolist(), pairs.there.tolist(), strict=True):
        one, other = map(said, rows)
        both = [Both(it[0], one.get(it, ""), other.get(it, "")) for it in one | other]
        beside.append((f"{pair.one} and {pair.other}", both))
    return beside


# ------------------------------------------------------------------------------------- rows


def _folded(
    sheets: Sequence[Sheet], processes: int, told: list[Told], course: Course
) -> Iterator[many.Folded]:
    """The rows part by part, ready to be compared; what is told of each is put into `told`."""
    rows = 0
    with engines.choose(processes, made, small=_is_small(sheets)) as engine:

        def each(work: Callable[[Any], Any], of: Sequence[Any]) -> Iterator[Any]:
            return engine.map(partial(work, one) for one in of)

        for part in engine.map(parts(sheets, PART, each)):
            told.append(part.told)
            if not rows:
                course.over("start")
            course.go("read", part.told.size)
            rows += part.folded.size
            yield part.folded
    course.over("read")
    course.expect(**hoped(rows))


def in_processes(processes: int, work: Callable[[Any], Any], of: Iterable[Any]) -> Iterator[Any]:
    """The work on each of these, by so many processes, each of which has what the work needs."""
    with engines.choose(processes, work) as engine:
        yield from engine.map(of)


def _is_small(sheets: Sequence[Sheet]) -> bool:
    return len(sheets) == 1 and sheets[0].file.stat().st_size < PART.size


def _shares(sheets: Sequence[Sheet], engine: Cluster) -> Iterator[Making]:
    """The rows in parts for the workers, who read them where all of them see all files."""
    seen = engine.sees([one.file for one in sheets if one.table.stretch])
    return parts(sheets, SHARE, engine.each, seen)


def _lines(sheet: Sheet) -> Iterator[Row]:
    for line in sheet.table.lines():
        if line.number >= sheet.first_line and any(map(str.strip, line.cells)):
            yield line.number, line.cells


def _sheets(sheet: Sheet | Sequence[Sheet]) -> Sequence[Sheet]:
    return (sheet,) if isinstance(sheet, Sheet) else tuple(sheet)


# So many rows with a quotation mark that is not closed are told one by one.
FIRST_LOST = 5


def _never_closed(lost: Sequence[Lost]) -> Iterator[str]:
    """The notes about quotation marks that were not closed."""
    for row in lost[:FIRST_LOST]:
        yield (
            f"{row.file}: a quotation mark at line {row.line:,} was not closed. One cell holds "
            f"{counted(row.lines, 'more line')} that look like rows, and nobody in them was compared. Close or "
            "remove it in the file, and run this again."
        )
    if lost[FIRST_LOST:]:
        yield f"A quotation mark was not closed in {counted(len(lost) - FIRST_LOST, 'more row')}."


def _come_again(again: int) -> tuple[str, ...]:
    """The note about ids that came again."""
    if not again:
        return ()
    return (
        f"{counted(again, 'id')} in the file had come before. The later ones have a number behind "
        "them. Is there a column whose values are all different? Name it with --column.",
    )


# ------------------------------------------------------------------------------------ pairs


UNCLEAR, SAME, DIFFERENT, FOLLOWS = map(
    VERDICTS.index, (Verdict.UNCLEAR, Verdict.SAME, Verdict.DIFFERENT, Verdict.FOLLOWS)
)


def _pairs(found: Judged, ids: Called, rulings: Rulings, surely: Surely, worth: Weights) -> Pairs:
    """The pairs that are told, the surest first, with what is said of each."""
    order = np.argsort(-found.confidence[found.told], kind="stable")
    told = found.told[order]
    here, there = found.here[told], found.there[told]
    verdicts, people = _by_evidence(here, there, surely)
    ruled = np.zeros(len(told), np.bool_)
    one, other, same = rulings.of(ids)
    pairs, said = (_numbers(*both, len(ids)) for both in ((here, there), (one, other)))
    for verdict, which in ((SAME, same), (DIFFERENT, ~same)):
        these = np.isin(pairs, said[which])
        verdicts[these] = verdict
        ruled |= these
    # The surest pair of two people is the one that is asked about.
    asked = np.flatnonzero(verdicts == UNCLEAR)
    verdicts[np.delete(asked, np.unique(people[asked], return_index=True)[1])] = FOLLOWS
    settled = ~ruled & (verdicts != UNCLEAR) & ~found.same[told]
    return Pairs(
        ids, here, there, found.confidence[told], verdicts, ruled, settled, found.levels[order],
        worth,
    )  # fmt: skip


def _by_evidence(
    here: Index, there: Index, surely: Surely
) -> tuple[NDArray[np.int8], NDArray[np.int64]]:
    """What is said of pairs of rows by who surely is one person; and a number for the two people of each."""
    size = len(surely.person)
    one, other = surely.person[here], surely.person[there]
    people = _numbers(np.minimum(one, other), np.maximum(one, other), size)
    verdicts = np.full(len(here), UNCLEAR, np.int8)
    apart = [min(two) * size + max(two) for two in surely.apart]
    verdicts[np.isin(people, np.array(apart, np.int64))] = DIFFERENT
    verdicts[one == other] = SAME
    return verdicts, people


def _numbers(one: Index, other: Index, size: int) -> NDArray[np.int64]:
    """A number for each pair of places among so many."""
    return one.astype(np.int64) * size + other

"""Who is in a file twice, written to lists for a person to work in."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from onboard import engines
from onboard.errors import FileTrouble
from onboard.intake import Sheet
from onboard.intake.lists import read_groups, read_names, read_rulings, read_short_forms
from onboard.match.evidence import IN_DOUBT
from onboard.match.groups import TIED, Rulings
from onboard.model import Verdict
from onboard.reports import duplicates as lists
from onboard.reports.duplicates import Duplicates
from onboard.reports.side_by_side import MOST
from onboard.tasks.course import Course
from onboard.tasks.find_duplicates import (
    BYTES_A_ROW,
    Again,
    fields_beside,
    find_duplicates,
    hoped,
    in_processes,
    side_by_side,
)

# As in `find_duplicates.COSTS`: of a byte that is read again, and a pair or a group that is written.
COSTS = {"again": 0.05, "write": 15.0}
# With fewer pairs, writing would be over before another process has begun.
MANY = 200_000


@dataclass(frozen=True, slots=True)
class Lists:
    """Files: those to write, and those that a person gives."""

    pairs: Path
    groups: Path | None = None
    review: Path | None = None  # the unclear pairs, with both rows in full
    ruled: Path | None = None  # an earlier list of pairs, with decisions
    keep: Path | None = None  # an earlier list of groups
    names: Path | None = None
    short_forms: Path | None = None


@dataclass(frozen=True, slots=True)
class Bars:
    """How sure is sure enough."""

    least: float = IN_DOUBT  # for a pair to be listed
    tied: float = TIED  # for a pair to hold a group together
    chains: bool = True  # else a group is only where every two of its rows are tied
    learn: bool = False  # decisions weigh on other pairs of their kind too


@dataclass(frozen=True, slots=True)
class Where:
    """Where the work is done."""

    on: str = ""  # the address of a cluster
    spill: Path | None = None  # a folder for what does not fit into memory
    say: Callable[[str], None] = lambda words: None  # told what to know before it begins


def list_duplicates(
    sheet: Sheet | Sequence[Sheet],
    files: Lists,
    bars: Bars = Bars(),  # frozen
    *,
    where: Where = Where(),  # frozen
    progress: Callable[[float], None] = lambda share: None,
) -> tuple[Duplicates, Path]:
    """What `find_duplicates` finds with all processors, or on a cluster, once it is written to its lists;
    and where the pairs are: in the file, or in the folder of `reports.duplicates.write_pairs`.

    Raises `FileTrouble` where two lists would go to one file, or one to a file that is read, and
    what `find_duplicates` raises. Only the list of pairs may take the place of the one with the
    decisions: it has them all again.
    """
    sheets = (sheet,) if isinstance(sheet, Sheet) else tuple(sheet)
    _refuse_to_overwrite(
        [one for one in (files.pairs, files.groups, files.review) if one],
        [one for one in (*(each.file for each in sheets), files.names, files.short_forms) if one],
    )
    _keep_decisions(files)
    costs = dict(COSTS)
    if hoped(_size(sheets) / BYTES_A_ROW)["write"] >= MANY:
        costs["write"] /= os.cpu_count() or 1
    course = Course(costs, progress)
    if files.review or files.pairs.suffix.casefold() != ".csv":
        course.expect(again=_size(sheets))
    with engines.on(where.on, where.spill, where.say) as engine:
        found = find_duplicates(
            sheets, processes=0, engine=engine,
            least=bars.least, tied=bars.tied, chains=bars.chains, learn=bars.learn,
            rulings=read_rulings(files.ruled) if files.ruled else Rulings(),
            keep=read_groups(files.keep) if files.keep else (),
            names=read_names(files.names) if files.names else None,
            short_forms=read_short_forms(files.short_forms) if files.short_forms else None,
            spill=where.spill, progress=course,
        )  # fmt: skip
    written = _write(sheets, files, found, course)
    progress(1.0)
    return found, written


def _write(sheets: Sequence[Sheet], files: Lists, found: Duplicates, course: Course) -> Path:
    """Write the lists, and say where the pairs are. What stands in rows is read once for all of them."""
    surest = found.pairs[: 0 if files.pairs.suffix.casefold() == ".csv" else MOST]
    unclear = found.of(Verdict.UNCLEAR) if files.review else found.pairs[:0]
    groups = found.groups if files.groups else ()
    rows = surest.rows() | unclear.rows()
    course.expect(
        again=_size(sheets) if rows.any() else 0,
        write=len(found.pairs) + len(groups) + len(unclear),
    )
    again = Again.read(sheets, rows) if rows.any() else Again(sheets, {})
    course.over("again")
    beside = fields_beside(sheets, found, again) if len(surest) else ()
    written = lists.write_pairs(
        files.pairs, found, beside, lambda pairs: course.go("write", pairs),
        partial(in_processes, 0) if len(found.pairs) >= MANY else map,
    )  # fmt: skip
    if files.groups:
        lists.write_groups(files.groups, found)
        course.go("write", len(groups))
    if files.review:
        lists.write_review(files.review, side_by_side(sheets, found, unclear, again))
    course.over("write")
    return written


def _size(sheets: Sequence[Sheet]) -> int:
    """How many bytes the files have."""
    return sum(one.file.stat().st_size for one in sheets)


def _refuse_to_overwrite(written: Sequence[Path], read: Sequence[Path]) -> None:
    places = [one.resolve() for one in written]
    for at, place in enumerate(places):
        if place in places[:at] or place in {one.resolve() for one in read}:
            raise FileTrouble(f"{written[at]} is named twice. Give every list a file of its own.")


def _keep_decisions(files: Lists) -> None:
    """Raises `FileTrouble` where a list that has no decisions would take the place of one that has."""
    for option, written in (("--review", files.review), ("--groups", files.groups)):
        if written and files.ruled and written.resolve() == files.ruled.resolve():
            raise FileTrouble(
                f"{written} has your decisions (--ruled), and {option} would overwrite them. Name another "
                f"file for {option}."
            )

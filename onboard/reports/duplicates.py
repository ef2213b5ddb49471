"""Who is in a file twice: lists of pairs and groups to work in, and what there is in all."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from math import ceil
from pathlib import Path
from shlex import quote
from typing import TypeAlias

from onboard import unfinished
from onboard.errors import FileTrouble
from onboard.match.found_groups import Groups
from onboard.match.many import Each
from onboard.model import Verdict
from onboard.reports import cells, side_by_side
from onboard.reports.counts import counted
from onboard.reports.pairs import AT_ONCE, Pair, Pairs
from onboard.reports.side_by_side import Both
from onboard.reports.table import Piece, Words

HEADINGS = ("id_a", "id_b", "confidence", "verdict", "evidence", "bits", "group", "ruling")
IN_WORDS = (
    "First row",
    "Second row",
    "Confidence",
    "Verdict",
    "Evidence",
    "Bits",
    "Group",
    "Ruling",
)
REVIEW = ("id_a", "id_b", "confidence", "first", "second", "evidence", "ruling")
RULINGS = {"ruling": ("same", "different")}

PART = 1_000_000  # pairs in a file
MANIFEST = "manifest.json"


@dataclass(frozen=True, slots=True)
class Duplicates:
    """What was found in a file."""

    ids: Sequence[str]  # of all rows
    pairs: Pairs  # the surest first
    groups: Groups
    compared: int  # pairs
    notes: tuple[str, ...]
    lost: int  # lines in cells whose quotation mark was not closed

    def of(self, verdict: Verdict) -> Pairs:
        """The pairs of which this is said."""
        return self.pairs.of(verdict)


def write_pairs(
    file: Path,
    found: Duplicates,
    beside: Iterable[tuple[str, Sequence[Both]]] = (),
    progress: Callable[[int], None] = lambda pairs: None,
    each: Each = map,
) -> Path:
    """Write every pair with its evidence; into a workbook, also what stands in both rows of each, side
    by side. `progress` is told how many more are written, now and then; `each` makes the lines of CSV, wherever that is. Headings are words there, and names for programs in CSV. Gives the file, or for `PART` pairs and
    more, which no spreadsheet program opens, a folder called as the file: parts of as many, and
    `manifest.json`, which says which parts there are. Raises `FileTrouble`, as all do here that write.
    """
    if file.suffix.casefold() == ".csv":
        if len(found.pairs) >= PART:
            return _write_parts(file.with_suffix(""), found, progress, each)
        cells.write(file, cells.Page("Pairs", HEADINGS, _in_csv(found, progress, each)))
        return file
    pages = [
        cells.Page("Pairs", IN_WORDS, _in_rows(found, progress), {"Evidence": 90}, {"Ruling": ("same", "different")},
                   frozenset({"Ruling"})),
        side_by_side.page("Side by side", ("Pair", "First", "Second"), beside),
    ]  # fmt: skip
    cells.write(file, *pages)
    return file


def _write_parts(
    folder: Path, found: Duplicates, progress: Callable[[int], None], each: Each
) -> Path:
    """The pairs in a folder of parts, which takes the place of an earlier one; whole, or not at all."""
    if folder.exists() and not (folder / MANIFEST).exists():
        raise FileTrouble(
            f"There are {PART:,} pairs and more, so they go to a folder, {folder}. It is there already, and has no "
            f"{MANIFEST}, so it may be something else. Give --to another name."
        )
    try:
        unfinished.sweep(folder.parent)
        made = Path(tempfile.mkdtemp(unfinished.SUFFIX, unfinished.prefix(), folder.parent))
        lines, parts = _in_csv(found, progress, each), []
        for number in range(1, 1 + ceil(len(found.pairs) / PART)):
            name = f"pairs-{number:04}.csv"
            cells.write(
                made / name, cells.Page("Pairs", HEADINGS, islice(lines, ceil(PART / AT_ONCE)))
            )
            parts.append({"file": name, "pairs": min(PART, len(found.pairs) - PART * (number - 1))})
        told = {"rows": len(found.ids), "compared": found.compared, "pairs": len(found.pairs),
                "groups": len(found.groups), "parts": parts}  # fmt: skip
        (made / MANIFEST).write_text(json.dumps(told, indent=1) + "\n", "utf-8")
        if folder.exists():
            old = Path(tempfile.mkdtemp(unfinished.SUFFIX, unfinished.prefix(), folder.parent))
            folder.rename(old / folder.name)
            made.rename(folder)
            shutil.rmtree(old, ignore_errors=True)
        else:
            made.rename(folder)
    except OSError as error:
        raise FileTrouble(f"Can't write {folder}: {error.strerror or error}.") from error
    return folder


def write_groups(file: Path, found: Duplicates) -> None:
    """Write every row that is in a group, a row each, with how sure its weakest tie is (0 to 1).

    Raises `FileTrouble` when it cannot be written.
    """
    cells.write(file, cells.Page("Groups", ("id", "group", "weakest_tie"), _groups(found)))


def write_review(file: Path, unclear: Iterable[tuple[Pair, str, str]]) -> None:
    """Write the unclear pairs, each with its confidence (0 to 1) and what its two rows say.

    Raises `FileTrouble` when it cannot be written.
    """
    rows = (
        (pair.one, pair.other, round(pair.confidence, 4), first, second, pair.evidence, "")
        for pair, first, second in unclear
    )
    page = cells.Page("Review", REVIEW, rows, choices=RULINGS, filled_in=frozenset({"ruling"}),
                      widths={"first": 40, "second": 40, "evidence": 90})  # fmt: skip
    cells.write(file, page)


def _people(found: Duplicates) -> str:
    """How many people are in the file more than once, and how many may be: nobody is sure of those."""
    sure = found.groups.with_any(found.of(Verdict.SAME).rows())
    unsure = len(found.groups) - sure
    told = counted(sure, "person is", "people are") + " in the file more than once."
    return told + (f" {counted(unsure, 'person')} may be." if unsure else "")


def pieces(
    found: Duplicates,
    to: Path,
    *,
    grouped: Path | None = None,
    review: Path | None = None,
    notes: Sequence[str] = (),
) -> list[Piece]:
    """How many there are, and in which files they are."""
    unclear = len(found.of(Verdict.UNCLEAR))
    sums = (
        f"{counted(len(found.ids), 'row')}: {counted(len(found.of(Verdict.SAME)), 'pair')} the same "
        f"person, {unclear:,} to check. {_people(found)}"
    )
    also = [f"the {what} to {file}" for what, file in
            (("groups", grouped), ("unclear ones, in full,", review)) if file]  # fmt: skip
    said: list[Piece] = [Words(note) for note in (*notes, *found.notes)]
    said += [
        Words(sums, is_strong=True),
        Words(f"Wrote {' and '.join((f'the pairs to {to}', *also))}."),
    ]
    if unclear:
        said.append(
            Words(
                f'To decide, write same or different under "ruling" in {to}, and run the '
                f"same line with --ruled {quote(str(to))}."
            )
        )
    return said


Some: TypeAlias = tuple[Pairs, list[str]]  # and the group of each; "" for two who are not in one


def _in_rows(found: Duplicates, progress: Callable[[int], None]) -> Iterator[tuple[object, ...]]:
    for some in _blocks(found):
        yield from _rows(some)
        progress(len(some[0]))


def _in_csv(
    found: Duplicates, progress: Callable[[int], None], each: Each
) -> Iterator[cells.Lines]:
    """The lines of all pairs, a block at a time."""
    sizes: deque[int] = deque()

    def sent() -> Iterator[Some]:
        for pairs, groups in _blocks(found):
            sizes.append(len(pairs))
            yield pairs.alone(), groups

    for lines in each(_lines, sent()):
        yield lines
        progress(sizes.popleft())


def _blocks(found: Duplicates) -> Iterator[Some]:
    """All pairs, some at a time, none of which are of two parts."""
    of = found.groups.of_owners()
    for part in range(0, len(found.pairs), PART):
        for start in range(part, min(part + PART, len(found.pairs)), AT_ONCE):
            some = found.pairs[start : min(start + AT_ONCE, part + PART)]
            one, other = of[some.here], of[some.there]
            both = (one == other) & (one >= 0)
            names = iter(found.groups.names(one[both]))
            yield some, [next(names) if together else "" for together in both.tolist()]


def _lines(some: Some) -> cells.Lines:
    return cells.csv_lines(_rows(some))


def _rows(some: Some) -> Iterator[tuple[object, ...]]:
    for pair, group in zip(*some, strict=True):
        yield (
            pair.one, pair.other, round(pair.confidence, 4), str(pair.verdict), pair.evidence,
            round(pair.weight, 1), group, pair.ruling,
        )  # fmt: skip


def _groups(found: Duplicates) -> Iterator[tuple[object, ...]]:
    for group in found.groups:
        for member in group.members:
            yield member, group.id, round(group.weakest, 4)

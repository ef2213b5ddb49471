"""A file of join forms, for a page: its columns to confirm, then what it comes to, previewed or saved. Sign-ups from the
porch have no columns to confirm.

Each is a whole work by itself, which a page has done in another process.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path

from onboard.intake import boxes
from onboard.office import Act, Seat
from onboard.reports.batch import Batch, BatchReport
from onboard.reports.decisions import Seen, settled, to_act_on
from onboard.reports.table import Piece
from onboard.tasks.enroll_batch import Watch, enroll_batch
from onboard.tasks.from_porch import from_spool
from onboard.tasks.open_forms import open_forms, remember_columns, see_columns_are_clear

_SAMPLES = 3  # rows shown of each column
_LONGEST = 60  # letters of each


@dataclass(frozen=True, slots=True)
class ColumnShown:
    """A column of the file: what it is read as ("" if kept aside), why, and its first cells."""

    heading: str
    field: str  # as `intake.open_rows` takes it: "email", "consent:no"
    why: str
    samples: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """Something about the columns that only a person knows."""

    fields: tuple[str, ...]
    headings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ColumnsShown:
    """How a file is read."""

    columns: tuple[ColumnShown, ...]
    questions: tuple[Asked, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """What a file of forms came to."""

    sums: BatchReport
    lists: tuple[Piece, ...]  # what needs a person first
    notes: tuple[str, ...]
    samples: tuple[str, ...]  # of the starter, left in the settings: they stop a save
    packets: int = 0  # made
    letters: int = 0  # of these, those that no email tells
    asked: int = 0  # packets that wait for an answer about an email address
    on_file: frozenset[int] = frozenset()  # members whose contact info the lists show
    marks: tuple[str, ...] = ()  # of the sign-ups from the porch that these are


@dataclass(frozen=True, slots=True)
class Read:
    """How a file is to be read: what its columns hold, by heading, and which sheet."""

    told: Mapping[str, str]
    sheet: str = ""
    remember: bool = False  # and files like it from here on
    needed: tuple[str, ...] = ("name", "email")  # fields without which it says nothing


def read_columns(
    seat: Seat, file: Path, read: Read, *, progress: Callable[[int], None]
) -> ColumnsShown:
    """How the file is read. Raises `FileTrouble` and `SettingsTrouble`."""
    office = seat.office()
    office.see_that_one_may(Act.INTAKE)
    sheet = open_forms(office, file, told=read.told, needed=read.needed, sheet=read.sheet)
    cells = [dict(row.cells) for row in islice(sheet.rows(), _SAMPLES)]
    progress(len(cells))
    columns = tuple(
        ColumnShown(
            column.heading, boxes.joined(column.field, column.empty), column.words,
            tuple(" ".join(row.get(column.heading, "").split())[:_LONGEST] for row in cells),
        )
        for column in sheet.columns.columns
    )  # fmt: skip
    asked = tuple(Asked(one.fields, one.headings) for one in sheet.columns.questions)
    return ColumnsShown(columns, asked, sheet.notes)


def judge_file(
    seat: Seat,
    file: Path,
    read: Read,
    keep: bool,
    *,
    progress: Callable[[int], None],
) -> Judged:
    """What the forms come to; saved, and their packets made, if `keep`.

    Raises what `enroll_batch` does."""
    office = seat.office()
    sheet = open_forms(office, file, told=read.told, sheet=read.sheet)
    see_columns_are_clear(sheet)
    if read.remember:
        remember_columns(office, sheet)

    seen = Seen(file, to_see_all="")
    done = enroll_batch(office, sheet.rows(), seen, keep=keep, watch=_watch(progress))
    return _judged(seen, done, sheet.passed_over.words())


def judge_sign_ups(
    seat: Seat,
    folder: Path,
    named: Path,
    keep: bool,
    marks: Sequence[str] = (),
    *,
    progress: Callable[[int], None],
) -> Judged:
    """What the sign-ups come to that wait in the spool of a porch; if `keep`, those with these marks are saved, their
    packets made, and they are taken out of it. The sheet of questions stands in the folder of `named`.

    Raises what `enroll_batch` does."""
    office = seat.office()
    office.see_that_one_may(Act.INTAKE)
    with from_spool(folder, keep=keep, only=frozenset(marks) if keep else None) as waiting:
        seen = Seen(named.with_name(waiting.named.name), to_see_all="")
        done = enroll_batch(office, waiting.rows(), seen, keep=keep, watch=_watch(progress))
        notes, entries = waiting.notes(), waiting.found.entries
    return replace(_judged(seen, done, notes), marks=tuple(one.mark for one in entries))


def _watch(progress: Callable[[int], None]) -> Watch:
    @contextmanager
    def bar(what: str, total: int | None) -> Iterator[Callable[[int], None]]:
        yield progress if what == "Rows" else lambda done: None

    return Watch(bar=bar)


def _judged(seen: Seen, done: Batch, notes: Sequence[str]) -> Judged:
    return Judged(
        done.sums, (*to_act_on(seen), *settled(seen)), (*notes, *done.sums.notes), tuple(done.samples),
        len(done.packets), len(done.by_letter_only), len(done.asked), frozenset(seen.on_file),
    )  # fmt: skip


__all__ = ["ColumnsShown", "Judged", "Read", "judge_file", "judge_sign_ups", "read_columns"]

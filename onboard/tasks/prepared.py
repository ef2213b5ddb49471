"""Join forms with all that can be made of each from itself alone, so that it may be made ahead and elsewhere.

Judging needs the roster and order, and stays in one process. What comes before it is two fifths of a
batch's time: of a long file, other processes may do it while this one judges.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from itertools import chain, islice
from typing import NamedTuple

from onboard import engines, handles, match
from onboard.clean import other_of_two, row, statement
from onboard.model import (
    Answer,
    Applicant,
    Cleaned,
    Handle,
    Person,
    PersonName,
    RawRow,
    Ruling,
)
from onboard.settings import Settings

NAMES = frozenset(("full_name", "given", "middle", "family", "second_family", "suffix"))
MANY = 1_000  # rows; fewer are judged before another process is of use
A_PIECE = 100  # rows that a process makes ready at once


class Prepared(NamedTuple):
    """A join form, understood."""

    applicant: Applicant
    people: tuple[Person, ...]
    spelt: tuple[match.Spelt, ...]  # of each of the people
    handle: Cleaned[Handle]  # that the name gives, before anybody else's is looked at
    sketch: str  # of what it says of the person (`clean.statement`)


def prepared(raw: RawRow, settings: Settings) -> Prepared:
    """One form, by itself."""
    applicant = row.clean(raw, region=settings.region, sites=settings.sites)
    people = applicant.people()
    handle = handles.clean(applicant.name.value or PersonName(""), settings.handle)
    return Prepared(applicant, people, tuple(map(match.spelt, people)), handle, statement.of(raw))


def as_answered(
    raw: RawRow, ready: Prepared | None, ruling: Ruling | None, settings: Settings
) -> Prepared:
    """One form with the corrections of the answer about it; `ready` is what was made of it before."""
    # "Wait" puts nothing right, or a row could be enrolled that was to wait.
    settles = ruling is not None and ruling.answer not in (Answer.WAIT, Answer.UNDO)
    if ruling and settles and ruling.corrections:
        return _corrected(raw, ruling, settings)
    if ready and ready.applicant.raw.findings == raw.findings:
        return ready
    return prepared(raw, settings)


def _corrected(raw: RawRow, ruling: Ruling, settings: Settings) -> Prepared:
    """The same, with what is to ask about the others whom the form named as it came."""
    now = prepared(row.corrected(raw, ruling.corrections), settings)
    applicant = now.applicant
    if NAMES.isdisjoint(ruling.corrections):
        return now
    before = row.clean(raw, region=settings.region, sites=settings.sites).name
    others = other_of_two.found(before, applicant.name)
    name = applicant.name._replace(findings=(*applicant.name.findings, *others))
    return now._replace(applicant=applicant._replace(name=name)) if others else now


def asked_about(raw: RawRow) -> RawRow:
    """The row of somebody who was deleted, with a question whether they joined anew."""
    if any(finding.code == statement.DELETED.code for finding in raw.findings):
        return raw
    return raw.but(raw.fields, (*raw.findings, statement.was_deleted()))


def _all(settings: Settings, rows: Sequence[RawRow]) -> list[Prepared]:
    return [prepared(raw, settings) for raw in rows]


@contextmanager
def in_parts(
    rows: Iterable[RawRow], settings: Settings, size: int, processes: int
) -> Iterator[Iterator[list[Prepared]]]:
    """The forms in their order, `size` at a time, made ready by so many processes, this one among them.

    `processes` is 0 for one a processor, and 1 for none but this. Raises `EngineTrouble`.
    """
    rest = iter(rows)
    first = list(islice(rest, MANY))
    pieces = engines.parts(chain(first, rest), A_PIECE)
    work, small = partial(_all, settings), len(first) < MANY
    with engines.choose(processes, work, small=small, also_here=True) as engine:
        yield engines.parts(chain.from_iterable(engine.map(pieces)), size)

"""Spreadsheets of members that nobody imported, audited as one list, a part of a file at a time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import TYPE_CHECKING, TypeAlias

from onboard import engines
from onboard.audit.outcome import Audit
from onboard.audit.record import Rules
from onboard.errors import FileTrouble
from onboard.intake import Sheet
from onboard.intake.days import days_of
from onboard.intake.passed_over import PassedOver
from onboard.intake.table import Line, Stretch
from onboard.model import RawRow
from onboard.office import Office
from onboard.tasks import audit_roster as accounts
from onboard.tasks.audit_roster import Asked, Look, Progress, joined
from onboard.tasks.looked import Looked
from onboard.tasks.mail_domains import AskedDomains
from onboard.tasks.rows_in_parts import ROWS, SIZE

if TYPE_CHECKING:
    from onboard.engines.cluster import Cluster
    from onboard.intake.days import Days

Part: TypeAlias = tuple[int, Sequence[RawRow] | Stretch]  # of which list, from 0, and its rows


def audit_sheet(
    office: Office,
    sheet: Sheet | Sequence[Sheet],
    *,
    apart: Sequence[tuple[str, str]] = (),
    processes: int = 1,
    engine: Cluster | None = None,
    progress: Progress = lambda stage, done: None,
) -> Audit:
    """What is amiss in a spreadsheet of members, or in several that are one list, of what it has columns for.

    `apart`, `processes` and `engine` are as for `audit_roster`; workers that see the files read them themselves. Of
    several, a row is called by its file and line. Raises `FileTrouble` if one cannot be read to its end, or two have one
    name, and `EngineTrouble`.
    """
    sheets = (sheet,) if isinstance(sheet, Sheet) else tuple(sheet)
    _see_that_names_differ(sheets)
    at, rules = office.now(), Rules.of(office.settings, office.today())
    domains = AskedDomains(office)
    days = days_of(sheets, office.today(), office.settings.region)
    lists = tuple(_List.of(one, rules, days, alone=len(sheets) == 1) for one in sheets)
    parts = _parts(sheets, domains, None if domains.are_asked else engine)
    first = next(parts)
    small = len(sheets) == 1 and _size(first) < accounts.PART
    over: list[tuple[int, PassedOver]] = []

    def looked(done: Iterator[tuple[Looked, int, PassedOver]]) -> Iterator[Looked]:
        for found, which, passed in done:
            over.append((which, passed))
            yield found

    work = _Reading(lists).at
    with engines.choose(processes, work, small=small, cluster=engine) as workers:
        some = accounts.gathered(looked(workers.map(chain([first], parts))), progress)
    for which, passed in over:
        sheets[which].passed_over.join(passed)
    named = ", ".join(one.file.name for one in sheets[:MOST]) + (", …" if sheets[MOST:] else "")
    done = joined(Asked(rules, at, named, False, apart, progress), some, set(), [])
    return replace(done, notes=(*_no_columns(sheets), *done.notes, *domains.notes()))


MOST = 3  # files that are named of very many


def _see_that_names_differ(sheets: Sequence[Sheet]) -> None:
    names = [one.file.name for one in sheets]
    for name in names:
        if names.count(name) > 1:
            raise FileTrouble(
                f"Two of the files are called {name}, and the report names each row by its file. Rename one of "
                "them, and run this again."
            )


# ---------------------------------------------------------------- the rows


@dataclass(frozen=True, slots=True)
class _List:
    """A spreadsheet, and how its rows are looked at."""

    sheet: Sheet
    look: Look

    @classmethod
    def of(cls, sheet: Sheet, rules: Rules, days: Days, alone: bool) -> _List:
        fields = frozenset(column.field for column in sheet.columns.columns)
        headings = {
            of: tuple(column.heading for column in sheet.columns.of(of))
            for of in fields.difference([""])
        }
        bare = replace(sheet.table, lines=_no_lines, stretch=None)  # these go with the parts
        sheet = replace(sheet, table=bare, passed_over=PassedOver())
        return cls(sheet, Look(rules, fields, days, headings, "" if alone else sheet.file.name))


def _no_lines() -> Iterator[Line]:
    return iter(())


@dataclass(frozen=True, slots=True)
class _Reading:
    """Reads rows where they do not come with the part, and looks at them, wherever that is."""

    lists: Sequence[_List]

    def at(self, part: Part) -> tuple[Looked, int, PassedOver]:
        """The accounts of a part, which list they are of, and the lines of it that hold none."""
        which, rows = part
        over = PassedOver()
        if isinstance(rows, Stretch):
            sheet = self.lists[which].sheet
            some = replace(sheet, table=replace(sheet.table, lines=rows.lines), passed_over=over)
            try:
                rows = list(some.rows())
            except OSError as error:
                raise FileTrouble(f"Can't read {sheet.file}: {error.strerror or error}.") from error
        return self.lists[which].look.at_rows(rows), which, over


def _parts(
    sheets: Sequence[Sheet], domains: AskedDomains, engine: Cluster | None
) -> Iterator[Part]:
    """The rows of all sheets, in order; workers who see the files are only told where."""
    seen = engine is not None and engine.sees([one.file for one in sheets if one.table.stretch])
    for which, sheet in enumerate(sheets):
        whole = sheet.table.stretch
        if engine and seen and whole:
            cut = [*whole.cut(SIZE, ROWS, engine.each)]
            if cut != [whole] or whole.size <= SIZE:
                yield from ((which, one) for one in cut)
                continue
        for rows in engines.parts(domains.of_rows(sheet.rows()), accounts.PART):
            yield which, rows


def _size(part: Part) -> int:
    rows = part[1]
    return accounts.PART if isinstance(rows, Stretch) else len(rows)


# ---------------------------------------------------------------- what is not said


# What an audit asks of a spreadsheet, and the fields any of which would answer.
ASKED = {
    "sign-in names": ("handle",), "emails": ("email",), "phones": ("phone",),
    "addresses": ("address", "street"), "drop sites": ("site",), "consent to email": ("consent",),
    "last sign-ins": ("last_sign_in",),
}  # fmt: skip


def _no_columns(sheets: Sequence[Sheet]) -> Iterator[str]:
    """That a spreadsheet has no column for something, and so nothing is said of it; all at once, where it is
    the same of all."""
    lacking = {one.file.name: _lacking(one) for one in sheets}
    alike = len(set(lacking.values())) == 1
    for name, what in lacking.items():
        if what:
            last = " or ".join(filter(None, (", ".join(what[:-1]), what[-1])))
            which, it = f"{name} has", "it has"
            if alike:
                which = "The spreadsheet has" if len(sheets) == 1 else "The spreadsheets have"
                it = "it has" if len(sheets) == 1 else "they have"
            yield (
                f"{which} no column for {last}, so the audit says nothing about these. If {it} "
                'one, name it: --column "Heading=field".'
            )
        if alike:
            break


def _lacking(sheet: Sheet) -> tuple[str, ...]:
    return tuple(
        what for what, fields in ASKED.items() if not any(f in sheet.columns for f in fields)
    )

"""What the ordering page knows of its members, taken in: last sign-ins, last orders, bounced mail."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from onboard.clean import day
from onboard.errors import FileTrouble
from onboard.intake import Sheet
from onboard.model import Change, Owner, RawRow
from onboard.office import Act, Office
from onboard.roster import change, condition, journal, search
from onboard.roster.change import Occasion
from onboard.roster.journal import Entry

AT_ONCE = 500
DAYS = ("last_sign_in", "last_order", "bounced")  # columns of the list, and of the member table
MOST_TOLD = 200
FIRST_YEAR = 2000  # some pages write 1970-01-01, or the year 1, where they have no day
A_DAY = timedelta(1)


@dataclass(slots=True)
class ActivityReport:
    """What was noted, and what was left out and why."""

    rows: int = 0
    noted: int = 0
    older: int = 0  # a newer list has been taken in already
    left_out: list[tuple[int, str, str]] = field(default_factory=list)  # line, handle, why
    not_told: int = 0  # left out beyond those listed
    number: int = 0  # by which it is taken back; 0: nothing was changed

    @property
    def skipped(self) -> int:
        """How many rows were left out."""
        return len(self.left_out) + self.not_told

    def leave_out(self, line: int, handle: str, why: str) -> None:
        if len(self.left_out) < MOST_TOLD:
            self.left_out.append((line, handle[:60], why))
        else:
            self.not_told += 1


def see_that_it_has_days(sheet: Sheet) -> None:
    """Raises `FileTrouble` for a list that has none of the days."""
    if not any(column.field in DAYS for column in sheet.columns.columns):
        raise FileTrouble(
            f"{sheet.file} has no column of last sign-ins, last orders or emails that came back. Name one: "
            '--column "Heading=last_sign_in" (or last_order, or bounced).'
        )


def note_activity(
    office: Office,
    rows: Iterable[RawRow],
    *,
    file: str,
    as_of: date,
    keep: bool,
    progress: Callable[[int], None] = lambda done: None,
) -> ActivityReport:
    """Note, by handle, the days that a list of the ordering page names; `as_of` is the list's day.
    Without `keep` it only looks.

    An empty cell is "never" for sign-ins and orders, and says nothing of bounced mail. A list that is
    older than the one noted before changes nothing. Of two sign-in names of one member the later days
    count. Raises `FileTrouble` for a list of a day to come, before which every true one would be
    older, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.INTAKE)
    today, signature = office.today(), office.signature()
    if as_of > today:
        raise FileTrouble(f"{as_of} is a day to come: give the day of the list, as 2026-11-25.")
    report = ActivityReport()
    listed = _List(as_of, today, office.settings.region)
    occasion = Occasion(signature, "activity", file)
    with office.work(keep=keep) as connection:
        for part in search.parts(rows, AT_ONCE):
            named = {raw.fields.get("handle", "").strip() for raw in part}
            known = condition.seen_on_page(connection, named | {text.lower() for text in named})
            lines = [one for raw in part for one in listed.changes(raw, known, report)]
            if keep and lines:
                done = change.make(connection, lines, occasion, number=report.number)
                assert not done.left_out, "they were read in this very transaction"
                report.number = done.number
            report.rows += len(part)
            progress(len(part))
        if report.noted and keep:
            after = {"file": file, "members": report.noted, "as_of": as_of.isoformat()}
            entry = Entry("activity noted", Owner.roster(), "the ordering page's list", after=after)
            journal.write(connection, [entry], signature)
    return report


class _List:
    """A list of the ordering page, made on a day, as it is read row by row."""

    def __init__(self, as_of: date, today: date, region: str) -> None:
        self.as_of, self.today, self.region = as_of, today, region
        self.noted: dict[int, dict[str, str | None]] = {}  # by member, what this list said so far

    def changes(
        self,
        raw: RawRow,
        known: Mapping[str, tuple[int, Mapping[str, str | None]]],
        report: ActivityReport,
    ) -> list[tuple[int, Change]]:
        """What a row of the list changes, with its line; that it is left out is noted."""
        handle = raw.fields.get("handle", "").strip()
        if handle not in known and handle.lower() in known:
            handle = handle.lower()  # a page may show with capitals what has none with us
        days = {name: raw.fields.get(name, "").strip() for name in DAYS}
        if not handle or handle not in known:
            why = "no sign-in name" if not handle else "nobody has this sign-in name"
            report.leave_out(raw.line, handle, why)
            return []
        if why := self._objection(days.values()):
            report.leave_out(raw.line, handle, why)
            return []
        number, before = known[handle]
        if (before["page_seen"] or "") > self.as_of.isoformat():
            report.older += 1
            return []
        report.noted += 1
        # Columns that the list does not have stay as they are.
        said = {name: self._iso(days[name]) for name in DAYS if name in raw.fields}
        if not said.get("bounced"):
            said.pop("bounced", None)
        if "last_sign_in" in said:
            said["page_seen"] = self.as_of.isoformat()
        so_far = self.noted.setdefault(number, {})
        for name in said.keys() & so_far.keys():
            said[name] = max(said[name] or "", so_far[name] or "") or None
        now = {**before, **so_far}
        so_far |= said
        return [
            (raw.line, Change(number, name, now[name], after, "the ordering page's list"))
            for name, after in said.items()
            if now[name] != after
        ]

    def _objection(self, days: Collection[str]) -> str:
        """Why the days of a row cannot be used; "" if they can."""
        for text in filter(None, days):
            read = day.clean(text, region=self.region)
            found, codes = read.value, {finding.code for finding in read.findings}
            if found is None and day.NONE.code in codes:
                continue  # "never"
            if found is None and codes.isdisjoint((day.FILLER.code, day.OUT_OF_RANGE.code)):
                return f"“{text[:40]}” is not a date. Write it as 2026-11-25"
            # A page elsewhere may be in tomorrow already; but nobody has been there tomorrow.
            if (
                found is None
                or found.year < FIRST_YEAR
                or found - self.as_of > A_DAY
                or found > self.today
            ):
                return f"“{text[:40]}” cannot be a day in a list of {self.as_of}"
        return ""

    def _iso(self, said: str) -> str | None:
        found = day.clean(said, region=self.region).value
        return found.isoformat() if found else None

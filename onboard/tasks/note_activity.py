"""What the ordering page knows of its members, taken in: last sign-ins, last orders, bounced mail."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Connection, bindparam, update

from onboard.audit.record import day
from onboard.errors import FileTrouble
from onboard.intake import Sheet
from onboard.model import Owner, RawRow
from onboard.office import Office
from onboard.roster import condition, journal, search, tables
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
    older than the one noted before changes nothing. Raises `FileTrouble` for a list of a day to
    come, before which every true one would be older, and `StoreTrouble`.
    """
    if as_of - office.today() > A_DAY:
        raise FileTrouble(f"{as_of} is a day to come: give the day of the list, as 2026-11-25.")
    report = ActivityReport()
    with office.work(keep=keep) as connection:
        for part in search.parts(rows, AT_ONCE):
            named = {raw.fields.get("handle", "").strip() for raw in part}
            known = condition.seen_on_page(connection, named | {text.lower() for text in named})
            changes = [
                change for raw in part if (change := _change(raw, known, as_of, report)) is not None
            ]
            if keep:
                _write(connection, changes)
            report.rows += len(part)
            report.noted += len(changes)
            progress(len(part))
        if report.noted and keep:
            after = {"file": file, "members": report.noted, "as_of": as_of.isoformat()}
            entry = Entry("activity noted", Owner.roster(), "the ordering page's list", after=after)
            journal.write(connection, [entry], office.signature())
    return report


def _change(
    raw: RawRow, known: Mapping[str, tuple[int, str | None]], as_of: date, report: ActivityReport
) -> dict[str, Any] | None:
    """What a row of the list changes, by column, with the member's number; None if it is left out."""
    handle = raw.fields.get("handle", "").strip()
    if handle not in known and handle.lower() in known:
        handle = handle.lower()  # a page may show with capitals what has none with us
    days = {name: raw.fields.get(name, "").strip() for name in DAYS}
    if not handle or handle not in known:
        why = "no sign-in name" if not handle else "nobody has this sign-in name"
        report.leave_out(raw.line, handle, why)
        return None
    if why := _objection(days.values(), as_of):
        report.leave_out(raw.line, handle, why)
        return None
    number, seen = known[handle]
    if seen and seen > as_of.isoformat():
        report.older += 1
        return None
    # Columns that the list does not have stay as they are.
    said = {n: _iso(days[n]) for n in DAYS if n in raw.fields}
    if not said.get("bounced"):
        said.pop("bounced", None)
    if "last_sign_in" in said:
        said["page_seen"] = as_of.isoformat()
    return {"number": number, **said}


def _objection(days: Collection[str], as_of: date) -> str:
    """Why the days of a row cannot be used; "" if they can."""
    said = [text for text in days if text]
    if unread := [text for text in said if day(text) is None]:
        return f"“{unread[0][:40]}” is not a date. Write it as 2026-11-25"
    if absurd := [text for text in said if not _could_be(day(text), as_of)]:
        return f"“{absurd[0][:40]}” cannot be a day in a list of {as_of}"
    return ""


def _write(connection: Connection, changes: Sequence[Mapping[str, Any]]) -> None:
    """Write the changes; those of the same columns at once."""
    member = tables.member
    for columns in {tuple(sorted(change)) for change in changes}:
        same = [c for c in changes if tuple(sorted(c)) == columns]
        values: dict[str, Any] = {
            name: bindparam(f"to_{name}") for name in columns if name != "number"
        }
        if values:
            connection.execute(
                update(member).where(member.c.id == bindparam("number")).values(values),
                [{k if k == "number" else f"to_{k}": v for k, v in c.items()} for c in same],
            )


def _could_be(found: date | None, as_of: date) -> bool:
    """Whether it is a day of an ordering page; a page elsewhere may be in tomorrow already."""
    return found is not None and found.year >= FIRST_YEAR and found - as_of <= A_DAY


def _iso(said: str) -> str | None:
    found = day(said)
    return found.isoformat() if found else None

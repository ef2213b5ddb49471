"""Changes that an audit proposes, approved by a person: previewed, then applied."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass

from onboard.errors import FileTrouble, StoreBusy
from onboard.intake.changes import Reviewed
from onboard.model import Handled
from onboard.office import Office, Seat
from onboard.roster import audits
from onboard.roster.audits import Found, Part, Step
from onboard.roster.journal import stamp
from onboard.tasks.findings import see_that_one_may
from onboard.tasks.tidy import TidyReport, tidy
from onboard.windows import say_day

AT_ONCE = 500  # changes that are saved together, where all of a kind are approved
WAITS = (Handled.OPEN, Handled.ASKED)
NONE = "Choose the changes that are right first."


@dataclass(slots=True)
class Approved:
    """What became of all changes of a kind."""

    applied: int = 0
    skipped: int = 0  # the member was changed since the audit
    to_do: int = 0  # members of whom something is left to do
    numbers: tuple[int, ...] = ()  # by which they are undone


def proposed(office: Office, audit: int, code: str, most: int) -> list[Found]:
    """The first findings of a kind that wait and propose a change."""
    see_that_one_may(office)
    with office.reading() as connection:
        part = Part(WAITS, with_change=True, most=most)
        return audits.listed(connection, audit, code, part)[:most]


def approve_findings(office: Office, numbers: Sequence[int], *, keep: bool) -> TidyReport:
    """What comes of the changes of these findings; applied if `keep`, all together, under one number.

    The line of a change is the number of its finding. What somebody has changed since the audit is left out, and
    told. Raises `FileTrouble` if there is no change among them, and what `tidy` does.
    """
    see_that_one_may(office)
    with office.reading() as connection:
        found = audits.by_number(connection, numbers)
    lines = [
        Reviewed(one.number, one.change, True)
        for one in found
        if one.change and one.step.state in WAITS
    ]
    if not lines:
        raise FileTrouble(NONE)
    report = tidy(office, lines, file=f"audit of {say_day(office.today())}", keep=keep)
    if keep:
        _note(office, report)
    return report


def _note(office: Office, report: TidyReport) -> None:
    """What was applied is done; so is what was so already."""
    signature = office.signature()
    done = Step(Handled.DONE, "", stamp(signature.when), signature.who)
    already = [left.line for left in report.left_out if left.is_so_already]
    # The changes are saved. Where the roster is busy now, their findings stay open until somebody approves them again.
    with suppress(StoreBusy), office.transaction() as connection:
        if report.number:
            audits.applied_to(connection, sorted(report.applied), done, report.number)
        audits.applied_to(connection, already, done, None)


def approve_kind(seat: Seat, audit: int, code: str, *, progress: Callable[[int], None]) -> Approved:
    """What became of all changes of a kind, applied some at a time: a whole work, which a page has done in another
    process. What was applied when it is stopped stays, and can be undone."""
    office = seat.office()
    done, after = Approved(), 0
    while True:
        with office.reading() as connection:
            part = Part(WAITS, after, with_change=True, most=AT_ONCE)
            found = audits.listed(connection, audit, code, part)[:AT_ONCE]
        if not found:
            office.close()
            return done
        report = approve_findings(office, [one.number for one in found], keep=True)
        done.applied += len(report.applied)
        done.skipped += sum(not left.is_so_already for left in report.left_out)
        done.to_do += len(report.to_do)
        done.numbers += (report.number,) if report.number else ()
        after = found[-1].number
        progress(len(found))

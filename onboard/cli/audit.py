"""`onboard audit`: what is wrong or out of date in the roster, and what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from onboard import engines
from onboard.audit.outcome import Audit
from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    On,
    Reading,
    console,
    errors,
    open_sheets,
    progress_bar,
    show,
)
from onboard.engines.reaching import caution
from onboard.errors import ChangedMeanwhile, FileTrouble, StoreTrouble
from onboard.intake import Sheet
from onboard.intake.far_files import brought
from onboard.intake.lists import read_rulings
from onboard.office import Office
from onboard.reports import audit as report_audit
from onboard.reports import audited as writing
from onboard.reports.audit import Earlier, Report
from onboard.tasks.audit_roster import audit_roster, count_accounts
from onboard.tasks.audit_sheets import audit_sheet
from onboard.tasks.keep_audit import keep

if TYPE_CHECKING:
    from onboard.engines.cluster import Cluster


@dataclass(frozen=True, slots=True)
class Written:
    """The report in full, and what it goes on from."""

    to: Annotated[
        Path | None,
        typer.Option("--to", help="The folder for the whole report."),
    ] = None
    since: Annotated[
        Path | None,
        typer.Option(
            "--since",
            help="The audit.json to compare with. If left out, the one in the folder, if any.",
        ),
    ] = None
    ruled: Annotated[
        Path | None,
        typer.Option(
            "--ruled",
            help="A list of pairs with your decisions. If left out, pairs.xlsx in the folder.",
        ),
    ] = None


@dataclass(frozen=True, slots=True)
class Working:
    """Where the work is done."""

    on: On = ""


def audit(
    office: Office,
    files: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="[FILE…]",
            help="Spreadsheets of members to check instead of the roster: CSV, XLSX, ODS or Parquet, or a pattern.",
        ),
    ] = None,
    *,
    written: Written,
    reading: Reading,
    working: Working,
    machine: Machine = False,
) -> None:
    """Check every account for problems and out-of-date information. Nothing is changed.

    It checks the roster, or a spreadsheet of members that nobody has brought in; several count as one. With `--to` it makes
    a page to read and print, a workbook with a sheet for each kind of finding, and the proposed
    changes, for you to approve row by row; what it finds on the roster is under Roster care at the desk, too.

    Example: `onboard audit --to audit`

    Example: `onboard audit members.xlsx --to audit`

    Example: `onboard audit "parts/*.csv" --to audit`

    Example: `onboard audit --to audit --on tls://10.0.0.5:8786`
    """
    if careful := caution(working.on):
        errors.print(careful)
    to, since = written.to, written.since
    earlier = report_audit.read_earlier(since) if since else writing.earlier_in(to) if to else None
    rulings = _rulings(written.ruled, to)
    if not files and (reading.column or reading.sheet_name):
        raise FileTrouble("--column and --sheet are for a spreadsheet. Name it as FILE.")
    with brought(files or ()) as here:
        sheets = open_sheets(office, here, reading, needed=("name",), quiet=machine)
        with engines.on(working.on, say=errors.print) as engine:
            done = _done(office, sheets, rulings, machine, engine)
    report = _reported(done, to, earlier, rulings, machine)
    if not sheets and to and not office.lacks_roster:
        _kept_for_the_desk(office, done)
    raise typer.Exit(NEEDS_A_PERSON if report.needs_a_person else DONE)


def _done(
    office: Office,
    sheets: Sequence[Sheet],
    rulings: list[writing.Ruling],
    machine: bool,
    engine: Cluster | None,
) -> Audit:
    apart = [(one, other) for one, other, said in rulings if said == "different"]
    total = None if sheets else count_accounts(office)
    with progress_bar("Accounts", total, shown=not machine) as advance:

        def progress(stage: str, done: int) -> None:
            if stage == "accounts":
                advance(done)

        if not sheets:
            return audit_roster(office, apart=apart, processes=0, engine=engine, progress=progress)
        return audit_sheet(
            office, sheets, apart=apart, processes=0, engine=engine, progress=progress
        )


def _reported(
    done: Audit,
    to: Path | None,
    earlier: Earlier | None,
    rulings: list[writing.Ruling],
    machine: bool,
) -> Report:
    report = writing.report_of(done, earlier)
    files = writing.write(done, report, to, rulings) if to else []
    if machine:
        for line in report_audit.json_lines(report):
            console.file.write(line + "\n")
    else:
        show(*report_audit.pieces(report), *report_audit.written(files, to))
    return report


def _kept_for_the_desk(office: Office, done: Audit) -> None:
    """What cannot be kept, as on a disk that may only be read, is an audit all the same."""
    try:
        keep(office, done)
    except (StoreTrouble, ChangedMeanwhile) as trouble:
        errors.print(f"The findings are not under Roster care at the desk: {trouble}")


def _rulings(ruled: Path | None, to: Path | None) -> list[writing.Ruling]:
    """What was ruled on pairs so far: in the list named, or in the one that is in the folder."""
    if ruled is None and to is not None and (to / writing.PAIRS).exists():
        ruled = to / writing.PAIRS
    if ruled is None:
        return []
    said = read_rulings(ruled)
    return [(*pair, "same") for pair in said.same] + [(*pair, "different") for pair in said.apart]

"""A spreadsheet of members audited for a page: what it came to, and the files to take away.

It is a whole work by itself, which a page has done in another process.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from onboard.office import Seat
from onboard.reports import audit as report_audit
from onboard.reports import audited
from onboard.reports.table import Piece
from onboard.tasks.audit_sheets import audit_sheet
from onboard.tasks.judge_file import Read
from onboard.tasks.open_forms import open_forms, remember_columns, see_columns_are_clear

NEEDED = ("name",)  # fields without which a list of members says nothing


@dataclass(frozen=True, slots=True)
class AuditedFile:
    """What the audit of a spreadsheet came to."""

    told: tuple[Piece, ...]
    files: tuple[str, ...]  # names of the files, in the folder that was named
    proposed: int  # changes of its cells
    passed_over: tuple[str, ...]  # what of the file was no member


def audit_file(
    seat: Seat, file: Path, read: Read, to: Path, *, progress: Callable[[int], None]
) -> AuditedFile:
    """What is amiss in the spreadsheet; the report is written into the folder `to`, and nothing else is changed.

    Raises `FileTrouble` if it cannot be read to its end, or its columns are not clear, `SettingsTrouble` where
    somebody may not, and `EngineTrouble`.
    """
    office = seat.office()
    sheet = open_forms(office, file, told=read.told, needed=NEEDED, sheet=read.sheet)
    see_columns_are_clear(sheet)
    if read.remember:
        remember_columns(office, sheet)

    def told(stage: str, done: int) -> None:
        if stage == "accounts":
            progress(done)

    done = audit_sheet(office, sheet, processes=0, progress=told)
    report = audited.report_of(done)
    files = audited.write(done, report, to)
    return AuditedFile(
        tuple(report_audit.pieces(report)), tuple(one.name for one in files), report.proposed,
        tuple(sheet.passed_over.words()),
    )  # fmt: skip

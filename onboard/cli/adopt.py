"""`onboard adopt`: members who have accounts already."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Record,
    Remembered,
    Shown,
    answer,
    lines,
    open_sheet,
    progress_bar,
    remember_columns,
    see_roster,
    typed,
)
from onboard.office import Office
from onboard.reports import adopted as report
from onboard.reports.table import Words
from onboard.tasks.adopt_members import adopt_members

NEW_NAMES = "--give-sign-in-names"


MemberList = Annotated[
    Path, typer.Argument(help="The members, with their sign-in names: CSV, XLSX or ODS.")
]
NewNames = Annotated[
    bool,
    typer.Option(
        NEW_NAMES,
        help="Make a sign-in name for members who have none, and a welcome packet to make.",
    ),
]


def adopt(
    office: Office,
    file: MemberList,
    *,
    record: Record = False,
    new_names: NewNames = False,
    reading: Remembered,
    shown: Shown,
) -> None:
    """Bring in existing members, with the sign-in names they have.

    They get no new password and no packet. What the list says of them is kept, also what the program
    can't understand, for you to ask about. You get a preview first. With `--record` it is saved. Rows
    that need you go to a sheet: fix them there, and give it back.

    Example: `onboard adopt fixtures_demo/members.csv --record`

    Example: `onboard adopt old-roster.xlsx --column "Joined the co-op=submitted" --remember`

    Example: `onboard adopt old-roster-questions.xlsx --record`
    """
    from onboard import catalogue
    from onboard.intake.days import days_of

    needed = ("name",) if new_names else ("name", "handle")
    sheet = open_sheet(office, file, reading, needed=needed, quiet=shown.machine)
    if reading.remember:
        remember_columns(office, sheet, record=record)
    see_roster(office, record=record, quiet=shown.machine)
    days = days_of(sheet, office.today(), office.settings.region)
    with progress_bar("Members", None, shown=not shown.machine) as progress:
        done = adopt_members(
            office, sheet.rows(), file=file.name, keep=record, days=days, with_new_names=new_names,
            progress=progress,
        )  # fmt: skip
    questions = report.write_questions(done.skipped, file) if record else None
    said = () if reading.remember else reading.column or ()
    told = [word for one in said for word in ("--column", one)]
    answered = ["adopt", str(questions), "--record", *told] if questions else []
    left = report.next_lines(
        done, questions=questions, answered=lines(office)(shlex.join(answered)),
        with_names="" if new_names else typed(NEW_NAMES), line=lines(office), saved=record,
    )  # fmt: skip
    answer(
        [
            *map(Words, sheet.passed_over.words()),
            *report.pieces(
                done, roster=office.roster_name if record else "", again=typed("--record"),
                about={kind.code: kind.about for kind in catalogue.kinds()}, whole=shown.whole,
            ),
            *map(Words, left),
        ],
        [report.as_json(done, recorded=record, questions=questions)],
        shown.machine,
    )  # fmt: skip
    raise typer.Exit(NEEDS_A_PERSON if done.skipped else DONE)

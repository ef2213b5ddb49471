"""`onboard batch`: join forms to accounts; a preview first, saved when told."""

from __future__ import annotations

import json
from contextlib import nullcontext
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from onboard import intake
from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Record,
    Remembered,
    Shown,
    answer,
    console,
    lines,
    open_sheet,
    progress_bar,
    remember_columns,
    see_roster,
    typed,
)
from onboard.errors import FileTrouble
from onboard.office import Office
from onboard.reports import batch as report
from onboard.reports.decided_json import row_as_json
from onboard.reports.decisions import Seen
from onboard.tasks.enroll_batch import Watch, enroll_batch
from onboard.tasks.from_porch import from_spool
from onboard.tasks.outcome import Outcome


@dataclass(frozen=True, slots=True)
class Given:
    """What else there is to take in."""

    answered: Annotated[
        Path | None,
        typer.Option("--answers", help="The sheet of questions, with your answers."),
    ] = None
    porch: Annotated[
        Path | None,
        typer.Option(
            "--from-porch",
            help="The spool of onboard porch: the sign-ups that wait there are the file.",
        ),
    ] = None


def batch(
    office: Office,
    file: Annotated[Path | None, typer.Argument(help="The join forms: CSV, XLSX or ODS.")] = None,
    *,
    record: Record = False,
    given: Given,
    reading: Remembered,
    shown: Shown,
) -> None:
    """Turn a file of join forms into accounts and welcome packets.

    You get a preview first. With `--record` it is saved. Rows that need your answer go to a sheet
    of questions: fill in your answers, and give it back with `--answers`.

    Example: `onboard batch fixtures_demo/join-forms.csv`

    Example: `onboard batch forms.xlsx --record --column "Contact=phone"`

    Example: `onboard batch --record --answers forms-questions.xlsx`

    Example: `onboard batch --from-porch spool --record`
    """
    porch, answered = given.porch, given.answered
    if not (file or porch or answered):
        raise FileTrouble(
            "Nothing to do. Give a file of join forms, or --answers with your answers."
        )
    if file and porch:
        raise FileTrouble("Give a file of join forms, or --from-porch: not both at once.")
    sheet = open_sheet(office, file, reading, quiet=shown.machine) if file else None
    if sheet and reading.remember:
        remember_columns(office, sheet, record=record)
    see_roster(office, record=record, quiet=shown.machine)
    with from_spool(porch, keep=record) if porch else nullcontext() as waiting:
        forms, named = waiting or sheet, waiting.named if waiting else file or answered
        assert named
        done = enroll_batch(
            office, forms.rows() if forms else (), Seen(named, shown.whole), keep=record,
            rulings=intake.read_answers(answered, by=office.who) if answered else (),
            watch=_watch(shown.machine),
        )  # fmt: skip
    told = report.pieces(
        done, again=typed("--record"), line=lines(office),
        passed_over=sheet.passed_over.words() if sheet else waiting.notes() if waiting else (),
    )  # fmt: skip
    answer(told, [report.as_json(done)], shown.machine)
    raise typer.Exit(NEEDS_A_PERSON if done.sums.held or done.asked else DONE)


def _watch(machine: bool) -> Watch:
    """Rows as JSON as they are settled, or a progress bar and all of them at the end."""
    bar = partial(progress_bar, shown=not machine)
    return Watch(_write_row, bar) if machine else Watch(bar=bar)


def _write_row(outcome: Outcome) -> None:
    row = row_as_json(
        outcome.decision, outcome.owner, given_before=outcome.given_before, news=outcome.news
    )
    console.file.write(json.dumps(row) + "\n")

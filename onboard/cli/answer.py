"""`onboard answer`: one form on hold answered, or the forms on hold listed."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    lines,
    show,
    told_columns,
)
from onboard.office import Office
from onboard.reports import batch as report
from onboard.reports.decisions import holds_listed
from onboard.tasks.answer_form import answer_form, form_on_hold, forms_on_hold


def answer(
    office: Office,
    key: Annotated[
        str, typer.Argument(help="Which form: the first letters of its key, as the list shows it.")
    ] = "",
    verdict: Annotated[
        str, typer.Argument(help="Your answer: enroll, same, drop or wait.", metavar="[ANSWER]")
    ] = "",
    member: Annotated[int, typer.Option("--member", help="With same: the member's number.")] = 0,
    correct: Annotated[
        list[str] | None,
        typer.Option("--correct", help='What a field should say, as "email=pat@example.org".'),
    ] = None,
    why: Annotated[str, typer.Option("--why", help="Your reason, for the change log.")] = "",
) -> None:
    """List the forms on hold, or answer one of them.

    Example: `onboard answer`

    Example: `onboard answer 3f9a enroll --correct "email=pat.lee@example.org" --why "asked by phone"`

    Example: `onboard answer 3f9a same --member 17`
    """
    if not verdict:
        holds = [form_on_hold(office, key)] if key else forms_on_hold(office)
        show(*holds_listed(holds, line=lines(office)))
        raise typer.Exit(NEEDS_A_PERSON if holds else DONE)
    corrections = told_columns(correct, option="--correct", form="field=text")
    done = answer_form(office, key, verdict, member=member, corrections=corrections, why=why)
    show(*report.answered(done, line=lines(office)))
    raise typer.Exit(NEEDS_A_PERSON if done.left else DONE)

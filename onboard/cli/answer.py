"""`onboard answer`: one row on hold answered, or the rows on hold listed."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    SettingsFile,
    Who,
    console,
    say,
    told_columns,
)
from onboard.errors import FileTrouble
from onboard.intake import FIELDS
from onboard.model import Answer, Hold, Owner, Ruling
from onboard.office import open_office
from onboard.reports import batch as report
from onboard.reports.counts import counted
from onboard.tasks.process_batch import Outcome, process_batch


def answer(
    row: Annotated[
        str, typer.Argument(help="The row: the first letters of its key, as the list shows it.")
    ] = "",
    verdict: Annotated[
        Answer | None, typer.Argument(help="What becomes of it: enrol, same, drop or wait.")
    ] = None,
    member: Annotated[int, typer.Option("--member", help="With same: the member's number.")] = 0,
    correct: Annotated[
        list[str] | None,
        typer.Option("--correct", help='A field put right, as "email=pat@example.org".'),
    ] = None,
    why: Annotated[str, typer.Option("--why", help="A word on the reason, for the journal.")] = "",
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """List the rows on hold, or answer one of them.

    Example: `onboard answer`

    Example: `onboard answer 3f9a enrol --correct "email=pat.lee@example.org" --why "asked by phone"`

    Example: `onboard answer 3f9a same --member 17`
    """
    office = open_office(settings, who=who)
    outcomes: dict[str, Outcome] = {}  # by row; the last word holds

    def judge_again(*rulings: Ruling) -> dict[str, Hold]:
        outcomes.clear()
        process_batch(
            office, (), file="", keep=bool(rulings), rulings=rulings,
            tell=lambda o: outcomes.update({o.decision.applicant.raw.key: o}),
        )  # fmt: skip
        return {k: o.decision for k, o in outcomes.items() if isinstance(o.decision, Hold)}

    holds = judge_again()
    if not row:
        console.print(report.holds(list(holds.values())))
        raise typer.Exit(NEEDS_A_PERSON if holds else DONE)
    meant = [key for key in holds if key.startswith(row)]
    if len(meant) != 1:
        raise FileTrouble(
            f"{row!r} is the beginning of {counted(len(meant), 'row')} on hold: "
            "`onboard answer` lists them with their keys."
        )
    if verdict is None:
        console.print(report.holds([holds[meant[0]]]))
        raise typer.Exit(NEEDS_A_PERSON)
    if verdict is Answer.SAME and not member:
        raise FileTrouble("Say which member it is: --member NUMBER.")
    corrections = told_columns(correct, option="--correct", form="field=text")
    if unknown := sorted(corrections.keys() - set(FIELDS)):
        raise FileTrouble(f"--correct: there is no field {', '.join(unknown)}. "
                          f"There are {', '.join(FIELDS)}.")  # fmt: skip
    ruling = Ruling(
        meant[0], verdict, office.who, why, Owner.of_member(member) if member else None, corrections
    )
    left = len(judge_again(ruling))
    for key, outcome in outcomes.items():
        if key == meant[0] or not isinstance(outcome.decision, Hold):
            say(f"{report.shown_name(outcome.decision)}: {report.VERDICT[type(outcome.decision)]}. "
                + "; ".join(outcome.decision.reasons))  # fmt: skip
    say(f"{counted(left, 'row')} still on hold. Packets that are due: onboard packets")
    raise typer.Exit(NEEDS_A_PERSON if left else DONE)

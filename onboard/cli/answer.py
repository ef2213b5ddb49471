"""`onboard answer`: one row on hold answered, or the rows on hold listed."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard import wiring
from onboard.cli.common import DONE, NEEDS_A_PERSON, SettingsFile, Who, console, say, told_columns
from onboard.errors import FileTrouble
from onboard.model import Answer, Hold, Ruling
from onboard.reports import batch as report
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
    place = wiring.open_workplace(settings, who=who)
    engine = place.roster(to_write=bool(verdict))
    outcomes: list[Outcome] = []

    def judge_again(*rulings: Ruling) -> None:
        outcomes.clear()
        process_batch(
            engine, place.settings, (), file="", signature=place.signature(), keep=bool(rulings),
            rulings=rulings, tell=outcomes.append,
        )  # fmt: skip

    judge_again()
    holds = {
        o.decision.applicant.raw.key: o.decision for o in outcomes if isinstance(o.decision, Hold)
    }
    if not row:
        console.print(report.holds(list(holds.values())))
        raise typer.Exit(NEEDS_A_PERSON if holds else DONE)
    meant = [key for key in holds if key.startswith(row)]
    if len(meant) != 1:
        raise FileTrouble(
            f"{row!r} is the beginning of {len(meant)} rows on hold: "
            "`onboard answer` lists them with their keys."
        )
    if verdict is None:
        console.print(report.holds([holds[meant[0]]]))
        raise typer.Exit(NEEDS_A_PERSON)
    if verdict is Answer.SAME and not member:
        raise FileTrouble("Say which member it is: --member NUMBER.")
    corrections = told_columns(correct, option="--correct", form="field=text")
    ruling = Ruling(
        meant[0], verdict, place.who, why, f"member:{member}" if member else "", corrections
    )
    judge_again(ruling)
    for outcome in outcomes:
        if outcome.decision.applicant.raw.key == meant[0] or not isinstance(outcome.decision, Hold):
            say(f"{report.shown_name(outcome.decision)}: {report.VERDICT[type(outcome.decision)]}. "
                + "; ".join(outcome.decision.reasons))  # fmt: skip
    left = sum(isinstance(o.decision, Hold) for o in outcomes)
    say(f"{left} rows are still on hold. Packets that are due: onboard packets")
    raise typer.Exit(NEEDS_A_PERSON if left else DONE)

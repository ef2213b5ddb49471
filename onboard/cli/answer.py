"""`onboard answer`: one form on hold answered, or the forms on hold listed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    lines,
    show,
    told_columns,
)
from onboard.intake import answer_said
from onboard.model import Answer, Ruling
from onboard.office import Office
from onboard.reports import answered as answered_report
from onboard.reports import batch as report
from onboard.reports import packets
from onboard.reports import to_ask as to_ask_report
from onboard.reports.decisions import holds_listed
from onboard.tasks import where_questions
from onboard.tasks.answer_form import answer_form, form_on_hold, forms_on_hold
from onboard.tasks.settle_question import settle_question
from onboard.tasks.take_back_answer import answers_to_take_back, take_back_answer
from onboard.tasks.to_ask import to_ask

UNDO = ("undo", "deshacer")


@dataclass(frozen=True, slots=True)
class More:
    """What goes with an answer."""

    member: Annotated[int, typer.Option("--member", help="With same: the member's number.")] = 0
    correct: Annotated[
        list[str] | None,
        typer.Option("--correct", help='What a field should say, as "email=pat@example.org".'),
    ] = None
    why: Annotated[str, typer.Option("--why", help="Your reason, for the change log.")] = ""


def answer(
    office: Office,
    key: Annotated[
        str,
        typer.Argument(
            help="Which form: the first letters of its key, as the list shows it. About an email "
            "address: the member's sign-in name."
        ),
    ] = "",
    verdict: Annotated[
        str,
        typer.Argument(
            help="Your answer: enroll, same, drop or wait; or undo, to take back an answer by which nobody was "
            "enrolled. About an email address: right or letter.",
            metavar="[ANSWER]",
        ),
    ] = "",
    *,
    more: More,
    ask: Annotated[
        bool,
        typer.Option(
            "--ask", help="List what to ask new members when you can. They have accounts."
        ),
    ] = False,
    given: Annotated[
        bool, typer.Option("--answered", help="List the answers that you can take back.")
    ] = False,
) -> None:
    """List the forms on hold, or answer one of them.

    The list also has the welcome packets that wait because the email address may be wrong, or nobody can
    deliver a letter. Answer `right` if the address is right as it is, or `letter` to print a letter.

    Example: `onboard answer`

    Example: `onboard answer 3f9a enroll --correct "email=pat.lee@example.org" --why "asked by phone"`

    Example: `onboard answer 3f9a same --member 17`

    Example: `onboard answer --ask`

    Example: `onboard answer 3f9a undo`

    Example: `onboard answer patlee right --why "asked by phone"`
    """
    if ask:
        show(*to_ask_report.pieces(to_ask(office), lines(office)))
        raise typer.Exit(DONE)
    if given:
        zone = ZoneInfo(office.settings.timezone)
        show(*answered_report.pieces(answers_to_take_back(office), zone, lines(office)))
        raise typer.Exit(DONE)
    if not verdict:
        raise typer.Exit(NEEDS_A_PERSON if _listed(office, key) else DONE)
    raise typer.Exit(NEEDS_A_PERSON if _answered(office, key, verdict, more) else DONE)


def _answered(office: Office, key: str, verdict: str, more: More) -> bool:
    """Record an answer, or take one back, and show what it did; whether something is still asked."""
    why = more.why
    if verdict.casefold() in UNDO:
        back = take_back_answer(office, key, why=why)
        show(*report.taken_back(back, line=lines(office)))
        return bool(back.left)
    corrections = told_columns(more.correct, option="--correct", form="field=text")
    said = answer_said(verdict)
    if said in (Answer.RIGHT, Answer.LETTER):
        ruling = Ruling(key, said, office.who, why, corrections=corrections)
        settled = settle_question(office, ruling)
        show(*packets.settled(settled, lines(office)))
        return bool(settled.still_asked)
    done = answer_form(office, key, verdict, member=more.member, corrections=corrections, why=why)
    show(*report.answered(done, line=lines(office)))
    return bool(done.left)


def _listed(office: Office, key: str) -> bool:
    """Show the forms on hold and the packets that wait for an answer, or those of one key; whether there are any."""
    shows = where_questions.shows(office)
    asked = [
        one
        for one in where_questions.questions(office)
        if not key or (shows and key == one.member.handle.text)
    ]
    holds = [] if asked and key else [form_on_hold(office, key)] if key else forms_on_hold(office)
    if holds or not asked:
        show(*holds_listed(holds, line=lines(office)))
    show(*packets.questions(asked, lines(office), whole=True, shows=shows))
    return bool(holds or asked)

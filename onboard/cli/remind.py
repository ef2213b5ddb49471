"""`onboard remind`: members hear of their ordering windows in time."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    answer,
    console,
    lines,
    progress_bar,
    say,
    see_roster,
    show,
    typed,
)
from onboard.cli.packets import Stop, words_of
from onboard.errors import FileTrouble
from onboard.mail import post
from onboard.office import Act, Office
from onboard.reports import reminders as report
from onboard.reports.counts import counted
from onboard.tasks.reminder_words import next_day, sample_reminders
from onboard.tasks.reminders_by_hand import ByHand, write_postcards, write_texts
from onboard.tasks.send_packets import Posted
from onboard.tasks.send_reminders import send_reminders
from onboard.tasks.write_reminders import ask_again, preview_reminders, write_reminders

On = Annotated[
    str,
    typer.Option(
        "--on",
        help="Preview what is due on this day, written 2026-12-01. If left out: at this moment.",
    ),
]
Show = Annotated[
    bool,
    typer.Option(
        "--words", help="Preview what is due with its words: one of each kind, as a member gets it."
    ),
]
Write = Annotated[bool, typer.Option("--write", help="Make the reminders that are due now.")]
Send = Annotated[
    bool,
    typer.Option("--send", help="Preview the emails in the outbox. With --really, they are sent."),
]
Really = Annotated[bool, typer.Option("--really", help="With --send: send now.")]
Again = Annotated[
    list[str] | None,
    typer.Option(
        "--again",
        help="A sign-in name: the reminder of which nobody knows if it arrived did not. It is due again.",
    ),
]
Texts = Annotated[
    Path | None,
    typer.Option(
        "--texts",
        help="Put the texts that wait into this file (CSV), for your texting service. They count as sent.",
    ),
]
Postcards = Annotated[
    Path | None,
    typer.Option(
        "--postcards",
        help="Put the postcards that wait into this file (PDF), four on a sheet. They count as sent.",
    ),
]


@dataclass(frozen=True, slots=True)
class Steps:
    """What is done with the reminders."""

    write: Write = False
    send: Send = False
    really: Really = False
    texts: Texts = None
    postcards: Postcards = None
    again: Again = None


def remind(
    office: Office, on: On = "", words: Show = False, *, steps: Steps, machine: Machine = False
) -> None:
    """List the reminders of ordering windows that are due, make them, or send them.

    A member hears that a window opens soon, that it is open, that it closes soon, and, where the list of the ordering
    page says so, that it closed and has no order of theirs. The settings say which of these, and how many days before
    (`[reminders]`). Nobody who opted out of email, or was never asked, gets an email. Nobody hears the same twice, and
    nothing goes out that comes too late.

    Example: `onboard remind`

    Example: `onboard remind --on 2026-12-01`

    Example: `onboard remind --on 2026-12-01 --words`

    Example: `onboard remind --write`

    Example: `onboard remind --send` is a preview; add `--really` to send.

    Example: `onboard remind --write --send --really`

    Example: `onboard remind --texts texts.csv --postcards postcards.pdf`
    """
    day = _day(on) if on else None
    _see_that_they_go_together(steps, "--on" if on else "--words" if words else "")
    see_roster(office, record=True, quiet=machine or steps == Steps())
    if steps == Steps():
        raise typer.Exit(NEEDS_A_PERSON if _preview(office, day, words, machine) else DONE)
    left = False
    if steps.again:
        number = ask_again(office, steps.again)
        say(
            f"{counted(number, 'reminder')} counted as not arrived. To make them anew: {lines(office)('remind --write')}"
        )
    if steps.write:
        left = _write(office, steps, machine)
    if steps.send:
        left = _send(office, steps.really, machine) or left
    if steps.texts:
        left = _by_hand("text", write_texts(office, steps.texts), machine) or left
    if steps.postcards:
        left = _by_hand("postcard", write_postcards(office, steps.postcards), machine) or left
    raise typer.Exit(NEEDS_A_PERSON if left else DONE)


def _day(said: str) -> date:
    try:
        return datetime.strptime(said, "%Y-%m-%d").date()
    except ValueError:
        raise FileTrouble(f"--on {said[:40]} is not a day. Write it as 2026-12-01.") from None


def _see_that_they_go_together(steps: Steps, preview: str) -> None:
    if steps.really and not steps.send:
        raise FileTrouble(f"--really goes with --send. To send the emails: {typed('--send')}")
    if preview and steps != Steps():
        raise FileTrouble(
            f"{preview} is for a preview. To make or send what is due now, leave it out."
        )


def _preview(office: Office, day: date | None, words: bool, machine: bool) -> bool:
    samples = sample_reminders(office, day) if words else []
    if words and machine:
        answer((), report.samples_as_json(samples), machine)
        return False
    found = preview_reminders(office, day)
    seen = office.may(Act.LOOK_UP)
    if machine:
        answer((), report.as_json(found.due, office.settings) if seen else (), machine)
    else:
        following = None if found.due else next_day(office, day)
        show(*report.due(found, following, lines(office), may_see=seen))
        show(*report.none(found, may_see=seen), *report.samples(samples))
        show(*report.to_do(found, lines(office)))
        if found.due and found.day == office.today():
            say(
                f"This was a preview. Nothing was saved. To make them: {lines(office)('remind --write')}"
            )
    return bool(found.unsure)


def _write(office: Office, steps: Steps, machine: bool) -> bool:
    with progress_bar("Reminders", None, shown=not machine) as progress:
        done = write_reminders(office, progress=progress)
    if machine:
        answer((), report.written_as_json(done), machine)
        return bool(done.unsure)
    seen = office.may(Act.LOOK_UP)
    show(*report.written(done), *report.none(done, may_see=seen))
    if not steps.send:
        show(*report.to_do(done, lines(office)))
    return bool(done.unsure)


def _by_hand(what: str, done: ByHand, machine: bool) -> bool:
    answer(report.by_hand(what, done), report.by_hand_as_json(what, done), machine)
    return bool(done.too_long)


def _send(office: Office, really: bool, machine: bool) -> bool:
    stop = Stop()
    seen = office.may(Act.LOOK_UP)
    hidden = ("id",) if seen else ("id", "to")

    def tell(one: Posted) -> None:
        if machine:
            said = {
                "outcome": type(one.outcome).__name__.lower(),
                "handle": one.name if seen else "",
            }
            said |= {key: v for key, v in asdict(one.outcome).items() if key not in hidden}
            console.file.write(json.dumps(said, default=str) + "\n")
        elif not isinstance(one.outcome, post.Sent | post.Ready) and seen:
            say(words_of(one))
        stop.look()

    with stop.heard():
        posted = send_reminders(office, really=really, wait=stop.wait, tell=tell)
    failed = sum(isinstance(one.outcome, post.NotSent | post.Unsure) for one in posted)
    if not machine:
        went = sum(isinstance(one.outcome, post.Sent | post.Ready) for one in posted)
        show(*report.sent(went, failed, really=really))
        if went and not really:
            say(f"This was a preview. Nothing was sent. To send: {typed('--really')}")
    return bool(failed)

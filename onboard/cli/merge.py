"""`onboard merge`: two accounts of one person made one."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Annotated

import typer

from onboard.clean import name as names
from onboard.cli.common import (
    DONE,
    Machine,
    Record,
    SettingsFile,
    Who,
    console,
    say,
    told_columns,
)
from onboard.office import open_office
from onboard.reports import changes
from onboard.tasks.merge_members import merge_members


def merge(
    one: Annotated[str, typer.Argument(help="A member's number or sign-in name.")],
    other: Annotated[str, typer.Argument(help="The other one's.")],
    stays: Annotated[
        str, typer.Option("--stays", help="Which of the two stays; else the rules choose.")
    ] = "",
    take: Annotated[
        list[str] | None,
        typer.Option("--take", help='Whose value stays, as "email=patlee2". May be given again.'),
    ] = None,
    why: Annotated[str, typer.Option("--why", help="How you know, for the journal.")] = "",
    record: Record = False,
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Make two accounts of one person one.

    All names, emails, phones and sign-in names of both stay known; the account that goes cannot be
    signed in with. Looks and says what would stay; with `--record` it happens. It can be taken
    back: `onboard undo`.

    Example: `onboard merge patlee2 patlee --why "asked Pat by phone"`

    Example: `onboard merge 17 22 --stays 17 --take email=22 --record`
    """
    office = open_office(settings, who=who)
    done = merge_members(
        office, one, other, keep=record, stays=stays,
        choices=told_columns(take, option="--take", form="field=member"), why=why,
    )  # fmt: skip
    if machine:
        for change in done.changes:
            console.file.write(json.dumps(asdict(change)) + "\n")
        sums = {
            "stays": done.stays.handle.text, "goes": done.goes.handle.text, "because": done.because,
            "number": done.number if record else 0, "recorded": record,
        }  # fmt: skip
        console.file.write(json.dumps({"sums": sums}) + "\n")
        raise typer.Exit(DONE)
    whose = {member.id: member.handle.text for member in (done.stays, done.goes)}
    console.print(
        changes.table(
            [(1, c) for c in done.changes], whose, "Changed" if record else "Would change"
        )
    )
    for field, reason in done.chosen.items():
        say(f"{field}: {reason}.")
    say(
        f"{done.stays.handle.text} stays ({done.because}); {done.goes.handle.text} "
        f"{'is' if record else 'would be'} part of it.",
        style="bold",
    )
    if record:
        say(
            f"Recorded as number {done.number}. To take it back: onboard undo {done.number} --record"
        )
        for sentence in done.told:
            say(f"- {sentence}")
    else:
        one_is, other_is = (
            f"{names.show(member.name)} ({member.handle.text})"
            for member in (done.stays, done.goes)
        )
        say(
            f"Whether {one_is} and {other_is} are one person is not judged here: see first that "
            "they are. A wrong merge gives one person another's account."
        )
        say("This was a look: nothing was changed. To do it, add --record.")
    raise typer.Exit(DONE)

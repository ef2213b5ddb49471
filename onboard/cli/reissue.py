"""`onboard reissue`: a new first password for a caller who was checked."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    SettingsFile,
    Who,
    console,
    say,
)
from onboard.office import Office, open_office
from onboard.settings import CHECKS
from onboard.tasks import reissue as task
from onboard.tasks.reissue import Reissued

TO = {"email": "the email address on file", "address": "the postal address on file, as a letter"}


def reissue(
    member: Annotated[str, typer.Argument(help="Whose: a handle, or a member's number.")],
    checked: Annotated[
        list[str] | None,
        typer.Option(
            "--checked",
            help=f"How the caller was checked: {' or '.join(CHECKS)}. May be given twice.",
        ),
    ] = None,
    failed: Annotated[
        bool,
        typer.Option("--failed", help="The check came to nothing: count it, and make nothing."),
    ] = False,
    record: Record = False,
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Make a new first password for a member who lost theirs; the old one is dead from then on.

    It goes in a packet to the contact on file, and nowhere else: you never see it. Before that,
    make sure who calls: call back the phone on file, or write to the address on file and wait for
    the answer. What a caller knows proves nothing. Without `--record` it says what would be.

    Example: `onboard reissue patlee --checked call-back`

    Example: `onboard reissue 17 --checked call-back --checked mail --record`

    Example: `onboard reissue patlee --failed --record`
    """
    office = open_office(settings, who=who)
    done = task.reissue(
        office, member, tuple(dict.fromkeys(checked or ())), failed=failed, keep=record
    )
    if machine:
        console.file.write(json.dumps(_as_json(done, record)) + "\n")
    else:
        _print(done, record, office)
    raise typer.Exit(NEEDS_A_PERSON if done.refused and not failed else DONE)


def _print(done: Reissued, record: bool, office: Office) -> None:
    handle = done.member.handle.text
    if done.refused:
        say(f"{handle}: {done.refused}", style="bold")
        return
    if done.packets is None:
        say(f"{handle}: a new first password would go to {TO[done.to]}.", style="bold")
        say("This was a look: nothing was made. To make it, add --record.")
        return
    say(f"{handle}: a new first password goes to {TO[done.to]}. The old one is dead.", style="bold")
    say(f"The packet is in {office.settings.outbox}: keep it private.")
    send = "onboard packets --send --really"
    say(f"1. Tell the ordering page: onboard export accounts.csv\n2. Then send it: {send}"
        if done.to == "email" else
        "1. Tell the ordering page: onboard export accounts.csv\n2. Then print and post it: "
        + ", ".join(file.name for file in done.packets.letters))  # fmt: skip
    for file in done.notices:
        say(f"The address that was on file before is told of it: {file} (goes out with --send).")


def _as_json(done: Reissued, record: bool) -> dict[str, object]:
    return {
        "member": done.member.id,
        "handle": done.member.handle.text,
        "to": done.to,
        "refused": done.refused,
        "made": bool(done.packets),
        "recorded": record,
        "letters": [str(file) for file in done.packets.letters] if done.packets else [],
        "notices": list(done.notices),
    }

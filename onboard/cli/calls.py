"""`onboard call` and `onboard calls`: a call noted; what calls are about."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime, timedelta
from typing import Annotated
from zoneinfo import ZoneInfo

import typer
from rich.table import Table

from onboard.cli.common import (
    DONE,
    Machine,
    SettingsFile,
    Who,
    console,
    plain,
    say,
)
from onboard.errors import FileTrouble
from onboard.office import Office, open_office
from onboard.reports.counts import counted
from onboard.tasks.calls import Calls, Ended, count_calls, note_call

NO_SITE = "(no site)"
FIRST = datetime(1970, 1, 1)  # calls of before were noted by nobody


def call(
    member: Annotated[
        str,
        typer.Argument(
            help="Who called: a handle, a member's number, or row: and the first letters of a key."
        ),
    ],
    cause: Annotated[
        list[str],
        typer.Option("--cause", help="Why, as onboard why tells it. May be given more than once."),
    ],
    ended: Annotated[Ended, typer.Option("--ended", help="How the call ended.")],
    note: Annotated[
        str, typer.Option("--note", help="A few words. No password, and no more than is needed.")
    ] = "",
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Note a call, what it was about and how it ended.

    Example: `onboard call patlee --cause typed.email --ended helped`

    Example: `onboard call 17 --cause page.shop --cause typed.spaces --ended open --note "calls again"`
    """
    office = open_office(settings, who=who)
    number = note_call(office, member, cause, ended, note=note)
    if machine:
        console.file.write(json.dumps({"call": number}) + "\n")
    else:
        say(f"Noted: call {number}.")
    raise typer.Exit(DONE)


def calls(
    since: Annotated[
        str, typer.Option("--since", help="From this day on, 2026-11-01. Else the last year.")
    ] = "",
    until: Annotated[str, typer.Option("--until", help="To this day. Else today.")] = "",
    language: Annotated[
        str, typer.Option("--language", help="The packet whose sentences are shown: en or es.")
    ] = "",
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Count what calls were about, by drop site and month, and show the sentence to improve.

    Example: `onboard calls`

    Example: `onboard calls --since 2026-09-01 --until 2026-11-30 --language es`
    """
    office = open_office(settings, who=who)
    today = office.today()
    zone = ZoneInfo(office.settings.timezone)
    now = _day(str(today), "", zone)
    first = _day(since, "--since", zone) if since else now - timedelta(365)
    last = _day(until, "--until", zone) if until else now
    if last < first:
        raise FileTrouble(
            "--until is before --since: turn them round."
            if until
            else f"--since {since} is a day to come: write one up to today."
        )
    # No call is noted for a day to come; and no engine could compare with any day there is.
    first, last = max(first, FIRST.replace(tzinfo=zone)), min(last, now) + timedelta(1)
    counted_ = count_calls(office, first, last, language)
    if machine:
        for told in counted_.causes:
            console.file.write(json.dumps(asdict(told)) + "\n")
        console.file.write(json.dumps({"calls": counted_.calls, "ended": counted_.ended}) + "\n")
    else:
        _print(counted_, office)
    raise typer.Exit(DONE)


def _day(said: str, option: str, zone: ZoneInfo) -> datetime:
    try:
        return datetime.strptime(said, "%Y-%m-%d").replace(tzinfo=zone)
    except ValueError as error:
        raise FileTrouble(f"{option} {said!r} is no day: write it as 2026-11-01.") from error


def _print(done: Calls, office: Office) -> None:
    endings = ", ".join(f"{number} {ended}" for ended, number in sorted(done.ended.items()))
    say(f"{counted(done.calls, 'call')}{': ' + endings if endings else ''}.", style="bold")
    if not done.causes:
        return
    table = Table(box=None, pad_edge=False, header_style="dim")
    for head in ("cause", "calls", "what it is", "sites", "months"):
        table.add_column(head, overflow="fold")
    for told in done.causes:
        table.add_row(
            told.cause,
            str(told.calls),
            plain(told.about),
            plain(_listed(told.by_site)),
            plain(_listed(told.by_month)),
        )
    console.print(table)
    say("")
    say("The sentences of the packet that speak of it, to improve:", style="bold")
    for told in done.causes:
        if told.sentence:
            where = f"{told.sentence.file}, line {told.sentence.line}"
            say(f"- {told.cause} ({told.calls}): “{told.sentence.text}” ({where})")
        else:
            say(f"- {told.cause} ({told.calls}): no words of the packet can help with that.")
    if office.settings.templates is None:
        say("To change the words: onboard packets --words-to FOLDER")


def _listed(numbers: tuple[tuple[str, int], ...]) -> str:
    return ", ".join(f"{name or NO_SITE} {number}" for name, number in numbers)

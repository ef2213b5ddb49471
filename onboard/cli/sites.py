"""`onboard sites`: the drop sites, which are near, how full they are; one that closes, moves or is new."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import DONE, NEEDS_A_PERSON, Machine, Record, answer, errors, say
from onboard.errors import FileTrouble
from onboard.model import Way
from onboard.office import Office
from onboard.reports import site_news as news_report
from onboard.reports import sites as report
from onboard.tasks import site_news
from onboard.tasks.host_sheets import write_host_sheets
from onboard.tasks.list_sites import list_sites
from onboard.tasks.site_news import NewsReport


@dataclass(frozen=True, slots=True)
class News:
    """A drop site that has news, and when."""

    close: Annotated[
        str,
        typer.Option(
            "--close", help="A drop site that closes: who is there, and where they could go."
        ),
    ] = ""
    moved: Annotated[
        str,
        typer.Option(
            "--moved", help="A drop site whose address in the settings is new: who is told."
        ),
    ] = ""
    new: Annotated[
        str,
        typer.Option(
            "--new", help="A new drop site: who lives closer to it than to their own, to be asked."
        ),
    ] = ""
    on: Annotated[
        str,
        typer.Option(
            "--on",
            help="The day, 2027-01-15: the last day of a site that closes, the first of one that moved.",
        ),
    ] = ""
    miles: Annotated[
        float, typer.Option("--miles", min=0, help="How many miles closer a new site must be.")
    ] = 5
    changes: Annotated[
        Path | None,
        typer.Option(
            "--changes", help="Write the moves into this file (XLSX, CSV), to approve them."
        ),
    ] = None
    called: Annotated[
        list[str] | None,
        typer.Option(
            "--called",
            help="A sign-in name: you told this member on the phone. You can give it more than once.",
        ),
    ] = None


Nearest = Annotated[
    str,
    typer.Option("--near", help="A ZIP code or a town: the open drop sites, the nearest first."),
]


Sheets = Annotated[
    Path | None,
    typer.Option(
        "--sheets",
        help="Write a sheet for the host of each open site into this folder (PDF and XLSX).",
    ),
]


def sites(
    office: Office,
    near: Nearest = "",
    sheets: Sheets = None,
    *,
    news: News,
    record: Record = False,
    machine: Machine = False,
) -> None:
    """List the drop sites with their members, how many they can serve, and when they order.

    With `--near` the open ones are listed from the nearest on. Distances are in a straight line, from the middle
    of one ZIP code to the middle of the other: roads are longer, and where two are both close, ask the member.

    How many members a site can serve is `capacity`, under its `[[site]]` in the settings. A full site still takes
    members, and the program tells you.

    `--close` lists the members of a site that closes, and the nearest open site with room for each; `--changes`
    writes these moves into a file that you approve and give to `onboard tidy`. `--moved` lists who is told of a
    new address, and `--new` who lives closer to a new site. You get a preview; `--record` puts a notice to each of
    them into the outbox, once: an email to whoever said yes to email, a letter to others. Nobody is moved by it,
    and the settings stay as they are.

    `--sheets` writes a sheet for the host of each open site: the members by first name and initial, the ordering
    days, and whom to call. Say under `[host_sheet]` in the settings if it may show more.

    Example: `onboard sites`

    Example: `onboard sites --near 45801`

    Example: `onboard sites --close "Lima Grange Hall" --on 2027-01-15 --changes closing.xlsx`

    Example: `onboard sites --sheets hosts`

    Example: `onboard sites --new "Troy Depot" --miles 8 --record`
    """
    if len([said for said in (near, news.close, news.moved, news.new) if said]) > 1:
        raise FileTrouble("Give one of --near, --close, --moved and --new, not several.")
    if sheets:
        wrote = write_host_sheets(office, sheets)
        answer(report.sheets(wrote), report.sheets_as_json(wrote), machine)
        raise typer.Exit(NEEDS_A_PERSON if wrote.findings else DONE)
    if done := _news(office, news, keep=record):
        answer(
            news_report.pieces(done, kept=record), news_report.as_json(done, kept=record), machine
        )
        raise typer.Exit(NEEDS_A_PERSON if _needs_a_person(done, kept=record) else DONE)
    if record or news.on or news.changes or news.called:
        raise FileTrouble("Name a drop site first: --close, --moved or --new.")
    found = list_sites(office, near)
    if machine:  # a line is a site
        for words in (*found.remarks, *found.findings):
            say(words, to=errors)
    is_known = found.near or not near.strip()  # a program asked about a place that nobody knows
    answer(report.pieces(found), report.as_json(found) if is_known else (), machine)
    raise typer.Exit(NEEDS_A_PERSON if found.findings else DONE)


def _news(office: Office, said: News, *, keep: bool) -> NewsReport | None:
    on, called = _day(said.on), said.called or ()
    if said.changes and not said.close:
        raise FileTrouble("--changes is for a site that closes: name it with --close.")
    if said.close:
        return site_news.close_site(
            office, said.close, on, changes=said.changes, called=called, keep=keep
        )
    if said.moved:
        return site_news.move_site(office, said.moved, on, called=called, keep=keep)
    if said.new:
        return site_news.open_site(office, said.new, said.miles, called=called, keep=keep)
    return None


def _day(said: str) -> date | None:
    try:
        return datetime.strptime(said, "%Y-%m-%d").date() if said else None
    except ValueError:
        raise FileTrouble(f"--on {said[:40]!r} is not a day. Write it like 2027-01-15.") from None


def _needs_a_person(done: NewsReport, *, kept: bool) -> bool:
    told = done.telling.told
    if done.called:
        return False
    return bool(done.nowhere) or bool(
        told if not kept else [1 for one in told if one.by is Way.CALL]
    )

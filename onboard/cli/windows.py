"""`onboard windows`: when each ordering group may order."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, NoReturn

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    answer,
    errors,
    say,
    see_roster,
    show,
)
from onboard.model import Way
from onboard.office import Act, Office
from onboard.reports import windows as report
from onboard.tasks.list_windows import list_windows
from onboard.tasks.moved_windows import mark_called, tell_moved_windows
from onboard.tasks.publish_windows import publish_windows

To = Annotated[
    Path | None,
    typer.Option(
        "--to",
        help="Write calendar files to subscribe to, and sheets for the wall, into this folder.",
    ),
]

RecordNotices = Annotated[
    bool,
    typer.Option(
        "--record",
        help="Make the notices to members who were told other days. Without this you only get a preview of them.",
    ),
]


Called = Annotated[
    list[str] | None,
    typer.Option(
        "--called",
        help="A sign-in name: you told this member the new days on the phone. You can give it more than once.",
    ),
]


def windows(
    office: Office,
    to: To = None,
    record: RecordNotices = False,
    called: Called = None,
    machine: Machine = False,
) -> None:
    """Show when each ordering group may order in the next 18 months, and what to look at.

    The windows are those that you wrote under each `[[group]]` of the settings, and those that the rule under
    `[windows]` makes. Each is listed by month, with its group and drop sites. Windows that overlap, months
    without a window and windows that open on a holiday are told in words.

    `--to` writes a calendar file for each group and each drop site, which you can lay on your web space for people
    to subscribe to, and sheets to print for the wall (PDF): one page with all groups, and one for each. A file in
    that folder that this program did not make stays as it is.

    If a window moved after members were told of it, the list ends with who was told other days, and by which
    way. With `--record`, a notice to each of them is put into the outbox: an email that moves the days in their
    calendar, or a letter for whoever gets no email. Nobody is told the same twice. Welcome packets with the old
    days that have not gone out are due again. Emails go out with `onboard packets --send --really`. Only members
    who said yes to email get an email; others get a letter, and whoever has no mailing address is listed for you to
    call. When you have called, `--called SIGN-IN-NAME --record` takes them off the list.

    Example: `onboard windows`

    Example: `onboard windows --record`

    Example: `onboard windows --called robinvale --record`

    Example: `onboard windows --json`

    Example: `onboard windows --to web`
    """
    if called:
        _called(office, called, record=record, machine=machine)
    found = list_windows(office)
    see_roster(office, record=True, quiet=machine or not (to or record))
    if to:
        written = publish_windows(office, to)
        answer(report.written(written), report.written_as_json(written), machine)
    elif machine and not record:
        answer((), report.as_json(found), machine)
    elif not record:
        show(*report.pieces(found))
    moved = tell_moved_windows(office, keep=record)
    seen = office.may(Act.LOOK_UP)
    if machine and not record:  # a line is a window
        for words in (*found.remarks, *found.findings):
            say(words, to=errors)
    elif to and moved and not record:
        say("Some members were told other ordering days. To see them: onboard windows")
    else:
        lines = report.moved_as_json(moved, kept=record) if seen else ()
        answer(report.moved(moved, kept=record, may_see=seen), lines, machine)
        if record and not moved and not machine:
            say("Nobody was told other ordering days. There is nothing to do.")
    left = found.findings or (moved and not record) or any(one.by is Way.CALL for one in moved.told)
    raise typer.Exit(NEEDS_A_PERSON if left else DONE)


def _called(office: Office, named: list[str], *, record: bool, machine: bool) -> NoReturn:
    """Members who were told the new days on the phone leave the list."""
    done = mark_called(office, named, keep=record)
    answer(report.called(done, kept=record), report.called_as_json(done, kept=record), machine)
    raise typer.Exit(DONE)

"""`onboard returned`: mail that came back, and whatever else came to the co-op's mailbox."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from onboard.cli.common import DONE, NEEDS_A_PERSON, Machine, Record, answer, lines, say
from onboard.errors import FileTrouble
from onboard.intake.mailboxes import messages
from onboard.office import Office
from onboard.reports import returned as reports
from onboard.tasks.take_clicks import porch_with_stops, take_clicks
from onboard.tasks.take_mailbox import Afterwards, take_mailbox
from onboard.tasks.take_returned import ReturnedReport, take_returned

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Mailbox:
    """What is done in the mailbox."""

    mark_seen: Annotated[
        bool,
        typer.Option(
            "--mark-seen",
            help="With --record: mark email in the mailbox as seen, except what you have to read.",
        ),
    ] = False
    move_to: Annotated[
        str,
        typer.Option(
            "--move-to",
            help="With --record: move that email to this folder of the mailbox, once it is saved.",
        ),
    ] = ""

    def afterwards(self, *, is_saved: bool) -> Afterwards | None:
        """As the task takes it; None for nothing. Raises `FileTrouble`."""
        if not (self.mark_seen or self.move_to):
            return None
        if not is_saved:
            raise FileTrouble("--mark-seen and --move-to go with --record, and with the mailbox of your settings.")  # fmt: skip
        return Afterwards(self.mark_seen, self.move_to)


def returned(
    office: Office,
    mail: Annotated[
        Path | None,
        typer.Argument(
            metavar="MAIL",
            help="An email saved as a file, a folder of them, an mbox file, or a Maildir. If left out: the "
            "mailbox of your settings.",
        ),
    ] = None,
    *,
    record: Record = False,
    mailbox: Mailbox,
    clicks: Annotated[
        Path | None,
        typer.Option(
            "--clicks",
            help="A file with requests to unsubscribe by one click: the log of your web server, what your page wrote, or "
            "the spool of onboard porch.",
        ),
    ] = None,
    machine: Machine = False,
) -> None:
    """Read email that came back to the co-op, and say what to do about it.

    Reports that email did not get through, automatic replies, complaints, and people who want no more
    email are told apart, in English and Spanish. With `--record`, an email address that takes no mail is
    marked, no packet goes there until you have asked, and whoever wants no more email is noted. You can
    undo it. The mail itself is only read, and in a mailbox nothing is even marked as seen, unless you say so.
    Without `--record` you only get a preview.

    Example: `onboard returned saved-mail/ --record`

    `--clicks` takes in who pressed “Unsubscribe” in their mail program, out of the log of the web server that has your
    `unsubscribe_page`. Only a POST counts, and only with a key of an email of yours. If the porch has that page, name
    its spool, or let `onboard returned --record` take them in with the mailbox: that needs `spool` in the settings.

    Example: `onboard returned --clicks access.log --record`

    Example: `onboard returned --record` reads the mailbox of your settings: what has come since the last time.
    """
    afterwards = mailbox.afterwards(is_saved=record and not mail)
    if clicks and mail:
        raise FileTrouble("Give email or --clicks, one at a time.")
    if found := clicks or (None if mail else porch_with_stops(office.settings)):
        _clicks(office, found, record=record, machine=machine)
        if clicks or not office.settings.mailbox.host:
            raise typer.Exit(DONE)
    parts: Iterable[ReturnedReport] = (
        [take_returned(office, messages(mail), source=mail.name, keep=record)]
        if mail
        else take_mailbox(office, keep=record, afterwards=afterwards)
    )
    _mails(office, parts, record=record, machine=machine)


def _mails(
    office: Office, parts: Iterable[ReturnedReport], *, record: bool, machine: bool
) -> NoReturn:
    """What became of the emails, part by part; then the end."""
    count = people = 0
    for done in parts:
        count += len(done.mails)
        people += sum(one.needs_a_person for one in done.mails)
        told = reports.pieces(done, kept=record, line=lines(office))
        answer(told, reports.as_json(done, kept=record), machine)
    log.info("%d emails read, %d for a person", count, people)
    if not count and not machine:
        say("There is no new email.")
    raise typer.Exit(NEEDS_A_PERSON if people else DONE)


def _clicks(office: Office, file: Path, *, record: bool, machine: bool) -> None:
    """Whoever asked for no more email by one click."""
    done = take_clicks(office, file, keep=record)
    told = reports.clicks(done, kept=record)
    answer(told, reports.as_json(done.taken, kept=record), machine)
    log.info("%d requests by one click", len(done.taken.mails))

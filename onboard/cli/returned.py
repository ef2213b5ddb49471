"""`onboard returned`: mail that came back, and whatever else came to the co-op's mailbox."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import DONE, NEEDS_A_PERSON, Machine, Record, answer, lines
from onboard.intake.mailboxes import messages
from onboard.office import Office
from onboard.reports import returned as reports
from onboard.tasks.take_returned import take_returned

log = logging.getLogger(__name__)


def returned(
    office: Office,
    mail: Annotated[
        Path,
        typer.Argument(
            metavar="MAIL",
            help="An email saved as a file, a folder of them, an mbox file, or a Maildir.",
        ),
    ],
    record: Record = False,
    machine: Machine = False,
) -> None:
    """Read email that came back to the co-op, and say what to do about it.

    Reports that email did not get through, automatic replies, complaints, and people who want no more
    email are told apart, in English and Spanish. With `--record`, an email address that takes no mail is
    marked, no packet goes there until you have asked, and whoever wants no more email is noted. You can
    undo it. The mail itself is only read. Without `--record` you only get a preview.

    Example: `onboard returned saved-mail/ --record`

    Example: `onboard returned Inbox.mbox`
    """
    done = take_returned(office, messages(mail), source=mail.name, keep=record)
    people = sum(one.needs_a_person for one in done.mails)
    log.info("%d emails read, %d for a person", len(done.mails), people)
    answer(
        reports.pieces(done, kept=record, line=lines(office)),
        reports.as_json(done, kept=record),
        machine,
    )
    raise typer.Exit(NEEDS_A_PERSON if people else DONE)

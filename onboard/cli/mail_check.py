"""`onboard mail-check`: what the sender's domain says to the mail servers of others."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import DONE, NEEDS_A_PERSON, Machine, answer
from onboard.office import Office
from onboard.reports import mail_check as report
from onboard.tasks.check_sending import check_sending, sending


def mail_check(
    office: Office,
    selector: Annotated[
        list[str] | None,
        typer.Option(
            "--selector",
            help="A name under which your mail provider publishes its DKIM key. You can give it more than once.",
        ),
    ] = None,
    machine: Machine = False,
) -> None:
    """Check whether your email domain is set up so that your email does not land in spam.

    It asks the name servers about the domain of your sender (SPF, DKIM, DMARC, MX), and says what is missing
    and what to ask of whoever runs the domain. Nothing is sent or changed. If a name server does not answer, you
    are told so: then nobody can tell what is missing. It needs `pip install onboard[mx]`.

    Example: `onboard mail-check`

    Example: `onboard mail-check --selector mail2026`
    """
    points = check_sending(office, selector or ())
    answer(report.pieces(sending(office).domain, points), report.as_json(points), machine)
    raise typer.Exit(NEEDS_A_PERSON if report.needs_a_person(points) else DONE)

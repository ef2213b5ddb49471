"""`onboard today`: what waits for a person now."""

from __future__ import annotations

import logging
from typing import Annotated

import typer

from onboard.cli.common import DONE, NEEDS_A_PERSON, Machine, answer, console, errors, lines, say
from onboard.office import Office
from onboard.reports import today as report

Mail = Annotated[
    bool,
    typer.Option(
        "--mail",
        help="Email it to the coordinator, if something waits that the last such email did not tell.",
    ),
]

log = logging.getLogger(__name__)


def today(office: Office, mail: Mail = False, machine: Machine = False) -> None:
    """Show what waits for you now, the most pressing first, each with the line to type. Changes nothing.

    It tells of sign-ups at the porch and join forms on hold, requests for no more email, welcome packets and notices to
    make, to send or to ask about, email that came back, open calls, ordering windows that open or close within a week,
    windows that moved, accounts that the ordering page does not know yet, and an audit that is due. It ends with 1 if
    anything but a window waits.

    With `--mail` the same goes to the coordinator by email, without names, and only if something is new. The settings
    say to whom (`coordinator` under `[mail]`).

    Example: `onboard today`

    Example: `onboard today --json`

    Example: `onboard today --mail`
    """
    line = lines(office)
    if mail:
        from onboard.tasks.tell_coordinator import tell_coordinator  # a look sends nothing

        told = tell_coordinator(office, line)
        log.info("%s", "coordinator told" if told.to else told.why_not or "nothing new")
        waiting = told.waiting
        say(report.mailed(told), to=errors if machine else console)
    else:
        from onboard.tasks.today import today as what_waits

        waiting = what_waits(office)
    answer(report.pieces(waiting, office.today(), line), report.as_json(waiting, line), machine)
    raise typer.Exit(NEEDS_A_PERSON if any(one.needs_a_person for one in waiting) else DONE)

"""`onboard today`: what waits for a person now."""

from __future__ import annotations

import typer

from onboard.cli.common import DONE, NEEDS_A_PERSON, Machine, answer, lines
from onboard.office import Office
from onboard.reports import today as report
from onboard.tasks.today import today as what_waits


def today(office: Office, machine: Machine = False) -> None:
    """Show what waits for you now, the most pressing first, each with the line to type. Changes nothing.

    It tells of join forms on hold, welcome packets and notices to make, to send or to ask about, email that came
    back, open calls, ordering windows that open or close within a week, windows that moved, accounts that the ordering
    page does not know yet, and an audit that is due. It ends with 1 if anything but a window waits.

    Example: `onboard today`

    Example: `onboard today --json`
    """
    waiting, line = what_waits(office), lines(office)
    answer(report.pieces(waiting, office.today(), line), report.as_json(waiting, line), machine)
    raise typer.Exit(NEEDS_A_PERSON if any(one.needs_a_person for one in waiting) else DONE)

"""`onboard numbers`: how it goes with those who joined."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.common import DONE, Machine, answer, console, errors, say
from onboard.office import Office
from onboard.reports import numbers as report
from onboard.tasks.numbers import numbers as count


@dataclass(frozen=True, slots=True)
class Months:
    """In which months those joined who are counted."""

    since: Annotated[
        str, typer.Option("--since", help="From this month on, as 2026-01. If left out, the last twelve months.")
    ] = ""  # fmt: skip
    until: Annotated[
        str, typer.Option("--until", help="Up to this month. If left out, this one.")
    ] = ""


def numbers(
    office: Office,
    *,
    months: Months,
    to: Annotated[
        Path | None,
        typer.Option("--to", help="Write a page with charts and a workbook into this folder."),
    ] = None,
    machine: Machine = False,
) -> None:
    """Count how it goes with those who joined: packets that arrived, sign-ins, orders, and what calls were about.

    The numbers are by month, drop site, language, and email or letter. Sentences of the welcome packet that calls were
    about are shown before and after each change. Nobody is named. Groups of fewer than five people are counted with
    others.

    Example: `onboard numbers`

    Example: `onboard numbers --since 2026-11 --until 2026-11`

    Example: `onboard numbers --to numbers`
    """
    done = count(office, months.since, months.until)
    answer(report.pieces(done), report.as_json(done), machine)
    if to:
        for file in report.write(done, to, office.settings.coop):
            say(f"Wrote {file}.", "dim", errors if machine else console)
    raise typer.Exit(DONE)

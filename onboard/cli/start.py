"""`onboard start`: a settings file to fill in, and an empty roster."""

from __future__ import annotations

from pathlib import Path
from shlex import quote
from typing import Annotated

import typer

from onboard.cli.common import show, work_elsewhere
from onboard.reports.table import Words
from onboard.tasks.start_folder import start_folder


def start(
    folder: Annotated[Path, typer.Argument(help="The folder to put them in.")] = Path(),
) -> None:
    """Write a settings file with notes, and an empty roster next to it.

    Example: `onboard start our-coop`
    """
    work_elsewhere()
    file = start_folder(folder)
    go = [] if folder == Path() else [f"Go into the folder: cd {quote(str(folder))}"]
    steps = (
        *go,
        "Fill in onboard.toml: your pages, groups, drop sites and ordering windows.",
        "If you have members already, bring them in first: onboard adopt members.csv",
        "Then: onboard batch join-forms.csv",
    )
    show(
        Words(f"Wrote the settings file {file}."),
        Words(f"Made an empty roster, {folder / 'roster.db'}."),
        Words("Next:"),
        *(Words(f"  {n}. {step}") for n, step in enumerate(steps, start=1)),
    )

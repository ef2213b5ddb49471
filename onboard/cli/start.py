"""`onboard start`: a settings file to fill in, and an empty roster."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from onboard import settings
from onboard.cli.common import console
from onboard.errors import FileTrouble
from onboard.office import open_office


def start(
    folder: Annotated[Path, typer.Argument(help="Where to put them.")] = Path(),
) -> None:
    """Write a commented settings file, and an empty roster beside it.

    Example: `onboard start our-coop`
    """
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "onboard.toml"
    if file.exists():
        raise FileTrouble(f"{file} is there already: edit it, or give another folder.")
    file.write_text(settings.starter(), encoding="utf-8")
    open_office(file).to_write().dispose()
    console.print(
        f"Wrote {file}: fill in your own pages, groups, sites and windows.", highlight=False
    )
    console.print(f"Made an empty roster, {folder / 'roster.db'}.", highlight=False)
    console.print('Next: onboard batch "your join forms.csv"', markup=False, highlight=False)

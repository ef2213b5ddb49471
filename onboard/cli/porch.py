"""`onboard porch`: the page on which people join, and the interface for the co-op's own page."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from onboard.cli.reached import Reached


@dataclass(frozen=True, slots=True)
class Kept:
    """Where the porch reads and writes. It opens no roster, so it gets no office."""

    spool: Annotated[
        Path | None,
        typer.Option(
            "--spool",
            help="The folder in which sign-ups are kept until a batch takes them. If left out: spool, under [files] of the settings.",
        ),
    ] = None
    settings: Annotated[
        Path | None,
        typer.Option(
            "--settings",
            help="The co-op's settings file. If left out: $ONBOARD_SETTINGS, or onboard.toml in this folder.",
        ),
    ] = None
    new_key: Annotated[
        str,
        typer.Option("--new-key", help="Make a key for a program of this name, show it, and stop."),
    ] = ""


def porch(
    port: Annotated[
        int,
        typer.Option(
            "--port", min=0, max=65535, help="The port. 0, or left out: one that is free."
        ),
    ] = 0,
    *,
    kept: Kept,
    reached: Reached,
) -> None:
    """Open the porch: a page on which people join, until you stop it with Ctrl-C.

    It reads the settings, and writes sign-ups into a folder of its own, the spool. It never opens the roster, so
    nobody can learn from it who is a member. `onboard batch --from-porch` makes members of what waits there.
    Only this computer can reach it, unless you say otherwise. A page of your own can use it too, with a key.

    Example: `onboard porch --port 8500 --spool spool`

    Example: `onboard porch --port 8500 --spool spool --name join.our-coop.example.org --behind-proxy`

    Example: `onboard porch --new-key our-website`
    """
    from onboard import settings
    from onboard.cli.common import console, say
    from onboard.errors import FileTrouble
    from onboard.porch import keys
    from onboard.porch.serving import serve
    from onboard.web.listening import Listening

    if kept.new_key:
        if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}", kept.new_key):
            raise FileTrouble(
                "Name the program with letters, digits, dots and hyphens: --new-key our-website."
            )
        key, stands = keys.new(kept.new_key)
        say(f"The key of {kept.new_key}. It is shown this once: {key}")
        say("For the settings, so that the porch knows it, under [porch]:")
        say(f'keys = ["{stands}"]')
        return
    coop = settings.read(kept.settings or settings.find())
    folder = kept.spool or coop.spool
    if folder is None:
        raise FileTrouble(
            f"Say where sign-ups are kept: --spool FOLDER, or spool, under [files] in {coop.file}."
        )

    def said(line: str) -> None:
        say(line)
        console.file.flush()

    how = Listening(
        port, reached.address, reached.name, reached.certificate, reached.key, reached.behind_proxy
    )
    serve(coop, folder, how, said)

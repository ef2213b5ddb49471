"""`onboard desk`: the pages for the people who do this work all day."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import say, see_roster
from onboard.cli.reached import Reached
from onboard.office import Office


def desk(
    office: Office,
    port: Annotated[
        int,
        typer.Option(
            "--port", min=0, max=65535, help="The port. 0, or left out: one that is free."
        ),
    ] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Do not open the browser. Only show the link.")
    ] = False,
    *,
    reached: Reached,
) -> None:
    """Open the desk: a page in your browser for all of this work, until you stop it with Ctrl-C.

    The link in the last line works once. It signs in whoever opens it as the person who typed this line.
    Only this computer can reach the desk, unless you say otherwise. In an empty folder it makes the settings file
    of a new co-op, and leads you through the first steps.

    Example: `onboard desk`

    Example: `onboard desk --port 8400 --no-browser`
    """
    from onboard.desk.serving import Listening, serve

    how = Listening(
        port, reached.address, reached.name, reached.certificate, reached.key, reached.behind_proxy
    )
    see_roster(office, record=True)
    serve(office, how, say=_said, opens_browser=not no_browser)


def _said(line: str) -> None:
    say(line)
    from onboard.cli.common import console

    console.file.flush()

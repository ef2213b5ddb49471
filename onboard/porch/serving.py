"""The porch, served until somebody stops it."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from onboard.porch.place import Place
from onboard.settings import Settings
from onboard.web.listening import Listening, config, listener, see_that_it_is_safe

if TYPE_CHECKING:
    from starlette.types import ASGIApp
    from uvicorn import Config

CONNECTIONS = 1_000  # at once; a further one hears 503


def serve(settings: Settings, folder: Path, how: Listening, say: Callable[[str], None]) -> None:
    """Serve until it is stopped. The last line that is said is the address of the join page, alone.

    Raises `FileTrouble` where it cannot listen so, or the spool cannot be used.
    """
    import uvicorn

    from onboard.porch import porching

    see_that_it_is_safe(how, "porch")
    socket = listener(how, "porch")
    port = socket.getsockname()[1]
    place = Place(settings, folder, how.hosts(port), how.is_secure, how.behind_proxy)
    say(
        f"Sign-ups are kept in {folder}. To make members of them: onboard batch --from-porch {folder}"
    )
    say("To stop the porch, press Ctrl-C. People join here:")
    host = how.name.lower() or f"127.0.0.1:{port}"
    say(f"{'https' if how.is_secure else 'http'}://{host}/join")
    try:
        with suppress(KeyboardInterrupt):
            uvicorn.Server(config_of(porching.make(place), how)).run(sockets=[socket])
    finally:
        place.close()


def config_of(app: ASGIApp, how: Listening) -> Config:
    """How uvicorn serves it: nobody keeps a place by sending nothing."""
    from onboard.web.patience import Patient

    return config(app, how, http=Patient, ws="none", limit_concurrency=CONNECTIONS)

"""The desk, served: a socket of our own, the link that works once, until somebody stops it."""

from __future__ import annotations

import os
import sys
import tempfile
import threading
import webbrowser
from contextlib import suppress
from html import escape
from itertools import product
from pathlib import Path
from urllib.parse import quote

from onboard.desk.place import Place, Say
from onboard.errors import Trouble
from onboard.model import Handle
from onboard.office import Office
from onboard.settings import LANGUAGES
from onboard.signin import Account, Form, script
from onboard.tasks.code_keys import seal_all
from onboard.web.listening import Listening, config, listener, see_that_it_is_safe

KEYS = 0  # standard input


def serve(office: Office, how: Listening, *, say: Say, opens_browser: bool) -> None:
    """Serve until it is stopped. The last line that is said is the link, alone.

    Raises `FileTrouble` where it cannot listen so, `StoreTrouble`.
    """
    import uvicorn

    from onboard.desk import desking

    see_that_it_is_safe(how, proxy=office.settings.desk.proxy)
    office.to_write()  # made and brought up to date now, not while somebody waits for a page
    office.to_look()
    seal_all(office)
    socket = listener(how)
    port = socket.getsockname()[1]
    place = placed(office, how, port)
    link = _link(place)
    if opens_browser:
        _open(link)
    say("To stop the desk, press Ctrl-C. For another link, press Enter.")
    if _hears_keys():
        threading.Thread(target=_more_links, args=(place, say), daemon=True).start()
    threading.Thread(target=warm_up, args=(office,), daemon=True).start()
    say("This link works once, and lets in whoever has it:")
    say(link)
    try:
        with suppress(KeyboardInterrupt):
            uvicorn.Server(config(desking.make(place), how)).run(sockets=[socket])
    finally:
        place.works.close()
        place.counted.close()


def placed(office: Office, how: Listening, port: int) -> Place:
    """The desk as it stands when it listens so, at this port."""
    proxies = how.proxies(office.settings.desk.proxy)
    return Place(office, port, how.hosts(port), how.is_secure, proxies)


def _link(place: Place) -> str:
    return place.url(f"/start?token={quote(place.link.renew())}")


def warm_up(office: Office) -> None:
    """Load what the first call and the first pages need, while somebody opens the browser: a caller should not
    wait for it."""
    from onboard.desk import pages
    from onboard.tasks import email_doubts  # noqa: F401
    from onboard.tasks.look_up import look_up

    with suppress(Trouble):
        look_up(office, "pat lee")
        for form, language in product(Form, LANGUAGES):
            script((), Account(Handle("patlee")), office.settings, language, form)
    pages.make_ready()


def _hears_keys() -> bool:
    """Whether somebody can press Enter here. A program in the background that reads keys is stopped."""
    if sys.stdin is None:  # it is closed, and its number may be another file's
        return False
    try:
        return not os.isatty(KEYS) or os.tcgetpgrp(KEYS) == os.getpgrp()
    except (AttributeError, OSError):
        return os.name == "nt"


def _more_links(place: Place, say: Say) -> None:
    # Read below Python's own reader, which a thread that waits for keys would keep from closing at the end.
    with suppress(OSError):
        while os.read(KEYS, 4096):
            say(_link(place))


def _open(link: str) -> None:
    """Open the browser by a file that only its owner can read: what a program is started with, others see."""
    handle, file = tempfile.mkstemp(prefix="onboard-desk-", suffix=".html", text=True)
    with os.fdopen(handle, "w", encoding="utf-8") as page:
        page.write(
            f'<!doctype html><meta charset="utf-8"><meta http-equiv="refresh" content="0;url={escape(link)}">'
            f'<title>onboard</title><a href="{escape(link)}">Open the desk</a>\n'
        )
    threading.Thread(target=webbrowser.open, args=(Path(file).as_uri(),), daemon=True).start()
    gone = threading.Timer(30, lambda: Path(file).unlink(missing_ok=True))
    gone.daemon = True
    gone.start()


__all__ = ["Listening", "placed", "see_that_it_is_safe", "serve", "warm_up"]

"""The desk, served: a socket of our own, the link that works once, until somebody stops it."""

from __future__ import annotations

import os
import socket
import sys
import tempfile
import threading
import webbrowser
from contextlib import suppress
from dataclasses import dataclass
from html import escape
from ipaddress import ip_address
from pathlib import Path
from urllib.parse import quote

from onboard.desk.place import HERE, Place, Say
from onboard.errors import FileTrouble, Trouble
from onboard.office import Office

KEYS = 0  # standard input
GRACE = 3  # seconds for pages that are being made when the desk is stopped


@dataclass(frozen=True, slots=True)
class Listening:
    """Where the desk listens, and how it is reached."""

    port: int = 0  # 0 for one that is free
    address: str = "127.0.0.1"
    name: str = ""  # as in the address that people type: desk.our-coop.example.org
    certificate: Path | None = None
    key: Path | None = None
    behind_proxy: bool = False  # which speaks TLS with the browser, and passes the Host header on

    @property
    def is_wide(self) -> bool:
        """Whether others than this computer can reach it."""
        try:
            return not ip_address(self.address).is_loopback
        except ValueError:
            return self.address != "localhost"


def see_that_it_is_safe(how: Listening) -> None:
    """Raises `FileTrouble` for a desk that others could read or take over on the way."""
    if bool(how.certificate) != bool(how.key):
        raise FileTrouble("TLS needs both: --certificate FILE and --key FILE.")
    if (how.is_wide or how.behind_proxy) and not how.name:
        raise FileTrouble(
            "Say by which name people reach the desk: --name desk.our-coop.example.org. It answers to no other."
        )
    if how.is_wide and not (how.certificate or how.behind_proxy):
        raise FileTrouble(
            f"With --address {how.address}, others could read what goes to the desk. Give it TLS (--certificate FILE "
            "--key FILE), or say --behind-proxy if a proxy in front of it speaks TLS. Left out, only this computer "
            "can reach it."
        )


def serve(office: Office, how: Listening, *, say: Say, opens_browser: bool) -> None:
    """Serve until it is stopped. The last line that is said is the link, alone.

    Raises `FileTrouble` where it cannot listen so, `StoreTrouble`.
    """
    import uvicorn

    from onboard.desk import desking

    see_that_it_is_safe(how)
    office.to_write()  # made and brought up to date now, not while somebody waits for a page
    office.to_look()
    listener = _listener(how)
    place = _place(office, how, listener.getsockname()[1])
    config = uvicorn.Config(
        desking.make(place), log_level="warning", access_log=False, proxy_headers=False,
        server_header=False, timeout_graceful_shutdown=GRACE, lifespan="off",
        ssl_certfile=how.certificate, ssl_keyfile=how.key,
    )  # fmt: skip
    link = _link(place)
    if opens_browser:
        _open(link)
    say("To stop the desk, press Ctrl-C. For another link, press Enter.")
    if _hears_keys():
        threading.Thread(target=_more_links, args=(place, say), daemon=True).start()
    threading.Thread(target=_warm_up, args=(office,), daemon=True).start()
    say("This link works once, and lets in whoever has it:")
    say(link)
    try:
        with suppress(KeyboardInterrupt):
            uvicorn.Server(config).run(sockets=[listener])
    finally:
        place.works.close()


def _place(office: Office, how: Listening, port: int) -> Place:
    here = Place.at_home(office, port)
    secure = bool(how.certificate) or how.behind_proxy
    if not how.name:
        return Place(office, port, here.hosts, secure)
    name = how.name.lower()
    named = {name} if ":" in name else {name, f"{name}:{port}"}
    # Over TLS the names of this computer are not in the certificate.
    hosts = named if secure else named | here.hosts
    return Place(office, port, frozenset(hosts), secure)


def _listener(how: Listening) -> socket.socket:
    family = socket.AF_INET6 if ":" in how.address else socket.AF_INET
    made = socket.socket(family)
    try:
        if os.name != "nt":
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((how.address, how.port))
        made.listen(128)
    except (OSError, OverflowError) as error:
        made.close()
        why = getattr(error, "strerror", None) or str(error)
        raise FileTrouble(
            f"The desk can't use port {how.port} at {how.address} ({why}). Maybe it is open already. To take one that "
            "is free, leave --port out."
        ) from None
    return made


def _link(place: Place) -> str:
    return place.url(f"/start?token={quote(place.link.renew())}")


def _warm_up(office: Office) -> None:
    """Load what the first call needs, while somebody opens the browser: a caller should not wait for it."""
    from onboard.tasks import open_card  # noqa: F401
    from onboard.tasks.look_up import look_up

    with suppress(Trouble):
        look_up(office, "pat lee")


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


__all__ = ["HERE", "Listening", "see_that_it_is_safe", "serve"]

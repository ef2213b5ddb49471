"""Where a face listens: on this computer only, unless it is told otherwise and nobody can read along."""

from __future__ import annotations

import os
import socket
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path
from typing import TYPE_CHECKING, Any

from onboard.errors import FileTrouble

if TYPE_CHECKING:
    import uvicorn
    from starlette.types import ASGIApp

HERE = ("127.0.0.1", "localhost", "[::1]")
THIS_COMPUTER = ("127.0.0.1", "::1")
GRACE = 3  # seconds for answers that are being made when it is stopped


@dataclass(frozen=True, slots=True)
class Listening:
    """Where a face listens, and how it is reached."""

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

    @property
    def is_secure(self) -> bool:
        """Whether it is reached over https."""
        return bool(self.certificate) or self.behind_proxy

    def hosts(self, port: int) -> frozenset[str]:
        """The Host headers that are ours, in small letters, at the port where it listens in the end."""
        here = frozenset(f"{name}:{port}" for name in HERE)
        if not self.name:
            return here
        name = self.name.lower()
        named = {name} if ":" in name else {name, f"{name}:{port}"}
        # Over TLS the names of this computer are not in the certificate.
        return frozenset(named if self.is_secure else named | here)

    def proxies(self, stated: str) -> frozenset[str]:
        """The addresses from which all requests come, if a proxy is in front: the one that is stated, or else this
        computer's."""
        if not self.behind_proxy:
            return frozenset()
        return frozenset([stated] if stated else THIS_COMPUTER)


def see_that_it_is_safe(how: Listening, face: str = "desk", *, proxy: str | None = None) -> None:
    """Raises `FileTrouble` for a face that others could read or take over on the way. `proxy` is the address of the
    proxy that the settings state, "" for none; None for a face that takes whatever comes."""
    if bool(how.certificate) != bool(how.key):
        raise FileTrouble("TLS needs both: --certificate FILE and --key FILE.")
    if (how.is_wide or how.behind_proxy) and not how.name:
        raise FileTrouble(
            f"Say by which name people reach the {face}: --name {face}.our-coop.example.org. It answers to no other."
        )
    if how.is_wide and how.behind_proxy and proxy == "":
        raise FileTrouble(
            f"With --address {how.address}, others could pass the proxy by. Say in the settings where it is: proxy, "
            f"under [{face}]. The {face} answers to no other computer then."
        )
    if how.is_wide and not (how.certificate or how.behind_proxy):
        raise FileTrouble(
            f"With --address {how.address}, others could read what goes to the {face}. Give it TLS (--certificate FILE "
            "--key FILE), or say --behind-proxy if a proxy in front of it speaks TLS. Left out, only this computer "
            "can reach it."
        )


def listener(how: Listening, face: str = "desk") -> socket.socket:
    """A socket that listens there. Raises `FileTrouble`."""
    family = socket.AF_INET6 if ":" in how.address else socket.AF_INET
    # TCP by name: only then does asyncio send small answers at once, and not 40 ms later (Nagle's algorithm).
    made = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if os.name != "nt":
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((how.address, how.port))
        made.listen(128)
    except (OSError, OverflowError) as error:
        made.close()
        why = getattr(error, "strerror", None) or str(error)
        raise FileTrouble(
            f"The {face} can't use port {how.port} at {how.address} ({why}). Maybe it is open already. To take one that "
            "is free, leave --port out."
        ) from None
    return made


def config(app: ASGIApp, how: Listening, **more: Any) -> uvicorn.Config:
    """How uvicorn serves a face: no address is logged, and no header of a stranger's is believed."""
    import uvicorn

    return uvicorn.Config(
        app, log_level="warning", access_log=False, proxy_headers=False, server_header=False,
        timeout_graceful_shutdown=GRACE, lifespan="off", ssl_certfile=how.certificate, ssl_keyfile=how.key, **more,
    )  # fmt: skip

"""What stands around a face: which requests it refuses, what each answer leaves with, how much may come in."""

from __future__ import annotations

import logging
import uuid
from typing import TYPE_CHECKING

from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request

from onboard.errors import where

if TYPE_CHECKING:
    from starlette.responses import Response
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

log = logging.getLogger(__name__)

SAFE = ("GET", "HEAD", "OPTIONS")
KIB = 1024
MIB = 1024 * KIB

POLICY = "; ".join(
    (
        "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' data:",
        "connect-src 'self'", "frame-src 'self'", "form-action 'self'", "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)  # fmt: skip
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    # Not "no-referrer": with that, browsers call the origin of our own forms "null".
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}
STRICT_TRANSPORT = "max-age=31536000"


class Guards:
    """Around the whole app of a face. What it refuses, and a fault of the program, get the same page as all trouble."""

    def __init__(self, app: ASGIApp, *, secure: bool) -> None:
        self.app, self.secure = app, secure

    def refused(self, request: Request) -> Response | None:
        """The answer to what the face refuses; None for what may come in."""
        raise NotImplementedError

    def bounded(self, request: Request, receive: Receive) -> Receive:
        """What comes in, as much of it as may."""
        raise NotImplementedError

    def fault(self, request: Request, reference: str) -> Response:
        """The answer when the program has a fault."""
        raise NotImplementedError

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        started = False

        async def careful(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                dress(MutableHeaders(scope=message), scope["path"], secure=self.secure)
            await send(message)

        request = Request(scope)
        if answer := self.refused(request):
            await answer(scope, receive, careful)
            return
        try:
            await self.app(scope, self.bounded(request, receive), careful)
        except Exception as fault:
            # Where it happened, and no value: neither its message nor a variable, which may be somebody's data.
            reference = uuid.uuid4().hex[:8]
            log.error("A fault of the program, reference %s\n%s", reference, where(fault))
            if started:
                raise
            await self.fault(request, reference)(scope, receive, careful)


def dress(headers: MutableHeaders, path: str, *, secure: bool) -> None:
    """Give an answer its careful headers; `secure` is reached over https."""
    for name, value in HEADERS.items():
        headers.setdefault(name, value)
    headers.setdefault("cache-control", "no-cache" if path.startswith("/static/") else "no-store")
    if secure:
        headers.setdefault("strict-transport-security", STRICT_TRANSPORT)


def is_too_large(declared: str, most: int) -> bool:
    """Whether a Content-Length says more, or nothing that a number is."""
    return not (declared.isascii() and declared.isdecimal()) or int(declared[:20]) > most


def limited(receive: Receive, most: int) -> Receive:
    """What comes in, up to so many bytes: a length need not be declared."""
    came = 0

    async def counted() -> Message:
        nonlocal came
        message = await receive()
        came += len(message.get("body", b""))
        if came > most:
            raise HTTPException(413)
        return message

    return counted

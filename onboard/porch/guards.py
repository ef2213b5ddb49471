"""What stands before each request: by which name we are called, how large it is, how much comes from there, how slowly."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request

from onboard import passwords
from onboard.errors import where
from onboard.web.guards import KIB, dress, is_too_large, limited
from onboard.web.rates import of_address

if TYPE_CHECKING:
    from starlette.responses import Response
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from onboard.porch.place import Place

log = logging.getLogger(__name__)

LARGEST = 64 * KIB  # of a form: a hundred times a long one
PATIENCE = 15.0  # seconds in which a form must have come in
MANY_HEADERS = 100

# Makes the answer that tells of trouble: status, reference, seconds to wait.
Refusal = Callable[[Request, int, str, float], "Response"]


class Guards:
    """Around the whole app. What it refuses gets the same answer as all trouble."""

    def __init__(self, app: ASGIApp, place: Place, refusal: Refusal) -> None:
        self.app, self.place, self.refusal = app, place, refusal

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":  # no other protocol is spoken here
            return
        started = False

        async def careful(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                dress(MutableHeaders(scope=message), scope["path"], secure=self.place.secure)
            await send(message)

        request = Request(scope)
        scope["from"] = self._from(request)
        status, wait = self._refused(request)
        if status:
            await self.refusal(request, status, "", wait)(scope, receive, careful)
            return
        try:
            await self.app(scope, _in_time(limited(receive, LARGEST)), careful)
        except Exception as fault:
            # Where it happened, and no value: neither its message nor a variable, which may be somebody's data.
            reference = passwords.token()[:8]
            log.error("A fault of the program, reference %s\n%s", reference, where(fault))
            if started:
                raise
            await self.refusal(request, 500, reference, 0)(scope, receive, careful)

    def _refused(self, request: Request) -> tuple[int, float]:
        """The status with which it is refused, and in how many seconds it may come again; zeros if it is not."""
        headers = request.headers
        if len(headers.getlist("host")) != 1 or headers["host"].lower() not in self.place.hosts:
            return 421, 0
        if len(headers) > MANY_HEADERS:
            return 431, 0
        if is_too_large(headers.get("content-length", "0"), LARGEST):
            return 413, 0
        wait = self.place.others.wait(request.scope["from"])
        return (429, wait) if wait else (0, 0)

    def _from(self, request: Request) -> str:
        """The internet address that it comes from: the proxy's last word, where one stands in front."""
        if self.place.behind_proxy:
            said = ",".join(request.headers.getlist("x-forwarded-for"))
            return of_address(said.rpartition(",")[2].strip())
        return of_address(request.client.host if request.client else "")


def _in_time(receive: Receive) -> Receive:
    """What comes in, while there is patience for it."""
    ends = 0.0

    async def timed() -> Message:
        nonlocal ends
        loop = asyncio.get_running_loop()
        ends = ends or loop.time() + PATIENCE
        try:
            return await asyncio.wait_for(receive(), max(0.01, ends - loop.time()))
        except TimeoutError:
            raise HTTPException(408) from None

    return timed

"""What stands before every page: whose name it is called by, where a form comes from, how large it is.

The Host header first (DNS rebinding), then the origin of what changes something (Fetch Metadata, W3C;
else RFC 6454), then the size. Every answer leaves with the same careful headers. Nothing is logged of a
request but where a fault of the program happened.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request

from onboard import passwords
from onboard.errors import where
from onboard.web.guards import MIB, SAFE, dress, is_too_large, limited

if TYPE_CHECKING:
    from starlette.responses import Response
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from onboard.desk.place import Place

log = logging.getLogger(__name__)

LARGEST = 1 * MIB  # of a form
LARGEST_FILE = 100 * MIB  # where a path ends with "/file"

# Makes the page that tells of trouble: status, reference.
ErrorPage = Callable[[Request, int, str], "Response"]


class Guards:
    """Around the whole app. What it refuses gets the same page as all trouble."""

    def __init__(self, app: ASGIApp, place: Place, error_page: ErrorPage) -> None:
        self.app, self.place, self.error_page = app, place, error_page

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
                dress(MutableHeaders(scope=message), scope["path"], secure=self.place.secure)
            await send(message)

        request = Request(scope)
        if status := self._refused(request):
            await self.error_page(request, status, "")(scope, receive, careful)
            return
        try:
            await self.app(scope, limited(receive, _largest(scope["path"])), careful)
        except Exception as fault:
            # Where it happened, and no value: neither its message nor a variable, which may be a member's data.
            reference = passwords.token()[:8]
            log.error("A fault of the program, reference %s\n%s", reference, where(fault))
            if started:
                raise
            await self.error_page(request, 500, reference)(scope, receive, careful)

    def _refused(self, request: Request) -> int:
        """The status with which the request is refused; 0 if it is not."""
        if request.headers.get("host", "").lower() not in self.place.hosts:
            return 421
        if self.place.proxies and (
            not request.client or request.client.host not in self.place.proxies
        ):
            return 403
        if request.method not in SAFE and not self._is_from_us(request.headers):
            return 403
        declared = request.headers.get("content-length", "0")
        if is_too_large(declared, _largest(request.url.path)):
            return 413
        return 0

    def _is_from_us(self, headers: Headers) -> bool:
        if site := headers.get("sec-fetch-site"):
            return site == "same-origin"
        return headers.get("origin", "").lower() in self.place.origins


def _largest(path: str) -> int:
    return LARGEST_FILE if path.endswith("/file") else LARGEST

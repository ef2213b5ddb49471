"""What stands before each request: by which name we are called, how large it is, how much comes from there, how slowly."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.exceptions import HTTPException
from starlette.requests import Request

from onboard.web import guards
from onboard.web.guards import KIB, is_too_large, limited
from onboard.web.rates import of_address

if TYPE_CHECKING:
    from starlette.responses import Response
    from starlette.types import ASGIApp, Message, Receive

    from onboard.porch.place import Place

LARGEST = 64 * KIB  # of a form: a hundred times a long one
PATIENCE = 15.0  # seconds in which a form must have come in
MANY_HEADERS = 100

# Makes the answer that tells of trouble: status, reference, seconds to wait.
Refusal = Callable[[Request, int, str, float], "Response"]


class Guards(guards.Guards):
    """Around the whole app."""

    def __init__(self, app: ASGIApp, place: Place, refusal: Refusal) -> None:
        super().__init__(app, secure=place.secure)
        self.place, self.refusal = place, refusal

    def refused(self, request: Request) -> Response | None:
        """The answer to what is refused."""
        request.scope["from"] = self._from(request)
        status, wait = self._refused(request)
        return self.refusal(request, status, "", wait) if status else None

    def bounded(self, request: Request, receive: Receive) -> Receive:
        """A form, while there is patience for it."""
        return _in_time(limited(receive, LARGEST))

    def fault(self, request: Request, reference: str) -> Response:
        """The answer to a fault of the program."""
        return self.refusal(request, 500, reference, 0)

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

"""What stands before every page: whose name it is called by, where a form comes from, how large it is.

The Host header first (DNS rebinding), then the origin of what changes something (Fetch Metadata, W3C;
else RFC 6454), then the size. Every answer leaves with the same careful headers. Of a request
nothing is logged but that it was refused, and where a fault of the program happened.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from starlette.requests import Request

from onboard.web import guards
from onboard.web.guards import MIB, SAFE, is_too_large, limited

if TYPE_CHECKING:
    from starlette.datastructures import Headers
    from starlette.responses import Response
    from starlette.types import ASGIApp, Receive

    from onboard.desk.place import Place

LARGEST = 1 * MIB  # of a form
LARGEST_FILE = 100 * MIB  # where a path ends with "/file"

# What the log says of what is refused, by the status of the answer.
REFUSED = {
    421: "Refused a name that is not ours",
    403: "Refused what came past our pages or our proxy",
    413: "Refused what is too large",
}

# Makes the page that tells of trouble: status, reference.
ErrorPage = Callable[[Request, int, str], "Response"]


class Guards(guards.Guards):
    """Around the whole app."""

    def __init__(self, app: ASGIApp, place: Place, error_page: ErrorPage) -> None:
        super().__init__(app, secure=place.secure)
        self.place, self.error_page = place, error_page

    def refused(self, request: Request) -> Response | None:
        """The page for what is refused."""
        status = self._refused(request)
        if not status:
            return None
        address = request.client.host if request.client else ""
        self.place.tell_of_refusal(REFUSED[status], address)
        return self.error_page(request, status, "")

    def bounded(self, request: Request, receive: Receive) -> Receive:
        """A form, or a file where one is taken."""
        return limited(receive, _largest(request.url.path))

    def fault(self, request: Request, reference: str) -> Response:
        """The page for a fault of the program."""
        return self.error_page(request, 500, reference)

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

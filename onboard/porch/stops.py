"""Whoever presses "Unsubscribe" in their mail program: one request, which asks nothing back (RFC 8058).

The porch knows no email and no member. It keeps the key, whosever it is, and answers the same, so that nobody learns from it
which keys are good. Who only looks (GET), as programs that check links do, sees a page with one button.
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl, unquote, urlencode, urlsplit

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from onboard import spool
from onboard.errors import FileTrouble
from onboard.porch import interface, join, words
from onboard.porch.place import Place

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Receive, Scope, Send

    from onboard.porch.guards import Refusal

KEY = "{key}"  # in the address that the settings name
_WHOLE = re.compile(r"[0-9a-f]{32}")


class Stops:
    """Takes the requests for the page that `unsubscribe_page` names; every other goes on."""

    def __init__(self, app: ASGIApp, place: Place, refusal: Refusal) -> None:
        self._app, self._place, self._refusal = app, place, refusal

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        request = Request(scope, receive)
        page = self._place.refresh().reminders.unsubscribe_page
        key = key_in(page, scope["path"], request.query_params)
        answer = self._app if key is None else await self._answer(request, key)
        await answer(scope, receive, send)

    async def _answer(self, request: Request, key: str) -> Response:
        if request.method not in ("GET", "HEAD", "POST"):
            return self._refusal(request, 405, "", 0)
        if not _WHOLE.fullmatch(key):  # of no email, whoever knows what: a part of it is missing
            return self._page(request, "stop_broken", 404)
        if request.method != "POST":
            return self._page(request, "stop")
        try:
            await request.body()  # "List-Unsubscribe=One-Click": that it is a POST says enough
            at = interface.stamp(self._place)
            await asyncio.to_thread(spool.add_stop, self._place.folder, at, key)
        except HTTPException as refused:
            return self._refusal(request, refused.status_code, "", 0)
        except (OSError, FileTrouble):
            return self._refusal(request, 503, "", interface.RETRY - 1)
        return self._page(request, "stopped")

    def _page(self, request: Request, name: str, status: int = 200) -> Response:
        lang = join.spoken(request, request.query_params.get("lang", ""))
        said = [one for one in request.query_params.multi_items() if one[0] != "lang"]
        other = "es" if lang == "en" else "en"
        frame = join.frame(self._place.settings, lang, "")
        # What was done is not asked again in the other language.
        frame["other_path"] = "" if name == "stopped" else _asking([*said, ("lang", other)])
        values = {**frame, "here": _asking([*said, ("lang", lang)])}
        return HTMLResponse(words.draw(name, lang, **values), status)


def _asking(said: list[tuple[str, str]]) -> str:
    """The same page, asked for with these."""
    return f"?{urlencode(said)}"


def key_in(page: str, path: str, said: Mapping[str, str]) -> str | None:
    """The key that a request has, whose path and query are those of the page; None if they are not.

    >>> key_in("https://coop.example.org/stop?key={key}", "/stop", {"key": "ab", "lang": "es"})
    'ab'
    >>> key_in("https://coop.example.org/no/{key}/more", "/no/ab/more", {}), key_in("", "/stop", {"key": "ab"})
    ('ab', None)
    """
    parts = urlsplit(page)
    here = unquote(parts.path) or "/"
    if KEY in here:
        return _between(here, path)
    if path != here or KEY not in parts.query:
        return None
    key = None
    for name, value in parse_qsl(parts.query, keep_blank_values=True):
        if KEY in value:
            key = _between(value, said[name]) if name in said else None
        elif said.get(name) != value:
            return None
    return key


def _between(pattern: str, text: str) -> str | None:
    """What stands in the text where the pattern has the key."""
    before, _, after = pattern.partition(KEY)
    fits = len(text) >= len(before + after) and text.startswith(before) and text.endswith(after)
    return text[len(before) : len(text) - len(after)] if fits else None

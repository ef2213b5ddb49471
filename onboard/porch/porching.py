"""The whole porch: interface, join page, guards, and one answer for all trouble of each."""

from __future__ import annotations

from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.openapi.utils import get_openapi
from starlette.exceptions import HTTPException
from starlette.middleware.cors import CORSMiddleware
from starlette.responses import JSONResponse, Response
from starlette.types import ASGIApp, Receive, Scope, Send

from onboard.porch import interface, join
from onboard.porch.guards import Guards
from onboard.porch.interface import PROBLEM, Lacking
from onboard.porch.place import Place
from onboard.porch.stops import Stops

# What is said where the status says all.
SAID = {
    400: "That can’t be read.",
    401: "Say who you are: Authorization: Bearer and the key that the co-op gave you.",
    404: "There is no such page.",
    405: "This address does not take that.",
    408: "That took too long. Send it again.",
    409: "That Idempotency-Key was used for another sign-up. Take a new one.",
    413: "That is too large. A sign-up may have 64 kB.",
    421: "The porch is not reached by that name.",
    422: "A field is missing, unknown or too long.",
    429: "Too many came from there. Wait a little, and send it again.",
    431: "There are too many headers.",
    500: "This is a fault of the program, not of what you did. Nothing was saved.",
    503: "That could not be saved. Send it again in a moment.",
}
ABOUT = """Check what people type into your own join page, and hand sign-ups in. A sign-up becomes an account once the co-op
has looked at it. Nothing here tells who is a member."""


def make(place: Place) -> FastAPI:
    """The porch at this place."""
    app = FastAPI(
        docs_url=None,
        redoc_url=None,
        title="onboard porch",
        version="1",
        description=ABOUT,
        redirect_slashes=False,
    )
    app.state.place = place
    app.openapi = lambda: _described(app)  # type: ignore[method-assign]
    app.include_router(interface.router)
    app.include_router(join.router)
    app.add_exception_handler(HTTPException, _by_status)
    app.add_exception_handler(RequestValidationError, _not_valid)
    app.add_exception_handler(Lacking, _lacking)
    app.add_middleware(_Origins, place=place)
    app.add_middleware(Stops, place=place, refusal=refusal)
    app.add_middleware(Guards, place=place, refusal=at_the_door)
    return app


def _described(app: FastAPI) -> dict[str, Any]:
    """The description of the interface: all trouble has one form (RFC 9457)."""
    if app.openapi_schema is None:
        app.openapi_schema = get_openapi(
            title=app.title, version=app.version, description=app.description, routes=app.routes
        )
        for path in app.openapi_schema["paths"].values():
            for answer in path["post"]["responses"].values():
                if PROBLEM in answer["content"]:
                    answer["content"] = {PROBLEM: answer["content"]["application/json"]}
    return app.openapi_schema


class _Origins:
    """Lets scripts of the pages that the settings name use the interface (Fetch, CORS); nothing else of ours."""

    def __init__(self, app: ASGIApp, place: Place) -> None:
        self._app = app
        self._open = CORSMiddleware(
            app, allow_origins=place.settings.porch.origins, allow_methods=["POST"], max_age=600,
            allow_headers=["authorization", "content-type", "idempotency-key", "accept-language"],
            expose_headers=["retry-after"],
        )  # fmt: skip

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        is_open = scope["path"].startswith("/v1/")
        await (self._open if is_open else self._app)(scope, receive, send)


# ---------------------------------------------------------------- trouble


def refusal(request: Request, status: int, reference: str = "", wait: float = 0) -> Response:
    """The one answer for all trouble: for people a page, for programs a problem."""
    if request.url.path.startswith(("/v1/", "/openapi.json")):
        answer = _problem(status, reference=reference)
    else:
        answer = join.trouble(request, request.app.state.place.settings, status, reference)
    if wait:
        answer.headers["retry-after"] = str(int(wait) + 1)
    return answer


def at_the_door(request: Request, status: int, reference: str = "", wait: float = 0) -> Response:
    """The answer to what is refused before anybody looked at it: scripts of the pages that the settings name may read
    that one too, and come again when it says."""
    answer = refusal(request, status, reference, wait)
    origin = request.headers.get("origin", "")
    if (
        request.url.path.startswith("/v1/")
        and origin in request.app.state.place.settings.porch.origins
    ):
        answer.headers["access-control-allow-origin"] = origin
        answer.headers["access-control-expose-headers"] = "retry-after"
        answer.headers["vary"] = "Origin"
    return answer


def _problem(
    status: int, detail: str = "", errors: Sequence[tuple[str, str]] = (), *, reference: str = ""
) -> Response:
    said = detail or SAID.get(status) or HTTPStatus(status).phrase
    body = {
        "type": "about:blank", "title": HTTPStatus(status).phrase, "status": status,
        "detail": f"{said} Reference: {reference}" if reference else said,
        "errors": [{"field": field, "note": note} for field, note in errors],
    }  # fmt: skip
    return JSONResponse(body, status, media_type=PROBLEM)


def _by_status(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    answer = refusal(request, error.status_code)
    for name, value in (error.headers or {}).items():
        answer.headers[name] = value
    return answer


def _lacking(_: Request, error: Exception) -> Response:
    assert isinstance(error, Lacking)
    return _problem(422, error.wrong[0][1], error.wrong)


def _not_valid(request: Request, error: Exception) -> Response:
    """What does not fit, by field; nothing that was typed is repeated."""
    assert isinstance(error, RequestValidationError)
    if not request.url.path.startswith("/v1/"):
        return refusal(request, 404)  # a link that somebody changed
    wrong = [
        (".".join(map(str, one["loc"][1:]))[:80], _note(one["type"])) for one in error.errors()[:20]
    ]
    return _problem(422, "", [(_plain(field), note) for field, note in wrong])


def _note(kind: str) -> str:
    return {
        "extra_forbidden": "There is no such field.", "string_too_long": "That is too long.", "missing": "That is missing.",
        "string_type": "That must be text.", "json_invalid": "That is not JSON.", "too_long": "Those are too many.",
        "dict_type": "That must be an object.", "string_unicode": "That is not text.",
    }.get(kind, "That does not fit: see /openapi.json.")  # fmt: skip


def _plain(text: str) -> str:
    return "".join(sign if sign.isprintable() else "?" for sign in text)

"""The whole desk: rooms, door, guards, and one page for all trouble."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from http import HTTPStatus
from importlib import resources

from fastapi import Depends, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, Response
from starlette.staticfiles import StaticFiles

from onboard.desk import door, pages, rooms
from onboard.desk.guards import Guards
from onboard.desk.place import Place
from onboard.desk.rooms import Room
from onboard.desk.visit import (
    CSRF,
    BeingCounted,
    Here,
    NotOurForm,
    SignedOut,
    TooFast,
    came,
    csrf_of,
    language_of,
    visit,
)
from onboard.errors import NotAllowed, StoreBusy, StoreTrouble, Trouble, in_words
from onboard.office import Office
from onboard.tasks import desk_sessions
from onboard.tasks.note_refused import note_refused

# What is said where the status says all.
SAID = {
    403: "This did not come from a page of the desk, so nothing was done.",
    404: "There is no such page.",
    405: "This page does not take that.",
    413: "That is too large. A form may have 1 MB, a file 100 MB.",
    429: "That was more at once than anybody clicks. Wait a minute, then send it again. Nothing was changed by this.",
    421: "The desk is not reached by that name. Use the link that onboard desk shows.",
    422: "The page did not get what it needs. Go back, and try again.",
    500: "This is a fault of the program, not of what you did. What was not yet saved has not been changed.",
}
BUSY = (
    "Something is being saved to the roster right now, such as a batch. What you typed is kept: wait a little, then send it "
    "once more. Nothing was changed."
)


def make(place: Place) -> FastAPI:
    """The desk at this place."""
    app = FastAPI(openapi_url=None, docs_url=None, redoc_url=None, title="onboard")
    app.state.place = place
    app.include_router(door.router)
    # Whoever is not signed in, or whose form is not ours, is stopped here, whatever a room forgets.
    app.include_router(door.inside, dependencies=[Depends(visit)])
    for router, room in rooms.routers():
        app.include_router(
            router, dependencies=[Depends(visit), Depends(_see_that_one_may_enter(room))]
        )
    static = str(resources.files("onboard.desk").joinpath("static"))
    app.mount("/static", StaticFiles(directory=static))
    app.add_exception_handler(HTTPException, _by_status)
    app.add_exception_handler(RequestValidationError, lambda request, _: error_page(request, 422))
    app.add_exception_handler(SignedOut, _signed_out)
    app.add_exception_handler(NotOurForm, _not_our_form)
    app.add_exception_handler(TooFast, _too_fast)
    app.add_exception_handler(BeingCounted, _being_counted)
    app.add_exception_handler(Trouble, _trouble)
    app.add_exception_handler(OSError, _trouble)
    app.add_middleware(Guards, place=place, error_page=error_page)
    return app


def _see_that_one_may_enter(room: Room) -> Callable[[Here], None]:
    """What comes before each of its pages; what is done there, its task asks for again."""

    def see(here: Here) -> None:
        for act in room.acts:
            here.office.see_that_one_may(act)

    return see


Typed = Sequence[tuple[str, str]]


def error_page(
    request: Request, status: int, reference: str = "", words: str = "", kept: Typed = ()
) -> HTMLResponse:
    """The one page that tells of trouble; what was typed, if it is `kept`, can be sent from it again."""
    words = words or SAID.get(status) or HTTPStatus(status).phrase
    text = pages.draw(
        "trouble", _language(request), status=status, words=words, reference=reference,
        kept=kept, path=request.url.path, csrf=_csrf(request),
    )  # fmt: skip
    return HTMLResponse(text, status)


def _by_status(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    answer = error_page(request, error.status_code)
    for name, value in (error.headers or {}).items():
        answer.headers[name] = value
    return answer


async def _trouble(request: Request, error: Exception) -> Response:
    assert isinstance(error, Trouble | OSError)
    status = 422
    if isinstance(error, NotAllowed):
        status = 403
        await run_in_threadpool(_note_refused, request)
    elif isinstance(error, StoreBusy):
        status = 503
    elif isinstance(error, StoreTrouble | OSError):
        status = 500
    # What was typed can be sent again once the roster is free.
    kept = await _kept(request) if isinstance(error, StoreBusy) else []
    return error_page(request, status, words=BUSY if kept else in_words(error), kept=kept)


def _note_refused(request: Request) -> None:
    place: Place = request.app.state.place
    office: Office = request.state.office
    if not place.refusals.wait(f"person {office.who}"):
        page = f"{request.method} {request.scope['route'].path}"
        note_refused(office, page, came(request).address)


async def _signed_out(request: Request, _: Exception) -> Response:
    return door.nobody(request, ended=True, kept=await _kept(request))


async def _too_fast(request: Request, _: Exception) -> Response:
    place: Place = request.app.state.place
    place.tell_of_refusal("Refused clicks that came too fast", came(request).address)
    answer = error_page(request, 429, kept=await _kept(request))
    answer.headers["retry-after"] = "60"
    return answer


async def _being_counted(request: Request, counting: Exception) -> Response:
    assert isinstance(counting, BeingCounted)
    return counting.page


async def _not_our_form(request: Request, _: Exception) -> Response:
    """What was typed, to be sent once more by a click: the session it was typed in has ended."""
    text = pages.draw(
        "send_again", language_of(request), path=request.url.path, kept=await _kept(request),
        csrf=_csrf(request),
    )  # fmt: skip
    return HTMLResponse(text, 403)


def _language(request: Request) -> str:
    """The language of the screen, also where nothing but its address is known of a page."""
    place: Place = request.app.state.place
    if chosen := getattr(request.state, "language", ""):
        return str(chosen)
    with suppress(Trouble, OSError):
        found = desk_sessions.session(place.office, request.cookies.get(place.cookie, ""))
        if found and found.language:
            return found.language
    return language_of(request)


def _csrf(request: Request) -> str:
    place: Place = request.app.state.place
    return csrf_of(request.cookies.get(place.cookie, ""))


async def _kept(request: Request) -> Typed:
    """What was typed, to be carried on: all but the token of the form, and files."""
    if request.method in ("GET", "HEAD"):
        return []
    form: Mapping[str, object] = await request.form()
    pairs = form.multi_items() if hasattr(form, "multi_items") else ()
    return [(name, said) for name, said in pairs if name != CSRF and isinstance(said, str)]

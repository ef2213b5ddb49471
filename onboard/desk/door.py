"""The door: in by the link that works once, out here or everywhere, and the language of the screen."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from onboard.desk import pages, words
from onboard.desk.place import Place
from onboard.desk.visit import Here, Visit, language_of
from onboard.tasks import desk_sessions

router = APIRouter()


@router.get("/start")
def start(request: Request, token: str = "") -> Response:
    """In by the link, once; the address with the token is left at once."""
    place: Place = request.app.state.place
    if not place.link.use(token):
        text = pages.draw("start_used", language_of(request))
        return Response(text, 403, media_type="text/html")
    going = RedirectResponse("/", 303)
    going.set_cookie(
        place.cookie, desk_sessions.sign_in(place.office), httponly=True, samesite="lax",
        secure=place.secure, path="/",
    )  # fmt: skip
    going.headers["referrer-policy"] = "no-referrer"
    return going


@router.get("/signed-out")
def signed_out(request: Request) -> Response:
    """What is shown to whoever signed out."""
    return Response(pages.draw("signed_out", language_of(request)), media_type="text/html")


# ---------------------------------------------------------------- for whoever is signed in

inside = APIRouter()


@inside.post("/sign-out")
def sign_out(here: Here) -> Response:
    """End this session."""
    desk_sessions.sign_out(here.office, here.token)
    return _gone(here)


@inside.post("/sign-out-everywhere")
def sign_out_everywhere(here: Here) -> Response:
    """End every session of whoever is at work."""
    desk_sessions.sign_out_everywhere(here.office)
    return _gone(here)


@inside.post("/language")
def language(here: Here) -> Response:
    """Choose the language of the screen."""
    if (chosen := here.said("language")) in words.LANGUAGES:
        desk_sessions.choose_language(here.office, here.token, chosen)
    back = here.said("back")
    # Only to a page of ours.
    return here.go(back if back.startswith("/") and not back.startswith(("//", "/\\")) else "/")


def _gone(here: Visit) -> Response:
    going = here.go("/signed-out")
    going.delete_cookie(here.place.cookie, path="/", secure=here.place.secure, httponly=True)
    return going

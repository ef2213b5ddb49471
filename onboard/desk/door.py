"""The door: in by the link that works once, or with a name and a password; out here or everywhere; and the language
of the screen."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, RedirectResponse, Response

from onboard.desk import pages, words
from onboard.desk.place import Place
from onboard.desk.visit import Here, Mistake, Visit, came, language_of, typed
from onboard.errors import NotDone
from onboard.tasks import desk_sessions, own_account, staff_sign_in

router = APIRouter()
Form = Annotated[FormData, Depends(typed)]


@router.get("/start")
def start(request: Request, token: str = "") -> Response:
    """In by the link, once; the address with the token is left at once."""
    place = _place(request)
    if not place.link.use(token):
        return HTMLResponse(pages.draw("start_used", language_of(request)), 403)
    desk_sessions.sign_out(place.office, request.cookies.get(place.cookie, ""))
    return _in(request, desk_sessions.sign_in(place.office, browser=came(request).browser))


@router.get("/signed-out")
def signed_out(request: Request) -> Response:
    """What is shown to whoever signed out."""
    return nobody(request, status=200)


# ---------------------------------------------------------------- with a name and a password


@router.get("/sign-in")
def before_sign_in(request: Request) -> Response:
    """The name, the password and the code."""
    return _form(request, {"back": request.query_params.get("back", "")})


@router.post("/sign-in")
def sign_in(request: Request, form: Form) -> Response:
    """In, if they are right."""
    place = _place(request)
    name, password, code, back = (_said(form, one) for one in ("name", "password", "code", "back"))
    try:
        token = staff_sign_in.sign_in(place.office, name, password, code, came(request))
    except NotDone as trouble:
        if staff_sign_in.WRONG not in trouble.sentences:  # that is in the change log
            came_from = came(request).address
            place.tell_of_refusal("Refused a sign-in after too many wrong tries", came_from)
        return _form(request, {"back": back, "name": name}, trouble)
    desk_sessions.sign_out(place.office, request.cookies.get(place.cookie, ""))
    return _in(request, token, back)


def _form(request: Request, said: dict[str, str], trouble: NotDone | None = None) -> Response:
    language = language_of(request)
    mistakes = [Mistake(str(trouble), "name")] if trouble else []
    text = pages.draw("sign_in", language, mistakes=mistakes, said=said, path="/sign-in")
    return HTMLResponse(text, 422 if mistakes else 200)


@router.get("/invitation")
def invitation(request: Request, token: str = "") -> Response:
    """A password to choose, for whoever was invited."""
    return _invitation(request, token)


@router.post("/invitation")
def accept(request: Request, form: Form) -> Response:
    """The password that was chosen; the link works no more."""
    token, password, code = (_said(form, one) for one in ("token", "password", "code"))
    try:
        recovery = own_account.accept(_place(request).office, token, password, code)
    except NotDone as trouble:
        return _invitation(request, token, trouble)
    text = pages.draw("account_ready", language_of(request), recovery=recovery, at_door=True)
    return HTMLResponse(text)


def _invitation(request: Request, token: str, trouble: NotDone | None = None) -> Response:
    language = language_of(request)
    try:
        found = own_account.invited(_place(request).office, token)
    except NotDone as over:
        return HTMLResponse(pages.draw("link_over", language, words=str(over)), 403)
    field = "code" if trouble and own_account.WRONG_CODE in trouble.sentences else "password"
    mistakes = [Mistake(str(trouble), field)] if trouble else []
    text = pages.draw("invitation", language, mistakes=mistakes, mine=found, token=token)
    return HTMLResponse(text, 422 if mistakes else 200)


# ---------------------------------------------------------------- nobody is signed in


def nobody(
    request: Request,
    *,
    ended: bool = False,
    kept: Sequence[tuple[str, str]] = (),
    status: int = 401,
) -> Response:
    """The page of whoever is not signed in, with what they typed, if anything."""
    values: dict[str, Any] = {"ended": ended, "kept": kept, "path": request.url.path}
    with_name = staff_sign_in.has_staff(_place(request).office)
    text = pages.draw("signed_out", language_of(request), with_name=with_name, said={}, **values)
    return HTMLResponse(text, status)


def _place(request: Request) -> Place:
    place: Place = request.app.state.place
    return place


def _said(form: FormData, field: str) -> str:
    value = form.get(field, "")
    return value if isinstance(value, str) else ""


def _in(request: Request, token: str, back: str = "/") -> Response:
    place, going = _place(request), RedirectResponse(_ours(back), 303)
    going.set_cookie(
        place.cookie, token, httponly=True, samesite="lax", secure=place.secure, path="/"
    )
    going.headers["referrer-policy"] = "no-referrer"
    return going


def _ours(back: str) -> str:
    """The page to go on to, if it is one of ours."""
    return back if back.startswith("/") and not back.startswith(("//", "/\\")) else "/"


# ---------------------------------------------------------------- for whoever is signed in

inside = APIRouter()


@inside.get("/counted")
def counted(here: Here, page: str, shown: str = "") -> Response:
    """How far the count of a page is that shows the one of this moment: a part of the page."""
    try:
        since = datetime.fromisoformat(shown) if shown else None
    except ValueError:
        raise HTTPException(422) from None
    known = here.place.counted.known(here.office, page)
    return here.page("counted_part", counted=known, shown=since)


@inside.post("/sign-out")
def sign_out(here: Here) -> Response:
    """End this session."""
    desk_sessions.sign_out(here.office, here.token)
    return _gone(here)


@inside.post("/sign-out-everywhere")
def sign_out_everywhere(here: Here) -> Response:
    """End every session of whoever is at work."""
    desk_sessions.sign_out_everywhere(here.office, here.session)
    return _gone(here)


@inside.post("/language")
def language(here: Here) -> Response:
    """Choose the language of the screen."""
    if (chosen := here.said("language")) in words.LANGUAGES:
        desk_sessions.choose_language(here.office, here.token, chosen)
    return here.go(_ours(here.said("back")))


def _gone(here: Visit) -> Response:
    going = here.go("/signed-out")
    # Not "cookies": that would take those of the co-op's other pages, which have the same domain.
    going.headers["clear-site-data"] = '"cache", "storage"'
    going.delete_cookie(here.place.cookie, path="/", secure=here.place.secure, httponly=True)
    return going

"""Your account: the password, the second step, and where you are signed in."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter
from starlette.responses import HTMLResponse, Response

from onboard import own_password
from onboard.desk.rooms import Room
from onboard.desk.visit import Here, Mistake, Visit
from onboard.errors import NotDone
from onboard.tasks import desk_sessions, own_account, staff_sign_in

ROOM = Room("/account", "Your account")
router = APIRouter(prefix="/account")

# What tasks say at the door and here, and the page in the language of the screen.
WORDS = (
    own_password.EASY, own_password.KNOWN, own_password.SHORT, own_password.LONG, own_account.LINK_OVER,
    own_account.WRONG_PASSWORD, own_account.WRONG_CODE, own_account.LONGER_FIRST, staff_sign_in.WRONG,
    staff_sign_in.TOO_MANY, staff_sign_in.WAIT, staff_sign_in.WAIT_ONE, staff_sign_in.LOCKED,
)  # fmt: skip


@router.get("")
def account(here: Here) -> Response:
    """The room."""
    return _room(here)


def _room(here: Visit, *mistakes: Mistake) -> HTMLResponse:
    number = here.session.staff_id
    return here.page(
        "account",
        mistakes=mistakes,
        mine=own_account.mine(here.office, number) if number else None,
        sessions=desk_sessions.sessions_of(here.office, here.session, here.token),
        role=here.session.role,
    )


@router.post("/password")
def change_password(here: Here) -> Response:
    """Change the password."""
    old, new = here.said_exactly("old"), here.said_exactly("new")
    return _done(
        here, "password-changed", "new",
        lambda number: own_account.change_password(here.office, number, old, new, token=here.token),
    )  # fmt: skip


@router.post("/code")
def begin_code(here: Here) -> Response:
    """Begin the second step."""
    said = here.said_exactly("code-password"), here.said("code")
    return _with_codes(
        here, "code",
        lambda number: own_account.begin_code(here.office, number, *said, token=here.token),
    )  # fmt: skip


@router.post("/code/end")
def end_code(here: Here) -> Response:
    """End the second step."""
    said = here.said_exactly("code-password")
    return _done(
        here, "code-ended", "code-password",
        lambda number: own_account.end_code(here.office, number, said, token=here.token),
    )  # fmt: skip


@router.post("/recovery")
def recovery(here: Here) -> Response:
    """New recovery codes."""
    said = here.said_exactly("code-password")
    return _with_codes(
        here, "code-password", lambda number: own_account.new_recovery(here.office, number, said)
    )


@router.post("/sessions/end")
def end_session(here: Here) -> Response:
    """End one of your sessions."""
    desk_sessions.end_one(here.office, here.session, here.said("session"))
    return here.go(ROOM.path, done="session-ended")


def _done(here: Visit, done: str, field: str, work: Callable[[int], object]) -> Response:
    try:
        work(here.session.staff_id or 0)
    except NotDone as trouble:
        return _room(here, Mistake(str(trouble), _field(trouble, field)))
    return here.go(ROOM.path, done=done)


def _with_codes(here: Visit, field: str, work: Callable[[int], list[str]]) -> Response:
    try:
        made = work(here.session.staff_id or 0)
    except NotDone as trouble:
        return _room(here, Mistake(str(trouble), _field(trouble, field)))
    return here.page("account_ready", recovery=made, at_door=False)


def _field(trouble: NotDone, field: str) -> str:
    """Where what is wrong was typed."""
    if own_account.WRONG_PASSWORD in trouble.sentences:
        return "old" if field == "new" else "code-password"
    return field

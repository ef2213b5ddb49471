"""Staff: who works here, as what; invite somebody, change a role, close an account."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter
from starlette.responses import HTMLResponse, Response

from onboard.desk.rooms import Room
from onboard.desk.visit import Here, Mistake, Visit
from onboard.errors import NotDone
from onboard.model import Role
from onboard.office import Act
from onboard.tasks import staff as task
from onboard.tasks.staff import Invited

ROOM = Room("/staff", "Staff", Act.STAFF)
router = APIRouter(prefix="/staff")

# What each role is there for.
ROLES = {
    Role.OWNER: "everything, also the settings and this page",
    Role.COORDINATOR: "everything but the settings and this page",
    Role.HELP_DESK: "calls: finds members, corrects what is on file, issues temporary passwords",
    Role.READER: "sees counts, ordering days and sites; no member, and changes nothing",
}
WORDS = (
    *map(str, ROLES), *ROLES.values(), task.NO_NAME, task.TAKEN, task.UNKNOWN, task.NO_ROLE, task.LAST_OWNER,
    task.IS_CLOSED,
)  # fmt: skip


@router.get("")
def staff(here: Here) -> Response:
    """The room."""
    return _room(here)


def _room(here: Visit, *mistakes: Mistake) -> HTMLResponse:
    return here.page(
        "staff", mistakes=mistakes, accounts=task.list_staff(here.office), roles=ROLES,
        now=here.office.now(),
    )  # fmt: skip


@router.post("/invite")
def invite(here: Here) -> Response:
    """Invite somebody."""
    try:
        made = task.invite(here.office, here.said("name"), here.said("role"))
    except NotDone as trouble:
        field = "role" if task.NO_ROLE in trouble.sentences else "name"
        return _room(here, Mistake(str(trouble), field))
    return _link(here, made)


@router.get("/{number}")
def one(here: Here, number: int) -> Response:
    """One account."""
    return _one(here, number)


def _one(here: Visit, number: int, *mistakes: Mistake) -> Response:
    try:
        account = task.one_of_staff(here.office, number)
    except NotDone as trouble:
        return _room(here, Mistake(str(trouble)))
    return here.page(
        "staff_one", mistakes=mistakes, account=account, roles=ROLES,
        sessions=task.sessions_of(here.office, number),
    )  # fmt: skip


@router.post("/{number}/role")
def role(here: Here, number: int) -> Response:
    """Change the role."""
    said = here.said("role")
    return _done(here, number, "role-changed", lambda: task.change_role(here.office, number, said))


@router.post("/{number}/sign-out")
def sign_out(here: Here, number: int) -> Response:
    """Sign them out everywhere."""
    return _done(here, number, "staff-signed-out", lambda: task.sign_out(here.office, number))


@router.post("/{number}/close")
def close(here: Here, number: int) -> Response:
    """Close the account."""
    return _done(here, number, "account-closed", lambda: task.close_account(here.office, number))


@router.post("/{number}/open")
def reopen(here: Here, number: int) -> Response:
    """Open it again."""
    return _done(here, number, "account-opened", lambda: task.open_account(here.office, number))


@router.post("/{number}/link")
def link(here: Here, number: int) -> Response:
    """A new link for whoever forgot the password."""
    return _linked(here, number, lambda: task.new_link(here.office, number))


@router.post("/{number}/start-over")
def start_over(here: Here, number: int) -> Response:
    """The same, for whoever lost the second step too."""
    return _linked(here, number, lambda: task.start_over(here.office, number))


def _done(here: Visit, number: int, done: str, work: Callable[[], object]) -> Response:
    try:
        work()
    except NotDone as trouble:
        return _one(here, number, Mistake(str(trouble), "role"))
    return here.go(f"{ROOM.path}/{number}", done=done)


def _linked(here: Visit, number: int, work: Callable[[], Invited]) -> Response:
    try:
        made = work()
    except NotDone as trouble:
        return _one(here, number, Mistake(str(trouble), "role"))
    return _link(here, made)


def _link(here: Visit, made: Invited) -> Response:
    """The link, shown this once."""
    path = f"/invitation?token={made.token}"
    return here.page(
        "staff_link", account=made.account, link=here.place.url(path, here.request.headers["host"])
    )

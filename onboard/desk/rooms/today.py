"""Today: what waits, the most pressing first; each line leads to where it is done."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from onboard.desk import rooms
from onboard.desk.rooms import Room
from onboard.desk.visit import Here
from onboard.model import Need
from onboard.reports import today as report
from onboard.tasks.first_steps import asks_for_first_steps
from onboard.tasks.list_windows import list_windows
from onboard.tasks.today import today as waiting

ROOM = Room("/", "Today")
router = APIRouter()

# Where each is done.
PLACES = {
    Need.FORMS: "/sign-ups", Need.CALLS: "/calls", Need.CAME_BACK: "/calls", Need.AUDIT: "/care",
    Need.OPENS: "/windows", Need.CLOSES: "/windows", Need.MOVED: "/windows", Need.REGROUPED: "/windows",
    Need.TO_ASK: "/sign-ups",
}  # fmt: skip
ELSE = "/mail"


@router.get("/")
def today(here: Here) -> Response:
    """The page of the day."""
    day, there = here.office.today(), {room.path for room in rooms.open_to(here.office)}
    lines = []
    for one in waiting(here.office):
        what, to_type = report.sentences(one, day, "onboard {}".format)
        place = PLACES.get(one.need, ELSE)
        lines.append((what, to_type.strip(), place if place in there else ""))
    open_now = [one for one in list_windows(here.office).windows if one.open_now]
    return here.page(
        "today", today=day, lines=lines, open_now=open_now, begins=asks_for_first_steps(here.office)
    )

"""Today: what waits, the most pressing first."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from onboard.clean import name as names
from onboard.desk.rooms import Room
from onboard.desk.visit import Here
from onboard.office import Act
from onboard.tasks.calls import open_calls
from onboard.tasks.list_windows import list_windows

ROOM = Room("/", "Today")
router = APIRouter()


@router.get("/")
def today(here: Here) -> Response:
    """The page of the day."""
    office = here.office
    calls = open_calls(office) if office.may(Act.LOOK_UP) else ()
    return here.page(
        "today",
        today=office.today(),
        open_calls=[{"name": names.show(one.name), "day": one.noted.at} for one in calls],
        open_now=[one for one in list_windows(office).windows if one.open_now],
    )

"""Today: what waits, the most pressing first; each line leads to where it is done."""

from __future__ import annotations

from datetime import date, time

from fastapi import APIRouter
from starlette.responses import Response

from onboard.desk import rooms
from onboard.desk.rooms import Room
from onboard.desk.visit import Here, Visit
from onboard.model import Need, Waiting
from onboard.reports import today as report
from onboard.tasks.first_steps import asks_for_first_steps, awaits_first_member, has_own_group
from onboard.tasks.list_windows import list_windows
from onboard.tasks.today import today as waiting
from onboard.windows import say_day, say_time

ROOM = Room("/", "Today")
router = APIRouter()

# Where each is done.
PLACES = {
    Need.PORCH: "/sign-ups", Need.FORMS: "/sign-ups", Need.CALLS: "/calls", Need.CAME_BACK: "/calls", Need.AUDIT: "/care",
    Need.OPENS: "/windows", Need.CLOSES: "/windows", Need.MOVED: "/windows", Need.REGROUPED: "/windows",
    Need.TO_ASK: "/sign-ups", Need.REMIND: "/mail/reminders", Need.REMINDERS: "/mail/reminders",
}  # fmt: skip
ELSE = "/mail"
_TURNS = (Need.OPENS, Need.CLOSES)  # of windows: told with their moment, not counted
OPENS, CLOSES = (
    "The ordering window of {group} opens {moment}.",
    "The ordering window of {group} closes {moment}.",
)
WORDS = (
    *(form for need, said in report.WORDS.items() if need not in (*_TURNS, Need.AUDIT) for form in said[:2]),
    *report.ROWS, " and ", OPENS, CLOSES, "An audit of the roster is due.", "the oldest since {day}", "since {day}", "today", "on {day}",
    "at the end of the day", "at {clock}",
)  # fmt: skip


@router.get("/")
def today(here: Here) -> Response:
    """The page of the day."""
    day, there = here.office.today(), {room.path for room in rooms.open_to(here.office)}
    begins = asks_for_first_steps(here.office)
    is_sample = begins and not has_own_group(here.office)  # the windows are the starter's, nobody's
    lines = []
    for one in here.counted("/", waiting):
        if is_sample and one.need in _TURNS:
            continue
        _, to_type = report.sentences(one, day, "onboard {}".format)
        place = PLACES.get(one.need, ELSE)
        lines.append(
            (_what(here, one, day), to_type.strip(), place if _room(place) in there else "")
        )
    open_now = [one for one in list_windows(here.office).windows if one.open_now and not is_sample]
    return here.page(
        "today", today=day, lines=lines, open_now=open_now, begins=begins,
        is_empty=awaits_first_member(here.office),
    )  # fmt: skip


def _room(place: str) -> str:
    """The path of the room in which a place is."""
    return f"/{place.split('/')[1]}"


def _what(here: Visit, one: Waiting, today: date) -> str:
    """What waits, in the language of the screen."""
    if here.language == "en":
        return f"{report.what(one, today)}."
    if one.when:
        at = one.when
        day = (
            here.t("today")
            if at.date() == today
            else here.t("on {day}", day=say_day(at, here.language))
        )
        if at.time() == time(23, 59, 59):
            day += f", {here.t('at the end of the day')}"
        elif at.time() != time():
            day += f", {here.t('at {clock}', clock=say_time(at.time(), here.language))}"
        said = here.t(OPENS if one.need is Need.OPENS else CLOSES, group=one.group, moment=day)
        return said.replace("..", ".")
    if one.need is Need.AUDIT:
        return here.t("An audit of the roster is due.")
    said = here.t(" and ").join(
        f"{count} {here.t(single if count == 1 else several)}"
        for count, single, several in report.heaps(one)
    )
    if one.members:
        said += f": {', '.join(one.members)}{' …' if one.count > len(one.members) else ''}"
    if one.since and one.since < today:
        words = "the oldest since {day}" if one.count > 1 else "since {day}"
        said += f", {here.t(words, day=say_day(one.since, here.language))}"
    return f"{said}."

"""Mail, further: reminders read and made, what may not have arrived, and what our domain says of our email."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from onboard.desk.visit import Here
from onboard.desk.words import for_the_page
from onboard.office import Act, Office
from onboard.reports import mail_check
from onboard.reports import reminders as report
from onboard.tasks.check_sending import check_sending, sending
from onboard.tasks.reminder_words import next_day, sample_reminders
from onboard.tasks.settle_unsure import settle_unsure
from onboard.tasks.write_reminders import preview_reminders, write_reminders

router = APIRouter()


@router.get("/reminders")
def reminders(here: Here) -> Response:
    """Which reminders are due, or else the next ones, with the words of each kind."""
    return here.page("mail_reminders", ways=report.WAYS, **here.counted("/mail/reminders", due))


def due(office: Office) -> dict[str, Any]:
    """What the page says of them."""
    found, may_see = preview_reminders(office), office.may(Act.LOOK_UP)
    following = None if found.due else next_day(office)
    told = report.due(found, following, "onboard {}".format, may_see=may_see)
    return {
        "due": len(found.due),
        "following": following,
        "told": for_the_page((*told, *report.none(found, may_see=may_see))),
        "waiting": for_the_page(report.to_do(found, "onboard {}".format)),
        "samples": sample_reminders(office, following),
    }


@router.post("/reminders")
def make(here: Here) -> Response:
    """Make those that are due."""
    write_reminders(here.office)
    return here.go("/mail/reminders", done="reminders-made")


@router.post("/unsure/{number}")
def unsure(here: Here, number: int) -> Response:
    """Somebody asked whether a message arrived."""
    settle_unsure(here.office, number, arrived=here.said("do") == "arrived")
    return here.go("/mail", done="asked-if-arrived")


@router.get("/records")
def records(here: Here) -> Response:
    """What the records of our domain say to the mail servers of others."""
    points = check_sending(here.office)
    told = for_the_page(mail_check.pieces(sending(here.office).domain, points))
    return here.page("mail_records", told=told)

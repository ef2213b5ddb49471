"""Mail, further: reminders previewed, read, made and sent; what may not have arrived, and what our domain says of our email."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.responses import HTMLResponse, Response

from onboard.desk.visit import Here, Mistake, Visit
from onboard.desk.words import for_the_page, on_screen
from onboard.desk.work import At, Work
from onboard.errors import FileTrouble, SendTrouble
from onboard.mail import post
from onboard.office import Act, Office
from onboard.reports import mail_check
from onboard.reports import reminders as report
from onboard.reports.table import Piece
from onboard.tasks import reminder_steps
from onboard.tasks.check_sending import check_sending, sending
from onboard.tasks.mail_stands import read_message
from onboard.tasks.reminder_steps import SentReminders, Step
from onboard.tasks.reminder_words import next_day, sample_reminders
from onboard.tasks.reminders_by_hand import ByHand
from onboard.tasks.settle_unsure import settle_unsure
from onboard.tasks.write_reminders import RemindersReport, preview_reminders

router = APIRouter()
PAGE = "/mail/reminders"
WORK = "reminders"  # one step at a time, whoever begins it
AGAIN = (
    "What was done by then stays done, and nobody is reminded twice. Start it again for the rest."
)
SURE = "First say that it is to be done now."
NO_DAY = "Choose a day, such as 2026-12-01."
MOST = 100  # members who are named
# A page of ours that shows an email: its look stands in it, it fetches nothing and can do nothing.
AS_EMAIL = {
    "content-security-policy": "default-src 'none'; style-src 'unsafe-inline'; img-src data:; form-action 'none'; "
    "base-uri 'none'; frame-ancestors 'self'; sandbox",
    "x-frame-options": "SAMEORIGIN",
    "cross-origin-opener-policy": "unsafe-none",  # a page in a sandbox has no other
}
NOT_SENT, MAY_BE = "not sent", "it may not have arrived"
WORDS = (SURE, NO_DAY)


@router.get("/reminders")
def reminders(here: Here, on: str = "") -> Response:
    """Which reminders are due, now or on a day, to whom, with the words of each kind; and what waits to go out."""
    return _reminders(here, on)


def _reminders(here: Visit, on: str = "", *mistakes: Mistake) -> Response:
    day = _day(on)
    if on and day is None:
        mistakes = (Mistake(NO_DAY, "on"), *mistakes)
    page = _with(PAGE, on=day.isoformat()) if day else PAGE
    may_tell = here.office.may(Act.TELL)
    return here.page(
        "mail_reminders", mistakes=mistakes, ways=report.WAYS, on=on, previewed=day, Step=Step,
        files=reminder_steps.files(here.office) if may_tell else (), may_tell=may_tell, work=_work(here),
        **here.counted(page, due, day.isoformat() if day else ""),
    )  # fmt: skip


def _day(on: str) -> date | None:
    try:
        return date.fromisoformat(on) if on else None
    except ValueError:
        return None


def due(office: Office, on: str = "") -> dict[str, Any]:
    """What the page says of them."""
    day, may_see = _day(on), office.may(Act.LOOK_UP)
    found = preview_reminders(office, day)
    following = None if found.due or day else next_day(office)
    told = report.due(found, following, "onboard {}".format, may_see=False)  # they are listed
    return {
        "due": len(found.due),
        "following": following,
        "told": for_the_page((*told, *report.none(found, may_see=may_see))),
        "whom": [(one.reader, str(one.kind), one.way) for one in found.due[:MOST]]
        if may_see
        else [],
        "waiting": {str(way): found.waiting.get(way, 0) for way in report.WAYS},
        "listed": reminder_steps.waiting_emails(office),
        "samples": sample_reminders(office, day or following),
    }


@router.get("/reminders/sample")
def sample(here: Here, of: str, on: str = "") -> Response:
    """One of them as an email, to be read before it goes out."""
    found = _sample(here, of, on)
    source = _with(f"{PAGE}/sample/page", of=of, on=on)
    return here.page("mail_sample", one=found, ways=report.WAYS, source=source, on=on)


@router.get("/reminders/sample/page")
def sample_page(here: Here, of: str, on: str = "") -> Response:
    """The same as a mail program shows it."""
    return HTMLResponse(_sample(here, of, on).page, headers=AS_EMAIL)


def _sample(here: Visit, of: str, on: str) -> Any:
    page = _with(PAGE, on=on) if _day(on) else PAGE
    found = here.counted(page, due, on if _day(on) else "")["samples"]
    for one in found:
        if one.key == of and one.page:
            return one
    raise FileTrouble("No such reminder is due any more. Look at the list again.")


def _with(path: str, **asked: str) -> str:
    return f"{path}?{urlencode({name: value for name, value in asked.items() if value})}"


@router.get("/message/{number}/page")
def message_page(here: Here, number: int) -> Response:
    """An email of the outbox as a mail program shows it, but for a temporary password."""
    return HTMLResponse(read_message(here.office, number).page, headers=AS_EMAIL)


# ---------------------------------------------------------------- made, sent, put into files


@router.post("/reminders/do/{step}")
def begin(here: Here, step: Step) -> Response:
    """Begin with a step, unless one is under way."""
    try:
        reminder_steps.see_that_it_may_begin(here.office, step)
    except SendTrouble as trouble:
        return _reminders(here, "", Mistake(on_screen(str(trouble))))
    if step is not Step.MAKE and not here.said("sure"):
        return _reminders(here, "", Mistake(SURE, f"sure-{step}"))
    here.place.works.once(
        WORK, AGAIN, here.office.who, reminder_steps.take_step, here.office.seat, step
    )
    return here.go(f"{PAGE}/outcome")


@router.post("/reminders/stop")
def stop(here: Here) -> Response:
    """Stop it: what was sent by then is sent."""
    here.office.see_that_one_may(Act.TELL)
    if work := _work(here):
        work.stop()
    return here.go(f"{PAGE}/outcome")


@router.get("/reminders/outcome")
def outcome(here: Here) -> Response:
    """How far the step is, or what it came to."""
    return _outcome(here, "mail_reminders_outcome")


@router.get("/reminders/outcome/part")
def outcome_part(here: Here) -> Response:
    """The same as a part of the page, which is asked for until it has ended."""
    return _outcome(here, "mail_reminders_outcome_part")


def _outcome(here: Visit, page: str) -> Response:
    here.office.see_that_one_may(Act.TELL)
    work = _work(here)
    if work is None:
        return here.go(PAGE)
    running = work.at is At.RUNNING
    if not running:
        here.place.counted.outdate()
    told, lines = _told(here.office, work.outcome)
    return here.page(page, work=work, running=running, told=told, lines=lines)


def _told(office: Office, done: object) -> tuple[tuple[Piece, ...], list[tuple[str, str, str]]]:
    """What a step came to, and a line for each email that needs somebody."""
    match done:
        case RemindersReport():
            none = report.none(done, may_see=office.may(Act.LOOK_UP))
            return for_the_page((*report.written(done), *none)), []
        case SentReminders():
            return for_the_page(report.sent(done.sent, done.others)), [
                (one.name, MAY_BE if isinstance(one.outcome, post.Unsure) else NOT_SENT, on_screen(getattr(one.outcome, "why", "")))
                for one in done.listed
            ]  # fmt: skip
        case ByHand():
            what = "text" if done.file.suffix == ".csv" else "postcard"
            return for_the_page(report.by_hand(what, done)), []
    return (), []


def _work(here: Visit) -> Work | None:
    return here.place.works.named(WORK)


@router.get("/reminders/files/{name}")
def file(here: Here, name: str) -> Response:
    """A file with texts or postcards. It holds names, addresses and phone numbers."""
    content = reminder_steps.file(here.office, name)
    kind = "text/csv" if name.endswith(".csv") else "application/pdf"
    named = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=kind, headers=named)


# ---------------------------------------------------------------- what may not have arrived; our domain


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

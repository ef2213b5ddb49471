"""New sign-ups: a file of join forms, and the forms on hold."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.responses import HTMLResponse, Response

from onboard.clean import listed
from onboard.desk.given import Given
from onboard.desk.rooms import Room
from onboard.desk.visit import Here, Mistake, Number, Visit
from onboard.desk.work import At, Work
from onboard.errors import ChangedMeanwhile, FileTrouble
from onboard.intake import FIELDS
from onboard.intake.fields import BOXES, EMPTY
from onboard.model import Answer, Hold, Need, Owner
from onboard.office import Act
from onboard.reports import answered, held
from onboard.reports.decisions import without_contacts
from onboard.tasks.answer_form import (
    ANSWERED,
    answer_form,
    form_as_written,
    form_on_hold,
    holds_page,
    next_on_hold,
)
from onboard.tasks.correct_member import ALL_RIGHT, correct_member
from onboard.tasks.from_porch import waiting_at_porch
from onboard.tasks.judge_file import Read, judge_file, judge_sign_ups, read_columns
from onboard.tasks.paged import page_of
from onboard.tasks.shown import note_page
from onboard.tasks.take_back_answer import answers_to_take_back, take_back_answer
from onboard.tasks.to_ask import to_ask
from onboard.tasks.today import packets_that_wait

ROOM = Room("/sign-ups", "New sign-ups", Act.INTAKE, short="Sign-ups")
router = APIRouter(prefix="/sign-ups")

READING = 60  # seconds that a page waits for the columns of a file
ASIDE = "-"  # of a column: kept, and read as no field
# What may be put right on a form, and what the page calls it.
CORRECTED = {
    "full_name": "name", "email": "email", "phone": "phone", "address": "address", "zip": "ZIP code",
    "site": "drop site",
}  # fmt: skip
LISTED = CORRECTED | {"handle": "sign-in name"}  # of a row of an old list, which has one
# What a person may say that a column holds. A box to check also says what it means left empty.
CHOICES = FIELDS | {
    f"{box}:{empty}": f"{FIELDS[box]} (empty: {words})"
    for box in BOXES
    for empty, words in EMPTY.items()
}
GONE = "This answer can't be taken back any more."
STILL = "It is still on hold."
SAID = {
    Answer.DROP: "Do not enroll this form",
    Answer.SAME: "The same person as {name}",
    Answer.ENROL: "A new person, but something more was asked",
}
SAID_OF_ROW = SAID | {Answer.DROP: "Do not bring this row in"}
WORDS = (
    ANSWERED,
    GONE,
    STILL,
    *SAID_OF_ROW.values(),
    *SAID.values(),
    *CHOICES.values(),
    *LISTED.values(),
)


@router.get("")
def sign_ups(here: Here, page: Number = 1, asked: Number = 1) -> Response:
    """The room: give a file, answer what is on hold, and see what to ask, page by page."""
    return _room(here, page=page, asked=asked)


def _room(here: Visit, *mistakes: Mistake, page: int = 1, asked: int = 1) -> HTMLResponse:
    found = holds_page(here.office, page)
    waiting = packets_that_wait(here.office)
    asks = page_of(to_ask(here.office) if here.office.sees_contacts(Act.INTAKE) else (), asked)
    noted = note_page(here.office, ROOM.name, (one.member.id for one in asks.some))
    return here.page(
        "sign_ups",
        mistakes=mistakes,
        found=found,
        holds=[(one, held.called(one), listed.is_skipped(one.applicant.raw)) for one in found.some],
        to_check=waiting.get(Need.EMAIL_DOUBTS, 0) + waiting.get(Need.ADDRESS_DOUBTS, 0),
        to_make=waiting.get(Need.MAKE, 0),
        asks=asks if noted else page_of(()),
        at=_at,
        not_shown=not noted,
        porch=waiting_at_porch(here.office.settings),
        answered=[
            (one, answered.called(one.raw), SAID_OF_ROW if listed.is_skipped(one.raw) else SAID)
            for one in answers_to_take_back(here.office)
        ],
    )


@router.post("/answers/{key}/take-back")
def take_back(here: Here, key: str) -> Response:
    """Take back an answer by which nobody was enrolled: the form is on hold again."""
    try:
        take_back_answer(here.office, key)
    except FileTrouble:
        return _room(here, Mistake(GONE))
    return here.go(ROOM.path, done="answer-taken-back")


@router.post("/all-right/{number}")
def all_right(here: Here, number: int) -> Response:
    """The member said that all is right as it is."""
    correct_member(here.office, f"member:{number}", {ALL_RIGHT: "yes"}, keep=True)
    page, asked, following = (here.number(field) for field in ("page", "asked", "next"))
    return here.go(_at(page, asked), done="form-answered", at=f"ask-{following or 'title'}")


# ---------------------------------------------------------------- a file


@router.post("/file")
def give(here: Here) -> Response:
    """Take a file of join forms."""
    upload = here.upload("forms")
    if upload is None:
        return _room(here, Mistake("Choose a file of join forms first.", "forms"))
    try:
        given = here.place.files.take(upload.file, upload.filename or "", here.office.who)
    except FileTrouble as trouble:
        return _room(here, Mistake(str(trouble), "forms"))
    return here.go(_path(given))


@router.post("/porch")
def from_porch(here: Here) -> Response:
    """Preview the sign-ups that wait at the porch. Their columns are known."""
    found = waiting_at_porch(here.office.settings)
    if not (found and found.count):
        return here.go(ROOM.path)
    return preview(here, here.place.files.of_porch(found.folder, here.office.who))


@router.get("/files/{number}")
def columns(here: Here, number: str) -> Response:
    """What each column of the file holds, to be confirmed."""
    given = here.place.files.of(number, here.office.who)
    return here.go(f"{_path(given)}/outcome") if given.spool else _columns(here, given)


def _columns(here: Visit, given: Given, *mistakes: Mistake) -> HTMLResponse:
    try:
        seen = _begin(here, read_columns, given).result(READING)
    except FileTrouble as trouble:
        return _room(here, Mistake(given.in_words(str(trouble)), "forms"))
    return here.page(
        "sign_ups_columns", mistakes=mistakes, given=given, path_of=_path(given), seen=seen,
        choices=CHOICES, fields=FIELDS,
    )  # fmt: skip


@router.post("/files/{number}")
def look(here: Here, number: str) -> Response:
    """Preview the file with its columns as they were confirmed."""
    given = here.place.files.of(number, here.office.who)
    headings, fields = here.all_said("heading"), here.all_said("field")
    given.told = dict(zip(headings, fields, strict=False))
    given.sheet = here.said("sheet")
    given.remember = bool(here.said("remember"))
    return preview(here, given)


def preview(here: Visit, given: Given) -> Response:
    """Begin with the preview of a file whose columns are clear, and go to it."""
    given.look(lambda: _judge(here, given, keep=False))
    return here.go(f"{_path(given)}/outcome")


@router.post("/files/{number}/save")
def save(here: Here, number: str) -> Response:
    """Save what was previewed, and make the packets."""
    given = here.place.files.of(number, here.office.who)
    given.save(lambda: _judge(here, given, keep=True))
    return here.go(f"{_path(given)}/outcome")


@router.post("/files/{number}/stop")
def stop(here: Here, number: str) -> Response:
    """Stop the work on it."""
    given = here.place.files.of(number, here.office.who)
    for work in filter(None, (given.saved or given.looked,)):
        work.stop()
    return here.go(f"{_path(given)}/outcome")


@router.get("/files/{number}/outcome")
def outcome(here: Here, number: str) -> Response:
    """What the forms come to, or how far the work is."""
    given = here.place.files.of(number, here.office.who)
    work = given.saved or given.looked
    if work is None:
        return here.go(_path(given))
    return here.page("sign_ups_outcome", **_told(here, given, work))


@router.get("/files/{number}/outcome/part")
def outcome_part(here: Here, number: str) -> Response:
    """The same as a part of the page, which is asked for until the work is done."""
    given = here.place.files.of(number, here.office.who)
    work = given.saved or given.looked
    told: dict[str, Any] = _told(here, given, work) if work else {"work": None}
    return here.page("sign_ups_outcome_part", **told)


def _told(here: Visit, given: Given, work: Work) -> dict[str, Any]:
    told = work.outcome
    may = here.office.sees_contacts(Act.INTAKE)
    noted = not (told and may) or note_page(here.office, ROOM.name, told.on_file)
    lists = told.lists if told else ()
    return {
        "given": given, "path_of": _path(given), "work": work, "is_saved": work is given.saved,
        "running": work.at is At.RUNNING, "told": told, "not_shown": not noted,
        "lists": lists if may and noted else without_contacts(lists),
    }  # fmt: skip


def _begin(here: Visit, task: Callable[..., Any], given: Given, *more: object) -> Work:
    office, read = here.office, Read(given.told, given.sheet, given.remember)
    return here.place.works.begin(office.who, task, office.seat, given.file, read, *more)


def _judge(here: Visit, given: Given, *, keep: bool) -> Work:
    """Preview it, or save what was previewed."""
    if given.spool is None:
        return _begin(here, judge_file, given, keep)
    told = given.looked.outcome if given.looked else None
    marks = told.marks if told else ()
    office = here.office
    return here.place.works.begin(
        office.who, judge_sign_ups, office.seat, given.spool, given.file, keep, marks
    )


def _path(given: Given) -> str:
    return f"{ROOM.path}/files/{given.number}"


# ---------------------------------------------------------------- forms on hold


@router.get("/holds/{key}")
def hold(here: Here, key: str, page: Number = 1) -> Response:
    """One form on hold: what it says, whom it may be of, and what to answer. `page` is the one that it was on."""
    try:
        return _hold(here, form_on_hold(here.office, key), page=page)
    except FileTrouble:
        return _room(here, Mistake(ANSWERED), page=page)


def _hold(here: Visit, one: Hold, *mistakes: Mistake, page: int) -> HTMLResponse:
    whole = here.office.sees_contacts(Act.INTAKE)
    members = (
        {Owner(match.person.owner).member_id or 0 for match in one.matches} - {0} if whole else ()
    )
    noted = note_page(here.office, ROOM.name, members, Owner.of_row(one.applicant.raw.key))
    return here.page(
        "sign_ups_hold", mistakes=mistakes, not_shown=not noted, one=one, called=held.called(one),
        said=held.said(one, form_as_written(here.office, one)),
        likely=held.likely(one, whole=whole and noted), answers=held.answers(one),
        corrected=_corrected(one), is_row=listed.is_skipped(one.applicant.raw), fields=FIELDS, key=one.applicant.raw.key, Answer=Answer,
        page_number=page,
    )  # fmt: skip


def _corrected(one: Hold) -> dict[str, str]:
    return LISTED if listed.is_skipped(one.applicant.raw) else CORRECTED


@router.post("/holds/{key}")
def answer(here: Here, key: str) -> Response:
    """Answer it, and go on to the next one. Who answers second is told so."""
    page = here.number("page") or 1
    try:
        one = form_on_hold(here.office, key)
    except FileTrouble:
        return _room(here, Mistake(ANSWERED), page=page)
    said, _, member = here.said("answer").partition(":")
    corrections = {
        field: text for field in _corrected(one) if (text := here.said(f"correct-{field}"))
    }
    if not said:
        return _hold(here, one, Mistake("Choose an answer.", "answer"), page=page)
    following = next_on_hold(here.office, one.applicant.raw.key)
    try:
        done = answer_form(
            here.office, key, said, member=int(member or 0), corrections=corrections,
            why=here.said("why"),
        )  # fmt: skip
    except ChangedMeanwhile as meanwhile:
        return _room(here, Mistake(str(meanwhile)), page=page)
    except FileTrouble as trouble:
        try:  # as it is now, if it still is
            now = form_on_hold(here.office, key)
        except FileTrouble:
            return _room(here, Mistake(ANSWERED), page=page)
        return _hold(here, now, Mistake(str(trouble), "answer"), page=page)
    still = [each for each in done.settled if each.applicant.raw.key == key]
    if still and isinstance(still[0], Hold) and said != Answer.WAIT:
        more = " ".join(question.ask for question in still[0].questions)
        return _hold(here, still[0], Mistake(f"{STILL} {more}", "answer"), page=page)
    at = f"hold-{following}" if following else ""
    return here.go(_at(page), done="form-answered", at=at)


def _at(page: int, asked: int = 1) -> str:
    """The address of the room with this page of the forms on hold, and this one of what to ask."""
    pages = {"page": page, "asked": asked}
    said = urlencode({what: number for what, number in pages.items() if number > 1})
    return f"{ROOM.path}?{said}" if said else ROOM.path

"""Roster care, the part for lists: a spreadsheet of members audited, and its files to take away."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Literal

from starlette.responses import FileResponse, HTMLResponse, Response

from onboard.desk.given import Given
from onboard.desk.rooms.care_changes import router
from onboard.desk.rooms.sign_ups import CHOICES, READING
from onboard.desk.visit import Here, Mistake, Visit
from onboard.desk.words import for_the_page
from onboard.desk.work import At
from onboard.errors import FileTrouble
from onboard.intake import FIELDS
from onboard.tasks.audit_file import NEEDED, audit_file
from onboard.tasks.judge_file import Read, read_columns

PATH = "/care/lists"
AGAIN = "Nothing was changed. Start it again when you like."
# What each file is, as the page calls it.
FILES = {
    "changes.xlsx": "The proposed changes of its cells, to approve row by row",
    "audit.html": "The whole report, to read and print",
    "audit.xlsx": "Every finding, sheet by sheet",
    "pairs.xlsx": "Rows that may be one person, to decide",
    "findings.csv": "Every finding, for other programs",
}
NO_FILE = "Choose a list of members first."
WORDS = (*FILES.values(), NO_FILE)


@router.get("/lists")
def lists(here: Here) -> Response:
    """Give a list."""
    return _lists(here)


def _lists(here: Visit, *mistakes: Mistake) -> HTMLResponse:
    return here.page("care_lists", mistakes=mistakes)


@router.post("/lists/file")
def give(here: Here) -> Response:
    """Take a list of members."""
    upload = here.upload("members")
    if upload is None:
        return _lists(here, Mistake(NO_FILE, "members"))
    try:
        given = here.place.files.take(upload.file, upload.filename or "", here.office.who)
    except FileTrouble as trouble:
        return _lists(here, Mistake(str(trouble), "members"))
    return here.go(f"{PATH}/{given.number}")


@router.get("/lists/{number}")
def columns(here: Here, number: str) -> Response:
    """What each column of the list holds, to be confirmed."""
    given = here.place.files.of(number, here.office.who)
    try:
        work = here.place.works.begin(
            here.office.who, read_columns, here.office.seat, given.file, _read(given), again=AGAIN
        )
        seen = work.result(READING)
    except FileTrouble as trouble:
        return _lists(here, Mistake(given.in_words(str(trouble)), "members"))
    return here.page(
        "care_list_columns", given=given, path_of=f"{PATH}/{number}", seen=seen, choices=CHOICES,
        fields=FIELDS,
    )  # fmt: skip


@router.post("/lists/{number}")
def audit(here: Here, number: str) -> Response:
    """Audit it, with its columns as they were confirmed."""
    given, office = here.place.files.of(number, here.office.who), here.office
    given.told = dict(zip(here.all_said("heading"), here.all_said("field"), strict=False))
    given.sheet, given.remember = here.said("sheet"), bool(here.said("remember"))
    given.look(
        lambda: here.place.works.begin(
            office.who,
            audit_file,
            office.seat,
            given.file,
            _read(given),
            _folder(given),
            again=AGAIN,
        )
    )
    return here.go(f"{PATH}/{number}/outcome")


def _read(given: Given) -> Read:
    return Read(given.told, given.sheet, given.remember, NEEDED)


def _folder(given: Given) -> Path:
    return given.file.parent / "audit"


@router.post("/lists/{number}/stop")
def stop(here: Here, number: str) -> Response:
    """Stop the work on it."""
    if work := here.place.files.of(number, here.office.who).looked:
        work.stop()
    return here.go(f"{PATH}/{number}/outcome")


@router.get("/lists/{number}/outcome")
def outcome(here: Here, number: str) -> Response:
    """What the audit came to, or how far it is."""
    return _outcome(here, "care_list_outcome", number)


@router.get("/lists/{number}/outcome/part")
def outcome_part(here: Here, number: str) -> Response:
    """The same as a part of the page, which is asked for until the work is done."""
    return _outcome(here, "care_list_outcome_part", number)


def _outcome(here: Visit, page: str, number: str) -> Response:
    given = here.place.files.of(number, here.office.who)
    work = given.looked
    if work is None:
        return here.go(f"{PATH}/{number}")
    told: Any = work.outcome
    return here.page(
        page, given=given, path_of=f"{PATH}/{number}", work=work, running=work.at is At.RUNNING,
        told=told, pieces_of=for_the_page(told.told) if told else (),
        files={name: words for name, words in FILES.items() if told and name in told.files},
    )  # fmt: skip


@router.get("/lists/{number}/take/{name}")
def take(
    here: Here,
    number: str,
    name: Literal["changes.xlsx", "audit.html", "audit.xlsx", "pairs.xlsx", "findings.csv"],
) -> Response:
    """One of the files of the report."""
    file = _folder(here.place.files.of(number, here.office.who)) / name
    if not file.exists():
        raise FileTrouble(f"There is no {name} yet.")
    return FileResponse(file, filename=name)

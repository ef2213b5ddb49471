"""What the co-op holds: the change log, a member's copy of their data, and a member deleted for good."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.responses import Response

from onboard.desk.day_words import read as read_day
from onboard.desk.visit import Here, Mistake, Visit
from onboard.desk.words import for_the_page, on_screen
from onboard.errors import FileTrouble
from onboard.model import Change
from onboard.office import Act
from onboard.reports import changes, disclosure, forgotten
from onboard.roster.log_page import Line
from onboard.tasks.change_log import Asked, LogPage, change_log
from onboard.tasks.forget_member import forget_member, receipts, tell_all
from onboard.tasks.on_file import PRIVATE
from onboard.tasks.shown import note_page

router = APIRouter()

LOG = "/settings/change-log"
WHERE = "Change log"  # as it calls itself
# What the log calls what was done, where people say it otherwise.
CALLED = {
    "dropped": "not enrolled",
    "spelling kept": "another spelling kept",
    "first password asked for": "temporary password asked for",
    "first password issued": "temporary password issued",
    "first password not made": "temporary password not made",
    "first password refused": "temporary password refused",
    "packet barred": "packet held",
}
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
WHOM = "Type the member's sign-in name."
SURE = "First say that you made sure who asks."
AGAIN = "This is not the same. Type it once more: {name}"
NO_DAY = "Write the day as 2026-12-01."
WORDS = (WHOM, SURE, AGAIN, NO_DAY)


# ---------------------------------------------------------------- the change log


@router.get("/change-log")
def log(
    here: Here, member: str = "", who: str = "", what: str = "", day: str = "", below: int = 0
) -> Response:
    """The change log, newest first."""
    typed = {"member": member.strip(), "who": who, "what": what, "day": day.strip()}
    try:
        on = (
            date.fromisoformat(read_day(typed["day"], "day", here.language))
            if day.strip()
            else None
        )
        asked = Asked(typed["member"], who, what, on)
        return _log(here, typed, change_log(here.office, asked, max(0, min(below, 2**31))))
    except (ValueError, OverflowError):
        mistake = Mistake(NO_DAY, "day")
    except FileTrouble as trouble:
        mistake = Mistake(on_screen(str(trouble)), "member")
    return _log(here, typed, change_log(here.office, Asked()), mistake)


def _log(here: Visit, typed: dict[str, str], page: LogPage, *mistakes: Mistake) -> Response:
    older = f"{LOG}?{urlencode(typed | {'below': page.older})}" if page.older else ""
    private = (one for one in page.lines if not one.before.keys().isdisjoint(PRIVATE))
    shown = {line.about.member_id or 0 for line in private} - {0}
    noted = note_page(here.office, WHERE, shown)
    return here.page(
        "change_log", mistakes=mistakes, not_shown=not noted, typed=typed, log=page, older=older,
        changed=lambda line: _changed(line, page) if noted else [],
        called=lambda what: CALLED.get(what, what) if here.language == "en" else what,
    )  # fmt: skip


def _changed(line: Line, page: LogPage) -> list[tuple[str, str, str]]:
    """What a line changed: the field, and old and new as people read them."""
    member = line.about.member_id or 0
    made = [
        Change(member, key, line.before[key], now)
        for key, now in line.after.items()
        if key in line.before
    ]
    return [(field, was, now) for _, field, was, now in changes.told(made, page.handles)]


# ---------------------------------------------------------------- a copy of a member's data


@router.get("/copy")
def before_copy(here: Here) -> Response:
    """Whose data is to be handed over, and what to make sure of first."""
    here.office.see_that_one_may(Act.CARE)
    return here.page("copy")


@router.post("/copy")
def copy(here: Here) -> Response:
    """The file to hand over: all that is held of one member."""
    if mistakes := _not_sure(here):
        return here.page("copy", mistakes=mistakes)
    try:
        told = tell_all(here.office, here.said("member"))
    except FileTrouble as trouble:
        return here.page("copy", mistakes=[Mistake(on_screen(str(trouble)), "member")])
    with tempfile.TemporaryDirectory() as folder:  # only its owner can look into it
        file = Path(folder) / "copy.xlsx"
        disclosure.write(file, told, coop=here.office.settings.coop, when=here.office.now())
        content = file.read_bytes()
    named = {"content-disposition": 'attachment; filename="copy-of-your-data.xlsx"'}
    return Response(content, media_type=XLSX, headers=named)


# ---------------------------------------------------------------- deleted for good


@router.get("/delete")
def before_delete(here: Here) -> Response:
    """Who is to be deleted, what to make sure of first, and who was."""
    return _before_delete(here)


def _before_delete(here: Visit, *mistakes: Mistake) -> Response:
    return here.page("delete", mistakes=mistakes, deleted=receipts(here.office))


@router.post("/delete")
def delete(here: Here) -> Response:
    """Preview it; once the name was typed again, do it."""
    said, wanted = here.said("member"), here.said("do") == "delete"
    if mistakes := _not_sure(here):
        return _before_delete(here, *mistakes)
    try:
        done = forget_member(here.office, said, keep=False)
        name = done.handles[0] if done.handles else said
        if wanted and here.said("again") == name:
            done = forget_member(here.office, said, keep=True)
            told = for_the_page(forgotten.pieces(done, kept=True))
            return here.page("deleted", told=told)
    except FileTrouble as trouble:
        return _before_delete(here, Mistake(on_screen(str(trouble)), "member"))
    mistakes = [Mistake(AGAIN.format(name=name), "again")] if wanted else []
    told = for_the_page(forgotten.pieces(done, kept=False))
    return here.page("delete_preview", mistakes=mistakes, told=told, handle=name, member=said)


def _not_sure(here: Visit) -> list[Mistake]:
    missing = [] if here.said("member") else [Mistake(WHOM, "member")]
    return missing + ([] if here.said("sure") else [Mistake(SURE, "sure")])

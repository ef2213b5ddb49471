"""Roster care, the part that changes: proposals approved, accounts merged and closed, changes undone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from onboard.desk.visit import Here, Mistake, Number, Visit
from onboard.desk.words import for_the_page, on_screen
from onboard.desk.work import At
from onboard.errors import ChangedMeanwhile, FileTrouble
from onboard.model import Change
from onboard.reports import changes, closed, kinds, tidied, undone
from onboard.reports.side_by_side import CHOSEN, Both, of_members
from onboard.reports.table import Piece, Table
from onboard.tasks.approve_findings import NONE, approve_findings, approve_kind, proposed
from onboard.tasks.close_members import close_members
from onboard.tasks.findings import settle_with
from onboard.tasks.merge_members import AS_SHOWN, CHANGED, CHOICES, Merge, merge_members
from onboard.tasks.on_file import PRIVATE
from onboard.tasks.shown import see_that_it_is_noted
from onboard.tasks.tidy import TidyReport
from onboard.tasks.undo import list_applied, undo

router = APIRouter(prefix="/care")

CARE = "Roster care"
SHOWN = 50  # changes of a preview
LISTED = 25  # on a page of the changes made
AGAIN = "What was applied by then stays, and can be undone under Changes made."
WHAT = ("corrected", "merged", "tidied", "closed", "reopened")  # as the change log calls them
WORDS = (CHANGED, NONE, "same", "≠ not the same", "only one has it", *WHAT)


def work_of(code: str) -> str:
    """What the work is called that applies all changes of a kind."""
    return f"changes of {code}"


# ---------------------------------------------------------------- proposals


@router.post("/kinds/{code}/changes")
def approve(here: Here, code: str) -> Response:
    """A preview of approved changes, then the changes."""
    chosen, audit, keep = here.numbers("finding"), here.number("all"), here.said("do") == "save"
    if audit and keep:
        return _begin(here, code, audit)
    if audit:
        chosen = [one.number for one in proposed(here.office, audit, code, SHOWN)]
    try:
        done = approve_findings(here.office, chosen, keep=keep)
    except FileTrouble as trouble:
        return here.page("care_none", mistakes=[Mistake(str(trouble))], code=code)
    if not keep:
        _see_that_it_is_noted(here, (change for _, change in done.made))
    return here.page(
        "care_approve", done_so_far=done, kept=keep, code=code, titled=kinds.titled, chosen=chosen,
        audit=audit, rows=_rows(done), merges=_merges(done), told=_told(here, done, keep), FIELDS=CHOSEN,
    )  # fmt: skip


def _see_that_it_is_noted(here: Visit, previewed: Iterable[Change]) -> None:
    """Of a preview. Of what is saved, the change log has each line and who made it."""
    private = (*PRIVATE, "merged_into")
    shown = {change.member_id for change in previewed if change.field in private}
    see_that_it_is_noted(here.office, CARE, shown)


def _begin(here: Visit, code: str, audit: int) -> Response:
    here.place.works.once(
        work_of(code), AGAIN, here.office.who, approve_kind, here.office.seat, audit, code
    )
    return here.go(f"/care/kinds/{code}/changes")


@router.get("/kinds/{code}/changes")
def applying(here: Here, code: str) -> Response:
    """How far the changes of a kind are."""
    return _applying(here, "care_applying", code)


@router.get("/kinds/{code}/changes/part")
def applying_part(here: Here, code: str) -> Response:
    """The same as a part of the page, which is asked for until the work is done."""
    return _applying(here, "care_applying_part", code)


def _applying(here: Visit, page: str, code: str) -> Response:
    work = here.place.works.named(work_of(code))
    if work is None:
        return here.go(f"/care/kinds/{code}")
    return here.page(
        page, work=work, code=code, running=work.at is At.RUNNING, told=work.outcome,
        titled=kinds.titled,
    )  # fmt: skip


@router.post("/kinds/{code}/changes/stop")
def stop(here: Here, code: str) -> Response:
    """Stop them: what was applied stays."""
    if work := here.place.works.named(work_of(code)):
        work.stop()
    return here.go(f"/care/kinds/{code}/changes")


Row = tuple[int, str, str, str, str]  # member, sign-in name, field, before, after


def _rows(done: TidyReport) -> list[Row]:
    """The changes that are no part of a merge, with old and new in words."""
    merged = {line for line, change in done.made if change.field == "merged_into"}
    shown = (change for line, change in done.made if line not in merged)
    return _in_words(shown, done.names)[:SHOWN]


def _in_words(made: Iterable[Change], names: Mapping[int, str]) -> list[Row]:
    return [
        (
            change.member_id,
            names.get(change.member_id, f"member {change.member_id}"),
            field,
            was,
            now,
        )
        for change, field, was, now in changes.told(made, names)
    ]


def _merges(done: TidyReport) -> list[Any]:
    return [
        (merge, (merge.stays, merge.goes), of_members(merge.stays, merge.goes))
        for merge in done.merges
    ]


def _told(here: Visit, done: TidyReport, keep: bool) -> list[Any]:
    """What a report says of it, without the table of changes."""
    has_mail = bool(here.office.settings.mail.host)
    return _sentences(tidied.pieces(done, kept=keep, has_mail=has_mail))


def _sentences(told: Iterable[Piece]) -> list[Piece]:
    """What a report says, without its tables."""
    return [one for one in for_the_page(told) if not isinstance(one, Table)]


# ---------------------------------------------------------------- merges


@router.get("/merge")
def before_merge(here: Here, one: str = "", other: str = "", finding: Number = 0) -> Response:
    """Two accounts side by side, before they are made one."""
    if not (one.strip() and other.strip()):
        return here.page("care_merge_which", one=one, other=other)
    return _merge(here, (one.strip(), other.strip()), finding, keep=False)


@router.post("/merge")
def merge(here: Here) -> Response:
    """A new preview with what was chosen, or the merge."""
    two, keep = (here.said("one"), here.said("other")), here.said("do") == "save"
    return _merge(here, two, here.number("finding"), keep=keep)


def _merge(here: Visit, two: tuple[str, str], finding: int, *, keep: bool) -> Response:
    choices = {field: whose for field in CHOICES if (whose := here.said(f"take-{field}"))}
    stays, why, shown = here.said("stays"), here.said("why"), here.said("as_shown")
    mistakes: list[Mistake] = []
    try:
        asked = choices | ({AS_SHOWN: shown} if keep else {})
        done = merge_members(here.office, two, keep=keep, stays=stays, choices=asked, why=why)
    except ChangedMeanwhile as meanwhile:
        mistakes, keep = [Mistake(str(meanwhile))], False
        done = merge_members(here.office, two, keep=False, stays=stays, choices=choices, why=why)
    except FileTrouble as trouble:
        mistakes = [Mistake(on_screen(str(trouble)), "one")]
        return here.page("care_merge_which", mistakes=mistakes, one=two[0], other=two[1])
    if keep:
        if finding:
            settle_with(here.office, finding, done.number)
        return here.go(f"/care/changes/{done.number}", done="merged")
    see_that_it_is_noted(here.office, CARE, (done.stays.id, done.goes.id))
    both = of_members(done.stays, done.goes)
    return here.page(
        "care_merge", mistakes=mistakes, merge=done, two=(done.stays, done.goes), finding=finding,
        both=both, fields=CHOSEN, choices=choices, values=_after(done, both),
        told=[on_screen(words) for words in done.told if on_screen(words)],
    )  # fmt: skip


def _after(merge: Merge, both: Sequence[Both]) -> dict[str, str]:
    """By field, what the account that stays would have, in words."""
    changed = {one.field for one in merge.changes if one.member_id == merge.stays.id}
    return {
        field: one.other if field in changed else one.one
        for one in both
        if (field := CHOSEN.get(one.what))
    }


# ---------------------------------------------------------------- accounts closed


@router.get("/close")
def before_close(here: Here, member: Number, finding: Number = 0) -> Response:
    """A preview of closing an account."""
    return _close(here, member, finding, keep=False)


@router.post("/close")
def close(here: Here) -> Response:
    """Close it."""
    return _close(here, here.number("member"), here.number("finding"), keep=True)


def _close(here: Visit, member: int, finding: int, *, keep: bool) -> Response:
    done = close_members(here.office, [str(member)], why=here.said("why"), keep=keep)
    if keep and done.number:
        if finding:
            settle_with(here.office, finding, done.number)
        return here.go(f"/care/changes/{done.number}", done="closed")
    told = _sentences(closed.pieces(done, here.office.settings, kept=keep))
    return here.page("care_close", told=told, moved=done, member=member, finding=finding)


# ---------------------------------------------------------------- changes made


@router.get("/changes")
def made(here: Here, before: Number = 0) -> Response:
    """What was changed together, the newest first."""
    found = list_applied(here.office, named=LISTED, before=before, most=LISTED + 1)
    return here.page(
        "care_changes", found=found[:LISTED], more=len(found) > LISTED, first=not before, WHAT=WHAT
    )


@router.get("/changes/{number}")
def one_change(here: Here, number: Number) -> Response:
    """What was changed under a number, and what undoing it would come to."""
    return _undo(here, number, keep=False)


@router.post("/changes/{number}")
def undo_it(here: Here, number: Number) -> Response:
    """Undo it, all or some of its lines."""
    return _undo(here, number, keep=True)


def _undo(here: Visit, number: int, *, keep: bool) -> Response:
    lines = here.numbers("line")
    try:
        done = undo(here.office, number, keep=keep, lines=lines)
    except FileTrouble as trouble:
        mistakes = [Mistake(on_screen(str(trouble)))]
        return here.page("care_none", mistakes=mistakes, code="")
    if keep and not done.undone.kept:
        return here.go("/care/changes", done="undone")
    if not keep:
        _see_that_it_is_noted(here, (change for _, change in done.undone.taken))
    rows = [
        (line, *row)
        for line, change in done.undone.taken
        for row in _in_words((change,), done.names)
    ]
    told = _sentences(undone.pieces(done, kept=keep))
    return here.page(
        "care_undo", applied=done.applied, rows=rows[:SHOWN], more=max(0, len(rows) - SHOWN),
        told=told, kept=keep, WHAT=WHAT, undone=done.undone,
    )  # fmt: skip

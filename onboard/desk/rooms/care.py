"""Roster care: the last audit, and its findings worked through one by one."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from starlette.responses import Response

from onboard.clean import stored
from onboard.desk.rooms import Room, care_changes, care_lists
from onboard.desk.visit import Here, Mistake, Number, Visit
from onboard.desk.words import on_screen, short_day
from onboard.desk.work import At, Work
from onboard.errors import ChangedMeanwhile, FileTrouble
from onboard.model import Act, Handled, Owner, Weight
from onboard.reports import audit_page, changes, charts, kinds
from onboard.reports.audit import GROUP_NAMES, WEIGHT_WORDS, better_and_worse, change
from onboard.reports.side_by_side import of_members
from onboard.roster.audits import Found, Part
from onboard.tasks.audit_roster import count_accounts
from onboard.tasks.findings import (
    CHANGED,
    GONE,
    NO_REASON,
    AtHand,
    LastAudit,
    handle_finding,
    last_audit,
    list_findings,
    next_finding,
    open_finding,
)
from onboard.tasks.keep_audit import audit_in_full
from onboard.tasks.on_file import PRIVATE
from onboard.tasks.shown import note_page

ROOM = Room("/care", "Roster care", Act.LOOK_UP, Act.CARE, short="Care")
router = care_changes.router  # one room in several modules

AUDIT = "audit of the roster"
AGAIN = "The audit before stays as it is. Start it again when you like."
TOLD = 8  # kinds that are told as better or worse
STATES = {
    Handled.OPEN: "to do", Handled.ASKED: "asked", Handled.LEFT: "left as it is", Handled.DONE: "done",
}  # fmt: skip
DONE = {
    Handled.OPEN: "finding-open", Handled.ASKED: "finding-asked", Handled.LEFT: "finding-left",
    Handled.DONE: "finding-done",
}  # fmt: skip
# What two accounts are shown by, and values that are words.
FIELDS = (
    "Name", "Email", "Phone", "Address", "Drop site", "Language", "OK to email",
    "Date of birth", "Last sign-in", "Last order", "Joined",
)  # fmt: skip
WORDS = (
    *STATES.values(), *GROUP_NAMES.values(), *(WEIGHT_WORDS[weight] for weight in Weight), *FIELDS,
    *kinds.every(), *care_changes.WORDS, *care_lists.WORDS, GONE, CHANGED, NO_REASON,
)  # fmt: skip


@router.get("")
def care(here: Here) -> Response:
    """The room: the last audit."""
    last, work = last_audit(here.office), here.place.works.named(AUDIT)
    shown = work if work and work.at is not At.DONE else None
    drawn = _drawn(here, last) if last else {}
    return here.page("care", last=last, work=shown, total=_total(here, shown), **drawn)


def _callees(here: Visit, last: LastAudit) -> set[int]:
    """The members whose phones stand among the calls to make. That of a host is no member's."""
    hosts = {site.host for site in here.office.settings.sites}
    owners = (
        owner
        for call, helped in last.told.calls
        if not (call.why_them and call.whom in hosts)
        for owner in (helped if call.why_them else helped[:1])
    )
    return {Owner(owner).member_id or 0 for owner in owners} - {0}


def _total(here: Visit, work: Work | None) -> int:
    return count_accounts(here.office) if work and work.at is At.RUNNING else 0


def _drawn(here: Visit, last: LastAudit) -> dict[str, Any]:
    """The last audit as the page shows it."""
    report, told = last.told.report, last.told
    content = audit_page.content(report)
    better, worse = better_and_worse(report)
    words = {style: here.t(word) for style, word in audit_page.WORDS.items()}
    noted = note_page(here.office, ROOM.name, _callees(here, last))
    return {
        "not_shown": not noted,
        "told": told, "report": report, "groups": content["groups"], "states": STATES, "Handled": Handled,
        "Weight": Weight, "weights": WEIGHT_WORDS, "group_names": GROUP_NAMES, "titled": kinds.titled,
        "change": change, "styles": audit_page.STYLES, "on_screen": on_screen,
        "better": better[:TOLD], "worse": worse[:TOLD], "history": content["history"],
        "by_group": charts.bars([(here.t(name), counts) for name, *counts in content["table"]], words),
        "over_time": _over_time(here, content["history"], words),
        "to_do": {weight: _to_do(last, weight) for weight in Weight},
    }  # fmt: skip


def _to_do(last: LastAudit, weight: Weight) -> int:
    """How many findings of a weight still wait for somebody."""
    return sum(
        last.in_state(kind.code, Handled.OPEN)
        for kind in last.told.report.kinds
        if kind.weight is weight and not kind.is_nearly_all
    )


def _over_time(
    here: Visit, history: list[list[Any]], words: Mapping[str, str]
) -> charts.LineChart | None:
    if len(history) < 2:
        return None
    days = [short_day(date.fromisoformat(day), here.language) for day, *_ in history]
    went = {
        style: [row[at] for row in history] for at, style in enumerate(words, start=1) if at < 3
    }
    return charts.lines(days, went, words)


# ---------------------------------------------------------------- an audit


@router.post("/audit")
def audit(here: Here) -> Response:
    """Audit the roster, if nobody does so already."""
    here.place.works.once(AUDIT, AGAIN, here.office.who, audit_in_full, here.office.seat)
    return here.go(ROOM.path)


@router.post("/audit/stop")
def stop(here: Here) -> Response:
    """Stop it."""
    if work := here.place.works.named(AUDIT):
        work.stop()
    return here.go(ROOM.path)


@router.get("/audit/part")
def audit_part(here: Here) -> Response:
    """How far it is: a part of the page, which is asked for until it has ended."""
    work = here.place.works.named(AUDIT)
    return here.page("care_running", work=work, total=_total(here, work))


# ---------------------------------------------------------------- findings


@router.get("/kinds/{code}")
def kind(here: Here, code: str, state: str = "", after: Number = 0, before: Number = 0) -> Response:
    """The findings of one kind, page by page."""
    last = last_audit(here.office)
    told = last.told.kind(code) if last else None
    if last is None or told is None:
        return here.go(ROOM.path)
    shown = Handled(state) if state in list(Handled) else None
    part = Part((shown,) if shown else (Handled.OPEN, Handled.ASKED), after, before)
    found = list_findings(here.office, last.number, code, part)
    more = len(found) > part.most
    if more:
        found = found[1:] if before else found[: part.most]
    noted = _note(here, *found)
    return here.page(
        "care_kind", not_shown=not noted, last=last, kind=told, found=found, shown=shown, states=STATES, titled=kinds.titled,
        weights=WEIGHT_WORDS, styles=audit_page.STYLES, one_note=_one_note(found), Handled=Handled,
        has_more=more or bool(before), has_less=bool(after) or (more and bool(before)), on_file=on_file if noted else _nothing,
        proposed=_proposed(last, code), group_names=GROUP_NAMES,
    )  # fmt: skip


def _proposed(last: LastAudit, code: str) -> int:
    """How many findings of a kind proposed a change, if some may still wait."""
    waits = last.in_state(code, Handled.OPEN) + last.in_state(code, Handled.ASKED)
    return min(waits, last.told.proposed.get(code, 0))


def _one_note(found: list[Found]) -> str:
    """What all of them say, if they say the same."""
    notes = {one.note for one in found}
    return notes.pop() if len(notes) == 1 and len(found) > 1 else ""


def _note(here: Visit, *found: Found) -> bool:
    """Whether it is noted that a page shows contact info with these findings; where they have some."""
    about = [one for one in found if one.field in PRIVATE or one.code.startswith("twice.")]
    owners = {owner for one in about for owner in (one.owner, *one.others)}
    return note_page(
        here.office, ROOM.name, {Owner(owner).member_id or 0 for owner in owners} - {0}
    )


def _nothing(found: Found) -> tuple[str, str]:
    return "", ""


def on_file(found: Found) -> tuple[str, str]:
    """What is on file, and what is proposed instead, in words."""
    if found.change is None or found.change.field == "merged_into":
        return found.said, ""
    was, now = changes.both_in_words(found.change)
    return was, now or stored.NOTHING


@router.get("/findings/{number}")
def finding(here: Here, number: Number) -> Response:
    """One finding: what is on file, what is wrong, and what to do."""
    try:
        return _finding(here, open_finding(here.office, number))
    except FileTrouble:
        return _gone(here)


def _gone(here: Visit) -> Response:
    last = last_audit(here.office)
    drawn = _drawn(here, last) if last else {}
    mistakes = [Mistake(GONE)]
    return here.page("care", mistakes=mistakes, last=last, work=None, total=0, **drawn)


def _finding(here: Visit, at_hand: AtHand, *mistakes: Mistake) -> Response:
    found = at_hand.found
    two = at_hand.members[:2] if found.code.startswith("twice.") else ()
    noted = _note(here, found)
    return here.page(
        "care_finding", mistakes=mistakes, not_shown=not noted, at_hand=at_hand, found=found, states=STATES, Handled=Handled,
        titled=kinds.titled, next=next_finding(here.office, found), on_file=on_file(found) if noted else _nothing(found),
        both=of_members(*two) if len(two) == 2 and noted else (), two=two, FIELDS=FIELDS,
    )  # fmt: skip


@router.post("/findings/{number}")
def handled(here: Here, number: Number) -> Response:
    """Say what became of it. Who comes second is told so."""
    to = Handled(here.said("to")) if here.said("to") in list(Handled) else Handled.OPEN
    try:
        done = handle_finding(here.office, number, here.number("version"), to, why=here.said("why"))
    except (ChangedMeanwhile, FileTrouble) as trouble:
        if str(trouble) == GONE:
            return _gone(here)
        field = "why" if str(trouble) == NO_REASON else ""
        return _finding(here, open_finding(here.office, number), Mistake(str(trouble), field))
    after = next_finding(here.office, done)
    path = f"{ROOM.path}/findings/{after.number}" if after else f"{ROOM.path}/kinds/{done.code}"
    return here.go(path, done=DONE[to])

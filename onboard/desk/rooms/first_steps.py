"""The first steps of a new co-op: from nothing to its first welcome packet, one thing on each page."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import date

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.responses import Response

from onboard.desk.rooms import sign_ups
from onboard.desk.settings_form import Part, Shown, Values, merged, packed, unpacked
from onboard.desk.visit import Here, Mistake, Visit
from onboard.errors import ChangedMeanwhile, SettingsTrouble
from onboard.settings.editing import Added, Edit
from onboard.settings.mistakes import Wrong
from onboard.tasks.change_settings import (
    MEANWHILE,
    WrittenSettings,
    change_settings,
    written_settings,
)
from onboard.tasks.first_steps import FORM, Step, first_steps, renamed
from onboard.tasks.settings_doubts import doubts

router = APIRouter(prefix="/first-steps")
HOME = "/settings/first-steps"

TITLES = {
    "name": "What is your co-op called?",
    "pages": "Which web pages do members use?",
    "reach": "How do members reach you?",
    "group": "When may the first ordering group order?",
    "site": "Where is your first drop site?",
    "mail": "Do you send email, or letters only for now?",
    "form": "Who is your first member?",
}
WHY = {
    "name": "Packets show the name. The time zone decides what day it is.",
    "pages": "Packets say where to sign in, and warn of the page where people try it by mistake.",
    "reach": "Packets show both. Members call when something is not clear.",
    "group": "Sites that order on the same days are one ordering group. Two windows are enough for now.",
    "site": "Packets say where and when members pick up their orders. Ask the host before you give a phone.",
    "mail": "Letters need no mail server. You can set one later, under Settings and people. The email address is needed in any case: members write to it.",
    "form": "Type one join form in, or give a file of them. You see everything before anything is saved.",
}
# The columns of a form that is typed in here, and what each is.
COLUMNS = {
    "full_name": "Name", "email": "Email", "phone": "Phone", "address": "Mailing address",
    "site": "Drop site", "consent": "OK to email?",
}  # fmt: skip
NAMELESS = "Type the member's name."
NOWHERE = "Type the name of your mail server, or choose letters only."
OVER = "All of these windows are over. Give one that is still to come."
WORDS = (*TITLES.values(), *WHY.values(), NAMELESS, NOWHERE, OVER)


@router.get("")
def overview(here: Here) -> Response:
    """All steps, and what is missing in each."""
    steps = first_steps(here.office)
    following = next((step.name for step in steps if not step.done), "")
    return here.page(
        "first_steps", steps=steps, titles=TITLES, following=following, labels=_labels,
        doubts=doubts(here.office.settings) if all(s.done for s in steps[:-1]) else (),
    )  # fmt: skip


@router.get("/step/{name}")
def step(here: Here, name: str) -> Response:
    """One step."""
    one = _step(here, name)
    if name == FORM:
        return _form(here)
    written = written_settings(here.office)
    values = {
        part.table: _without_samples(one, part, part.values(written))
        for part in _parts(one, written)
    }
    return _asked(here, one, written, values)


@router.post("/step/{name}")
def answer(here: Here, name: str) -> Response:
    """Save what was typed in a step, and go on to the next one."""
    one, written = _step(here, name), written_settings(here.office)
    if name == FORM:
        return _enroll(here)
    parts = _parts(one, written)
    typed = {part.table: part.typed(here) for part in parts}
    if here.said("version") != written.version:
        return _meanwhile(here, one, written, typed)
    if name == "mail" and here.said("by") != "server":
        typed["mail"] = parts[-1].values(written) | {"host": ""}
    elif name == "mail" and not typed["mail"]["host"]:
        return _asked(here, one, written, typed, [Mistake(NOWHERE, "f-host")])
    if name == "group" and _all_over(typed["group"]["windows"], here.office.today()):
        return _asked(here, one, written, typed, [Mistake(OVER, "f-windows-0-closes")])
    edits = [e for part in parts for e in part.edits(typed[part.table], written)]
    changed = renamed(parts[0].of, written, [e for e in edits if isinstance(e, Edit)])
    try:
        if wrong := _wrong(here, changed, written):
            found = [
                m
                for part in parts
                for m in part.mistakes(wrong, written, typed[part.table], here.language)
            ]
            return _asked(here, one, written, typed, [m for m in found if m.field] or found)
    except SettingsTrouble as trouble:
        return _asked(here, one, written, typed, [Mistake(str(trouble))])
    except ChangedMeanwhile:
        return _meanwhile(here, one, written_settings(here.office), typed)
    following = next((s.name for s in first_steps(here.office) if not s.done), "")
    return here.go(f"{HOME}/step/{following}" if following else HOME, done="step-saved")


def _all_over(rows: Sequence[Mapping[str, str]], today: date) -> bool:
    """Whether the last day of every window has gone by."""
    last = [row["closes"] for row in rows]
    return bool(last) and all(day and day < today.isoformat() for day in last)


def _wrong(
    here: Visit, edits: Sequence[Edit | Added], written: WrittenSettings
) -> tuple[Wrong, ...]:
    """What is wrong; if nothing is, it is saved."""
    if not edits:
        return ()
    return change_settings(here.office, edits, written.version, keep=True).wrong


def _meanwhile(
    here: Visit, one: Step, written: WrittenSettings, typed: dict[str, Values]
) -> Response:
    was = unpacked(here.said("was"))
    values: dict[str, Values] = {}
    beside: dict[str, Values] = {}
    for part in _parts(one, written):
        started = was.get(part.table)
        both = merged(
            started if isinstance(started, dict) else {}, typed[part.table], part.values(written)
        )
        values[part.table] = both.values
        beside[part.table] = both.typed
    return _asked(here, one, written, values, [Mistake(MEANWHILE)], beside)


def _asked(
    here: Visit, one: Step, written: WrittenSettings, values: dict[str, Values],
    mistakes: Sequence[Mistake] = (), beside: Mapping[str, Values] = {},
) -> Response:  # fmt: skip
    parts = _parts(one, written)
    was = {part.table: _without_samples(one, part, part.values(written)) for part in parts}
    fields: list[Shown] = [
        shown
        for part in parts
        for shown in part.shown(values[part.table], written, here.language, beside.get(part.table))
    ]
    by = here.said("by") or ("server" if values.get("mail", {}).get("host") else "letters")
    return here.page(
        "first_step", mistakes=list(dict.fromkeys(mistakes)), step=one, title=TITLES[one.name], why=WHY[one.name],
        place=list(TITLES).index(one.name) + 1, of=len(TITLES), fields=fields, by=by, labels=_labels,
        version=written.version, was=packed(was),
    )  # fmt: skip


def _step(here: Visit, name: str) -> Step:
    found = next((step for step in first_steps(here.office) if step.name == name), None)
    if found is None:
        raise HTTPException(404)
    return found


def _parts(one: Step, written: WrittenSettings) -> list[Part]:
    """The parts of the settings that a step asks for; of groups and sites, the first."""
    made = []
    for table, keys in one.asks:
        said = written.said.get(table, {})
        of = str(said[0].get("name", "")) if isinstance(said, list) and said else ""
        made.append(Part(table, of, keys))
    return made


def _without_samples(one: Step, part: Part, values: Values) -> Values:
    """The values with nothing where the starter's sample is, so that nobody takes it for theirs."""
    if one.done:
        return values
    empty = dict(one.missing)
    return {
        name: type(value)() if part.table in empty and (part.table, name) in one.missing else value
        for name, value in values.items()
    }


def _labels(one: Step) -> list[str]:
    """What is missing in a step, as the page calls it."""
    parts = {table: Part(table, "-", keys) for table, keys in one.asks}
    return [
        parts[table].keys[key].what.partition(";")[0]
        for table, key in one.missing
        if parts[table].keys[key].default is None or key == "windows"
    ]


# ---------------------------------------------------------------- the first join form


def _form(here: Visit, *mistakes: Mistake) -> Response:
    sites = [site.name for site in here.office.settings.sites if not site.closed]
    open_steps = [s.name for s in first_steps(here.office)[:-1] if not s.done]
    return here.page(
        "first_form", mistakes=mistakes, title=TITLES[FORM], why=WHY[FORM], place=len(TITLES),
        of=len(TITLES), sites=sites, open_steps=open_steps, titles=TITLES,
        doubts=() if open_steps else doubts(here.office.settings),
    )  # fmt: skip


def _enroll(here: Visit) -> Response:
    """The form that was typed in goes the way of every file of forms, from its preview on."""
    said = {field: here.said(field) for field in COLUMNS}
    if not said["full_name"]:
        return _form(here, Mistake(NAMELESS, "full_name"))
    said["consent"] = "yes" if said["consent"] else "no"
    table = io.StringIO()
    csv.writer(table).writerows([COLUMNS.values(), said.values()])
    given = here.place.files.take(
        io.BytesIO(table.getvalue().encode()), "first-form.csv", here.office.who
    )
    given.told = {heading: field for field, heading in COLUMNS.items()}
    given.typed_at = here.request.url.path
    return sign_ups.preview(here, given)

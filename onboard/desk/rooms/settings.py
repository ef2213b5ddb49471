"""Settings and people: the co-op's settings, part by part, as their file says them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter
from starlette.exceptions import HTTPException
from starlette.responses import Response

from onboard.desk.rooms import Room, first_steps, records
from onboard.desk.settings_form import Difference, Part, Values, merged, packed, unpacked
from onboard.desk.visit import CSRF, Here, Mistake, Visit
from onboard.errors import ChangedMeanwhile, SettingsTrouble
from onboard.office import Act
from onboard.settings.editing import Removed
from onboard.settings.key import is_many
from onboard.settings.model import TABLES
from onboard.tasks.change_settings import (
    MEANWHILE,
    SettingsChange,
    WrittenSettings,
    change_settings,
    may_change_settings,
    written_settings,
)
from onboard.tasks.first_steps import asks_for_first_steps
from onboard.tasks.settings_doubts import doubts

ROOM = Room("/settings", "Settings and people", Act.CARE, short="Settings")
router = APIRouter(prefix="/settings")
router.include_router(first_steps.router)
router.include_router(records.router)

# The parts that there is one of, in the order in which a co-op needs them.
PARTS = (
    "coop", "windows", "reminders", "mail", "mailbox", "look", "guide", "handle", "first_password", "desk",
    "host_sheet", "audit", "porch",
)  # fmt: skip
DAYS = ("group", "windows")  # they say when members may order
SAME = "Nothing is different from what the file says."
GONE = "It is no longer in the settings file under this name."
WORDS = (MEANWHILE, SAME, GONE, *first_steps.WORDS, *records.WORDS)


@router.get("")
def settings(here: Here) -> Response:
    """The room: all parts of the settings."""
    may = may_change_settings(here.office)
    return here.page(
        "settings", may=may, may_look_up=here.office.may(Act.LOOK_UP), parts=[(name, TABLES[name].what) for name in PARTS],
        file=here.office.settings.file, begins=asks_for_first_steps(here.office), doubts=doubts(here.office.settings) if may else (),
    )  # fmt: skip


@router.get("/part/{table}")
def part(here: Here, table: str, of: str = "") -> Response:
    """A part of the settings, to be changed."""
    chosen, written = _part(table, of), written_settings(here.office)
    if not chosen.is_new and chosen.number(written) is None:
        raise HTTPException(404)
    return _form(here, chosen, written, chosen.values(written))


@router.post("/part/{table}")
def change(here: Here, table: str) -> Response:
    """Preview what was typed; once it was previewed, save it."""
    chosen, written = _part(table, here.said("of")), written_settings(here.office)
    typed = chosen.typed(here)
    if not chosen.is_new and chosen.number(written) is None:
        return _form(here, chosen, written, typed, Mistake(GONE))
    if here.said("version") != written.version:
        return _meanwhile(here, chosen, written, typed)
    if here.said("do") == "again":
        return _form(here, chosen, written, typed)
    try:
        return _changed(here, chosen, written, typed, keep=here.said("do") == "save")
    except ChangedMeanwhile:
        return _meanwhile(here, chosen, written_settings(here.office), typed)


def _changed(
    here: Visit, chosen: Part, written: WrittenSettings, typed: Values, *, keep: bool
) -> Response:
    try:
        done = change_settings(
            here.office, chosen.edits(typed, written), written.version, keep=keep
        )
    except SettingsTrouble as trouble:
        return _form(here, chosen, written, typed, Mistake(str(trouble)))
    if done.wrong:
        return _form(
            here,
            chosen,
            written,
            typed,
            *chosen.mistakes(done.wrong, written, typed, here.language),
        )
    if not done:
        return _form(here, chosen, written, typed, Mistake(SAME))
    if keep and chosen.table in DAYS:
        return here.go("/windows", done="days-saved")
    if keep:
        return here.go(ROOM.path, done="settings-saved")
    return _preview(here, chosen, done, chosen.differences(typed, written, here.language))


@router.post("/remove/{table}")
def remove(here: Here, table: str) -> Response:
    """Preview what becomes of the file without a group or a site; once it was previewed, save it."""
    chosen, written = _part(table, here.said("of")), written_settings(here.office)
    number, keep = chosen.number(written), here.said("do") == "save"
    if not chosen.of or number is None:
        raise HTTPException(404)
    values = chosen.values(written)
    try:
        done = change_settings(
            here.office, [Removed(table, number)], here.said("version"), keep=keep
        )
    except ChangedMeanwhile:
        return _form(here, chosen, written, values, Mistake(MEANWHILE))
    except SettingsTrouble as trouble:
        return _form(here, chosen, written, values, Mistake(str(trouble)))
    if done.wrong:
        mistakes = chosen.mistakes(done.wrong, written, values, here.language)
        return _form(here, chosen, written, values, *mistakes)
    if keep:
        return here.go(ROOM.path, done="settings-saved")
    return _preview(here, chosen, done, (), removes=True)


def _preview(
    here: Visit, chosen: Part, done: SettingsChange, differences: Sequence[Difference],
    *, removes: bool = False,
) -> Response:  # fmt: skip
    kept = [
        (name, said)
        for name, said in here.form.multi_items()
        if isinstance(said, str) and name not in (CSRF, "do")
    ]
    return here.page(
        "settings_preview", **_named(chosen), change=done, differences=differences, kept=kept,
        removes=removes,
    )  # fmt: skip


def _meanwhile(here: Visit, chosen: Part, written: WrittenSettings, typed: Values) -> Response:
    """The form with what the file says now, and what was typed beside it where both changed."""
    if not chosen.is_new and chosen.number(written) is None:
        return _form(here, chosen, written, typed, Mistake(GONE))
    both = merged(unpacked(here.said("was")), typed, chosen.values(written))
    return _form(here, chosen, written, both.values, Mistake(MEANWHILE), typed=both.typed)


def _form(
    here: Visit, chosen: Part, written: WrittenSettings, values: Values, *mistakes: Mistake,
    typed: Values | None = None,
) -> Response:  # fmt: skip
    now = chosen.values(written)
    return here.page(
        "settings_part", mistakes=_once(mistakes), **_named(chosen),
        fields=chosen.shown(values, written, here.language, typed), version=written.version, was=packed(now),
    )  # fmt: skip


def _once(mistakes: Sequence[Mistake]) -> list[Mistake]:
    return list(dict.fromkeys(mistakes))


def _named(chosen: Part) -> dict[str, Any]:
    where = f"{ROOM.path}/part/{chosen.table}"
    return {
        "part": chosen, "what": TABLES[chosen.table].what, "path_of": where,
        "path_here": f"{where}?of={quote(chosen.of)}" if chosen.of else where,
    }  # fmt: skip


def _part(table: str, of: str) -> Part:
    if table not in PARTS and not (table in TABLES and is_many(TABLES[table])):
        raise HTTPException(404)
    return Part(table, of if is_many(TABLES[table]) else "")

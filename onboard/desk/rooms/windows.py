"""Windows and sites: who may order when, who was told other days, and the drop sites."""

from __future__ import annotations

import io
import tempfile
import zipfile
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.responses import Response

from onboard.desk.rooms import Room
from onboard.desk.visit import Here, Mistake, Visit
from onboard.desk.words import for_the_page
from onboard.errors import FileTrouble
from onboard.model import Way
from onboard.office import Act, Office
from onboard.reports import sites as sites_report
from onboard.reports import windows as windows_report
from onboard.tasks.list_sites import list_sites
from onboard.tasks.list_windows import list_windows
from onboard.tasks.moved_windows import mark_called, tell_moved_windows
from onboard.tasks.publish_windows import publish_windows

ROOM = Room("/windows", "Windows and sites", short="Windows")
router = APIRouter(prefix="/windows")


@router.get("")
def windows(here: Here, near: str = "") -> Response:
    """The room; with `near`, the open sites from the nearest on."""
    return _room(here, near)


def _room(here: Visit, near: str = "", *mistakes: Mistake) -> Response:
    page = ROOM.path + (f"?{urlencode({'near': near})}" if near else "")
    found = here.counted(page, standing, near)
    return here.page("windows", mistakes=mistakes, near=near, **found)


def standing(office: Office, near: str) -> dict[str, Any]:
    """What the page says of windows, of sites, and of whoever was told other days."""
    dates, *stands = for_the_page(windows_report.pieces(list_windows(office)))
    moved, may_see = tell_moved_windows(office, keep=False), office.may(Act.LOOK_UP)
    told = for_the_page(windows_report.moved(moved, kept=False, may_see=may_see))
    return {
        "dates": dates, "stands": stands, "moved": bool(moved), "moved_told": told,
        "sites": for_the_page(sites_report.pieces(list_sites(office, near))),
        "to_call": [one.member for one in moved.told if one.by is Way.CALL and may_see],
    }  # fmt: skip


@router.post("/tell")
def tell(here: Here) -> Response:
    """Make the notices to those who were told other days."""
    tell_moved_windows(here.office, keep=True)
    return here.go(ROOM.path, done="moved-told")


@router.post("/called")
def called(here: Here) -> Response:
    """Somebody was told the new days on the phone."""
    try:
        mark_called(here.office, [here.said("member")], keep=True)
    except FileTrouble as trouble:
        return _room(here, "", Mistake(str(trouble)))
    return here.go(ROOM.path, done="moved-called")


@router.post("/sheets")
def sheets(here: Here) -> Response:
    """The calendar files and the sheets for the wall, in one file to download."""
    packed = io.BytesIO()
    with tempfile.TemporaryDirectory() as folder, zipfile.ZipFile(packed, "w") as into:
        done = publish_windows(here.office, Path(folder))
        for file in (*done.sheets, *done.calendars):
            into.write(file, file.name)
    named = {"content-disposition": 'attachment; filename="ordering-days.zip"'}
    return Response(packed.getvalue(), media_type="application/zip", headers=named)

"""Windows and sites at the desk: who may order when, who was told other days, and what hangs on the wall."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

from at_desk import AtDesk, new_page, see_that_it_is_kind, served

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def test_the_windows_and_the_nearest_sites_are_listed(desk: AtDesk) -> None:
    page = desk.client.get("/windows").text
    assert "Ordering windows" in page
    sites = [site for site in desk.place.office.settings.sites if not site.closed]
    assert all(site.name in page for site in sites)
    assert "onboard " not in page.partition("<main")[2].partition("</main>")[0]
    near = desk.client.get(f"/windows?near={sites[-1].zip5}").text
    assert "miles" in near
    unknown = desk.client.get("/windows?near=<b>Nowhere").text
    assert "know where" in unknown
    assert "<b>Nowhere" not in unknown


def test_calendars_and_sheets_come_in_one_file(desk: AtDesk) -> None:
    answer = desk.post("/windows/sheets")
    assert answer.headers["content-type"] == "application/zip"
    names = zipfile.ZipFile(io.BytesIO(answer.content)).namelist()
    assert [name for name in names if name.endswith(".ics")]
    assert [name for name in names if name.endswith(".pdf")]


def test_whoever_was_told_other_days_gets_a_notice(desk: AtDesk) -> None:
    assert desk.post("/windows/tell").status_code == 200
    assert desk.post("/windows/called", member="nobodyatall").status_code == 422


def test_the_room_is_for_everybody(folder: Path, chromium: Browser) -> None:
    with served(folder) as desk, new_page(chromium) as page:
        page.goto(desk.link)
        page.get_by_role("link", name="Windows and sites").click()
        see_that_it_is_kind(page)
        page.get_by_label("Near a ZIP code or a town").fill("50112")
        page.keyboard.press("Enter")
        page.wait_for_url("**/windows?near=50112")
        see_that_it_is_kind(page)
        with page.expect_download() as download:
            page.get_by_role("button", name="Download the calendars").click()
        assert download.value.suggested_filename == "ordering-days.zip"

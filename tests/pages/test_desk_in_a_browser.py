"""The desk in a real browser, by mouse and by keyboard: in, around, and out again."""

from __future__ import annotations

from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from at_desk import new_page, see_that_it_is_kind, served

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def test_in_by_the_link_and_out_again(folder: Path, chromium: Browser) -> None:
    with served(folder) as desk, new_page(chromium) as page:
        page.goto(desk.link)
        assert page.url == f"{desk.base}/"
        assert page.get_by_role("heading", level=1).inner_text() == "Today"
        see_that_it_is_kind(page)
        # By keyboard: past the rooms, right to the page.
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Skip to the page"
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "main"
        page.get_by_role("navigation", name="Rooms").get_by_role("link", name="Today").click()
        page.get_by_role("button", name="Español").focus()
        page.keyboard.press("Enter")
        page.get_by_role("heading", level=1, name="Hoy").wait_for()
        assert page.locator("html").get_attribute("lang") == "es"
        see_that_it_is_kind(page)
        page.get_by_role("button", name="English").click()
        page.get_by_role("button", name="Sign out", exact=True).click()
        assert page.get_by_role("heading", level=1).inner_text() == "You are signed out"
        see_that_it_is_kind(page)
        for path in ("/", "/nothing", desk.link.removeprefix(desk.base)):
            page.goto(desk.base + path)
            see_that_it_is_kind(page)


def test_a_browser_that_asks_for_spanish_gets_spanish(folder: Path, chromium: Browser) -> None:
    with served(folder) as desk, new_page(chromium, language="es-PR") as page:
        page.goto(desk.link)
        assert page.get_by_role("heading", level=1).inner_text() == "Hoy"
        rooms = page.get_by_role("navigation").get_by_role("link")
        assert rooms.nth(1).inner_text() == "Nuevas inscripciones"
        page.set_viewport_size({"width": 390, "height": 844})
        assert rooms.nth(1).inner_text() == "Inscripciones"
        assert rooms.count() == 7
        assert len({rooms.nth(at).bounding_box()["y"] for at in range(7)}) <= 2  # type: ignore[index]


def test_what_was_typed_is_sent_after_signing_in_again(folder: Path, chromium: Browser) -> None:
    with served(folder) as desk, new_page(chromium) as page:
        page.goto(desk.link)
        page.context.clear_cookies()
        page.get_by_role("button", name="Español").click()
        assert page.get_by_role("heading", level=1).inner_text() == "You are signed out"
        see_that_it_is_kind(page)
        port = desk.base.rpartition(":")[2]
        desk.stop()
        with served(folder, "--port", port) as again:
            page.context.new_page().goto(again.link)
            page.get_by_role("button", name="Send it now").click()
            assert page.get_by_role("heading", level=1).inner_text() == "Send it once more"
            see_that_it_is_kind(page)
            page.get_by_role("button", name="Send it now").click()
            assert page.get_by_role("heading", level=1).inner_text() == "Hoy"


def test_on_a_phone_what_a_wide_table_is_about_stays_in_sight(chromium: Browser) -> None:
    css = resources.files("onboard.desk").joinpath("static/desk.css").read_text("utf-8")
    cell = f"<td>{'m' * 40}</td>"
    with new_page(chromium, wide=390) as page:
        page.set_content(
            f"<style>{css}</style><div class=wide><table><caption>{'Check these. ' * 12}</caption>"
            f"<tr>{cell * 3}</tr></table></div>"
        )
        box = page.locator("caption").bounding_box()
        assert box
        assert box["x"] + box["width"] <= 390

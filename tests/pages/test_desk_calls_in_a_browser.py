"""Someone calls, in a real browser: the whole job by mouse and by keyboard, and what goes wrong."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from at_desk import Served, new_page, see_that_it_is_kind, served, settings_text
from playwright.sync_api import expect

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


@pytest.fixture(scope="module")
def desk(enrolled: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A served desk with members. The tests of this module take turns at it."""
    folder = tmp_path_factory.mktemp("co-op")
    shutil.copytree(enrolled, folder, dirs_exist_ok=True)
    (folder / "onboard.toml").write_text(settings_text(), "utf-8")
    with served(folder, "--by", "Robin") as one:
        yield one


@pytest.fixture
def robin(desk: Served, chromium: Browser) -> Iterator[Page]:
    """Robin's browser."""
    with new_page(chromium) as page:
        page.goto(desk.new_link())
        yield page


def test_a_call_by_keyboard_alone(robin: Page) -> None:
    robin.get_by_role("navigation", name="Rooms").get_by_role("link", name="Someone calls").press(
        "Enter"
    )
    box = robin.get_by_label("What do they say?")
    expect(box).to_be_focused()
    see_that_it_is_kind(robin)
    box.press_sequentially("pat lee at lima grange", delay=15)
    expect(robin.get_by_role("status")).to_contain_text("One clear match: Pat Lee")
    expect(robin.get_by_role("status")).not_to_contain_text("patlee")
    see_that_it_is_kind(robin)
    box.press("Enter")
    expect(robin.get_by_role("heading", level=1)).to_have_text("Pat Lee")
    expect(robin.locator("#handle")).to_have_text("patlee")
    expect(robin.get_by_text("p as in Papa", exact=False).first).to_be_visible()
    see_that_it_is_kind(robin)
    robin.get_by_role("button", name="Copy").press("Enter")
    expect(robin.get_by_text("Copied.")).to_be_visible()
    assert robin.evaluate("navigator.clipboard.readText()") == "patlee"
    # Why they can't sign in.
    robin.get_by_label("What was in the sign-in name box?").fill("pat.lee@example.org")
    robin.get_by_label("What was in the sign-in name box?").press("Enter")
    expect(
        robin.get_by_text("They typed an email address instead of their sign-in name.").first
    ).to_be_visible()
    see_that_it_is_kind(robin)
    # The call, first without saying how it ended.
    robin.get_by_label("They asked when they can order, or pick up.").press("Space")
    robin.get_by_role("button", name="Save the call").press("Enter")
    expect(robin).to_have_title("Error: Pat Lee – Test Growers Co-op")
    expect(robin.get_by_role("alert")).to_be_focused()
    see_that_it_is_kind(robin)
    robin.get_by_role("alert").get_by_role("link").press("Enter")
    expect(robin.get_by_label("A few words")).to_be_focused()
    expect(robin.get_by_label("They asked when they can order, or pick up.")).to_be_checked()
    robin.get_by_label("Open: somebody has to come back to it").press("Space")
    robin.get_by_role("button", name="Save the call").press("Enter")
    expect(robin.get_by_role("status").filter(has_text="The call is written down.")).to_be_visible()
    robin.get_by_role("button", name="Close call").first.press("Enter")
    expect(robin.get_by_role("status").filter(has_text="The call is saved")).to_be_visible()


def test_a_question_while_several_are_meant(robin: Page, desk: Served) -> None:
    robin.goto(f"{desk.base}/calls")
    robin.get_by_label("What do they say?").fill("Kim Vale")
    status = robin.get_by_role("status")
    expect(status).to_contain_text("Which drop site do you pick up from?")
    see_that_it_is_kind(robin)
    robin.get_by_label("What do they say?").fill("Kim Vale, Lima Grange")
    expect(status).to_contain_text("One clear match: Kim Vale, Lima Grange")
    robin.get_by_role("link", name="Open the card").click()
    expect(robin.get_by_role("heading", level=1)).to_have_text("Kim Vale")


def test_a_new_password_by_mouse(robin: Page, desk: Served) -> None:
    robin.goto(f"{desk.base}/calls/member/1")
    robin.get_by_role("link", name="Issue a new temporary password").click()
    see_that_it_is_kind(robin)
    robin.get_by_role("button", name="Issue a new temporary password").click()
    expect(robin.get_by_role("alert")).to_be_focused()
    see_that_it_is_kind(robin)
    robin.get_by_label("I called back the phone number on file.").check()
    robin.get_by_role("button", name="Issue a new temporary password").click()
    expect(
        robin.get_by_role("status").filter(has_text="A new temporary password is ready")
    ).to_be_visible()


def test_two_people_correct_the_same_member(robin: Page, desk: Served, chromium: Browser) -> None:
    def preview(of: Page, email: str) -> None:
        of.goto(f"{desk.base}/calls/member/2")
        of.get_by_role("link", name="Correct what is on file").click()
        of.get_by_label("Email address", exact=True).fill(email)
        of.get_by_role("button", name="Preview").click()
        expect(of.get_by_role("heading", level=1)).to_have_text("Preview of the correction")

    robin.goto(f"{desk.base}/calls/member/2/correct")
    see_that_it_is_kind(robin)
    preview(robin, "mine@example.org")
    see_that_it_is_kind(robin)
    with new_page(chromium) as other:
        other.goto(desk.new_link())
        preview(other, "theirs@example.org")
        other.get_by_role("button", name="Save the correction").click()
        expect(
            other.get_by_role("status").filter(has_text="The correction is saved")
        ).to_be_visible()
    robin.get_by_role("button", name="Save the correction").click()
    expect(robin.get_by_role("alert")).to_contain_text("Somebody changed this member meanwhile.")
    see_that_it_is_kind(robin)
    row = robin.get_by_role("row", name="email")
    expect(row).to_contain_text("theirs@example.org")
    expect(row).to_contain_text("mine@example.org")


def test_in_spanish(desk: Served, chromium: Browser) -> None:
    with new_page(chromium, language="es-MX") as page:
        page.goto(desk.new_link())
        page.get_by_role("link", name="Alguien llama").click()
        page.get_by_label("¿Qué dice quien llama?").fill("pat lee lima grange")
        expect(page.get_by_role("status")).to_contain_text("Una sola coincidencia: Pat Lee")
        see_that_it_is_kind(page)
        page.get_by_role("button", name="Buscar").click()
        expect(page.get_by_role("heading", name="Nombre de usuario")).to_be_visible()
        see_that_it_is_kind(page)


def test_without_scripts_a_click_more_does_the_same(desk: Served, chromium: Browser) -> None:
    with chromium.new_context(java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(desk.new_link())
        page.get_by_role("link", name="Someone calls").click()
        page.get_by_label("What do they say?").fill("Kim Vale")
        page.get_by_role("button", name="Find").click()
        expect(page.get_by_text("Which drop site do you pick up from?")).to_be_visible()
        page.get_by_label("What do they say?").fill("pat lee lima grange")
        page.get_by_role("button", name="Find").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("Pat Lee")


def test_a_lost_connection_is_told_and_nothing_typed_is_lost(robin: Page, desk: Served) -> None:
    robin.goto(f"{desk.base}/calls")
    box = robin.get_by_label("What do they say?")
    box.fill("pat")
    expect(robin.get_by_role("status")).not_to_be_empty()
    robin.context.set_offline(True)
    box.press_sequentially(" lee")
    expect(robin.get_by_role("status")).to_contain_text("The desk does not answer.")
    robin.context.set_offline(False)
    box.press_sequentially(" lima grange")
    expect(robin.get_by_role("status")).to_contain_text("One clear match: Pat Lee")


def test_who_was_signed_out_while_typing_is_told(robin: Page, desk: Served) -> None:
    robin.goto(f"{desk.base}/calls")
    robin.context.clear_cookies()
    robin.get_by_label("What do they say?").fill("pat lee")
    expect(robin.get_by_role("heading", level=1)).to_have_text("You are signed out")
    expect(robin.get_by_role("button", name="Send it now")).to_be_visible()

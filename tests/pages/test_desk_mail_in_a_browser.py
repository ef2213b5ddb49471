"""Mail, in a real browser: what waits, a preview, letters, a test mail, in every state kind to everybody."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from at_desk import new_page, see_that_it_is_kind, served, settings_text
from playwright.sync_api import expect

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def test_letters_from_due_to_mailed_by_keyboard(
    enrolled: Path, tmp_path: Path, chromium: Browser
) -> None:
    shutil.copytree(enrolled, tmp_path, dirs_exist_ok=True)
    (tmp_path / "onboard.toml").write_text(settings_text(), "utf-8")
    with served(tmp_path, "--by", "Robin") as desk, new_page(chromium) as page:
        page.goto(desk.link)
        see_that_it_is_kind(page)
        page.get_by_role("navigation", name="Rooms").get_by_role("link", name="Mail").press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Mail")
        see_that_it_is_kind(page)
        page.get_by_role("link", name="Read it Pat Lee").press("Enter")
        expect(page.get_by_text("(temporary password, hidden)")).to_be_visible()
        see_that_it_is_kind(page)
        page.get_by_role("link", name="Back to Mail").press("Enter")
        page.get_by_role("button", name="Write the changes").press("Enter")
        expect(page.get_by_role("link", name="accounts.csv")).to_be_visible()
        see_that_it_is_kind(page)
        page.get_by_role("link", name="Back to Mail").press("Enter")
        letters = page.get_by_role("link", name="Print the letters").get_attribute("href")
        assert page.request.get(f"{desk.base}{letters}").body().startswith(b"%PDF")
        page.get_by_label("All of these letters are in the mail.").press("Space")
        page.get_by_role("button", name="They are printed and mailed").press("Enter")
        expect(page.get_by_role("status")).to_have_text(
            "The letters are marked as printed and mailed."
        )
        see_that_it_is_kind(page)
        page.get_by_role("link", name="See how a packet looks").press("Enter")
        expect(page.get_by_role("heading", name="Send a test email")).to_have_count(0)
        see_that_it_is_kind(page)
        with_server = settings_text() + '[mail]\nhost = "127.0.0.1"\nport = 9\n'
        (tmp_path / "onboard.toml").write_text(with_server, "utf-8")
        page.reload()
        page.get_by_label("Your own email address").fill("nonsense")
        page.get_by_role("button", name="Send the test email").press("Enter")
        expect(page.get_by_role("alert")).to_be_focused()
        see_that_it_is_kind(page)
        page.goto(f"{desk.base}/mail/send")
        see_that_it_is_kind(page)

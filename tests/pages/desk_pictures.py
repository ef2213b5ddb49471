"""Pictures of the desk for docs/desk.md and the README: `python tests/pages/desk_pictures.py`."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import browser
from at_desk import HOME, fill, served, settings_text
from audit import decay

from onboard.model import Handled
from onboard.office import open_office
from onboard.roster.audits import Part
from onboard.tasks.findings import last_audit, list_findings
from onboard.tasks.keep_audit import keep_audit
from onboard.tasks.own_account import accept
from onboard.tasks.staff import invite

PICTURES = HOME / "docs" / "pictures"
# Name, path, what is typed, how wide and high, light or dark.
SHOTS = (
    ("desk-today", "/", "", 1000, 620, "light"),
    ("desk-call", "/calls", "Kim Vale", 1000, 700, "light"),
    ("desk-card", "/calls/member/1", "", 1600, 1000, "light"),
    ("desk-card-phone", "/calls/member/1", "", 390, 900, "dark"),
    ("desk-settings", "/settings/part/group?of=Lake", "", 1000, 620, "light"),
    ("desk-mail", "/mail", "", 1000, 860, "light"),
)


def make(folder: Path) -> None:
    """Make all of them."""
    make_first_steps(folder / "new")
    make_care(folder / "care")
    make_staff(folder / "staff")
    fill(folder)
    (folder / "onboard.toml").write_text(settings_text(), "utf-8")
    with served(folder, "--by", "Robin") as desk, browser.chromium() as chromium:
        for name, path, said, wide, high, scheme in SHOTS:
            with chromium.new_context(
                viewport={"width": wide, "height": high},
                color_scheme="dark" if scheme == "dark" else "light",
                locale="en-US",
            ) as context:
                page = context.new_page()
                page.goto(desk.new_link())
                page.goto(desk.base + path)
                if said:
                    page.get_by_label("What do they say?").fill(said)
                    page.get_by_role("link", name="This is the one").first.wait_for()
                page.screenshot(path=PICTURES / f"{name}.png")


def make_staff(folder: Path) -> None:
    """The picture of a co-op at whose desk several people work."""
    folder.mkdir()
    fill(folder)
    (folder / "onboard.toml").write_text(settings_text(), "utf-8")
    office = open_office(folder / "onboard.toml", who="Robin")
    for name, role in (
        ("Robin Vale", "owner"),
        ("Sam Moor", "coordinator"),
        ("Ana Fir", "help desk"),
    ):
        link = invite(office, name, role)
        if name != "Ana Fir":
            accept(office, link.token, "seven quiet goats in a boat", "")
    office.close()
    with served(folder, "--by", "Robin Vale") as desk, browser.chromium() as chromium:
        with chromium.new_context(
            viewport={"width": 1000, "height": 860}, locale="en-US"
        ) as context:
            page = context.new_page()
            page.goto(desk.link)
            page.goto(f"{desk.base}/staff")
            page.screenshot(path=PICTURES / "desk-staff.png")


def make_care(folder: Path) -> None:
    """The pictures of roster care, over a roster of which known things are out of date."""
    decay.make(folder, 400, 7)
    office = open_office(folder / "onboard.toml", who="Robin")
    keep_audit(office)
    last = last_audit(office)
    assert last
    [two, *_] = list_findings(office, last.number, "twice.certain", Part((Handled.OPEN,)))
    office.close()
    with served(folder, "--by", "Robin") as desk, browser.chromium() as chromium:
        for name, path, wide, high in (
            ("desk-care", "/care", 1600, 1000), ("desk-care-two", f"/care/findings/{two.number}", 1000, 1000),
        ):  # fmt: skip
            with chromium.new_context(
                viewport={"width": wide, "height": high}, locale="en-US"
            ) as context:
                page = context.new_page()
                page.goto(desk.new_link())
                page.goto(desk.base + path)
                page.screenshot(path=PICTURES / f"{name}.png")


def make_first_steps(folder: Path) -> None:
    """The picture of a co-op that has only begun."""
    folder.mkdir()
    with served(folder, named=False) as desk, browser.chromium() as chromium:
        with chromium.new_context(viewport={"width": 1000, "height": 800}) as context:
            page = context.new_page()
            page.goto(desk.link)
            page.goto(f"{desk.base}/settings/first-steps/step/name")
            page.get_by_label("The co-op's name").fill("Alder Creek Co-op")
            page.get_by_role("button", name="Save, and go on").click()
            page.goto(f"{desk.base}/settings/first-steps")
            page.screenshot(path=PICTURES / "desk-first-steps.png")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        make(Path(folder))

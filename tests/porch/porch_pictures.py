"""Pictures of the join page for docs/porch.md: `python tests/porch/porch_pictures.py`."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))

import browser
from at_porch import HOME, served

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PICTURES = HOME / "docs" / "pictures"
# Name, page, language, how wide, light or dark.
SHOTS = (
    ("porch-where", "where", "en", 390, "light"), ("porch-form", "form", "en", 1000, "light"),
    ("porch-form-phone", "form", "es", 320, "dark"), ("porch-check", "check", "en", 390, "light"),
    ("porch-thanks", "thanks", "es", 390, "light"), ("porch-stop", "stop", "en", 390, "light"),
)  # fmt: skip
HIGH = {320: 1500, 390: 900, 1000: 1400}


def make(chromium: Browser, base: str, to: Path) -> Iterator[Path]:
    """Make all of them."""
    for name, page_name, lang, wide, scheme in SHOTS:
        with chromium.new_context(
            viewport={"width": wide, "height": HIGH[wide]},
            color_scheme="dark" if scheme == "dark" else "light",
            java_script_enabled=True, locale="en-US",
        ) as context:  # fmt: skip
            page = context.new_page()
            page.goto(f"{base}/join?lang={lang}")
            _go(page, base, page_name, lang)
            page.screenshot(path=to / f"{name}.png")
        yield to / f"{name}.png"


def _go(page: Page, base: str, name: str, lang: str) -> None:
    if name == "thanks":
        page.goto(f"{base}/join/thanks?lang={lang}&site=0")
        return
    if name == "stop":
        page.goto(f"{base}/stop?key={'0' * 32}&lang={lang}")
        return
    page.locator("#state").select_option("WI")
    page.locator("#zip").fill("54665")
    if name == "where":
        return
    page.locator("button[value=find]:visible").last.click()
    page.locator("#site").check()
    page.locator("#given").fill("Robin")
    page.locator("#family").fill("Vale")
    page.locator("#email").fill("robin.vale@gmial.com")
    page.locator("#phone").fill("608 234 5678")
    page.locator("#consent").check()
    if name == "check":
        page.locator("button[value=check]").last.click()
        page.locator(".big").wait_for()
    page.evaluate("document.activeElement.blur(), scrollTo(0, 0)")


if __name__ == "__main__":
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder)) as there,
        browser.chromium() as running,
    ):
        for file in make(running, there.base, PICTURES):
            print(file)

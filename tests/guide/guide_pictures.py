"""Pictures of the pages for docs/guide.md: `python tests/guide/guide_pictures.py`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Literal

sys.path.insert(0, str(Path(__file__).parents[1]))

import browser
import guide_made

if TYPE_CHECKING:
    from playwright.sync_api import Browser

PICTURES = Path(__file__).parents[2] / "docs" / "pictures"
# By picture: the page, the colors, and what is typed into its boxes.
SHOWN: dict[str, tuple[str, Literal["light", "dark"], tuple[str, ...]]] = {
    "where": ("en/where.html", "light", ("53704",)),
    "when": ("en/when.html#group-2", "light", ()),
    "sign-in": ("es/sign-in.html", "dark", ("José", "Núñez-Ortiz")),
    "email": ("en/email.html", "light", ()),
}


def pictures(running: Browser, guide: Path, folder: Path) -> Iterator[Path]:
    """Each page of a guide on a phone, once it was used."""
    for name, (file, scheme, typed) in SHOWN.items():
        page = running.new_page(
            viewport={"width": 390, "height": 780},
            color_scheme=scheme,
            timezone_id="America/Chicago",
        )
        page.clock.install(time=guide_made.NOW)
        page.goto(f"{guide.as_uri()}/{file}")
        for box, text in zip(page.get_by_role("textbox").all(), typed, strict=False):
            box.fill(text)
        if typed:
            page.keyboard.press("Enter")
            page.get_by_role("textbox").first.evaluate("one => one.form.scrollIntoView()")
        to = folder / f"guide-{name}.png"
        page.screenshot(path=to)
        yield to


if __name__ == "__main__":
    with TemporaryDirectory() as temporary, browser.chromium() as chromium:
        made = guide_made.write(Path(temporary), guide_made.settings())
        for picture in pictures(chromium, made, PICTURES):
            print(picture, picture.stat().st_size)

"""Pictures of the pages for docs/guide.md: `python tests/guide/guide_pictures.py`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1]))

import browser
import guide_made

PICTURES = Path(__file__).parents[2] / "docs" / "pictures"
# By picture: the page, the colors, and what is typed into its boxes.
SHOWN = {
    "where": ("en/where.html", "light", ("53704",)),
    "when": ("en/when.html", "light", ()),
    "sign-in": ("es/sign-in.html", "dark", ("José", "Núñez-Ortiz")),
    "email": ("en/email.html", "light", ()),
}


def pictures(folder: Path) -> Iterator[Path]:
    """Each page on a phone, once it was used."""
    with TemporaryDirectory() as temporary, browser.chromium() as running:
        guide = guide_made.write(Path(temporary), guide_made.settings())
        for name, (file, scheme, typed) in SHOWN.items():
            page = running.new_page(viewport={"width": 390, "height": 780}, color_scheme=scheme, timezone_id="America/Chicago")  # fmt: skip
            page.clock.install(time=guide_made.NOW)
            page.goto((guide / file).as_uri())
            for box, text in zip(page.get_by_role("textbox").all(), typed, strict=True):
                box.fill(text)
            if typed:
                page.keyboard.press("Enter")
                page.get_by_role("textbox").first.evaluate("one => one.form.scrollIntoView()")
            to = folder / f"guide-{name}.png"
            page.screenshot(path=to)
            yield to


if __name__ == "__main__":
    for picture in pictures(PICTURES):
        print(picture, picture.stat().st_size)

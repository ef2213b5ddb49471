"""What the checks of pages for everybody rest on: they see what is wrong, and the dark differs from the light by colors alone."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from at_desk import HOME, see_that_it_is_kind

if TYPE_CHECKING:
    from playwright.sync_api import Browser

STYLES = [
    file
    for file in sorted((HOME / "onboard").rglob("*.css"))
    if "prefers-color-scheme" in file.read_text("utf-8")
]
DARK = "@media (prefers-color-scheme: dark)"


@pytest.mark.parametrize("file", STYLES, ids=lambda file: file.name)
def test_the_dark_changes_colors_and_nothing_else(file: Path) -> None:
    text = re.sub(r"/\*.*?\*/", "", file.read_text("utf-8"), flags=re.DOTALL)
    blocks = text.split(DARK)[1:]
    assert len(blocks) == text.count("prefers-color-scheme") == 1
    inside = re.match(r"\s*\{\s*:root\s*\{(.*?)\}\s*\}", blocks[0], re.DOTALL)
    assert inside, "the dark has rules for more than the colors of :root"
    for line in filter(str.strip, inside[1].split(";")):
        assert re.fullmatch(r"\s*--[\w-]+:\s*#[0-9a-fA-F]{3,6}\s*", line), line


PAGE = """<!doctype html><html lang="en"><head><title>A page</title><style>
:root { color-scheme: light dark; --paper: #fff; --ink: #111; } BODY body { background: var(--paper); color: var(--ink); }
</style></head><body><main><h1>A page</h1><p>Some words, INSIDE.</p></main></body></html>"""


@pytest.mark.parametrize(
    ("style", "inside", "wrong"),
    [
        ("", "", ""),
        (DARK + "{ :root { --paper: #222; --ink: #333; } }", "", "color-contrast"),
        (":root { --ink: #ccc; }", "", "color-contrast"),
        ("", '<img src="data:,">', "image-alt"),
        ("", '<span style="display: inline-block; width: 900px">wide</span>', "wide"),
    ],
)
def test_what_is_wrong_is_seen(chromium: Browser, style: str, inside: str, wrong: str) -> None:
    page = chromium.new_page()
    try:
        page.set_content(PAGE.replace("BODY", style).replace("INSIDE", inside))
        if not wrong:
            see_that_it_is_kind(page)
            return
        with pytest.raises(AssertionError, match=wrong):
            see_that_it_is_kind(page)
    finally:
        page.close()

"""A real browser for pages that people read: Chromium as Debian has it, driven by Playwright."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or ""

needs_a_browser = pytest.mark.skipif(
    not CHROMIUM, reason="Chromium is not installed: apt-get install chromium"
)


_running: list[Browser] = []


@contextmanager
def chromium() -> Iterator[Browser]:
    """The browser; the one that runs already, where tests of another folder still keep one."""
    if _running:  # Playwright drives from one place of a process at a time
        yield _running[0]
        return
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as driver:
        # As root, which tests may be, Chromium has no sandbox.
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        _running.append(browser)
        yield browser
        _running.clear()
        browser.close()


def opened(browser: Browser, file: Path, wide: int) -> Page:
    """The page in a window so many pixels wide."""
    page = browser.new_page(viewport={"width": wide, "height": 900}, bypass_csp=True)
    page.goto(file.resolve().as_uri())
    return page


def beyond(page: Page) -> list[str]:
    """What stands out to the right of the window, and would make it scroll sideways."""
    found: list[str] = page.evaluate(
        """[...document.querySelectorAll('body, body *')]
        .filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1
                     && getComputedStyle(e).position !== 'absolute')
        .map(e => `${e.tagName} ${(e.textContent || '').trim().slice(0, 60)}`)"""
    )
    wide: list[int] = page.evaluate(
        "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
    )
    return found if wide[0] > wide[1] else []


def unkind(page: Page) -> list[str]:
    """What axe-core finds that some people can't read or use: the rule, and where."""
    page.add_script_tag(content=(files("axe_core_python") / "axe.min.js").read_text("utf-8"))
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [
        f"{rule['id']}: {node['target']} {node['html'][:120]}"
        for rule in found["violations"]
        for node in rule["nodes"]
    ]


TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


# Of all rules, those that colors decide: in the dark nothing else is different (test_styles.py holds it so).
OF_COLORS = ["color-contrast", "link-in-text-block"]


def unkind_in_detail(page: Page, *, colors_only: bool = False) -> list[str]:
    """What axe finds on the page as it stands that some people can't read or use: the rule, and where."""
    if not page.evaluate("typeof axe === 'object'"):  # once for each page
        page.evaluate(_axe())
    only = {"type": "rule", "values": OF_COLORS} if colors_only else {"type": "tag", "values": TAGS}
    found: list[str] = page.evaluate(
        """only => axe.run(document, {runOnly: only, resultTypes: ['violations']}).then(found => found.violations.flatMap(
            rule => rule.nodes.map(node => `${rule.id}: ${node.target} ${node.html.slice(0, 120)}`)))""",
        only,
    )
    return found


@cache
def _axe() -> str:
    from axe_playwright_python.sync_playwright import Axe

    return str(Axe().axe_script)


def see_that_it_is_kind(page: Page) -> None:
    """The page as it stands is for everybody: axe finds nothing, in light and dark; it has one h1 and a main;
    and nothing stands out of it at 320 px, which is also 1280 px at 400 %."""
    page.wait_for_load_state()  # a link was followed: axe needs the whole of where it leads
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        found = unkind_in_detail(page, colors_only=scheme == "dark")
        assert not found, (page.url, scheme, found)
    assert page.locator("h1").count() == 1, page.url
    assert page.get_by_role("main").count() == 1, page.url
    before = page.viewport_size
    page.set_viewport_size({"width": 320, "height": 640})
    stands_out = beyond(page)
    assert not stands_out, (page.url, stands_out)
    if before:
        page.set_viewport_size(before)

"""The audit's page in a real browser: on a phone, on a screen, on paper, and for those who hear it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import Any
from unicodedata import normalize

import browser
import examples
import pypdf
import pytest
from test_reports import MARKUP, NOON, written

from onboard.settings import Settings

pytestmark = browser.needs_a_browser

LONG = "W" * 70
PLACES = ("45801", "43215", "44101", "00901", "96813", "99801", "45701", "49201")


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with browser.chromium() as running:
        yield running


def coop_with(folder: Path, sites: int) -> Settings:
    """A co-op with so many sites, far apart and close together; some are closed."""
    coop = examples.coop(folder / "onboard.toml")
    found = tuple(
        replace(coop.sites[0], name=f"{LONG[:n]} Barn {n}", zip5=PLACES[n % len(PLACES)], closed=n % 9 == 4,
                host=f"Host {n}", host_phone=f"419-234-56{n:02}") for n in range(sites)
    )  # fmt: skip
    return replace(coop, sites=found)


def page_of(folder: Path, sites: int) -> Path:
    """An audit of odd members, beside one before it."""
    coop = coop_with(folder, sites)
    people = [
        f"given: {MARKUP}; family: {LONG}; handle: {LONG.lower()}; email: {LONG}@example.org; phone: 419"
    ]
    people += [
        f"given: P{n}; family: Voss{n % 7}; handle: P{n}Voss; site: {coop.sites[n % sites].name}; "
        f"zip: {PLACES[n % len(PLACES)]}; bounced: 2026-10-0{n % 9 + 1}; street: {n} Oak St"
        for n in range(40)
    ]
    written(
        "| ".join(people[:20]), coop, folder / "out", datetime(2026, 9, 25, 12, tzinfo=NOON.tzinfo)
    )
    return written("| ".join(people), coop, folder / "out")["audit.html"]


@pytest.fixture(scope="module", params=[1, 12, 60])
def page(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return page_of(tmp_path_factory.mktemp("page"), request.param)


@pytest.mark.parametrize("wide", [320, 768, 1280])
def test_nothing_stands_out_to_the_side(chromium: Any, page: Path, wide: int) -> None:
    assert browser.beyond(browser.opened(chromium, page, wide)) == []


@pytest.mark.parametrize("wide", [320, 1280])
def test_everybody_can_read_it(chromium: Any, page: Path, wide: int) -> None:
    assert browser.unkind(browser.opened(chromium, page, wide)) == []


def test_no_number_on_the_map_lies_on_another_as_it_is_drawn(chromium: Any, page: Path) -> None:
    for wide in (320, 1280):
        labels = browser.opened(chromium, page, wide).evaluate(
            "[...document.querySelectorAll('.map .label')].map(e => e.getBoundingClientRect().toJSON())"
        )
        assert labels
        for at, one in enumerate(labels):
            for other in labels[at + 1 :]:
                apart = (
                    one["right"] <= other["left"] or other["right"] <= one["left"]
                    or one["bottom"] - 2 <= other["top"] or other["bottom"] - 2 <= one["top"]
                )  # fmt: skip
                assert apart, (one, other)


def test_the_calls_are_the_first_sheet_of_paper_and_no_page_is_empty(
    chromium: Any, page: Path
) -> None:
    paper = pypdf.PdfReader(BytesIO(browser.opened(chromium, page, 1000).pdf(format="Letter")))
    texts = [normalize("NFKC", sheet.extract_text()) for sheet in paper.pages]
    assert "to make first" in texts[0]
    assert "Overview" not in texts[0]
    assert texts[1].lstrip().startswith("Overview")
    assert all(len(text) > 100 for text in texts)


def test_what_is_too_wide_or_too_faint_is_found(chromium: Any, tmp_path: Path) -> None:
    """The tests above can fail."""
    file = tmp_path / "bad.html"
    file.write_text("<p style='width: 900px; color: #ccc'>Pat</p>", "utf-8")
    shown = browser.opened(chromium, file, 320)
    assert browser.beyond(shown)
    assert any("color-contrast" in found for found in browser.unkind(shown))

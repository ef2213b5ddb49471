"""The guide in a real browser, as members use it: from a disk, by mouse and keyboard, with scripts and without."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import browser
import guide_made
import guide_pictures
import pytest

from onboard.clean import place, sites
from onboard.guide import LANGUAGES, PAGES, moments
from onboard.settings import Window
from onboard.windows import closing, opening

pytestmark = browser.needs_a_browser

FILES = ["index.html", *(f"{lang}/{page}.html" for lang in LANGUAGES for page in ("index", *PAGES))]
IN_ENGLISH = FILES[:6]
HEAVIEST = 60_000  # bytes


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    with browser.chromium() as running:
        yield running


@pytest.fixture(scope="module")
def guide(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The guide of the demo."""
    coop = guide_made.settings(guide=guide_made.ALL_OF_A_SITE)
    return guide_made.write(tmp_path_factory.mktemp("guide"), coop)


def opened(chromium: Any, file: Path, moment: datetime = guide_made.NOW, **context: Any) -> Any:
    """A page at a moment, in a window as wide as a phone."""
    made = chromium.new_context(
        **{"viewport": {"width": 390, "height": 844}, "timezone_id": "America/Chicago"} | context
    )
    page = made.new_page()
    if context.get("java_script_enabled", True):
        page.clock.install(time=moment)
    page.goto(file.resolve().as_uri())
    return page


# ---------------------------------------------------------------- each page


@pytest.mark.parametrize("name", FILES)
def test_a_page_is_one_small_file_that_asks_for_nothing(
    chromium: Any, guide: Path, name: str
) -> None:
    assert (guide / name).stat().st_size <= HEAVIEST
    page = chromium.new_page()
    asked: list[str] = []
    trouble: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("console", lambda message: trouble.append(message.text))
    page.goto((guide / name).as_uri())
    assert asked == [(guide / name).as_uri()]
    assert trouble == []


@pytest.mark.parametrize("name", FILES)
def test_everybody_can_read_it(chromium: Any, guide: Path, name: str) -> None:
    # 400 percent of a window 1,280 wide is 320 CSS pixels. The look is that of each language: one is shown dark.
    scheme = "dark" if name.startswith("es") else "light"
    context = chromium.new_context(
        viewport={"width": 320, "height": 256}, color_scheme=scheme, bypass_csp=True
    )
    page = context.new_page()
    page.goto((guide / name).as_uri())
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    typed = {"sign-in.html": ("Ana", "Soto-Ruiz"), "where.html": ("53704",)}.get(name[3:], ())
    for box, text in zip(page.get_by_role("textbox").all(), typed, strict=True):
        box.fill(text)
    if typed:
        page.keyboard.press("Enter")
    assert browser.beyond(page) == []
    assert browser.unkind(page) == []


@pytest.mark.parametrize("name", IN_ENGLISH)
def test_text_may_be_four_times_as_large(chromium: Any, guide: Path, name: str) -> None:
    page = chromium.new_page(viewport={"width": 1280, "height": 900}, bypass_csp=True)
    page.goto((guide / name).as_uri())
    page.add_style_tag(content="html { font-size: 400% }")
    assert browser.beyond(page) == []


@pytest.mark.parametrize("name", FILES)
def test_links_lead_to_files_and_places_that_are_there(guide: Path, name: str) -> None:
    links = re.findall(r'<a [^>]*?href="([^"]+)"', (guide / name).read_text("utf-8"))
    assert links
    for link in links:
        if re.match(r"(https|tel|mailto|webcal):", link):
            continue
        path, _, place_there = link.partition("#")
        file = (guide / name).parent / path if path else guide / name
        assert file.is_file(), link
        if place_there:
            assert f'id="{place_there}"' in file.read_text("utf-8"), link


@pytest.mark.parametrize("name", IN_ENGLISH)
def test_with_the_keyboard_alone_everything_is_reached_in_the_order_of_the_page(
    chromium: Any, guide: Path, name: str
) -> None:
    page = opened(chromium, guide / name)
    stops = page.eval_on_selector_all(
        "a[href], button, input, summary",
        "all => all.filter(one => one.checkVisibility()).map((one, n) => (one.dataset.stop = n, n))",
    )
    seen = []
    for _ in stops:
        page.keyboard.press("Tab")
        seen.append(page.evaluate("Number(document.activeElement.dataset.stop)"))
        ring = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert ring != "none"
    assert seen == stops


@pytest.mark.parametrize("page_name", ["index", *PAGES])
def test_the_language_is_the_readers_to_choose(chromium: Any, guide: Path, page_name: str) -> None:
    page = opened(chromium, guide / "en" / f"{page_name}.html")
    assert page.locator("html").get_attribute("lang") == "en"
    page.get_by_role("link", name="Español").click()
    assert page.url.endswith(f"es/{page_name}.html")
    assert page.locator("html").get_attribute("lang") == "es"
    page.get_by_role("link", name="English").click()
    assert page.url.endswith(f"en/{page_name}.html")


def test_from_the_first_page_one_gets_everywhere_and_back(chromium: Any, guide: Path) -> None:
    page = opened(chromium, guide / "index.html")
    page.get_by_role("link", name="English").click()
    for name, title in (
        ("Where do I pick up?", "Where do I pick up?"), ("When can I order?", "When can I order?"),
        ("How do I sign in?", "How do I sign in?"), ("Why did no email come?", "Why did no email come?"),
    ):  # fmt: skip
        page.get_by_role("link", name=name).click()
        assert page.get_by_role("heading", level=1).inner_text() == title
        page.go_back()
    assert page.get_by_role("heading", level=1).inner_text() == "How can we help?"


# ---------------------------------------------------------------- where


@pytest.mark.parametrize("script", [True, False])
def test_every_drop_site_is_in_the_list(chromium: Any, guide: Path, script: bool) -> None:
    page = opened(chromium, guide / "en" / "where.html", java_script_enabled=script)
    coop = guide_made.settings()
    words = page.locator("main").inner_text()
    for site in coop.sites:
        assert (site.name in words) is not site.closed
        assert (site.host in words) is not site.closed
    assert page.get_by_role("textbox").count() == (1 if script else 0)


def shown(page: Any) -> list[str]:
    return [name.split(". ", 1)[1] for name in page.locator(".sites h3").all_inner_texts()]


ZIPS = (
    "53704",
    "50010",
    "05301",
    "54665",
    "52001",
    "55401",
    "03101",
    "10001",
    "99501",
    "96813",
    "33101",
    "00901",
)


def test_a_zip_code_sorts_the_sites_by_distance(chromium: Any, guide: Path) -> None:
    page = opened(chromium, guide / "en" / "where.html")
    for zip5 in ZIPS:
        page.get_by_label("Your ZIP code, town or state").fill(zip5)
        page.get_by_role("button", name="Find my drop site").click()
        here = place.find(zip5)
        assert here
        true = {
            site.name: miles for site, miles in sites.nearest(guide_made.settings().sites, here)
        }
        # Farther away the page knows three digits of a ZIP code, and the middle of most that begin with them.
        room = 3 if min(true.values()) < 60 else 30
        told = [
            int(re.sub(r"\D", "", far)) for far in page.locator(".sites .far").all_inner_texts()
        ]
        assert told == sorted(told)
        for name, miles in zip(shown(page), told, strict=True):
            assert abs(true[name] - miles) <= room, (zip5, name)
        first = page.locator(".sites h3").first.inner_text()
        assert f"The closest is: {first}." in page.get_by_role("status").inner_text()


PLACES = (
        ("Ames", "Ames Seed Barn"), ("ames, iowa", "Ames Seed Barn"), ("  MADISON WI", "Madison"), ("iowa", "Ames Seed Barn"),
        ("VT", "Montpelier Meeting House"), ("New Hampshire", "Keene Fair Barn"), ("53704-1234", "Madison East Garage"),
        ("La Crosse", "La Crosse Seed Library"),
)  # fmt: skip


def test_a_town_or_a_state_will_do(chromium: Any, guide: Path) -> None:
    page = opened(chromium, guide / "en" / "where.html")
    for said, first in PLACES:
        page.get_by_role("textbox").fill(said)
        page.keyboard.press("Enter")
        assert page.locator("#choices button").count() == 0, said
        assert shown(page)[0].startswith(first), said


def test_a_town_will_do_by_any_name_in_use(chromium: Any, tmp_path: Path) -> None:
    coop = guide_made.settings()
    lima = replace(
        coop.sites[0], name="Grange Hall", address="7 Elm St, Cridersville, OH", zip5="45806"
    )
    coop = replace(coop, sites=(*coop.sites[1:], lima))
    file = guide_made.page(tmp_path, coop, "en/where.html")
    assert "Cridersville, OH, Lima" not in file.read_text("utf-8")
    page = opened(chromium, file)
    for said in ("Cridersville", "fort shawnee, OH", "Lima"):
        page.get_by_role("textbox").fill(said)
        page.keyboard.press("Enter")
        assert shown(page)[0] == "Grange Hall", said
        name = said.partition(",")[0].title()
        assert f"From {name}, OH." in page.get_by_role("status").inner_text()
    assert file.stat().st_size <= HEAVIEST


def test_of_two_towns_of_one_name_the_reader_picks_one(chromium: Any, guide: Path) -> None:
    page = opened(chromium, guide / "en" / "where.html")
    of_both = "([, all]) => new Set(all.map(one => one.state)).size > 1"
    town, all_of_it = page.evaluate(f"[...towns].find({of_both})")
    page.get_by_role("textbox").fill(town)
    page.keyboard.press("Enter")
    assert "Which one is yours?" in page.get_by_role("status").inner_text()
    buttons = page.locator("#choices button")
    assert set(buttons.all_inner_texts()) == {
        f"{one['town'].title()}, {one['state']}" for one in all_of_it
    }
    buttons.last.click()
    assert "The closest is" in page.get_by_role("status").inner_text()
    assert page.locator("#choices button").count() == 0


@pytest.mark.parametrize("name", FILES)
def test_a_screen_reader_hears_no_picture_without_a_name(
    chromium: Any, guide: Path, name: str
) -> None:
    """The name of a picture: WCAG 2.2, 1.1.1. As a browser hands the page to a screen reader."""
    heard = opened(chromium, guide / name).locator("body").aria_snapshot()
    assert "- heading" in heard
    assert not re.findall(r"^ *- img$", heard, re.MULTILINE)


def test_a_state_in_spanish_will_do(chromium: Any, guide: Path) -> None:
    page = opened(chromium, guide / "es" / "where.html")
    page.get_by_role("textbox").fill("Nuevo Hampshire")
    page.keyboard.press("Enter")
    assert shown(page)[0] == "Keene Fair Barn"
    assert "El más cercano es" in page.get_by_role("status").inner_text()


def test_what_is_no_place_is_told_and_changes_nothing(chromium: Any, guide: Path) -> None:
    page = opened(chromium, guide / "en" / "where.html")
    before = shown(page)
    for said in ("", "00000", "Nowhereville", "<img src=x onerror=alert(1)>", "9" * 500):
        page.get_by_role("textbox").fill(said)
        page.keyboard.press("Enter")
        page.get_by_role("button", name="Find my drop site").dblclick()
        assert "ZIP code" in page.get_by_role("status").inner_text()
        assert shown(page) == before
        assert page.get_by_role("textbox").input_value() == said
    for said in ("New Hampshire", "Nowhereville"):  # no distances of the earlier one stay
        page.get_by_role("textbox").fill(said)
        page.keyboard.press("Enter")
    assert page.locator(".sites .far").count() == 0
    assert shown(page) == before
    assert page.locator("main img").count() == 0


def test_only_what_the_coop_allows_is_shown_of_a_host(tmp_path: Path) -> None:
    coop = guide_made.settings()
    words = guide_made.page(tmp_path, coop, "en/where.html").read_text("utf-8")
    for site in coop.sites:
        assert site.host not in words
        assert site.host_phone not in words
        assert (site.address.split(",")[0] in words) is not site.closed


# ---------------------------------------------------------------- when

TIMED = "#group-1"  # opens at 8 and closes at 9 in the evening


@pytest.mark.parametrize(
    ("moment", "zone", "words"),
    [
        ("2026-12-13T15:00Z", "America/Chicago", "Open now. Closes Wednesday, December 16, at 9 in the evening."),
        ("2026-12-17T02:59Z", "America/Chicago", "Open now. Closes Wednesday, December 16, at 9 in the evening."),
        ("2026-12-17T03:00Z", "America/Chicago", "Not open now. Opens Tuesday, January 5, 2027, at 8 in the morning."),
        ("2026-12-13T15:00Z", "America/New_York", "Open now. Closes Wednesday, December 16, at 9 in the evening. Where you are, that is "
         "Wednesday, December 16, at 10 at night."),
        ("2026-12-13T15:00Z", "Pacific/Honolulu", "Open now. Closes Wednesday, December 16, at 9 in the evening. Where you are, that is "
         "Wednesday, December 16, at 5 in the afternoon."),
        ("2027-02-01T15:00Z", "America/Chicago", "No days are set yet."),
    ],
)  # fmt: skip
def test_what_is_open_is_told_by_the_readers_clock(
    chromium: Any, guide: Path, moment: str, zone: str, words: str
) -> None:
    when = datetime.fromisoformat(moment.replace("Z", ":00+00:00"))
    page = opened(chromium, guide / "en" / "when.html", when, timezone_id=zone)
    assert page.locator(f"{TIMED} .now").inner_text() == words
    assert page.locator(f"{TIMED} tr.on").count() == int(words.startswith("Open"))


def test_the_page_turns_when_the_window_closes(chromium: Any, guide: Path) -> None:
    page = opened(
        chromium, guide / "es" / "when.html", datetime(2026, 12, 17, 2, 59, 30, tzinfo=UTC)
    )
    now = page.locator(f"{TIMED} .now")
    assert (
        now.inner_text()
        == "Abierto ahora. Cierra el miércoles 16 de diciembre a las 9 de la noche."
    )
    page.clock.run_for(60_000)
    assert (
        now.inner_text() == "Cerrado ahora. Abre el martes 5 de enero de 2027 a las 8 de la mañana."
    )


def test_without_scripts_days_are_dated_and_nothing_is_open_that_may_not_be(
    chromium: Any, guide: Path
) -> None:
    page = opened(chromium, guide / "en" / "when.html", java_script_enabled=False)
    words = page.locator(f"{TIMED}").inner_text()
    assert (
        "When this page was made, Sunday, December 13, 2026: Open now. Closes Wednesday, December 16, at 9 in the evening."
        in words
    )
    assert "Tuesday, December 8, 2026, at 8:00 AM" in words
    assert "The clock is that of the drop site (Central Time)." in words
    assert page.get_by_role("button").count() == 0
    assert page.get_by_role("link", name="Save these days in my calendar").count() == 4


SPANS = (
    Window(date(2026, 12, 8), date(2026, 12, 16), time(8), time(21)), Window(date(2027, 1, 29), date(2027, 2, 3)),
    Window(date(2027, 3, 12), date(2027, 3, 14), time(2, 30), time(12)), Window(date(2027, 11, 5), date(2027, 11, 7), time(12), time(1, 30)),
    Window(date(2028, 2, 28), date(2028, 2, 29), time(0, 30), time(13)), Window(date(2028, 5, 1), date(2028, 5, 1), time(5), time(17)),
)  # fmt: skip


ZONES = (
    "America/Chicago",
    "America/New_York",
    "America/Phoenix",
    "Pacific/Honolulu",
    "America/Puerto_Rico",
)


@pytest.mark.parametrize("language", LANGUAGES)
def test_python_and_the_page_say_the_same_of_every_moment(
    chromium: Any, guide: Path, language: str
) -> None:
    page = opened(chromium, guide / language / "when.html")
    for zone in ZONES:
        there = ZoneInfo(zone)
        spans = [
            (int(opening(one, there).timestamp()), int(closing(one, there).timestamp()))
            for one in SPANS
        ]
        edges = sorted(
            {
                edge + step
                for span in spans
                for edge in span
                for step in (-86_400, -60, -1, 0, 1, 3_600)
            }
        )
        middles = (one + (other - one) // 2 for one, other in pairwise(edges))
        cases = [spans[0][0] - 400 * 86_400, *edges, *middles]
        said = page.evaluate(
            "([clock, cases]) => cases.map(one => standing(clock, one * 1000).text)",
            [{"zone": zone, "spans": spans}, cases],
        )
        for seconds, text in zip(cases, said, strict=True):
            now = datetime.fromtimestamp(seconds, UTC)
            assert text == moments.standing(SPANS, there, now, language), (zone, now)


def test_a_group_by_two_clocks_has_each(chromium: Any, tmp_path: Path) -> None:
    coop = guide_made.settings()
    first, *others = coop.sites
    moved = replace(coop, sites=(replace(first, time_zone="America/Denver"), *others))
    page = opened(chromium, guide_made.page(tmp_path, moved, "en/when.html"))
    headings = page.get_by_role("heading", level=2).all_inner_texts()
    assert {"Bluff (Mountain Time)", "Bluff (Central Time)"} <= set(headings)


def test_calendars_are_saved_and_subscribed_to(chromium: Any, guide: Path) -> None:
    page = opened(chromium, guide / "en" / "when.html")
    link = page.get_by_role("link", name="Subscribe, so my calendar stays up to date").first
    assert (
        link.get_attribute("href") == "webcal://our-coop.example.org/help/calendar/group-bluff.ics"
    )
    with page.expect_download() as saved:
        page.get_by_role("link", name="Save these days in my calendar").first.click()
    assert b"BEGIN:VCALENDAR" in Path(saved.value.path()).read_bytes()


# ---------------------------------------------------------------- sign in, email


def test_the_causes_open_by_keyboard_and_without_scripts(chromium: Any, guide: Path) -> None:
    page = opened(chromium, guide / "en" / "sign-in.html", java_script_enabled=False)
    answer = page.get_by_text("Many people do.")
    assert not answer.is_visible()
    page.get_by_text("Did I type my email address?").focus()
    page.keyboard.press("Enter")
    assert answer.is_visible()
    assert "order.furrowandfen.example.org" in page.locator("main").inner_text()


def test_the_contact_card_is_taken_along(chromium: Any, guide: Path) -> None:
    page = opened(chromium, guide / "es" / "email.html")
    with page.expect_download() as saved:
        page.get_by_role("link", name="Guardar nuestra tarjeta de contacto").click()
    assert b"hello@furrowandfen.example.org" in Path(saved.value.path()).read_bytes()


@pytest.mark.parametrize("name", IN_ENGLISH)
def test_a_page_prints(chromium: Any, guide: Path, name: str) -> None:
    page = opened(chromium, guide / name)
    page.emulate_media(media="print")
    for gone in page.locator("nav, form, button, .screen").all():
        assert not gone.is_visible()
    assert page.locator("main h1").is_visible()
    assert page.pdf(format="Letter").startswith(b"%PDF")


def test_moments_are_a_day_apart() -> None:
    now = datetime(2026, 12, 31, 12)
    assert (
        moments.say_end(now.replace(hour=0) + timedelta(1), now, "es")
        == "al final del jueves 31 de diciembre"
    )


def test_the_pictures_of_the_docs_can_be_made_again(
    chromium: Any, guide: Path, tmp_path: Path
) -> None:
    made = list(guide_pictures.pictures(chromium, guide, tmp_path))
    assert [file.name for file in made] == [f"guide-{name}.png" for name in guide_pictures.SHOWN]
    kept = [guide_pictures.PICTURES / file.name for file in made]
    assert sum(file.stat().st_size for file in kept) < 400_000
    assert all(
        file.read_bytes()[16:24] == shot.read_bytes()[16:24]
        for file, shot in zip(kept, made, strict=True)
    )  # as large

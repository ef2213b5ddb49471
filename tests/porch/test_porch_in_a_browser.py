"""The join page in a real browser, as people use it: by mouse and keyboard, with scripts and without, twice, and back."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING, Any

import browser
import porch_pictures
import pytest
from at_porch import HOME, Served, served
from browser import see_that_it_is_kind

from onboard import spool

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = browser.needs_a_browser


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """A browser."""
    with browser.chromium() as running:
        yield running


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the porch keeps its spool."""
    return tmp_path_factory.mktemp("porch")


@pytest.fixture(scope="module")
def there(folder: Path) -> Iterator[Served]:
    """A porch in another process; pages of this computer's port 8911 may use it."""
    rule = (
        'origins = ["http://127.0.0.1:8911"]\nsign_ups_per_hour = 1000\nchecks_per_minute = 10000'
    )
    with served(folder, rule=rule) as one:
        yield one


@contextmanager
def new_page(chromium: Browser, **how: Any) -> Iterator[Page]:
    """A page of a phone's width. Trouble in its scripts, and what the policy keeps from it, is told."""
    how = {"viewport": {"width": 390, "height": 844}, "locale": "en-US"} | how
    with chromium.new_context(**how) as context:
        page = context.new_page()
        trouble: list[str] = []
        page.on("pageerror", lambda error: trouble.append(str(error)))
        page.on(
            "console",
            lambda said: trouble.append(said.text) if "Content Security" in said.text else None,
        )
        yield page
        assert trouble == []


def to_the_form(page: Page, there: Served, lang: str = "en") -> None:
    """Say where they live."""
    page.goto(f"{there.base}/join?lang={lang}")
    page.get_by_label("State" if lang == "en" else "Estado").select_option("WI")
    page.get_by_label("ZIP code" if lang == "en" else "Código postal").fill("54665")
    page.get_by_role("button", name="Show drop sites" if lang == "en" else "Ver puntos").click()


def fill(page: Page, given: str, email: str = "robin@example.org") -> None:
    """Fill in the form."""
    page.get_by_label("Viroqua Grange Hall").check()
    page.get_by_label("First name").fill(given)
    page.get_by_label(re.compile("^Last name")).fill("Vale")
    page.get_by_label("Email address", exact=True).fill(email)
    page.get_by_label("Phone number", exact=True).fill("608 234 5678")
    page.get_by_label("Yes, you may email me.").check()


def kept(folder: Path, given: str) -> list[dict[str, str]]:
    """The sign-ups of that first name."""
    found = [
        {one.field: one.said for one in entry.answers}
        for entry in spool.look(folder / "spool").entries
    ]
    return [one for one in found if one.get("given") == given]


def send(page: Page) -> None:
    """Send it, after the seconds that a person takes."""
    page.wait_for_timeout(4200)
    page.get_by_role("button", name="Send my sign-up").click()


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "none"])
def test_somebody_joins(chromium: Browser, there: Served, folder: Path, scripts: bool) -> None:
    given = "Ada" if scripts else "Bea"
    with new_page(chromium, java_script_enabled=scripts) as page:
        to_the_form(page, there)
        fill(page, given, "robin@gmial.com")
        page.get_by_role("button", name="Go on").click()
        assert page.get_by_text("Did you mean robin@gmail.com?").is_visible()
        page.get_by_role("button", name="Yes, use robin@gmail.com").click()
        send(page)
        assert page.get_by_role("heading", name="Thank you").is_visible()
        assert page.get_by_text("You pick up at Viroqua Grange Hall.").is_visible()
        page.reload()
        page.go_back()
        page.get_by_role("button", name="Send my sign-up").dblclick()
        page.get_by_role("heading", name="Thank you").wait_for()
    assert [one["email"] for one in kept(folder, given)] == ["robin@gmail.com"]


def test_two_quick_presses_are_one_sign_up(chromium: Browser, there: Served, folder: Path) -> None:
    with new_page(chromium) as page:
        to_the_form(page, there)
        fill(page, "Cleo")
        page.get_by_role("button", name="Go on").click()
        page.wait_for_timeout(4200)
        page.get_by_role("button", name="Send my sign-up").dblclick()
        page.get_by_role("heading", name="Thank you").wait_for()
    assert len(kept(folder, "Cleo")) == 1


def test_with_the_keyboard_alone(chromium: Browser, there: Served, folder: Path) -> None:
    with new_page(chromium, viewport={"width": 1000, "height": 800}) as page:
        page.goto(f"{there.base}/join?lang=en")
        page.get_by_label("State").focus()
        page.keyboard.type("WI")
        page.keyboard.press("Tab")
        page.keyboard.type("54665")
        page.keyboard.press("Enter")  # what Enter does is to go on, not to change the language
        page.get_by_role("heading", name="Tell us about you").wait_for()
        page.get_by_label("Keep what I type").wait_for()  # the script shows it
        page.keyboard.press("Tab")
        stops = page.eval_on_selector_all(
            "a[href], button:not(.trap), input:not([type=hidden]):not(#website), summary, textarea, select",
            """all => { const seen = new Set(); return all.filter(one => one.checkVisibility({visibilityProperty: true}))
            .filter(one => one.type !== "radio" || !seen.has(one.name) && seen.add(one.name)).map((one, n) => (one.dataset.stop = n, n)) }""",
        )
        page.evaluate("document.activeElement.blur()")
        page.locator("body").evaluate(
            "one => { one.tabIndex = -1; one.focus(); one.removeAttribute('tabindex') }"
        )
        seen = []
        for _ in stops:
            page.keyboard.press("Tab")
            seen.append(
                page.evaluate("document.activeElement.dataset.stop ?? document.activeElement.name")
            )
            assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"
        numbers = [int(one) for one in seen if one.isdigit()]
        assert numbers == sorted(numbers)
        assert len(numbers) >= len(stops) - 1  # radio buttons of one question are one stop
        page.get_by_label("First name").focus()
        page.keyboard.press("Enter")
        page.get_by_role("alert").wait_for()
        assert page.evaluate("document.activeElement.className") == "summary"
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "site"
    assert kept(folder, "") == []


@pytest.mark.parametrize("lang", ["en", "es"])
def test_everybody_can_use_each_page_in_each_state(
    chromium: Browser, there: Served, lang: str
) -> None:
    go, check, send_it = {
        "en": ("Show drop sites", "Go on", "Send my"),
        "es": ("Ver puntos", "Seguir", "Enviar mi"),
    }[lang]
    with new_page(chromium, bypass_csp=True) as page:
        page.goto(f"{there.base}/join?lang={lang}")
        see_that_it_is_kind(page)
        page.get_by_role("button", name=go).click()
        see_that_it_is_kind(page)
        to_the_form(page, there, lang)
        page.locator("details").evaluate("one => one.open = true")
        see_that_it_is_kind(page)
        page.get_by_role("button", name=check).click()
        see_that_it_is_kind(page)
        page.locator("#site").check()
        page.locator("#given").fill("Dee" * 60)
        page.locator("#family").fill("Vale")
        page.locator("#email").fill(f"{'long' * 15}@gmial.com")
        page.locator("#consent").check()
        page.get_by_role("button", name=check).click()
        see_that_it_is_kind(page)
        page.get_by_role("button", name=send_it).click()  # too quick
        see_that_it_is_kind(page)
        page.goto(f"{there.base}/join/thanks?lang={lang}&site=0")
        see_that_it_is_kind(page)
        page.goto(f"{there.base}/nothing?lang={lang}")
        see_that_it_is_kind(page)


def test_a_zip_code_of_another_state_is_asked_about_and_may_be_right(
    chromium: Browser, there: Served
) -> None:
    with new_page(chromium, bypass_csp=True) as page:
        for lang, state, code, go in (
            ("en", "State", "ZIP code", "Show drop sites"),
            ("es", "Estado", "Código postal", "Ver puntos"),
        ):
            page.goto(f"{there.base}/join?lang={lang}")
            page.get_by_label(state).select_option("VT")
            page.get_by_label(code).fill("03755")
            page.get_by_role("button", name=go).click()
            see_that_it_is_kind(page)
            assert "Hanover, NH" in (page.get_by_role("alert").text_content() or "")
            page.get_by_role("alert").get_by_role("link").click()
            assert page.evaluate("document.activeElement.id") == "zip"
            page.get_by_role("button", name=go).click()
            page.locator("#city").fill("Burlington")  # who went on is not asked again
            page.get_by_role("alert").wait_for(state="detached")
        to_the_form(page, there)
        fill(page, "Ivy")
        page.get_by_label("City").fill("Madison")
        page.get_by_role("button", name="Go on").click()
        see_that_it_is_kind(page)
        page.get_by_label("City").press("Enter")
        page.get_by_role("heading", name="Check what you typed").wait_for()
        page.go_back()
        page.get_by_role("button", name="Go on").click()
        page.get_by_role("heading", name="Check what you typed").wait_for()


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "none"])
def test_one_button_stops_the_emails(
    chromium: Browser, there: Served, folder: Path, scripts: bool
) -> None:
    key = ("a" if scripts else "b") * 32
    with new_page(chromium, java_script_enabled=scripts, bypass_csp=scripts) as page:
        for lang, button, done in (
            ("en", "Stop the emails", "Done"),
            ("es", "No enviar más correos", "Listo"),
        ):
            page.goto(f"{there.base}/stop?key={key[1:]}&lang={lang}")
            if scripts:
                see_that_it_is_kind(page)
            page.goto(f"{there.base}/stop?key={key}&lang={lang}")
            assert key not in stopped(folder) or lang == "es"
            if scripts:
                see_that_it_is_kind(page)
            page.get_by_role("button", name=button).dblclick()
            page.get_by_role("heading", name=done).wait_for()
            if scripts:
                see_that_it_is_kind(page)
    assert key in stopped(folder)


def stopped(folder: Path) -> str:
    """What the spool has of requests to stop email."""
    return "".join(file.read_text() for file in spool.waiting_stops(folder / "spool"))


def test_text_may_be_four_times_as_large(chromium: Browser, there: Served) -> None:
    with new_page(chromium, viewport={"width": 1280, "height": 900}, bypass_csp=True) as page:
        to_the_form(page, there)
        page.add_style_tag(content="html { font-size: 400% }")
        assert browser.beyond(page) == []


def test_what_was_typed_is_kept_only_if_asked_and_can_be_cleared(
    chromium: Browser, there: Served
) -> None:
    stored = "localStorage.length"
    with new_page(chromium) as page:
        to_the_form(page, there)
        fill(page, "Eve")
        assert page.evaluate(stored) == 0  # nobody asked for it
        page.get_by_label("Keep what I type").check()
        page.get_by_label("City").fill("Viroqua")
        to_the_form(page, there)
        page.get_by_text("We filled in what you typed before.").wait_for()  # the script has run
        assert page.get_by_label("City").input_value() == "Viroqua"
        assert page.get_by_label("First name").input_value() == "Eve"
        assert page.get_by_label("Yes, you may email me.").is_checked()
        page.get_by_role("button", name="Clear what was kept").click()
        assert page.get_by_text("Nothing of it is left on this device.").is_visible()
        assert page.evaluate(stored) == 0
        page.get_by_label("City").fill("Elsewhere")
        assert page.evaluate(stored) == 0


def test_what_was_kept_goes_when_the_form_is_sent(
    chromium: Browser, there: Served, folder: Path
) -> None:
    with new_page(chromium) as page:
        to_the_form(page, there)
        page.get_by_label("Keep what I type").check()
        fill(page, "Fay")
        page.get_by_role("button", name="Go on").click()
        send(page)
        page.get_by_role("heading", name="Thank you").wait_for()
        page.wait_for_function("localStorage.length === 0")
    assert len(kept(folder, "Fay")) == 1


def test_an_email_address_may_be_pasted(chromium: Browser, there: Served) -> None:
    with new_page(chromium) as page:
        page.context.grant_permissions(["clipboard-read", "clipboard-write"])
        to_the_form(page, there)
        page.evaluate("navigator.clipboard.writeText('pat@example.org')")
        page.get_by_label("Email address", exact=True).focus()
        page.keyboard.press("Control+V")
        assert page.get_by_label("Email address", exact=True).input_value() == "pat@example.org"


def test_the_language_changes_in_the_middle_and_nothing_is_lost(
    chromium: Browser, there: Served
) -> None:
    with new_page(chromium, locale="es-MX") as page:
        page.goto(f"{there.base}/join")
        assert page.locator("html").get_attribute("lang") == "es"
        to_the_form(page, there)
        fill(page, "Gil")
        page.get_by_role("button", name="Español").click()
        assert page.locator("html").get_attribute("lang") == "es"
        assert page.get_by_label("Nombre", exact=True).input_value() == "Gil"
        assert page.get_by_label("Sí, me pueden escribir por correo.").is_checked()


def test_the_pictures_in_the_docs_can_be_made(
    chromium: Browser, there: Served, tmp_path: Path
) -> None:
    made = list(porch_pictures.make(chromium, there.base, tmp_path))
    assert all(file.stat().st_size > 10_000 for file in made)
    assert all((porch_pictures.PICTURES / file.name).is_file() for file in made)


# ---------------------------------------------------------------- the examples of the page


def _examples(language: str) -> list[str]:
    page = (HOME / "docs" / "porch.md").read_text("utf-8")
    return re.findall(rf"```{language}\n(.*?)```", page, re.DOTALL)


def test_the_python_example_runs(
    there: Served, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (code,) = _examples("python")
    monkeypatch.setenv("PORCH", there.base)
    monkeypatch.setenv("PORCH_KEY", there.key)
    exec(compile(code, "docs/porch.md", "exec"), {})
    assert "Did you mean robin@gmail.com?" in capsys.readouterr().out
    assert len(kept(folder, "Robin")) == 1


def test_the_javascript_example_runs_in_a_page_of_another_origin(
    chromium: Browser, there: Served, folder: Path, tmp_path: Path
) -> None:
    (code,) = _examples("js")
    code = code.replace("https://join.our-coop.example.org", there.base).replace(
        "KEY-OF-YOUR-PAGE", there.key
    )
    (tmp_path / "index.html").write_text(
        f'<!doctype html><title>Ours</title><form><input name="given"><input name="phone"><input name="email"><p></p><button>Join</button></form><script type="module">{code}</script>'
    )  # fmt: skip
    handler = partial(SimpleHTTPRequestHandler, directory=str(tmp_path))
    handler.log_message = lambda *_: None  # type: ignore[attr-defined]
    with ThreadingHTTPServer(("127.0.0.1", 8911), handler) as ours:
        threading.Thread(target=ours.serve_forever, daemon=True).start()
        with new_page(chromium) as page:
            late: list[Any] = []
            page.route(
                "**/v1/check",
                lambda call: (
                    late.append(call)
                    if "phone" in (call.request.post_data or "")
                    else call.continue_()
                ),
            )
            page.goto("http://127.0.0.1:8911/index.html")
            page.locator("[name=given]").fill("Hal")
            page.locator("[name=phone]").fill("608 234 5678")
            page.locator("[name=email]").fill("hal@gmial.com")
            page.locator("[name=email]").press("Tab")
            about_the_email = page.get_by_text("Did you mean hal@gmail.com?")
            about_the_email.wait_for()
            with page.expect_response("**/v1/check"):
                late.pop().continue_()
            assert about_the_email.is_visible()  # an answer that comes late takes nothing away
            page.get_by_role("button", name="Join").click()
            page.get_by_text("Thank you").wait_for()
        ours.shutdown()
    assert [one["email"] for one in kept(folder, "Hal")] == ["hal@gmial.com"]

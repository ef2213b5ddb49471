"""Several people at the desk in a real browser: in with password and code, wrong five times, out everywhere."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from at_desk import new_page, see_that_it_is_kind, served
from passlib.totp import TOTP

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

GOOD = "tomatoes on sunday morning"


def invite(page: Page, base: str, name: str, role: str) -> str:
    """The link that an owner makes."""
    page.goto(f"{base}/staff")
    page.get_by_label("Name").fill(name)
    page.get_by_role("radio", name=f"{role}:").check()
    see_that_it_is_kind(page)
    page.get_by_role("button", name="Make a link for them").click()
    page.get_by_role("heading", level=1, name=f"A link for {name}").wait_for()
    see_that_it_is_kind(page)
    page.get_by_role("button", name="Copy").click()
    page.get_by_text("Copied.").wait_for()
    link: str = page.evaluate("navigator.clipboard.readText()")
    assert link == page.locator("#link").inner_text()
    return link


def sign_in(page: Page, base: str, name: str, password: str, code: str = "") -> None:
    page.goto(f"{base}/sign-in")
    page.get_by_label("Your sign-in name at the desk").fill(name)
    page.get_by_label("Password", exact=True).fill(password)
    page.get_by_label("Code from your app").fill(code)
    page.get_by_role("button", name="Sign in").click()


def test_invited_signed_in_with_a_code_and_out_everywhere(folder: Path, chromium: Browser) -> None:
    with (
        served(folder) as desk,
        new_page(chromium) as owner,
        new_page(chromium) as sam,
        new_page(chromium) as phone,
    ):
        owner.goto(desk.link)
        owner.get_by_role("link", name="Staff").click()
        link = invite(owner, desk.base, "Sam Moor", "coordinator")

        sam.goto(link)
        see_that_it_is_kind(sam)
        sam.get_by_label("Password", exact=True).fill("too short")
        sam.get_by_label("Show what I type").check()
        assert sam.get_by_label("Password", exact=True).get_attribute("type") == "text"
        sam.get_by_role("button", name="Save").click()
        assert sam.title().startswith("Error: ")
        see_that_it_is_kind(sam)
        # With a code from the phone, eight are enough. Pasted, and sent by the Enter key.
        key = sam.locator(".code").inner_text().replace(" ", "")
        assert sam.get_by_role("img", name="Picture with the key for the app").is_visible()
        app = TOTP(key=key)
        sam.evaluate("navigator.clipboard.writeText('gx7.q-tw')")
        sam.get_by_label("Password", exact=True).focus()
        sam.keyboard.press("Control+v")
        sam.get_by_label("Code from the app").fill(str(app.generate().token))
        sam.keyboard.press("Enter")
        sam.get_by_role("heading", name="Your recovery codes").wait_for()
        see_that_it_is_kind(sam)
        first, second, third = sam.locator(".recovery li").all_inner_texts()[:3]

        sign_in(sam, desk.base, "sam moor", "gx7.q-tw", first)
        sam.get_by_role("heading", level=1, name="Today").wait_for()
        assert "Signed in as Sam Moor." in sam.locator(".foot").inner_text()
        assert sam.get_by_role("link", name="Staff").count() == 0
        sign_in(phone, desk.base, "Sam Moor", "gx7.q-tw", second)
        phone.get_by_role("link", name="Your account").click()
        assert phone.get_by_role("button", name="Sign out there").count() == 1
        see_that_it_is_kind(phone)
        phone.locator("main").get_by_role("button", name="Sign out everywhere").click()
        phone.get_by_role("heading", level=1, name="You are signed out").wait_for()
        see_that_it_is_kind(phone)
        sam.goto(f"{desk.base}/windows")
        # Right where one was stopped, one signs in, and goes on there.
        see_that_it_is_kind(sam)
        sam.get_by_label("Your sign-in name at the desk").fill("Sam Moor")
        sam.get_by_label("Password", exact=True).fill("gx7.q-tw")
        sam.get_by_label("Code from your app").fill(third)
        sam.get_by_role("button", name="Sign in").click()
        sam.get_by_role("heading", level=1, name="Windows and sites").wait_for()

        owner.goto(f"{desk.base}/staff")
        see_that_it_is_kind(owner)
        owner.get_by_role("link", name="Sam Moor").click()
        see_that_it_is_kind(owner)
        owner.get_by_role("button", name="Close the account").click()
        owner.get_by_text("The account is closed.").wait_for()
        see_that_it_is_kind(owner)
        sam.reload()
        sam.get_by_role("heading", level=1, name="You are signed out").wait_for()


def test_wrong_five_times_by_keyboard_in_spanish_without_scripts(
    folder: Path, chromium: Browser
) -> None:
    with served(folder) as desk, new_page(chromium) as owner:
        owner.goto(desk.link)
        link = invite(owner, desk.base, "Ana Fir", "help desk")
        with chromium.new_context(
            java_script_enabled=False, locale="es-MX", viewport={"width": 390, "height": 900}
        ) as context:
            page = context.new_page()
            page.goto(link)
            page.get_by_label("Contraseña", exact=True).fill(GOOD)
            assert page.get_by_text("Mostrar lo que escribo").is_hidden()
            page.get_by_role("button", name="Guardar").click()
            page.get_by_role("link", name="Entrar a su cuenta").click()
            for number in range(1, 6):
                page.get_by_label("Su nombre de usuario aquí").focus()
                page.keyboard.press("Control+a")
                page.keyboard.type("Ana Fir")
                page.keyboard.press("Tab")
                page.keyboard.type(f"wrong {number}")
                with page.expect_navigation():
                    page.keyboard.press("Enter")
                told = page.get_by_role("alert").inner_text()
                assert "El nombre, la contraseña o el código no es correcto." in told
                assert ("Espere 1 minuto" in told) is (number == 5)
            assert page.get_by_label("Su nombre de usuario aquí").input_value() == "Ana Fir"
            assert page.get_by_label("Contraseña", exact=True).input_value() == ""
            page.get_by_label("Contraseña", exact=True).fill(GOOD)
            with page.expect_navigation():
                page.keyboard.press("Enter")
            assert "Hubo demasiados intentos equivocados." in page.get_by_role("alert").inner_text()
        with new_page(chromium, language="es-MX") as page:
            page.goto(f"{desk.base}/sign-in")
            see_that_it_is_kind(page)
            page.goto(f"{desk.base}/invitation?token=x")
            see_that_it_is_kind(page)

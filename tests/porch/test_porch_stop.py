"""One click that says no to email, taken in by the porch: kept whosever it is, answered the same, heard by the next run."""

from __future__ import annotations

import re
import secrets
import stat
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

import pytest
from at_porch import AtPorch, porch
from plain_words import english_grade, spanish_ease

from onboard import spool
from onboard.intake import clicks
from onboard.porch import words
from onboard.settings import ReminderRule

PAGE = "https://join.our-coop.example.org/stop?key={key}"
KEY = "0123456789abcdef0123456789abcdef"
ONE_CLICK = {"List-Unsubscribe": "One-Click"}


@pytest.fixture
def here(tmp_path: Path) -> Iterator[AtPorch]:
    """A porch whose settings name it for one click."""
    with porch(tmp_path) as one:
        named(one, PAGE)
        yield one


def named(here: AtPorch, page: str) -> None:
    """The settings name this page."""
    rule = ReminderRule(unsubscribe_page=page)
    here.place.settings = replace(here.place.settings, reminders=rule)


def keys(here: AtPorch) -> list[str]:
    """Those that wait in the spool."""
    return list(clicks.read(*spool.waiting_stops(here.folder)).keys)


def press(here: AtPorch, key: str = KEY, **headers: str) -> Any:
    """What a mail program sends (RFC 8058, 3.2)."""
    return here.client.post(f"/stop?key={key}", data=ONE_CLICK, headers=headers)


def test_one_request_is_kept_and_answered_without_a_detour(here: AtPorch) -> None:
    answer = press(here)
    assert answer.status_code == 200  # no redirect: RFC 8058, 3.1
    assert "set-cookie" not in answer.headers
    assert keys(here) == [KEY]
    (file,) = spool.waiting_stops(here.folder)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert file.read_text() == f"2026-12-02T12:00:00+00:00 POST {KEY}\n"
    assert "Done" in answer.text
    assert KEY not in answer.text


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"List-Unsubscribe=One-Click", "application/x-www-form-urlencoded"),
        (b'--b\r\nContent-Disposition: form-data; name="List-Unsubscribe"\r\n\r\nOne-Click\r\n--b--\r\n', "multipart/form-data; boundary=b"),
        (b"", "text/plain"),
    ],
)  # fmt: skip
def test_each_form_of_the_request_counts(here: AtPorch, content: bytes, kind: str) -> None:
    answer = here.client.post(f"/stop?key={KEY}", content=content, headers={"content-type": kind})
    assert answer.status_code == 200
    assert keys(here) == [KEY]


def test_who_only_looks_sees_one_button_and_says_nothing(here: AtPorch) -> None:
    for method in ("GET", "HEAD"):
        assert here.client.request(method, f"/stop?key={KEY}").status_code == 200
    assert spool.waiting_stops(here.folder) == ()
    page = unescape(here.client.get(f"/stop?key={KEY}", headers={"accept-language": "es"}).text)
    assert '<html lang="es">' in page
    assert re.findall(r"<button[^>]*>([^<]+)", page) == [words.say("stop.button", "es")]
    # The button does what the mail program does, in the language of the page.
    (to,) = re.findall(r'<form method="post" action="([^"]+)"', page)
    done = here.client.post(f"/stop{to}", data=ONE_CLICK)
    assert words.say("title.stopped", "es") in unescape(done.text)
    assert keys(here) == [KEY]
    other = re.search(r'<a href="(\?[^"]+)" lang="en"', page)
    assert other
    assert '<html lang="en">' in here.client.get(f"/stop{other[1]}").text


def test_a_known_key_is_answered_as_one_that_is_nobodys(here: AtPorch) -> None:
    first, second = press(here), press(here, "f" * 32)
    again = press(here)
    assert first.content == second.content == again.content

    def shape(answer: Any) -> dict[str, str]:
        return {name: said for name, said in answer.headers.items() if name != "date"}

    assert shape(first) == shape(second) == shape(again)

    def takes(key: str) -> float:
        began = perf_counter()
        press(here, key)
        return perf_counter() - began

    known, unknown = [], []
    for _ in range(25):  # by turns, so that what else goes on weighs on both
        known.append(takes(KEY))
        unknown.append(takes(secrets.token_hex(16)))
    assert 0.5 < median(known) / median(unknown) < 2


@pytest.mark.parametrize(
    "key", ["", "abc", KEY[:-1], KEY + "0", KEY.upper(), "<script>", "../../etc", "z" * 32]
)
@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_link_that_is_not_whole_says_what_to_do(here: AtPorch, key: str, lang: str) -> None:
    for method in ("GET", "POST"):
        answer = here.client.request(method, "/stop", params={"key": key, "lang": lang})
        assert answer.status_code == 404
        assert words.say("stop_broken.how", lang) in unescape(answer.text)
        assert "<script>" not in answer.text.replace("<script src", "")
    assert spool.waiting_stops(here.folder) == ()


@pytest.mark.parametrize(
    ("page", "path", "taken"),
    [
        (PAGE, f"/stop?key={KEY}&utm=x", True), (PAGE, f"/stop/?key={KEY}", False), (PAGE, "/stop", False), (PAGE, f"/join?key={KEY}", False),
        ("https://a.example.org/no/{key}", f"/no/{KEY}", True), ("https://a.example.org/no/{key}/more", f"/no/{KEY}", False),
        ("https://a.example.org/?stop={key}", f"/?stop={KEY}", True), ("https://a.example.org?stop={key}", f"/?stop={KEY}", True),
        ("https://a.example.org/s?what=mail&id=k-{key}", f"/s?id=k-{KEY}&what=mail", True), ("https://a.example.org/s?what=mail&id={key}", f"/s?id={KEY}", False),
        ("", f"/stop?key={KEY}", False), ("https://a.example.org/join?key={key}", f"/join?key={KEY}", True),
    ],
)  # fmt: skip
def test_the_settings_say_which_page_it_is(
    here: AtPorch, page: str, path: str, taken: bool
) -> None:
    named(here, page)
    here.client.post(path, data=ONE_CLICK)
    assert (keys(here) == [KEY]) == taken


def test_the_join_form_goes_on_beside_it(here: AtPorch) -> None:
    named(here, "https://a.example.org/join?key={key}")
    assert "Step 1 of 3" in here.client.get("/join").text
    assert here.client.get("/openapi.json").status_code == 200
    assert here.client.get("/v1/check").status_code == 405


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS"])
def test_no_other_method_says_no(here: AtPorch, method: str) -> None:
    assert here.client.request(method, f"/stop?key={KEY}").status_code == 405
    assert spool.waiting_stops(here.folder) == ()


def test_what_is_too_large_or_too_much_is_refused_and_a_full_disk_asks_to_come_again(
    here: AtPorch, monkeypatch: pytest.MonkeyPatch
) -> None:
    large = here.client.post(f"/stop?key={KEY}", content=b"x" * 70_000)
    assert large.status_code == 413

    def chunks() -> Iterator[bytes]:
        for _ in range(70):
            yield b"x" * 1024

    assert here.client.post(f"/stop?key={KEY}", content=chunks()).status_code == 413
    assert here.client.post(
        f"/stop?key={KEY}", headers={"host": "evil.example"}
    ).status_code == 421  # fmt: skip
    assert spool.waiting_stops(here.folder) == ()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(spool, "add_stop", full)
    answer = press(here)
    assert answer.status_code == 503
    assert int(answer.headers["retry-after"]) >= 1


@pytest.mark.parametrize("cut", range(1, 60, 9))
def test_a_line_that_a_crash_cut_off_says_nothing_and_spoils_no_other(
    here: AtPorch, cut: int
) -> None:
    press(here)
    with (here.folder / spool.STOPS).open("ab") as stream:
        stream.write(f"2026-12-02T12:00:00+00:00 POST {'e' * 32}"[:cut].encode())
    press(here, "a" * 32)
    assert keys(here) == [KEY, "a" * 32]


def test_the_pages_are_plain(here: AtPorch) -> None:
    for name in ("stop", "stopped", "stop_broken"):
        said = [words.table()[key] for key in words.table() if key.startswith(f"{name}.")]
        assert english_grade(" ".join(english for english, _ in said)) <= 6
        assert spanish_ease(" ".join(spanish for _, spanish in said)) >= 70

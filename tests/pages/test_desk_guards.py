"""Who gets in at the desk, and what is refused: each guard, let through and refused."""

from __future__ import annotations

import os
import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from at_desk import BASE, OUTSIDE, PORT, AtDesk, all_routes, served
from starlette.testclient import TestClient

from onboard.desk import desking
from onboard.desk.guards import LARGEST
from onboard.desk.place import Place
from onboard.desk.serving import Listening, placed, see_that_it_is_safe
from onboard.errors import FileTrouble
from onboard.office import Office
from onboard.roster import sessions, store, tables
from onboard.tasks import desk_sessions

OURS = {"origin": BASE}


# ---------------------------------------------------------------- the link


def test_the_link_lets_in_once_and_leaves_no_token_in_the_address(outside: AtDesk) -> None:
    token = outside.place.link.renew()
    first = outside.client.get(f"/start?token={token}", follow_redirects=False)
    assert (first.status_code, first.headers["location"]) == (303, "/")
    assert first.headers["referrer-policy"] == "no-referrer"
    assert outside.client.get("/").status_code == 200
    other = TestClient(outside.app, base_url=BASE)
    again = other.get(f"/start?token={token}")
    assert again.status_code == 403
    assert "works once" in again.text
    assert other.get("/").status_code == 401


def test_a_wrong_link_does_not_use_up_the_right_one(outside: AtDesk) -> None:
    token = outside.place.link.renew()
    for wrong in ("", token[:-1], token + "A", "ñ\udcff".encode("utf-8", "replace").decode()):
        assert outside.client.get("/start", params={"token": wrong}).status_code == 403
    assert outside.client.get(f"/start?token={token}", follow_redirects=False).status_code == 303


def test_before_there_is_a_link_no_token_lets_in(outside: AtDesk) -> None:
    assert outside.client.get("/start?token=").status_code == 403
    assert outside.client.get("/start").status_code == 403


def test_the_cookie_is_careful(outside: AtDesk) -> None:
    def cookie(place: Place) -> str:
        client = TestClient(desking.make(place), base_url=place.url(""))
        made = client.get(f"/start?token={place.link.renew()}", follow_redirects=False)
        return made.headers["set-cookie"].lower()

    here = cookie(outside.place)
    assert here.startswith(f"desk-{PORT}=")
    assert "httponly" in here
    assert "samesite=lax" in here
    assert "secure" not in here
    wide = Place(outside.place.office, 443, frozenset({"desk.example.org"}), secure=True)
    there = cookie(wide)
    assert there.startswith("__host-desk=")
    assert "; secure" in there
    assert "httponly" in there
    assert "domain" not in there


# ---------------------------------------------------------------- sessions


def test_the_roster_keeps_a_digest_and_not_what_the_browser_holds(
    desk: AtDesk, office: Office
) -> None:
    held = desk.client.cookies[desk.place.cookie]
    with office.reading() as connection:
        (line,) = connection.execute(tables.desk_session.select()).all()
    assert line.who == "Robin"
    assert held not in str(line)
    assert len(line.digest) == 64


def test_a_session_ends_when_nobody_works_and_after_a_day_in_any_case(desk: AtDesk) -> None:
    start = desk.clock.at
    desk.clock.at = start + desk_sessions.IDLE
    assert desk.client.get("/").status_code == 200
    desk.clock.at += desk_sessions.IDLE + timedelta(seconds=1)
    assert desk.client.get("/").status_code == 401
    desk.sign_in()
    begun = desk.clock.at
    while desk.clock.at + timedelta(hours=1) <= begun + desk_sessions.LONGEST:
        desk.clock.at += timedelta(hours=1)
        assert desk.client.get("/").status_code == 200
    desk.clock.at = begun + desk_sessions.LONGEST + timedelta(seconds=1)
    assert desk.client.get("/").status_code == 401


def test_signing_out_ends_the_session_at_the_server(desk: AtDesk) -> None:
    cookies = dict(desk.client.cookies)
    assert "You are signed out" in desk.post("/sign-out").text
    thief = TestClient(desk.app, base_url=BASE, cookies=cookies)
    assert thief.get("/").status_code == 401


def test_signing_out_everywhere_ends_the_sessions_of_this_person_and_of_nobody_else(
    desk: AtDesk, office: Office
) -> None:
    other = TestClient(desk.app, base_url=BASE)
    other.get(f"/start?token={desk.place.link.renew()}")
    theirs = desk_sessions.sign_in(replace(office, who="Sam"))
    desk.post("/sign-out-everywhere")
    assert other.get("/").status_code == 401
    assert desk_sessions.session(office, theirs) == desk_sessions.Session("Sam", "")


def test_old_sessions_are_cleared_away(desk: AtDesk, office: Office) -> None:
    desk.clock.at += desk_sessions.LONGEST + timedelta(hours=1)
    desk.sign_in()
    with office.reading() as connection:
        assert len(connection.execute(tables.desk_session.select()).all()) == 1
        assert sessions.find(connection, "no such") is None


def test_a_made_up_cookie_lets_nobody_in(outside: AtDesk) -> None:
    for held in ("", "x", "A" * 43, "ñ"):
        headers = {"cookie": f"{outside.place.cookie}={held}".encode()}
        assert outside.client.get("/", headers=headers).status_code == 401  # type: ignore[arg-type]


# ---------------------------------------------------------------- every page


def routes(desk: AtDesk) -> list[tuple[str, str]]:
    """Method and path of every page behind the door, with something in place of each {name}."""
    return sorted(
        (method, re.sub(r"\{[^}]*\}", "1", path))
        for path, methods in all_routes(desk)
        for method in methods - {"HEAD"}
        if path not in OUTSIDE
    )


def test_no_page_opens_to_whoever_is_not_signed_in(outside: AtDesk) -> None:
    every = routes(outside)
    assert ("GET", "/") in every
    assert ("POST", "/sign-out") in every
    for method, path in every:
        answer = outside.client.request(method, path, headers=OURS)
        assert answer.status_code == 401, (method, path)
        assert "You are signed out" in answer.text


def test_no_page_changes_anything_without_the_token_of_this_session(desk: AtDesk) -> None:
    for method, path in routes(desk):
        if method == "GET":
            continue
        for said in ("", "0" * 64, desk.csrf[:-1] + "x", "ñ"):
            answer = desk.client.request(method, path, data={"csrf": said}, headers=OURS)
            assert answer.status_code == 403, (method, path)
            assert "Send it once more" in answer.text
    assert desk.client.get("/").status_code == 200  # also not signed out


def test_the_token_of_another_session_is_not_taken(desk: AtDesk) -> None:
    before = desk.csrf
    desk.sign_in()
    assert desk.csrf != before
    answer = desk.client.post("/sign-out", data={"csrf": before}, headers=OURS)
    assert answer.status_code == 403


def test_what_was_typed_is_kept_when_the_session_has_ended(desk: AtDesk) -> None:
    typed = {"csrf": desk.csrf, "language": "es", "back": '/x"><b>'}
    desk.clock.at += desk_sessions.IDLE * 2
    ended = desk.client.post("/language", data=typed, headers=OURS)
    assert ended.status_code == 401
    assert 'name="language" value="es"' in ended.text
    assert 'value="/x&#34;&gt;&lt;b&gt;"' in ended.text
    assert typed["csrf"] not in ended.text
    desk.sign_in()
    asked = desk.client.post("/language", data={"language": "es", "back": "/"}, headers=OURS)
    assert asked.status_code == 403
    assert desk.csrf in asked.text
    sent = desk.client.post(
        "/language", data={"language": "es", "back": "/", "csrf": desk.csrf}, headers=OURS
    )
    assert "Hoy" in sent.text


# ---------------------------------------------------------------- from where


@pytest.mark.parametrize(
    "host", [f"127.0.0.1:{PORT}", f"localhost:{PORT}", f"[::1]:{PORT}", f"LOCALHOST:{PORT}"]
)
def test_our_own_names_are_answered(outside: AtDesk, host: str) -> None:
    assert outside.client.get("/signed-out", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["evil.example", f"evil.example:{PORT}", "127.0.0.1", "127.0.0.1:1", f"127.0.0.1:{PORT}.evil.example",
     f"0.0.0.0:{PORT}", "", f"user@127.0.0.1:{PORT}"],
)  # fmt: skip
def test_another_name_is_refused(desk: AtDesk, host: str) -> None:
    answer = desk.client.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "Today" not in answer.text.partition("<main")[0]


@pytest.mark.parametrize(
    ("headers", "taken"),
    [
        ({"sec-fetch-site": "same-origin"}, True),
        ({"sec-fetch-site": "same-origin", "origin": BASE}, True),
        ({"origin": BASE}, True),
        ({"origin": f"http://localhost:{PORT}"}, True),
        ({"sec-fetch-site": "cross-site", "origin": BASE}, False),
        ({"sec-fetch-site": "same-site"}, False),
        ({"sec-fetch-site": "none"}, False),
        ({"origin": "null"}, False),
        ({"origin": f"https://127.0.0.1:{PORT}"}, False),
        ({"origin": "http://127.0.0.1:1"}, False),
        ({"origin": f"http://127.0.0.1:{PORT}.evil.example"}, False),
        ({"origin": ""}, False),
        ({}, False),
    ],
)  # fmt: skip
def test_a_form_is_taken_from_our_own_pages_only(
    desk: AtDesk, headers: dict[str, str], taken: bool
) -> None:
    answer = desk.client.post(
        "/language", data={"csrf": desk.csrf, "language": "en"}, headers=headers,
        follow_redirects=False,
    )  # fmt: skip
    assert answer.status_code == (303 if taken else 403)


def test_after_a_form_one_goes_on_to_our_own_pages_only(desk: AtDesk) -> None:
    for back in ("//evil.example", "https://evil.example", "/\\evil.example", ""):
        assert desk.post("/language", follow=False, back=back).headers["location"] == "/"


def test_every_answer_has_the_careful_headers(desk: AtDesk) -> None:
    answers = [
        desk.client.get("/"), desk.client.get("/nothing"), desk.client.get("/static/desk.css"),
        desk.client.get("/", headers={"host": "evil.example"}), desk.client.post("/"),
        desk.client.get("/start"),
    ]  # fmt: skip
    for answer in answers:
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'")
        assert "unsafe" not in policy
        for part in ("form-action 'self'", "base-uri 'none'", "frame-ancestors 'none'"):
            assert part in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "same-origin" or answer.status_code == 303
        own = "/static/" in str(answer.url)
        assert answer.headers["cache-control"] == ("no-cache" if own else "no-store")


def test_over_tls_browsers_are_told_to_stay_there(office: Office) -> None:
    place = Place(office, 443, frozenset({"desk.example.org"}), secure=True)
    client = TestClient(desking.make(place), base_url="https://desk.example.org")
    assert "max-age" in client.get("/signed-out").headers["strict-transport-security"]


def test_pages_hold_no_script_or_style_of_their_own_and_load_nothing_from_outside(
    desk: AtDesk,
) -> None:
    for file in Path(str(desking.resources.files("onboard.desk"))).glob("templates/*.j2"):
        text = file.read_text("utf-8")
        assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:", text), file.name
        assert not re.search(r"<script(?! src=\"/static/)", text), file.name
        assert not re.search(r"(?:src|href)=\"(?:https?:)?//", text), file.name
        assert "|safe" not in text.replace(" ", ""), file.name


# ---------------------------------------------------------------- one page for all trouble


def test_all_trouble_has_one_page(desk: AtDesk, monkeypatch: pytest.MonkeyPatch) -> None:
    cases = {
        404: desk.client.get("/nothing"),
        405: desk.client.delete("/", headers=OURS),
        413: desk.client.post("/language", content=b"x" * (LARGEST + 1), headers=OURS),
        422: desk.client.get("/start", params={"token": ["a"]} | {}),
        421: desk.client.get("/", headers={"host": "x"}),
    }
    cases.pop(422)
    for status, answer in cases.items():
        assert answer.status_code == status
        assert "<h1>Something is in the way</h1>" in answer.text, status
        assert answer.headers["content-type"] == "text/html; charset=utf-8"


def test_what_a_page_can_not_read_has_the_same_page(outside: AtDesk) -> None:
    @outside.app.get("/number/{number}")
    def number(number: int) -> None: ...

    answer = outside.client.get("/number/x")
    assert answer.status_code == 422
    assert "<h1>Something is in the way</h1>" in answer.text


def test_a_length_that_is_not_declared_is_counted(desk: AtDesk) -> None:
    def parts():  # type: ignore[no-untyped-def]
        for _ in range(20):
            yield b"a" * (LARGEST // 10)

    kind = "application/x-www-form-urlencoded"
    answer = desk.client.post("/language", content=parts(), headers=OURS | {"content-type": kind})
    assert answer.status_code == 413


def test_a_fault_shows_a_reference_and_nothing_of_anybody(
    desk: AtDesk, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(*_: object) -> None:
        raise ValueError("Pat Lee, correct-horse")

    monkeypatch.setattr("onboard.desk.rooms.today.list_windows", fail)
    answer = desk.client.get("/?said=Pat+Lee")
    assert answer.status_code == 500
    found = re.search(r'class="code">(\S+)</strong>', answer.text)
    assert found
    assert found[1] in caplog.text
    assert "today.py" in caplog.text
    for secret in ("Pat Lee", "correct-horse", "Traceback"):
        assert secret not in answer.text
        assert secret not in caplog.text.replace('raise ValueError("Pat Lee, correct-horse")', "")


def test_a_settings_file_with_a_mistake_is_told_and_read_again(desk: AtDesk) -> None:
    desk.place.office.settings.file.write_text("[coop\n")
    answer = desk.client.get("/")
    assert answer.status_code == 422
    assert "onboard.toml" in answer.text


# ---------------------------------------------------------------- where it listens


@pytest.mark.parametrize(
    "how",
    [
        Listening(address="0.0.0.0"),
        Listening(address="::"),
        Listening(address="192.0.2.1", name="desk.example.org"),
        Listening(address="desk.example.org", name="desk.example.org"),
        Listening(certificate=Path("c.pem")),
        Listening(address="0.0.0.0", certificate=Path("c.pem"), key=Path("k.pem")),
        Listening(behind_proxy=True),
        Listening(address="0.0.0.0", name="desk.example.org", behind_proxy=True),
    ],
)
def test_it_does_not_listen_where_others_could_read_along(how: Listening) -> None:
    with pytest.raises(FileTrouble):
        see_that_it_is_safe(how, proxy="")


@pytest.mark.parametrize(
    "how",
    [
        Listening(),
        Listening(address="127.0.0.2"),
        Listening(address="::1"),
        Listening(address="localhost"),
        Listening(name="desk.example.org", behind_proxy=True),
        Listening(
            address="0.0.0.0", name="desk.example.org", certificate=Path("c.pem"), key=Path("k.pem")
        ),
    ],
)
def test_it_listens_here_or_with_tls(how: Listening) -> None:
    see_that_it_is_safe(how, proxy="")


def test_behind_a_proxy_that_the_settings_state_it_answers_to_no_other_computer(
    office: Office,
) -> None:
    how = Listening(address="0.0.0.0", name="desk.example.org", behind_proxy=True)
    see_that_it_is_safe(how, proxy="192.0.2.7")
    rule = replace(office.settings.desk, proxy="192.0.2.7")
    place = placed(replace(office, settings=replace(office.settings, desk=rule)), how, 443)
    for address, status in (("192.0.2.7", 200), ("198.51.100.9", 403), ("127.0.0.1", 403)):
        client = TestClient(
            desking.make(place), base_url="https://desk.example.org", client=(address, 1)
        )
        assert client.get("/signed-out").status_code == status
    at_home = placed(office, Listening(name="desk.example.org", behind_proxy=True), 443)
    assert at_home.proxies == {"127.0.0.1", "::1"}


# ---------------------------------------------------------------- served


def test_the_command_serves_until_it_is_stopped_and_its_log_holds_no_secret(folder: Path) -> None:
    import httpx2

    with served(folder, "--port", "0") as one:
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/start\?token=[\w-]{43}", one.link)
        with httpx2.Client(follow_redirects=True, timeout=60) as browser:
            assert "<h1>Today</h1>" in browser.get(one.link).text
            assert browser.get(one.base + "/nothing?said=Pat").status_code == 404
        raw = httpx2.get(
            one.base + "/",
            headers={"host": "evil.example", "x-forwarded-for": "1.2.3.4"},
            timeout=60,
        )
        assert raw.status_code == 421
        assert "server" not in raw.headers
    assert one.process.returncode == 0
    token = one.link.partition("token=")[2]
    assert "\n".join(one.said).count(token) == 1
    assert "Pat" not in "\n".join(one.said)
    assert (folder / "roster.db").stat().st_mode & 0o077 == 0


def test_a_session_outlives_the_server(folder: Path) -> None:
    import httpx2

    with httpx2.Client(follow_redirects=True, timeout=60) as browser:
        with served(folder) as one:
            browser.get(one.link)
            port = one.base.rpartition(":")[2]
        with served(folder, "--port", port) as again:
            assert browser.get(again.base + "/").status_code == 200


def test_help_loads_nothing_of_it() -> None:
    import subprocess
    import sys

    code = (
        "import sys\nfrom onboard.cli import main\ntry:\n    main()\nexcept SystemExit:\n    pass\n"
        "print([m for m in ('fastapi', 'starlette', 'uvicorn') if m in sys.modules])"
    )
    for said in (["--help"], ["desk", "--help"], ["find", "--help"]):
        done = subprocess.run(
            [sys.executable, "-c", code, *said],
            capture_output=True,
            text=True,
            check=True,
            env=os.environ,
        )
        assert done.stdout.splitlines()[-1] == "[]", said


def test_what_was_typed_is_kept_while_somebody_else_saves(desk: AtDesk, members: Office) -> None:
    import sqlite3

    form = {"ended": "helped", "about": "dates", "words": "about a truck"}
    csrf = desk.csrf
    other = sqlite3.connect(members.settings.file.parent / "roster.db", isolation_level=None)
    try:
        for engine in members._opened.values():
            engine.dispose()
        members._opened.clear()
        members._opened["write"] = store.open_store(members.roster_url, wait=0.2)
        other.execute("BEGIN IMMEDIATE")
        busy = desk.client.post("/calls/member/1/note", data={"csrf": csrf} | form, headers=OURS)
        assert busy.status_code == 503
        assert 'name="words" value="about a truck"' in busy.text
        assert csrf in busy.text
    finally:
        other.close()
    assert "The call is written down." in desk.post("/calls/member/1/note", **form).text  # type: ignore[arg-type]

"""Several people at the desk: invited, signed in with password and code, slowed down, signed out, closed."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

import pytest
from at_desk import BASE, AtDesk
from sqlalchemy import select
from starlette.testclient import TestClient

from onboard import codes
from onboard.desk.place import CLICKS, IN_SECONDS
from onboard.office import Office
from onboard.roster import journal, staff, tables
from onboard.tasks import code_keys, own_account, staff_sign_in
from onboard.tasks.note_refused import REFUSED
from onboard.web.rates import Rate

GOOD = "tomatoes on sunday morning"
OTHER = "seven quiet goats in a boat"
OURS = {"origin": BASE}


def browser(desk: AtDesk, address: str = "192.0.2.1") -> TestClient:
    """Another browser, at an address of its own."""
    return TestClient(
        desk.app, base_url=BASE, client=(address, 50000), raise_server_exceptions=False
    )


def invited(desk: AtDesk, name: str = "Sam Moor", role: str = "coordinator") -> str:
    """The token of the link that an owner makes for somebody."""
    page = desk.post("/staff/invite", name=name, role=role).text
    found = re.search(r"http://127.0.0.1:8400/invitation\?token=([\w-]{43})", page)
    assert found, page
    return found[1]


def accepts(desk: AtDesk, token: str, password: str = GOOD, code: str = ""):  # type: ignore[no-untyped-def]
    said = {"token": token, "password": password, "code": code}
    return browser(desk).post("/invitation", data=said, headers=OURS)


def joins(desk: AtDesk, name: str = "Sam Moor", role: str = "coordinator") -> None:
    assert "Saved" in accepts(desk, invited(desk, name, role)).text


def signs_in(client: TestClient, name: str = "Sam Moor", password: str = GOOD, code: str = ""):  # type: ignore[no-untyped-def]
    said = {"name": name, "password": password, "code": code, "back": "/windows"}
    return client.post("/sign-in", data=said, headers=OURS, follow_redirects=False)


def at_work(desk: AtDesk, *who: str, address: str = "192.0.2.1") -> TestClient:
    client = browser(desk, address)
    assert signs_in(client, *who).status_code == 303
    return client


def sends(client: TestClient, path: str, **said: str):  # type: ignore[no-untyped-def]
    csrf = client.get("/account").text.partition('name="csrf" value="')[2][:64]
    return client.post(path, data={"csrf": csrf} | said, headers=OURS)


def number_of(office: Office, name: str) -> int:
    return account_of(office, name).id


def account_of(office: Office, name: str = "Sam Moor") -> staff.Account:
    with office.reading() as connection:
        found = staff.by_name(connection, name)
    assert found
    return found


def noted(office: Office) -> list[str]:
    with office.reading() as connection:
        return [what for _, _, what, _, _ in journal.read(connection, "roster")]


# ---------------------------------------------------------------- invited


def test_somebody_is_invited_chooses_a_password_and_signs_in(desk: AtDesk, office: Office) -> None:
    token = invited(desk)
    page = browser(desk).get(f"/invitation?token={token}").text
    assert 'value="Sam Moor"' in page
    assert "Saved" in accepts(desk, token).text
    client = browser(desk)
    going = signs_in(client, "  sam MOOR ")
    assert (going.status_code, going.headers["location"]) == (303, "/windows")
    assert "httponly" in going.headers["set-cookie"].lower()
    page = client.get("/").text
    assert "Signed in as Sam Moor." in page
    assert 'href="/staff"' not in page
    assert client.get("/staff").status_code == 403
    assert {"staff invited", "password chosen by a link", "signed in at the desk"} <= set(
        noted(office)
    )
    with office.reading() as connection:
        kept = str(connection.execute(select(tables.staff)).all())
    assert token not in kept
    assert GOOD not in kept
    assert "$argon2id$" in kept


def test_a_link_works_once_and_for_a_day(desk: AtDesk) -> None:
    token = invited(desk)
    assert accepts(desk, token).status_code == 200
    again = accepts(desk, token, OTHER)
    assert again.status_code == 403
    assert "does not work any more" in again.text
    assert signs_in(browser(desk), "Sam Moor", OTHER).status_code == 422
    late = invited(desk, "Ana Fir")
    desk.clock.at += timedelta(hours=24, seconds=1)
    assert accepts(desk, late).status_code == 403
    for wrong in ("", "A" * 43, "ñ\x00"):
        assert browser(desk).get("/invitation", params={"token": wrong}).status_code == 403


def test_a_newer_link_ends_the_one_before(desk: AtDesk, office: Office) -> None:
    first = invited(desk)
    second = desk.post(f"/staff/{number_of(office, 'Sam Moor')}/link").text
    assert accepts(desk, first).status_code == 403
    newer = re.search(r"token=([\w-]{43})", second)
    assert newer
    assert accepts(desk, newer[1]).status_code == 200


@pytest.mark.parametrize("name", ["", "  ", "---", "x" * 61, "a\x07b"])
def test_a_name_that_nobody_has_is_refused(desk: AtDesk, name: str) -> None:
    answer = desk.post("/staff/invite", name=name, role="reader")
    assert answer.status_code == 422
    assert "Type the name of the person" in answer.text


def test_two_accounts_never_have_one_name_and_each_has_a_role(desk: AtDesk) -> None:
    invited(desk)
    assert (
        "There is an account with this name already"
        in desk.post("/staff/invite", name="SAM  moor", role="owner").text
    )
    assert "Choose a role." in desk.post("/staff/invite", name="Ana", role="king").text


# ---------------------------------------------------------------- passwords


@pytest.mark.parametrize(
    ("password", "said"),
    [
        ("short one", "at least 15 characters"),
        ("1234567890123456", "easy to guess"),
        ("passwordpassword", "stolen most often"),
        ("Tinkerbell-123456", "stolen most often"),
        ("qwertyuiopasdfghjkl", "easy to guess"),
        ("aaaaaaaaaaaaaaaaaaaa", "easy to guess"),
        ("Test Growers Co-op 2026", "easy to guess"),
        ("testgrowersco-op!!", "easy to guess"),
        ("SamMoorSamMoor99", "easy to guess"),
        ("iloveyouiloveyou1", "easy to guess"),
        ("x" * 1001, "at most 1000 characters"),
    ],
)
def test_a_password_that_others_would_guess_is_refused(
    desk: AtDesk, password: str, said: str
) -> None:
    token = invited(desk)
    answer = accepts(desk, token, password)
    assert answer.status_code == 422
    assert said in answer.text
    assert f'value="{password}"' not in answer.text
    assert accepts(desk, token).status_code == 200


@pytest.mark.parametrize(
    "password",
    [GOOD, " blanks around count ", "ñandú y cóndor sobre Lima", "🐐🐐 goats and 🍅 tomatoes", "k9 %2Z q1 ¿! x7 p3", "w " * 400],
)  # fmt: skip
def test_any_long_password_is_taken_as_it_is(desk: AtDesk, password: str) -> None:
    if password.startswith("w "):
        password = "".join(f"goat{number * 7919 % 977} " for number in range(90))
    assert accepts(desk, invited(desk), password).status_code == 200
    assert signs_in(browser(desk), "Sam Moor", password).status_code == 303
    for other in (
        password.strip() if password != password.strip() else f"{password} ",
        password.upper(),
    ):
        assert signs_in(browser(desk), "Sam Moor", other).status_code == 422


def test_a_password_is_changed_by_whoever_knows_the_old_one(desk: AtDesk, office: Office) -> None:
    joins(desk)
    here, there = at_work(desk), at_work(desk)
    wrong = sends(here, "/account/password", old="not this one", new=OTHER)
    assert wrong.status_code == 422
    assert "The password is not right." in wrong.text
    assert there.get("/").status_code == 200
    done = sends(here, "/account/password", old=GOOD, new=OTHER)
    assert "Your password is changed." in done.text
    assert there.get("/").status_code == 401
    assert signs_in(browser(desk)).status_code == 422
    assert signs_in(browser(desk), "Sam Moor", OTHER).status_code == 303
    assert "password changed" in noted(office)


def test_wrong_old_passwords_are_counted_too(desk: AtDesk) -> None:
    joins(desk)
    client = at_work(desk)
    for _ in range(5):
        sends(client, "/account/password", old="not this one", new=OTHER)
    assert (
        "There were too many wrong tries."
        in sends(client, "/account/password", old=GOOD, new=OTHER).text
    )


# ---------------------------------------------------------------- the second step


def code_now(desk: AtDesk, office: Office, name: str = "Sam Moor") -> str:
    """What somebody's app shows."""
    from passlib.totp import TOTP

    with office.reading() as connection:
        found = staff.by_name(connection, name)
    assert found
    return str(
        TOTP(key=code_keys.opened(office, found).code_key)
        .generate(int(desk.clock.at.timestamp()))
        .token
    )


def recovery_in(page: str) -> list[str]:
    return re.findall(r"<li>((?:[a-z2-7]{4}-){5}[a-z2-7]{4})</li>", page)


def test_with_a_code_eight_characters_are_enough_and_without_it_nobody_gets_in(
    desk: AtDesk, office: Office
) -> None:
    token = invited(desk)
    assert "not right" in accepts(desk, token, "gx7.q-tw", "000000").text
    done = accepts(desk, token, "gx7.q-tw", code_now(desk, office))
    assert len(set(recovery_in(done.text))) == 10
    desk.clock.at += timedelta(seconds=30)
    for code in ("", "000000", "1", "ñ", code_now(desk, office)[:5]):
        assert signs_in(browser(desk), "Sam Moor", "gx7.q-tw", code).status_code == 422
        with office.transaction() as connection:
            connection.execute(tables.sign_in_try.delete())
    code = code_now(desk, office)
    assert (
        signs_in(browser(desk), "Sam Moor", "gx7.q-tw", f" {code[:3]} {code[3:]} ").status_code
        == 303
    )
    # A code is used once, also by somebody who looked over the shoulder.
    assert signs_in(browser(desk), "Sam Moor", "gx7.q-tw", code).status_code == 422


def test_a_recovery_code_works_once(desk: AtDesk, office: Office) -> None:
    token = invited(desk)
    first, second, *_ = recovery_in(accepts(desk, token, GOOD, code_now(desk, office)).text)
    assert signs_in(browser(desk), "Sam Moor", GOOD, first).status_code == 303
    assert signs_in(browser(desk), "Sam Moor", GOOD, first).status_code == 422
    client = browser(desk)
    assert signs_in(client, "Sam Moor", GOOD, second.upper().replace("-", " ")).status_code == 303
    assert "Recovery codes left: 8." in client.get("/account").text
    with office.reading() as connection:
        kept = {row.digest for row in connection.execute(select(tables.recovery_code))}
    assert len(kept) == 8
    assert first not in str(kept)
    assert noted(office).count("recovery code used") == 2


def test_the_second_step_begins_and_ends_on_ones_own_page(desk: AtDesk, office: Office) -> None:
    joins(desk)
    client = at_work(desk)
    said = {"code-password": GOOD, "code": code_now(desk, office)}
    assert sends(client, "/account/code", **(said | {"code-password": "x"})).status_code == 422
    assert sends(client, "/account/code", **(said | {"code": "123"})).status_code == 422
    assert len(recovery_in(sends(client, "/account/code", **said).text)) == 10
    assert "data:image/svg" not in client.get("/account").text
    again = recovery_in(sends(client, "/account/recovery", **{"code-password": GOOD}).text)
    assert len(again) == 10
    assert (
        "You sign in without a code"
        in sends(client, "/account/code/end", **{"code-password": GOOD}).text
    )
    assert signs_in(browser(desk), "Sam Moor", GOOD, again[0]).status_code == 303
    with office.reading() as connection:
        assert connection.execute(select(tables.recovery_code)).all() == []


def test_a_short_password_does_not_stay_without_its_code(desk: AtDesk, office: Office) -> None:
    (one, *_) = recovery_in(accepts(desk, invited(desk), "gx7.q-tw", code_now(desk, office)).text)
    client = browser(desk)
    signs_in(client, "Sam Moor", "gx7.q-tw", one)
    answer = sends(client, "/account/code/end", **{"code-password": "gx7.q-tw"})
    assert "a password needs at least 15 characters" in answer.text


def test_a_new_link_keeps_the_code_and_starting_over_takes_it(desk: AtDesk, office: Office) -> None:
    accepts(desk, invited(desk), "gx7.q-tw", code_now(desk, office))
    number = number_of(office, "Sam Moor")
    link = re.search(r"token=([\w-]{43})", desk.post(f"/staff/{number}/link").text)
    assert link
    assert accepts(desk, link[1], "nv4+9.zk").status_code == 200
    desk.clock.at += timedelta(minutes=2)
    assert signs_in(browser(desk), "Sam Moor", "nv4+9.zk").status_code == 422
    assert (
        signs_in(browser(desk), "Sam Moor", "nv4+9.zk", code_now(desk, office)).status_code == 303
    )
    link = re.search(r"token=([\w-]{43})", desk.post(f"/staff/{number}/start-over").text)
    assert link
    assert (
        signs_in(browser(desk), "Sam Moor", "nv4+9.zk", code_now(desk, office)).status_code == 422
    )
    assert "at least 15 characters" in accepts(desk, link[1], "nv4+9.zk").text


# ---------------------------------------------------------------- guessing


def test_waits_grow_and_are_the_same_for_a_name_that_nobody_has(desk: AtDesk) -> None:
    joins(desk)

    def story(name: str, address: str) -> list[str]:
        told = []
        for wait in (0, 0, 0, 0, 0, 61, 121):
            desk.clock.at += timedelta(seconds=wait)
            answer = signs_in(browser(desk, address), name, "wrong")
            told.append(re.sub(r"\s+", " ", answer.text).replace(name, "NAME"))
            assert answer.status_code == 422
        told.append(
            re.sub(r"\s+", " ", signs_in(browser(desk, address), name, GOOD).text).replace(
                name, "NAME"
            )
        )
        return told

    begun = desk.clock.at
    known = story("Sam Moor", "192.0.2.1")
    desk.clock.at = begun
    assert story("Nobody Atall", "192.0.2.2") == known
    assert "Wait" not in known[3]
    assert "Wait 1 minute before" in known[4]
    assert "Wait 2 minutes before" in known[5]
    assert "Wait 4 minutes before" in known[6]
    assert "too many wrong tries. Wait 4 minutes" in known[7]  # even with the right one
    desk.clock.at += timedelta(minutes=5)
    assert signs_in(browser(desk)).status_code == 303
    # Whoever gets in begins anew.
    assert "Wait" not in signs_in(browser(desk), "Sam Moor", "wrong").text


def test_an_unknown_name_takes_as_much_hashing_as_a_known_one(
    desk: AtDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    joins(desk)
    invited(desk, "Ana Fir")
    hashed: list[str] = []
    verify = staff_sign_in.passwords.verify_chosen
    monkeypatch.setattr(
        staff_sign_in.passwords, "verify_chosen",
        lambda typed, stored: hashed.append(typed) or verify(typed, stored),
    )  # fmt: skip
    for name in ("Sam Moor", "Ana Fir", "Nobody Atall"):
        assert signs_in(browser(desk), name, "wrong").status_code == 422
    assert hashed == ["wrong"] * 3


def test_many_names_from_one_place_are_slowed_down_and_other_places_are_not(desk: AtDesk) -> None:
    joins(desk)
    for number in range(21):
        answer = signs_in(browser(desk, "2001:db8::1"), f"Name {number}", "wrong")
        assert "too many" not in answer.text, number
    assert "too many wrong tries" in signs_in(browser(desk, "2001:db8::ffff")).text
    assert signs_in(browser(desk, "2001:db8:1::1")).status_code == 303


def test_after_a_hundred_wrong_tries_only_a_new_link_lets_in(desk: AtDesk, office: Office) -> None:
    joins(desk)
    for number in range(100):
        desk.clock.at += timedelta(hours=1)
        signs_in(browser(desk, f"192.0.2.{number}"), "Sam Moor", "wrong")
    desk.clock.at += timedelta(hours=2)
    assert "Ask an owner for a new link" in signs_in(browser(desk, "198.51.100.1")).text
    desk.sign_in()
    link = re.search(
        r"token=([\w-]{43})", desk.post(f"/staff/{number_of(office, 'Sam Moor')}/link").text
    )
    assert link
    assert accepts(desk, link[1]).status_code == 200
    assert signs_in(browser(desk)).status_code == 303


def test_the_change_log_tells_of_failures_and_never_of_what_was_typed(
    desk: AtDesk, office: Office
) -> None:
    joins(desk)
    signs_in(browser(desk), "Sam Moor", "secret-that-was-typed")
    signs_in(browser(desk), "password-typed-as-a-name", "x")
    with office.reading() as connection:
        lines = connection.execute(select(tables.journal)).all()
        tries = connection.execute(select(tables.sign_in_try)).all()
    assert [line.after for line in lines if line.what == staff_sign_in.FAILED] == [
        {"name": "Sam Moor", "from": "192.0.2.1"},
        {"from": "192.0.2.1"},  # what was typed as a name may be a password
    ]
    for secret in ("secret-that-was-typed", "password-typed-as-a-name"):
        assert secret not in f"{lines} {tries}"


def test_what_a_stranger_says_of_the_address_is_not_believed(desk: AtDesk) -> None:
    joins(desk)
    for number in range(22):
        answer = browser(desk).post(
            "/sign-in", data={"name": f"N{number}", "password": "x"},
            headers=OURS | {"x-forwarded-for": f"203.0.113.{number}"},
        )  # fmt: skip
    assert "too many wrong tries" in answer.text


# ---------------------------------------------------------------- roles and closing


def test_a_changed_role_counts_at_the_next_click(desk: AtDesk, office: Office) -> None:
    joins(desk, role="reader")
    client = at_work(desk)
    assert client.get("/calls").status_code == 403
    number = number_of(office, "Sam Moor")
    assert "The role is changed." in desk.post(f"/staff/{number}/role", role="help desk").text
    assert client.get("/calls").status_code == 200
    desk.post(f"/staff/{number}/role", role="reader")
    assert client.get("/calls").status_code == 403
    assert noted(office).count("staff role changed") == 2


def test_a_closed_account_is_out_at_once_and_may_come_back(desk: AtDesk, office: Office) -> None:
    joins(desk)
    client, number = at_work(desk), number_of(office, "Sam Moor")
    assert "The account is closed." in desk.post(f"/staff/{number}/close").text
    assert client.get("/").status_code == 401
    assert signs_in(browser(desk)).status_code == 422
    assert "is closed. Open it again first" in desk.post(f"/staff/{number}/role", role="owner").text
    assert "is closed. Open it again first" in desk.post(f"/staff/{number}/link").text
    assert "open again" in desk.post(f"/staff/{number}/open").text
    assert client.get("/").status_code == 401
    assert signs_in(browser(desk)).status_code == 303


def test_the_last_owner_stays(desk: AtDesk, office: Office) -> None:
    joins(desk, "Ana Fir", "owner")
    number = number_of(office, "Ana Fir")
    for path, said in (
        (f"/staff/{number}/close", {}),
        (f"/staff/{number}/role", {"role": "reader"}),
        (f"/staff/{number}/start-over", {}),
    ):
        assert "This is the last owner who can sign in." in desk.post(path, **said).text
    invited(desk, "Sam Moor", "owner")  # has not signed in yet: no help
    assert "This is the last owner" in desk.post(f"/staff/{number}/close").text
    assert (
        "The account is closed." in desk.post(f"/staff/{number_of(office, 'Sam Moor')}/close").text
    )
    joins(desk, "Lou Ash", "owner")
    assert "The account is closed." in desk.post(f"/staff/{number}/close").text


def test_an_unknown_number_is_told_so(desk: AtDesk) -> None:
    for number in ("0", "77", "99999999999999999999"):
        assert "There is no such account." in desk.client.get(f"/staff/{number}").text


# ---------------------------------------------------------------- sessions


def test_sessions_are_listed_ended_one_by_one_and_all_at_once(desk: AtDesk) -> None:
    joins(desk)
    joins(desk, "Ana Fir", "owner")
    here, there, third, other = (
        at_work(desk),
        at_work(desk),
        at_work(desk),
        at_work(desk, "Ana Fir"),
    )
    page = here.get("/account").text
    listed = re.findall(r'name="session" value="(\w{64})"', page)
    assert len(listed) == 2
    assert "this one" in page
    sends(here, "/account/sessions/end", session=listed[0])
    assert sorted(one.get("/").status_code for one in (there, third)) == [200, 401]
    sends(other, "/account/sessions/end", session=listed[1])  # not hers
    assert sorted(one.get("/").status_code for one in (there, third)) == [200, 401]
    sends(here, "/sign-out-everywhere")
    assert [one.get("/").status_code for one in (here, there, third, other)] == [401, 401, 401, 200]
    assert desk.client.get("/").status_code == 200


def test_signing_in_gives_a_new_token_and_ends_the_one_before(desk: AtDesk) -> None:
    joins(desk)
    client = at_work(desk)
    before = dict(client.cookies)
    assert signs_in(client).status_code == 303
    assert dict(client.cookies) != before
    assert TestClient(desk.app, base_url=BASE, cookies=before).get("/").status_code == 401


def test_a_session_with_a_password_ends_as_one_by_the_link_does(desk: AtDesk) -> None:
    joins(desk)
    client = at_work(desk)
    desk.clock.at += timedelta(hours=2, seconds=1)
    answer = client.get("/windows")
    assert answer.status_code == 401
    assert 'name="back" value="/windows"' in answer.text


def test_after_signing_in_one_goes_on_to_our_own_pages_only(desk: AtDesk) -> None:
    joins(desk)
    for back in ("//evil.example", "https://evil.example", "/\\evil.example", "evil"):
        said = {"name": "Sam Moor", "password": GOOD, "back": back}
        answer = browser(desk).post("/sign-in", data=said, headers=OURS, follow_redirects=False)
        assert answer.headers["location"] == "/"


def test_a_form_of_another_page_signs_nobody_in(desk: AtDesk) -> None:
    joins(desk)
    said = {"name": "Sam Moor", "password": GOOD}
    for headers in ({}, {"origin": "https://evil.example"}, {"sec-fetch-site": "cross-site"}):
        assert browser(desk).post("/sign-in", data=said, headers=headers).status_code == 403


def test_what_was_typed_is_kept_for_whoever_signs_in_with_a_password(desk: AtDesk) -> None:
    joins(desk)
    client = at_work(desk)
    csrf = client.get("/account").text.partition('name="csrf" value="')[2][:64]
    desk.clock.at += timedelta(hours=3)
    ended = client.post("/language", data={"csrf": csrf, "language": "es"}, headers=OURS)
    assert ended.status_code == 401
    assert 'name="language" value="es"' in ended.text
    assert 'href="/sign-in" target="_blank"' in ended.text


# ---------------------------------------------------------------- how much


def test_a_program_that_never_rests_is_slowed_down_and_what_it_sent_is_kept(desk: AtDesk) -> None:
    now = [0.0]
    desk.place.pace = Rate(CLICKS, IN_SECONDS, lambda: now[0])
    csrf = desk.csrf
    said = {"csrf": csrf, "language": "en", "back": "/calls"}
    statuses = [
        desk.client.post("/language", data=said, headers=OURS, follow_redirects=False).status_code
        for _ in range(CLICKS + 1)
    ]
    assert statuses == [303] * CLICKS + [429]
    slowed = desk.client.post("/calls/found", data={"csrf": csrf, "said": "pat"}, headers=OURS)
    assert slowed.status_code == 429
    assert slowed.headers["retry-after"] == "60"
    assert 'name="said" value="pat"' in slowed.text
    assert desk.client.get("/").status_code == 200
    now[0] += 60
    assert (
        desk.client.post(
            "/calls/found", data={"csrf": csrf, "said": "pat"}, headers=OURS
        ).status_code
        == 200
    )


def test_the_pace_is_everybodys_own_and_forgets_whoever_came_long_ago(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    now = [0.0]
    pace = Rate(CLICKS, IN_SECONDS, lambda: now[0])
    assert not any(pace.wait("a") for _ in range(600))
    assert pace.wait("a") == pytest.approx(0.1)
    assert not pace.wait("b", 600)
    assert pace.wait("b", 600) == pytest.approx(60)
    now[0] += 1
    assert not pace.wait("a", 10)
    assert pace.wait("a")
    monkeypatch.setattr("onboard.web.rates.REMEMBERED", 2)
    now[0] += 3600
    pace.wait("c")
    pace.wait("d")
    assert len(pace._left) == 2


def test_codes_and_hashes_stay_out_of_descriptions(desk: AtDesk, office: Office) -> None:
    joins(desk)
    with office.reading() as connection:
        account = staff.by_name(connection, "Sam Moor")
    assert account
    key = code_keys.opened(office, account).code_key
    assert key not in repr(account) + repr(own_account.mine(office, account.id))
    assert "argon2" not in repr(replace(account, link="x" * 64))
    assert codes.grouped(key) not in desk.client.get("/staff").text


# ---------------------------------------------------------------- keys of codes


def kept_keys(office: Office) -> list[str]:
    with office.reading() as connection:
        return [one.code_key for one in staff.every(connection)]


def test_the_roster_alone_makes_no_codes(desk: AtDesk, office: Office) -> None:
    page = browser(desk).get(f"/invitation?token={invited(desk)}").text
    shown = re.search(r'The key:.*?class="code">([A-Z2-7 ]+)<', page)
    assert shown
    (kept,) = kept_keys(office)
    assert shown[1].replace(" ", "") not in kept
    file = office.settings.file.parent / code_keys.FILE
    assert file.stat().st_mode & 0o777 == 0o600
    assert codes.grouped(codes.unsealed(kept, file.read_bytes().strip())) == shown[1]


def test_keys_that_lie_open_are_sealed_when_the_desk_starts(desk: AtDesk, office: Office) -> None:
    token = invited(desk)
    accepts(desk, token, code=code_now(desk, office))
    sam = account_of(office)
    before = code_keys.opened(office, sam).code_key
    with office.transaction() as connection:  # as an earlier version kept it
        staff.put(connection, sam.id, code_key=before)
    assert kept_keys(office) == [before]
    assert code_keys.seal_all(office) == 1
    assert code_keys.seal_all(office) == 0
    assert before not in kept_keys(office)
    desk.clock.at += timedelta(minutes=1)
    assert signs_in(browser(desk), code=code_now(desk, office)).status_code == 303


def test_without_its_file_no_code_fits_and_a_recovery_code_does(
    desk: AtDesk, office: Office
) -> None:
    page = accepts(desk, invited(desk), code=code_now(desk, office)).text
    (recovery, *_) = recovery_in(page)
    desk.clock.at += timedelta(minutes=1)
    code = code_now(desk, office)
    file = office.settings.file.parent / code_keys.FILE
    kept = file.read_bytes()
    for content, told in ((None, "is missing"), (codes.new_seal(), "is not the file")):
        file.unlink() if content is None else file.write_bytes(content)
        answer = signs_in(browser(desk), code=code)
        assert answer.status_code == 422
        assert told in answer.text
        assert "ask an owner to start the account over" in answer.text
    assert signs_in(browser(desk), code=recovery).status_code == 303
    file.write_bytes(kept)
    assert signs_in(browser(desk), code=code).status_code == 303


# ---------------------------------------------------------------- signed out by an owner, and out for good


def test_an_owner_signs_somebody_out_everywhere(desk: AtDesk, office: Office) -> None:
    joins(desk)
    joins(desk, "Lou Ash", "owner")
    one, two = at_work(desk), at_work(desk, address="192.0.2.9")
    owner = at_work(desk, "Lou Ash", address="192.0.2.3")
    path = f"/staff/{number_of(office, 'Sam Moor')}"
    assert desk.client.get(path).text.count("last used") == 2
    assert "They are signed out everywhere." in sends(owner, f"{path}/sign-out").text
    assert [browser.get("/").status_code for browser in (one, two, owner)] == [401, 401, 200]
    assert "Nowhere at the moment." in owner.get(path).text
    assert "staff signed out" in noted(office)
    assert signs_in(one).status_code == 303


def test_signing_out_leaves_nothing_in_the_browser(desk: AtDesk) -> None:
    for path in ("/sign-out", "/sign-out-everywhere"):
        answer = desk.post(path, follow=False)
        # No "cookies": that would sign members' browsers out of the co-op's other pages.
        assert answer.headers["clear-site-data"] == '"cache", "storage"'
        assert "Max-Age=0" in answer.headers["set-cookie"]
        desk.sign_in()


# ---------------------------------------------------------------- what was refused


def test_what_a_role_refuses_is_in_the_change_log_without_a_value(
    desk: AtDesk, office: Office
) -> None:
    joins(desk, role="reader")
    client = at_work(desk)
    assert client.get("/calls/member/777").status_code == 403
    assert sends(client, "/staff/invite", name="A secret that was typed").status_code == 403
    with office.reading() as connection:
        lines = connection.execute(select(tables.journal)).all()
    refused = [line for line in lines if line.what == REFUSED]
    assert [(line.who, line.why, line.after) for line in refused] == [
        ("Sam Moor", "GET /calls/{kind}/{key}", {"from": "192.0.2.1"}),
        ("Sam Moor", "POST /staff/invite", {"from": "192.0.2.1"}),
    ]
    assert "A secret" not in str(lines)
    for _ in range(40):  # it fills no log
        client.get("/staff")
    assert noted(office).count(REFUSED) < 25


def test_what_stands_outside_and_is_refused_is_told_in_the_programs_log(
    desk: AtDesk, caplog: pytest.LogCaptureFixture
) -> None:
    stranger = browser(desk, "192.0.2.77")
    stranger.post(
        "/sign-in", data={"name": "typed-name"}, headers={"origin": "https://evil.example"}
    )
    stranger.get("/?token=typed-token", headers={"host": "evil.example"})
    for _ in range(6):
        signs_in(stranger, "typed-name", "typed-password")
    lines = [one for one in caplog.messages if "Refused" in one]
    assert lines[:2] == [
        "2026-12-02 12:00:00 UTC: Refused what came past our pages or our proxy, from 192.0.2.77",
        "2026-12-02 12:00:00 UTC: Refused a name that is not ours, from 192.0.2.77",
    ]
    assert "Refused a sign-in after too many wrong tries, from 192.0.2.77" in lines[2]
    assert "typed" not in caplog.text
    assert "evil" not in caplog.text
    for _ in range(50):
        stranger.get("/", headers={"host": "evil.example"})
    assert len([one for one in caplog.messages if "Refused" in one]) <= 20

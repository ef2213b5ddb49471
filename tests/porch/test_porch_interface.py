"""The interface of the porch: what it says of a form, what it takes in, and what it refuses."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx2
import pytest
from at_porch import HOME, PAT, QUESTION, AtPorch, porch, served

from onboard import spool
from onboard.porch import forms, judging
from onboard.porch.guards import LARGEST
from onboard.web.rates import Rate, of_address


@pytest.fixture
def here(tmp_path: Path) -> Iterator[AtPorch]:
    """A porch, and a program with a key."""
    with porch(tmp_path) as one:
        yield one


def findings(answer: Any) -> list[tuple[str, str, str | None]]:
    """Code, field and suggestion of each."""
    assert answer.status_code in (200, 201), answer.text
    return [(one["code"], one["field"], one["suggestion"]) for one in answer.json()["findings"]]


# ---------------------------------------------------------------- check


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ({"email": "robin@gmial.com"}, [("email.slip", "email", "robin@gmail.com")]),
        ({"email": "robin@hotmial.com"}, [("email.slip", "email", "robin@hotmail.com")]),
        ({"email": "robin@example.org"}, []),
        ({"email": "robin"}, [("email.unreadable", "email", None)]),
        ({"email": ""}, [("email.missing", "email", None)]),
        ({"given": "ROBIN"}, [("name.capitals", "given", "Robin")]),
        ({"given": "Robin", "family": "Vale"}, []),
        ({"given": "José", "family": "Núñez", "second_family": "Ortiz"}, []),
        ({"zip": "99999"}, [("place.unknown_zip", "zip", None)]),
        ({"zip": "54665"}, []),
        ({"site": "viroqua grange hal"}, [("site.misspelt", "site", "Viroqua Grange Hall")]),
        ({"phone": "608 234 56"}, [("phone.too_short", "phone", None)]),
        ({"state": "WI"}, []),
        ({"state": "Wisconsin", "city": "Viroqua"}, []),
        ({"state": "XX"}, [("address.no_state", "state", None)]),
        ({"city": "Viroqua"}, []),
        ({"unit": "4"}, []),
        ({"zip": "546"}, [("address.no_zip", "zip", None)]),
        ({"street": "Elm St"}, [("address.no_number", "street", None)]),
        ({"family": "Vale"}, []),
        ({"given": "Robin", "family": ""}, [("name.one_word", "given", None)]),
        ({"suffix": "Jr."}, []),
        ({"middle": "Q"}, []),
        ({}, []),
    ],
)
def test_one_field_is_judged_by_itself(here: AtPorch, typed: dict[str, str], found: object) -> None:
    assert findings(here.post("/v1/check", typed)) == found


@pytest.mark.parametrize(
    "text",
    ["", "4", "Elm", "12 Elm St", "XX", "546", "Jr.", "#", "pat", "Iowa, 1", "no", "Ana & Luis"],
)
def test_nothing_is_said_of_a_field_that_is_still_to_come(here: AtPorch, text: str) -> None:
    for field in forms.FIELDS:
        for _, at, _ in findings(here.post("/v1/check", {field: text})):
            assert at == field, text


def test_a_form_that_says_nobody_and_one_for_a_child_are_told(here: AtPorch) -> None:
    nobody = {"given": "asdf", "family": "asdf", "email": "x@x.com", "phone": "111-111-1111"}
    assert ("row.filler", "notes", None) in findings(here.post("/v1/check", nobody))
    told = here.post("/v1/check", PAT | {"notes": "age 9"}).json()["findings"]
    assert [(one["code"], one["note"].partition("?")[0]) for one in told] == [
        ("row.child", "Is this form for a child")
    ]


def test_a_whole_form_is_judged_with_words_and_weight(here: AtPorch) -> None:
    answer = here.post("/v1/check", PAT | {"email": "pat@gmial.com", "zip": "52101"})
    assert [(one["code"], one["weight"]) for one in answer.json()["findings"]] == [
        ("email.slip", "doubtful"), ("place.at_odds", "doubtful"),
    ]  # fmt: skip
    assert answer.json()["findings"][0]["note"] == "Did you mean pat@gmail.com?"
    assert here.post("/v1/check", PAT).json() == {"findings": []}


def test_it_speaks_the_language_of_whoever_asks(here: AtPorch) -> None:
    answer = here.post("/v1/check", {"email": "pat@gmial.com"}, accept_language="es-MX,en;q=0.5")
    assert answer.json()["findings"][0]["note"] == "¿Quiso decir pat@gmail.com?"


def test_each_finding_about_a_field_of_the_form_has_words() -> None:
    from onboard import catalogue

    known = judging.notes()
    fields = {
        "name",
        "email",
        "phone",
        "address",
        "place",
        "site",
        "language",
        "consent",
        "row",
        "notes",
        "fields",
    }
    codes = {kind.code for kind in catalogue.kinds()}
    for code in codes:
        if code.partition(".")[0] in fields:
            assert code in known or code.partition(".")[0] in known
    assert {code for code in known if "." in code} <= codes
    for english, spanish in known.values():
        assert set(english) & set("{") == set(spanish) & set("{")


# ---------------------------------------------------------------- sign-ups


def test_a_sign_up_is_on_the_disk_before_the_answer(here: AtPorch) -> None:
    answer = here.post(
        "/v1/sign-ups", PAT | {"answers": {QUESTION: "A friend"}, "consent_question": "Email OK?"}
    )
    assert answer.status_code == 201
    (entry,) = spool.look(here.folder).entries
    assert entry.identity == answer.json()["id"]
    assert entry.by == "website"
    said = {one.field: (one.asked, one.said) for one in entry.answers}
    assert said["consent"] == ("Email OK?", "Yes, you may email me.")
    assert said[f"extra:{QUESTION}"] == (QUESTION, "A friend")


def test_a_second_hand_in_is_one_sign_up_and_gets_the_same_answer(here: AtPorch) -> None:
    first, second = (here.post("/v1/sign-ups", PAT) for _ in range(2))
    assert (first.status_code, first.json()) == (second.status_code, second.json())
    named = [here.post("/v1/sign-ups", PAT, idempotency_key="k1") for _ in range(2)]
    assert named[0].json() == named[1].json() != first.json()
    assert [one.identity for one in spool.look(here.folder).entries] == [
        first.json()["id"], named[0].json()["id"],
    ]  # fmt: skip
    assert spool.look(here.folder).again == 0  # nothing is written twice
    other = here.post("/v1/sign-ups", PAT | {"given": "Kim"}, idempotency_key="k1")
    assert other.status_code == 409
    assert "Idempotency-Key" in other.json()["detail"]


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({}, "given"), ({"email": "pat@example.org"}, "given"), ({"given": "  ", "phone": "1"}, "given"),
        ({"given": "Pat"}, "email"), ({"given": "Pat", "email": "\t", "phone": ""}, "email"),
    ],
)  # fmt: skip
def test_without_a_name_or_a_way_back_it_stays_out(
    here: AtPorch, typed: dict[str, str], field: str
) -> None:
    answer = here.post("/v1/sign-ups", typed)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["field"] == field
    assert spool.look(here.folder).entries == []


@pytest.mark.parametrize(
    "typed", [{"given": "Pat", "phone": "ask my sister"}, {"given": "王", "family": "小明", "street": "12 Oak St"}, {"family": "Lee", "email": "x@y.org"}]
)  # fmt: skip
def test_what_is_only_doubtful_comes_in(here: AtPorch, typed: dict[str, str]) -> None:
    assert here.post("/v1/sign-ups", typed).status_code == 201


def test_a_disk_that_takes_nothing_gets_nobody_thanked(
    here: AtPorch, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(folder: Path, entries: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(spool, "add", full)
    answer = here.post("/v1/sign-ups", PAT)
    assert answer.status_code == 503
    assert answer.headers["retry-after"]
    monkeypatch.undo()
    assert here.post("/v1/sign-ups", PAT).status_code == 201


# ---------------------------------------------------------------- who, how much, from where


@pytest.mark.parametrize(
    "key", ["", "Bearer", "Bearer x", "Basic x", "Bearer é", "Bearer " + "x" * 5000]
)
def test_only_who_has_a_key_may_use_it(here: AtPorch, key: str) -> None:
    for path in ("/v1/check", "/v1/sign-ups"):
        answer = here.client.post(path, json=PAT, headers={"authorization": key.encode("latin-1")})
        assert answer.status_code == 401
        assert answer.headers["www-authenticate"] == "Bearer"
    assert spool.look(here.folder).entries == []


def test_keys_may_stand_in_the_environment(here: AtPorch, monkeypatch: pytest.MonkeyPatch) -> None:
    from onboard.porch import keys

    key, known = keys.new("other")
    monkeypatch.setenv(keys.FROM, f"x:1 {known}")
    here.client.headers["authorization"] = f"Bearer {key}"
    assert here.client.post("/v1/check", json={}).status_code == 200


def test_too_many_are_told_when_to_come_again(tmp_path: Path) -> None:
    with porch(tmp_path, sign_ups_per_hour=2, checks_per_minute=5) as here:
        codes = [
            here.post("/v1/sign-ups", PAT, idempotency_key=str(n)).status_code for n in range(3)
        ]
        assert codes == [201, 201, 429]
        answers = [here.post("/v1/check", {}) for _ in range(3)]
        assert [one.status_code for one in answers] == [200, 200, 429]
        assert 1 <= int(answers[-1].headers["retry-after"]) <= 60
        assert len(spool.look(here.folder).entries) == 2


def test_time_gives_back_what_was_used() -> None:
    at = [0.0]
    rate = Rate(2, 60, lambda: at[0])
    assert [rate.wait("a"), rate.wait("a"), rate.wait("b")] == [0, 0, 0]
    assert rate.wait("a") == pytest.approx(30)
    at[0] = 30.0
    assert rate.wait("a") == 0
    assert rate.wait("a") > 0
    for n in range(60_000):
        rate.wait(str(n))
    assert len(rate._left) == 50_000  # memory has a bound


def test_whoever_stands_in_front_may_not_say_who_asks(tmp_path: Path) -> None:
    with porch(tmp_path, checks_per_minute=3) as here:
        codes = [
            here.post("/v1/check", {}, x_forwarded_for=f"192.0.2.{n}").status_code for n in range(4)
        ]
        assert codes == [200, 200, 200, 429]
        here.place.behind_proxy = True  # then its last word counts, and not the client's
        codes = [
            here.post("/v1/check", {}, x_forwarded_for=f"192.0.2.{n}, 198.51.100.7").status_code
            for n in range(4)
        ]
        assert codes == [200, 200, 200, 429]
    assert of_address("::ffff:192.0.2.1") == "192.0.2.1"
    assert of_address("evil\r\n") == "unknown"


@pytest.mark.parametrize("origin", ["https://coop.example.org", "https://evil.example.org"])
def test_only_pages_that_the_settings_name_may_use_it_from_a_browser(
    tmp_path: Path, origin: str
) -> None:
    with porch(tmp_path, origins=("https://coop.example.org",)) as here:
        asked = here.client.options(
            "/v1/check", headers={"origin": origin, "access-control-request-method": "POST", "access-control-request-headers": "authorization, content-type"},
        )  # fmt: skip
        answer = here.post("/v1/check", {}, origin=origin)
    may = origin.startswith("https://coop")
    assert (asked.status_code == 200) == may
    assert (asked.headers.get("access-control-allow-origin") == origin) == may
    assert (answer.headers.get("access-control-allow-origin") == origin) == may


def test_a_page_that_may_use_it_can_read_when_to_come_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    good, evil = "https://coop.example.org", "https://evil.example.org"
    with porch(tmp_path, origins=(good,), checks_per_minute=1, sign_ups_per_hour=1) as here:
        here.post("/v1/check", {}, origin=good)
        door = here.post("/v1/check", {}, origin=good)  # refused before anybody looks at it
        stranger = here.post("/v1/check", {}, origin=evil)
        here.place.others = Rate(10**7, 1)
        here.post("/v1/sign-ups", PAT, origin=good)
        within = here.post("/v1/sign-ups", PAT | {"given": "Ana"}, origin=good)
        large = here.post("/v1/check", {"notes": "x" * LARGEST}, origin=good)
        monkeypatch.setattr(judging, "judge", None)
        fault = here.post("/v1/check", {}, origin=good)
    assert [one.status_code for one in (door, within, large, fault)] == [429, 429, 413, 500]
    for one in (door, within, large, fault):
        assert one.headers.get_list("access-control-allow-origin") == [good]
        assert one.headers["access-control-expose-headers"].lower() == "retry-after"
        assert one.headers.get_list("vary") == ["Origin"]
    assert stranger.status_code == 429
    assert "access-control-allow-origin" not in stranger.headers


def test_no_page_may_by_default(here: AtPorch) -> None:
    answer = here.post("/v1/check", {}, origin="https://evil.example.org")
    assert "access-control-allow-origin" not in answer.headers


# ---------------------------------------------------------------- trouble has one form


@pytest.mark.parametrize(
    ("status", "ask"),
    [
        (404, {"method": "GET", "url": "/nothing"}), (405, {"method": "GET", "url": "/v1/check"}),
        (421, {"method": "GET", "url": "/openapi.json", "headers": {"host": "evil.example.org"}}),
        (413, {"method": "POST", "url": "/v1/check", "content": b"x" * (LARGEST + 1)}),
        (413, {"method": "POST", "url": "/v1/check", "content": b"", "headers": {"content-length": "9" * 40}}),
        (401, {"method": "POST", "url": "/v1/check", "json": {}}),
        (422, {"method": "POST", "url": "/v1/check", "content": b"{", "key": True}),
        (422, {"method": "POST", "url": "/v1/check", "json": {"given": 1}, "key": True}),
        (422, {"method": "POST", "url": "/v1/check", "json": {"given": "x" * 301}, "key": True}),
        (422, {"method": "POST", "url": "/v1/check", "json": {"shoe": "9"}, "key": True}),
        (422, {"method": "POST", "url": "/v1/check", "content": b'{"given": "\\ud800"}', "key": True}),
        (400, {"method": "POST", "url": "/v1/check", "content": b'{"a":' * 9000, "key": True}),
        (431, {"method": "GET", "url": "/openapi.json", "headers": {f"x-{n}": "1" for n in range(120)}}),
    ],
)  # fmt: skip
def test_all_trouble_of_the_interface_has_one_form(
    here: AtPorch, status: int, ask: dict[str, Any]
) -> None:
    headers = ask.pop("headers", {})
    if ask.pop("key", False):
        headers |= {"authorization": f"Bearer {here.key}", "content-type": "application/json"}
    answer = here.client.request(**ask, headers=headers)
    assert answer.status_code == status, answer.text
    if ask["url"] == "/nothing":
        return  # a page, for people
    assert answer.headers["content-type"] == "application/problem+json"
    body = answer.json()
    assert set(body) == {"type", "title", "status", "detail", "errors"}
    assert body["status"] == status
    assert body["detail"]
    assert "x" * 20 not in answer.text


def test_a_fault_shows_a_reference_and_no_value(
    here: AtPorch, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: object) -> None:
        raise ValueError(PAT["phone"])

    monkeypatch.setattr(judging, "judge", broken)
    answer = here.post("/v1/check", PAT)
    assert answer.status_code == 500
    assert "Reference" in answer.json()["detail"]
    assert PAT["phone"] not in answer.text + caplog.text
    assert "in check" in caplog.text


def test_every_answer_leaves_with_careful_headers(here: AtPorch) -> None:
    for answer in (
        here.post("/v1/check", {}),
        here.client.get("/nothing"),
        here.client.get("/openapi.json"),
    ):
        assert answer.headers["content-security-policy"].startswith("default-src 'none'")
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cache-control"] == "no-store"
        assert "server" not in answer.headers


@pytest.mark.filterwarnings("ignore")
def test_it_does_as_its_description_says(here: AtPorch) -> None:
    """Drawn requests, right and wrong: no fault, no undescribed status or body."""
    schemathesis = pytest.importorskip("schemathesis")
    from hypothesis import HealthCheck, Phase, given, settings

    here.place.sign_ups, here.place.others = Rate(10**7, 1), Rate(10**7, 1)
    here.place.hosts |= {"testserver", "localhost"}
    described = schemathesis.openapi.from_asgi("/openapi.json", here.client.app)
    operations = [one.ok() for one in described.get_all_operations()]
    assert [one.path for one in operations] == ["/v1/check", "/v1/sign-ups"]
    for operation in operations:

        @given(case=operation.as_strategy())
        @settings(
            max_examples=30,
            deadline=None,
            derandomize=True,
            database=None,
            suppress_health_check=list(HealthCheck),
            phases=[Phase.generate],
        )
        def holds(case: Any) -> None:
            case.headers = {**(case.headers or {}), "Authorization": f"Bearer {here.key}"}
            case.call_and_validate()

        holds()


# ---------------------------------------------------------------- killed, and without a roster


def test_nobody_who_was_thanked_is_lost_when_it_is_killed(tmp_path: Path) -> None:
    with served(tmp_path, rule="sign_ups_per_hour = 100000\nchecks_per_minute = 100000") as there:
        thanked: list[str] = []

        def hand_in(start: int) -> None:
            with httpx2.Client(
                timeout=60, base_url=there.base, headers={"authorization": f"Bearer {there.key}"}
            ) as client:
                for n in range(start, start + 1000):
                    try:
                        answer = client.post("/v1/sign-ups", json=PAT | {"given": f"Pat {n}"})
                    except httpx2.HTTPError:
                        return
                    assert answer.status_code == 201
                    thanked.append(answer.json()["id"])
                    if len(thanked) == 40:
                        there.process.send_signal(signal.SIGKILL)

        threads = [threading.Thread(target=hand_in, args=(1000 * n,)) for n in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        there.process.wait(10)
    assert len(thanked) >= 40
    kept = {one.identity for one in spool.look(tmp_path / "spool").entries}
    assert set(thanked) <= kept
    # And the next porch goes on where that one stopped.
    with served(tmp_path) as there, httpx2.Client(timeout=60, base_url=there.base) as client:
        answer = client.post(
            "/v1/sign-ups", json=PAT, headers={"authorization": f"Bearer {there.key}"}
        )
        assert answer.status_code == 201
    assert len(spool.look(tmp_path / "spool").entries) == len(kept) + 1


def test_it_never_opens_the_roster_and_loads_nothing_that_could() -> None:
    code = (
        "import sys\nfrom onboard.porch import porching, serving\nfrom onboard.cli import porch\n"
        "print(sorted(m for m in sys.modules if m.partition('.')[0] in ('sqlalchemy', 'sqlite3', 'alembic')"
        " or m.startswith(('onboard.roster', 'onboard.office', 'onboard.tasks'))))"
    )
    out = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=os.environ | {"PYTHONPATH": str(HOME)}
    )  # fmt: skip
    assert out.stdout.strip() == "[]"


def test_it_works_where_there_is_no_roster_and_makes_none(tmp_path: Path) -> None:
    with served(tmp_path) as there, httpx2.Client(timeout=60, base_url=there.base) as client:
        answer = client.post(
            "/v1/sign-ups", json=PAT, headers={"authorization": f"Bearer {there.key}"}
        )
        assert answer.status_code == 201
    assert sorted(file.name for file in tmp_path.iterdir()) == ["onboard.toml", "spool"]


def test_the_form_in_the_spool_is_the_form_that_was_judged() -> None:
    given = forms.answers({"given": "Pat", "consent": ""}, {QUESTION: ""})
    assert [one.field for one in forms.filled(given)] == ["given", "consent"]
    assert forms.row(given).fields["given"] == "Pat"
    assert json.loads(spool.Entry("a", "b", "c", given).line)["answers"][0] == [
        "given",
        "First name",
        "Pat",
    ]


def test_a_new_key_is_one_that_the_settings_take(capsys: pytest.CaptureFixture[str]) -> None:
    from onboard.cli import porch as command
    from onboard.errors import FileTrouble
    from onboard.settings.checks.porch import client_keys

    with pytest.raises(FileTrouble, match="letters, digits"):
        command.porch(0, kept=command.Kept(new_key="a b:c"), reached=command.Reached())
    command.porch(0, kept=command.Kept(new_key="our-website"), reached=command.Reached())
    line = capsys.readouterr().out.splitlines()[-1]
    client_keys((line.partition('"')[2].rstrip('"]'),), None)  # type: ignore[arg-type]

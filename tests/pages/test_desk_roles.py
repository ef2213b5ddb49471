"""Who may do what at the desk: every role at every route there is. A route that is not in the table fails."""

from __future__ import annotations

import pytest
from at_desk import BASE, OUTSIDE, AtDesk, all_routes, signed_in
from coop_forms import form
from starlette.testclient import TestClient

from onboard.model import Act, Role
from onboard.model import role as roles
from onboard.model.role import IN_WORDS, MAY
from onboard.office import Office
from onboard.tasks.answer_form import forms_on_hold
from onboard.tasks.process_batch import process_batch
from onboard.tasks.write_packets import write_packets

EVERYBODY = None
# What each route asks for. Whoever adds one says here who may; the room or its task has to ask.
NEEDS: dict[str, Act | None] = {
    "GET /": EVERYBODY,
    "POST /sign-out": EVERYBODY,
    "POST /sign-out-everywhere": EVERYBODY,
    "POST /language": EVERYBODY,
    "GET /counted": EVERYBODY,
    "GET /account": EVERYBODY,
    "POST /account/password": EVERYBODY,
    "POST /account/code": EVERYBODY,
    "POST /account/code/end": EVERYBODY,
    "POST /account/recovery": EVERYBODY,
    "POST /account/sessions/end": EVERYBODY,
    "GET /staff": Act.STAFF,
    "POST /staff/invite": Act.STAFF,
    "GET /staff/{number}": Act.STAFF,
    "POST /staff/{number}/role": Act.STAFF,
    "POST /staff/{number}/sign-out": Act.STAFF,
    "POST /staff/{number}/close": Act.STAFF,
    "POST /staff/{number}/open": Act.STAFF,
    "POST /staff/{number}/link": Act.STAFF,
    "POST /staff/{number}/start-over": Act.STAFF,
    "GET /sign-ups": Act.INTAKE,
    "POST /sign-ups/all-right/{number}": Act.INTAKE,
    "POST /sign-ups/answers/{key}/take-back": Act.INTAKE,
    "POST /sign-ups/file": Act.INTAKE,
    "POST /sign-ups/porch": Act.INTAKE,
    "GET /sign-ups/files/{number}": Act.INTAKE,
    "POST /sign-ups/files/{number}": Act.INTAKE,
    "POST /sign-ups/files/{number}/save": Act.INTAKE,
    "POST /sign-ups/files/{number}/stop": Act.INTAKE,
    "GET /sign-ups/files/{number}/outcome": Act.INTAKE,
    "GET /sign-ups/files/{number}/outcome/part": Act.INTAKE,
    "GET /sign-ups/holds/{key}": Act.INTAKE,
    "POST /sign-ups/holds/{key}": Act.INTAKE,
    "GET /calls": Act.LOOK_UP,
    "POST /calls": Act.LOOK_UP,
    "POST /calls/found": Act.LOOK_UP,
    "POST /calls/noted/{number}": Act.LOOK_UP,
    "GET /calls/{kind}/{key}": Act.LOOK_UP,
    "POST /calls/{kind}/{key}": Act.LOOK_UP,
    "POST /calls/{kind}/{key}/note": Act.LOOK_UP,
    "GET /calls/member/{number}/reissue": Act.LOOK_UP,
    "POST /calls/member/{number}/reissue": Act.REISSUE,
    "GET /calls/member/{number}/correct": Act.LOOK_UP,
    "POST /calls/member/{number}/correct": Act.LOOK_UP,
    "GET /mail": EVERYBODY,
    "POST /mail/make": Act.TELL,
    "POST /mail/tell": Act.TELL,
    "GET /mail/told": Act.TELL,
    "GET /mail/told/{name}": Act.TELL,
    "GET /mail/message/{number}": Act.LOOK_UP,
    "GET /mail/send": Act.TELL,
    "POST /mail/send": Act.TELL,
    "POST /mail/question/{number}": Act.LOOK_UP,
    "GET /mail/letters.pdf": Act.TELL,
    "GET /mail/labels.pdf": Act.TELL,
    "POST /mail/mailed": Act.TELL,
    "GET /mail/message/{number}/page": Act.LOOK_UP,
    "POST /mail/stops": Act.TELL,
    "GET /mail/reminders": EVERYBODY,
    "GET /mail/reminders/sample": EVERYBODY,  # to an invented member
    "GET /mail/reminders/sample/page": EVERYBODY,
    "POST /mail/reminders/do/{step}": Act.TELL,
    "POST /mail/reminders/stop": Act.TELL,
    "GET /mail/reminders/outcome": Act.TELL,
    "GET /mail/reminders/outcome/part": Act.TELL,
    "GET /mail/reminders/files/{name}": Act.TELL,
    "POST /mail/unsure/{number}": Act.TELL,
    "GET /mail/records": EVERYBODY,
    "GET /mail/test": EVERYBODY,
    "GET /mail/test/letter.pdf": EVERYBODY,
    "POST /mail/test": Act.TELL,
    "GET /care": Act.CARE,
    "GET /care/audit/part": Act.CARE,
    "POST /care/audit": Act.CARE,
    "POST /care/audit/stop": Act.CARE,
    "GET /care/changes": Act.CARE,
    "GET /care/changes/{number}": Act.CARE,
    "POST /care/changes/{number}": Act.CARE,
    "GET /care/close": Act.CARE,
    "POST /care/close": Act.CARE,
    "GET /care/findings/{number}": Act.CARE,
    "POST /care/findings/{number}": Act.CARE,
    "GET /care/kinds/{code}": Act.CARE,
    "GET /care/kinds/{code}/changes": Act.CARE,
    "POST /care/kinds/{code}/changes": Act.CARE,
    "GET /care/kinds/{code}/changes/part": Act.CARE,
    "POST /care/kinds/{code}/changes/stop": Act.CARE,
    "GET /care/lists": Act.CARE,
    "POST /care/lists/file": Act.CARE,
    "GET /care/lists/{number}": Act.CARE,
    "POST /care/lists/{number}": Act.CARE,
    "POST /care/lists/{number}/stop": Act.CARE,
    "GET /care/lists/{number}/outcome": Act.CARE,
    "GET /care/lists/{number}/outcome/part": Act.CARE,
    "GET /care/lists/{number}/take/{name}": Act.CARE,
    "GET /care/merge": Act.CARE,
    "POST /care/merge": Act.CARE,
    "GET /settings": Act.CARE,  # what there is to set; what is set is for owners
    "GET /settings/part/{table}": Act.SETTINGS,
    "POST /settings/part/{table}": Act.SETTINGS,
    "POST /settings/remove/{table}": Act.SETTINGS,
    "GET /settings/change-log": Act.CARE,
    "GET /settings/copy": Act.CARE,
    "POST /settings/copy": Act.CARE,
    "GET /settings/delete": Act.CARE,
    "POST /settings/delete": Act.CARE,
    "GET /settings/first-steps": Act.SETTINGS,
    "GET /settings/first-steps/step/{name}": Act.SETTINGS,
    "POST /settings/first-steps/step/{name}": Act.SETTINGS,
    "GET /windows": EVERYBODY,
    "POST /windows/tell": Act.TELL,
    "POST /windows/called": Act.LOOK_UP,
    "POST /windows/sheets": Act.TELL,
}
# What stands in a path, and what forms hold, so that the task behind is reached.
PARTS = {
    "{number}": "1",
    "{kind}": "member",
    "{key}": "1",
    "{name}": "accounts.csv",
    "{step}": "make",
    "{table}": "coop",
    "{code}": "email.none",
}
OTHERWISE = {"/settings/first-steps/step/{name}": {"{name}": "reach"}}
TYPED = {"do": "right", "sure": "yes", "to": "sam@example.org", "member": "patlee", "said": "pat"}


def inside(desk: AtDesk) -> set[str]:
    return {
        f"{method} {path}"
        for path, methods in all_routes(desk)
        for method in methods - {"HEAD"}
        if path not in OUTSIDE
    }


def test_every_route_says_who_may(desk: AtDesk) -> None:
    assert inside(desk) == set(NEEDS)


@pytest.mark.parametrize("role", Role)
def test_each_role_does_what_the_table_says_and_nothing_else(
    members: Office, outside: AtDesk, role: Role
) -> None:
    for route in NEEDS:
        client = signed_in(outside, role)  # afresh: one of them signs out
        csrf = client.get("/").text.partition('name="csrf" value="')[2][:64]
        method, _, path = route.partition(" ")
        for part, value in (PARTS | OTHERWISE.get(path, {})).items():
            path = path.replace(part, value)
        typed = {"csrf": csrf} | TYPED | ({"letters": shown(client)} if "mailed" in path else {})
        answer = client.request(
            method, path, headers={"origin": BASE}, follow_redirects=False,
            **({"data": typed} if method == "POST" else {}),
        )  # fmt: skip
        needs = NEEDS[route]
        if needs is None or needs in MAY[role]:
            assert "is not allowed to" not in answer.text, (role, route)
            assert answer.status_code in (200, 303, 404, 422), (role, route, answer.text)
        else:
            assert answer.status_code == 403, (role, route, answer.text)
            named = [act for act in Act if f"is not allowed to {IN_WORDS[act]}." in answer.text]
            assert named, (role, route)
            assert not set(named) & MAY[role], (role, route)


def shown(client: TestClient) -> str:
    """Which letters the page speaks of."""
    return client.get("/mail").text.partition('name="letters" value="')[2][:64]


@pytest.mark.parametrize("role", Role)
def test_the_rooms_that_are_listed_are_those_into_which_one_may(
    members: Office, outside: AtDesk, role: Role
) -> None:
    page = signed_in(outside, role).get("/").text.partition("<nav")[2]
    listed = {
        path for path in ("/sign-ups", "/calls", "/mail", "/windows") if f'href="{path}"' in page
    }
    open_to_it = {
        path
        for path in listed | {"/sign-ups", "/calls", "/mail", "/windows"}
        if NEEDS[f"GET {path}"] in {None, *MAY[role]}
    }
    assert listed == open_to_it
    assert ('href="/staff"' in page) is (Act.STAFF in MAY[role])


def test_a_reader_sees_no_member_anywhere(members: Office, outside: AtDesk) -> None:
    client = signed_in(outside, Role.READER)
    for route, needs in NEEDS.items():
        if needs is None and route.startswith("GET") and "test" not in route:
            page = client.get(route.partition(" ")[2]).text
            for word in ("Kim Vale", "kimvale", "kim@example.org", "patlee", "Pat Lee"):
                assert word not in page, (route, word)


CONTACTS = ("pat.lee@", "555-0143", "5550143", "12 N Main", "kim@", "555-0150", "5550150", "4 Oak", "kv@", "555-0166",
            "70 Fir", "@gmial.com", "555-0177", "9 Rye")  # fmt: skip


def contacts_in(page: str) -> set[str]:
    return {one for one in CONTACTS if one in page}


def with_only(office: Office, monkeypatch: pytest.MonkeyPatch, *acts: Act) -> None:
    """A reader may do this and nothing else; among the members is one whose email address is asked about."""
    doubted = form(
        9, full_name="Ivy Strand", email="ivy.strand@gmial.com", phone="419-555-0177",
        street="9 Rye Ln", city="Lima", state="OH", zip="45801", site="Lima Grange",
    )  # fmt: skip
    process_batch(office, [doubted], file="g", keep=True)
    write_packets(office)
    monkeypatch.setitem(roles.MAY, Role.READER, frozenset(acts))


def test_who_only_finds_members_sees_no_contact_info_in_any_room(
    members: Office, outside: AtDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    with_only(members, monkeypatch, Act.LOOK_UP)
    client = signed_in(outside, Role.READER)
    csrf = client.get("/").text.partition('name="csrf" value="')[2][:64]
    seen = 0
    for route, needs in NEEDS.items():
        method, _, path = route.partition(" ")
        if needs not in (None, Act.LOOK_UP) or "sign-out" in path or "test" in path:
            continue
        for number in "13" if "{" in path else "1":
            there = path
            for part, value in (PARTS | {"{number}": number, "{key}": number}).items():
                there = there.replace(part, value)
            typed = {
                "csrf": csrf,
                "said": "Kim Vale",
                "do": "preview",
                "name": "Kim Oak",
                "email": "new@example.org",
            }
            answer = client.request(
                method, there, headers={"origin": BASE}, **({"data": typed} if method == "POST" else {})
            )  # fmt: skip
            assert not contacts_in(answer.text), there
            seen += answer.status_code == 200
    assert seen > 20


@pytest.mark.parametrize(
    ("work", "paths"),
    [
        (Act.REISSUE, ("/calls/member/1", "/calls/member/1/correct", "/mail", "/mail/message/1")),
        (Act.TELL, ("/mail", "/mail/message/1")),
        (Act.INTAKE, ("/sign-ups/holds",)),
    ],
)
def test_whoever_may_do_the_work_sees_what_it_takes_there_and_nowhere_else(
    members: Office, outside: AtDesk, monkeypatch: pytest.MonkeyPatch, work: Act, paths: tuple[str, ...]
) -> None:  # fmt: skip
    with_only(members, monkeypatch, Act.LOOK_UP, work)
    (hold,) = forms_on_hold(members)
    client = signed_in(outside, Role.READER)
    every = {
        "/": "/", "/sign-ups/holds": f"/sign-ups/holds/{hold.applicant.raw.key}",
        **{path: path for path in ("/calls/member/1", "/calls/member/1/correct", "/mail", "/mail/message/1", "/windows")},
    }  # fmt: skip
    assert {name for name, path in every.items() if contacts_in(client.get(path).text)} == {*paths}

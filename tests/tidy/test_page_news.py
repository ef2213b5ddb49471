"""What changed since the ordering page was last told: no more, no less, and by the standard."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Any

import listed
import pytest
from coop_forms import NOON, form, office_of
from sqlalchemy import Engine

from onboard.errors import FileTrouble
from onboard.model import Change, Signature, State, Way
from onboard.reports import accounts
from onboard.reports.exported import Answered
from onboard.roster import change, outgoing, record, store, taking_back
from onboard.roster.record import Issued
from onboard.settings import Settings
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.export_accounts import (
    Exported,
    export_accounts,
    export_file,
    export_news,
)
from onboard.tasks.forget_member import forget_member
from onboard.tasks.page_answer import take_answer

ROBIN = Signature("Robin", NOON)
HASH = "$argon2id$v=19$m=19456,t=2,p=1$c2FsdHNhbHQ$aGFzaA"
OURS = accounts.OURS
EMAIL = Change(1, "email", "pat.lee@example.org", "pat@example.org", "")


@pytest.fixture
def office(enrolled: Engine) -> Engine:
    """Five accounts whose packets were written."""
    issue(enrolled, HASH, 1, 2, 3, 4, 5)
    return enrolled


def issue(engine: Engine, hashed: str, *numbers: int) -> None:
    with store.transaction(engine) as connection:
        given = [Issued(number, hashed, date(2026, 12, 9)) for number in numbers]
        record.issued(connection, given, ROBIN)
        listed.put(connection, State.WRITTEN, *numbers)


def make(engine: Engine, *changes: Change) -> None:
    with store.transaction(engine) as connection:
        assert change.apply(connection, changes, ROBIN) == []


def export(
    engine: Engine, coop: Settings, *, scim: bool = False, keep: bool = True
) -> tuple[Any, Exported]:
    """What was written, read again: rows of the CSV, or operations of the request."""
    out = io.StringIO()
    write = accounts.write_news_scim if scim else accounts.write_news_csv
    done = export_news(office_of(coop, engine, ROBIN), lambda news: write(news, coop, out), keep=keep, by_page_id=scim)  # fmt: skip
    text = out.getvalue()
    if scim:
        return json.loads(text)["Operations"], done
    return list(csv.DictReader(io.StringIO(text))), done


def whats(rows: Sequence[dict[str, str]]) -> list[tuple[str, str]]:
    return [(row["what"], row["handle"]) for row in rows]


def test_at_first_every_account_is_new_and_then_nothing_is(office: Engine, coop: Settings) -> None:
    rows, done = export(office, coop, keep=False)
    assert export(office, coop)[0] == rows  # nothing was marked as told
    assert [what for what, _ in whats(rows)] == ["new"] * 5
    assert done.count == 5
    assert export(office, coop)[0] == []


def test_a_whole_export_that_was_marked_is_no_news(office: Engine, coop: Settings) -> None:
    assert len(list(export_accounts(office_of(coop, office, ROBIN), keep=True))) == 5
    assert export(office, coop)[0] == []


def test_what_changed_is_told_once_with_what_it_was_that_changed(
    office: Engine, coop: Settings
) -> None:
    export(office, coop)
    make(office, EMAIL)
    (row,) = export(office, coop)[0]
    assert (row["what"], row["handle"], row["email"], row["changed"]) == (
        "changed", "patlee", "pat@example.org", "emails",
    )  # fmt: skip
    assert row["password hash"] == ""  # the page's own password of the member stays
    assert export(office, coop)[0] == []


def test_what_was_taken_back_before_the_page_heard_of_it_is_no_news(
    office: Engine, coop: Settings
) -> None:
    export(office, coop)
    make(office, EMAIL)
    with store.transaction(office) as connection:
        taking_back.undo(connection, 1, ROBIN)
    assert export(office, coop)[0] == []


def test_what_was_taken_back_after_the_page_heard_of_it_is_told(
    office: Engine, coop: Settings
) -> None:
    export(office, coop)
    make(office, EMAIL)
    export(office, coop)
    with store.transaction(office) as connection:
        taking_back.undo(connection, 1, ROBIN)
    (row,) = export(office, coop)[0]
    assert row["email"] == "pat.lee@example.org"


def test_a_closed_and_a_merged_account_are_closed_there_too(office: Engine, coop: Settings) -> None:
    export(office, coop)
    make(office, Change(1, "standing", "open", "closed", ""))
    with store.transaction(office) as connection:
        lines = [
            (1, Change(2, "standing", "open", "merged", "")),
            (1, Change(2, "merged_into", None, 3, "")),
        ]
        change.make(connection, lines, change.Occasion(ROBIN, "merged"))
    rows = export(office, coop)[0]
    assert [(r["what"], r["handle"], r["signs in with"]) for r in rows] == [
        ("closed", "patlee", ""), ("closed", "kimvale", "anaruiz"),
    ]  # fmt: skip
    make(office, Change(1, "standing", "closed", "open", ""))
    assert whats(export(office, coop)[0]) == [("opened", "patlee")]


def test_a_first_password_made_anew_is_told_and_no_hash_is_kept_in_the_mark(
    office: Engine, coop: Settings
) -> None:
    export(office, coop)
    issue(office, HASH + "anew", 1)
    (row,) = export(office, coop)[0]
    assert (row["password hash"], row["must change"]) == (HASH + "anew", "yes")
    with store.transaction(office, keep=False) as connection:
        marks = connection.exec_driver_sql("SELECT account FROM exported").all()
    assert "argon2" not in repr(marks)


def test_a_packet_that_is_due_again_is_told_when_it_is_written(
    office: Engine, coop: Settings
) -> None:
    export(office, coop)
    with store.transaction(office) as connection:
        outgoing.again(connection, {1: Way.EMAIL}, ROBIN)
    assert export(office, coop)[0] == []


def test_of_an_account_older_than_the_program_only_our_changes_are_told(
    roster: Engine, coop: Settings
) -> None:
    old = form(2, full_name="Paula Lee", email="p@example.net", handle="PaulaLee",
               site="Lima Grange")  # fmt: skip
    adopt_members(office_of(coop, roster, ROBIN), [old], file="m.csv", keep=True)
    assert export(roster, coop)[0] == []
    make(roster, Change(1, "email", "p@example.net", "paula@example.net", ""))
    (row,) = export(roster, coop)[0]
    assert (row["what"], row["email"], row["changed"]) == ("changed", "paula@example.net", "emails")
    assert export(roster, coop)[0] == []


# ---------------------------------------------------------------- SCIM


def answer(tmp_path: Path, **said: Any) -> Path:
    file = tmp_path / "answer.json"
    file.write_text(json.dumps(said))
    return file


def take(engine: Engine, coop: Settings, file: Path) -> Answered:
    return take_answer(office_of(coop, engine, ROBIN), file, keep=True)


def named(engine: Engine, coop: Settings, tmp_path: Path) -> None:
    """All accounts told, and the page's answer to it taken in."""
    operations, _ = export(engine, coop, scim=True)
    done = [
        {
            "method": "POST", "bulkId": o["bulkId"], "status": "201",
            "location": f"https://order.example.org/v2/Users/id-{o['bulkId']}",
        }
        for o in operations
    ]  # fmt: skip
    assert take(engine, coop, answer(tmp_path, Operations=done)) == Answered(named=5)


def test_a_change_is_a_patch_of_just_that_attribute(
    office: Engine, coop: Settings, tmp_path: Path
) -> None:
    named(office, coop, tmp_path)
    make(office, EMAIL, Change(1, "site", "Lima Grange", "Athens Barn", ""))
    (operation,) = export(office, coop, scim=True)[0]
    assert (operation["method"], operation["path"]) == ("PATCH", "/Users/id-1")
    assert operation["data"] == {
        # RFC 7644, section 3.5.2: the body of a PATCH
        "schemas": ["urn:ietf:params:scim:api:messages:2.0:PatchOp"],
        "Operations": [
            {"op": "replace", "path": "emails", "value": [{"value": "pat@example.org", "primary": True}]},
            {"op": "replace", "path": f"{OURS}:dropSite", "value": "Athens Barn"},
            {"op": "replace", "path": f"{OURS}:orderingGroup", "value": "Hill"},
        ],
    }  # fmt: skip


def test_what_is_gone_is_removed_and_nothing_else(
    office: Engine, coop: Settings, tmp_path: Path
) -> None:
    named(office, coop, tmp_path)
    name = {"given": "Pat", "family": "Lee", "middle": "", "suffix": "", "title": "Dr", "called": "",
            "former": "", "joint": []}  # fmt: skip
    make(
        office,
        Change(1, "phone", "tel:+14195550143", "", ""),
        Change(1, "name", name | {"title": ""}, name, ""),
    )
    (operation,) = export(office, coop, scim=True)[0]
    assert operation["data"]["Operations"] == [
        {"op": "replace", "path": "name.formatted", "value": "Dr Pat Lee"},
        {"op": "replace", "path": "name.honorificPrefix", "value": "Dr"},
        {"op": "remove", "path": "phoneNumbers"},
    ]


def test_a_patch_done_by_the_standards_rules_gives_what_a_whole_export_says(
    office: Engine, coop: Settings, tmp_path: Path
) -> None:
    """RFC 7644, section 3.5.2: "replace" and "remove", here done by hand on the resource sent first."""
    first = {o["bulkId"]: o["data"] for o in export(office, coop, scim=True, keep=False)[0]}
    named(office, coop, tmp_path)
    make(
        office,
        EMAIL,
        Change(1, "consent", None, True, ""),
        Change(1, "phone", "tel:+14195550143", "", ""),
    )
    make(
        office,
        Change(2, "site", "Lima Grange", "Athens Barn", ""),
        Change(3, "standing", "open", "closed", ""),
    )
    issue(office, HASH + "anew", 4)
    for operation in export(office, coop, scim=True)[0]:
        resource = first[operation["path"].removeprefix("/Users/id-")]
        for part in operation["data"]["Operations"]:
            patch(resource, part)
    now = {a.member.id: accounts.user(a, coop) for a in export_accounts(office_of(coop, office))}
    assert len(now) == 4
    assert {int(number): user for number, user in first.items() if number != "3"} == now
    assert first["3"]["active"] is False


def patch(resource: dict[str, Any], part: dict[str, Any]) -> None:
    """One operation of a PATCH, done on a resource."""
    *outer, last = part["path"].rsplit(":" if part["path"].startswith("urn:") else ".", 1)
    inside = resource.setdefault(outer[0], {}) if outer else resource
    if part["op"] == "remove":
        del inside[last]
    else:
        inside[last] = part["value"]


def test_an_account_without_a_name_of_the_pages_stays_news(office: Engine, coop: Settings) -> None:
    export(office, coop)
    make(office, EMAIL)
    operations, done = export(office, coop, scim=True)
    assert (operations, done.unnamed) == ([], 1)
    assert whats(export(office, coop)[0]) == [("changed", "patlee")]


def test_what_the_page_refused_is_told_again(
    office: Engine, coop: Settings, tmp_path: Path
) -> None:
    export(office, coop, scim=True)
    refused = {"method": "POST", "bulkId": "1", "status": "409"}  # RFC 7644, section 3.12
    taken = {
        "method": "POST",
        "bulkId": "2",
        "status": "201",
        "location": "https://o.example.org/Users/b",
    }
    nobody = {
        "method": "POST",
        "bulkId": "99",
        "status": "201",
        "location": "https://o.example.org/Users/c",
    }
    done = take(office, coop, answer(tmp_path, Operations=[refused, taken, nobody]))
    assert done == Answered(named=1, failed=1, unknown=1)
    operations, _ = export(office, coop, scim=True)
    assert [(o["method"], o["bulkId"]) for o in operations] == [("POST", "1")]
    make(
        office,
        Change(2, "consent", None, True, ""),
        Change(2, "email", "kim@example.net", "k@example.net", ""),
    )
    (operation,) = export(office, coop, scim=True)[0]
    assert operation["path"] == "/Users/b"
    failed = {"method": "PATCH", "status": "500", "location": "https://o.example.org/Users/b"}
    assert take(office, coop, answer(tmp_path, Operations=[failed])).failed == 1
    (operation,) = export(office, coop, scim=True)[0]
    assert operation["path"] == "/Users/b"
    assert len(operation["data"]["Operations"]) > 5  # told in full: what it has is not known


def test_the_pages_list_of_its_users_tells_what_it_calls_them(
    office: Engine, coop: Settings, tmp_path: Path
) -> None:
    export(office, coop)
    users = [
        {"id": "a/1", "externalId": "1", "userName": "patlee"},
        {"id": "a2", "userName": "kimvale"},
        {"id": "a3", "externalId": "1", "userName": "anaruiz"},  # it says it is member 1
        {"id": "a4", "userName": "nobody"},
        "nonsense",
    ]
    assert take(office, coop, answer(tmp_path, Resources=users)) == Answered(named=2, unknown=2)
    make(office, EMAIL)
    (operation,) = export(office, coop, scim=True)[0]
    assert operation["path"] == "/Users/a%2F1"


def test_who_was_deleted_before_the_page_named_them_is_deleted_there_too(
    office: Engine, coop: Settings, tmp_path: Path
) -> None:
    export(office, coop)
    forget_member(office_of(coop, office, ROBIN), "patlee", keep=True)
    assert export(office, coop, scim=True)[1].unnamed == 1
    users = [{"id": "a1", "externalId": "1", "userName": "patlee"}]
    assert take(office, coop, answer(tmp_path, Resources=users)) == Answered(named=1)
    (operation,) = export(office, coop, scim=True)[0]
    assert (operation["method"], operation["path"]) == ("DELETE", "/Users/a1")
    assert export(office, coop, scim=True)[0] == []


@pytest.mark.parametrize("text", ["", "nonsense", "[]", "{}", '{"Operations": 1}', "[" * 100_000])
def test_what_is_no_answer_is_said(
    office: Engine, coop: Settings, tmp_path: Path, text: str
) -> None:
    file = tmp_path / "answer.json"
    file.write_text(text)
    with pytest.raises(FileTrouble, match="answer"):
        take(office, coop, file)


def test_changes_of_the_same_name_are_kept_not_overwritten(
    roster: Engine, coop: Settings, tmp_path: Path
) -> None:
    office = office_of(coop, roster)
    file = tmp_path / "changes.csv"
    file.write_text("what,handle\nchanged,patlee\n", "utf-8")
    done = export_file(office, file, changed=True, keep=True)
    assert done.earlier == tmp_path / "changes (earlier).csv"
    assert done.earlier.read_text("utf-8") == "what,handle\nchanged,patlee\n"
    assert export_file(office, file, changed=True, keep=True).earlier is None
    file.write_text("what,handle\nchanged,kimvale\n", "utf-8")
    assert export_file(office, file, changed=True, keep=True).earlier == (
        tmp_path / "changes (earlier 2).csv"
    )

"""Who saw members' contact info in the rooms of the desk stands in the change log: a line a look."""

from __future__ import annotations

import shutil
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any, cast

import pytest
from at_desk import BASE, PORT, AtDesk, Clock, settings_text
from coop_forms import PAT, form
from sqlalchemy import select, update
from starlette.testclient import TestClient

from onboard.clean import stored
from onboard.desk import desking
from onboard.desk.place import Place
from onboard.desk.rooms import care_changes
from onboard.desk.work import At
from onboard.errors import StoreBusy, StoreTrouble
from onboard.model import Handled
from onboard.office import Office, open_office
from onboard.reports.decisions import NEW_CONTACT, without_contacts
from onboard.roster import journal, search, tables
from onboard.roster.audits import Part
from onboard.tasks.answer_form import forms_on_hold
from onboard.tasks.correct_member import correct_member
from onboard.tasks.findings import last_audit, list_findings
from onboard.tasks.judge_file import Read, judge_file
from onboard.tasks.keep_audit import keep_audit
from onboard.tasks.process_batch import process_batch
from onboard.tasks.shown import SHOWN

if TYPE_CHECKING:
    from pathlib import Path

    from onboard.desk.work import Work

WORDS = "Contact info is not shown while somebody saves something."


def noted(office: Office) -> list[tuple[str, str, str, Any]]:
    """Who saw it, where, about whom, and of which members."""
    line = tables.journal.c
    query = (
        select(line.who, line.why, line.about, line.after)
        .where(line.what == SHOWN)
        .order_by(line.id)
    )
    with office.reading() as connection:
        return [tuple(one) for one in connection.execute(query)]  # type: ignore[misc]


@pytest.fixture
def doubted(members: Office) -> Office:
    """Two members whose packets wait as their email addresses may be wrong."""
    rows = [
        form(at, **PAT | {"full_name": name, "email": f"{name.split()[0]}@gmial.com".lower(), "phone": f"419-555-017{at}",
                          "street": f"{at} Elm St"})
        for at, name in ((3, "Wanda Pike"), (4, "Amos Teel"))
    ]  # fmt: skip
    process_batch(members, rows, file="more.csv", keep=True)
    return members


def busy(monkeypatch: pytest.MonkeyPatch) -> None:
    def write(*_: object) -> None:
        raise StoreTrouble("Another program is writing.")

    monkeypatch.setattr(journal, "write", write)


def test_addresses_that_are_asked_about_under_mail(
    desk: AtDesk, doubted: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert noted(doubted) == []
    assert "wanda@gmial.com" in desk.client.get("/mail").text
    (one,) = noted(doubted)
    assert one[:3] == ("Robin", "Mail", "roster")
    assert len(one[3]["members"]) == 2
    log = desk.client.get("/settings/change-log").text
    assert "contact info shown" in log
    busy(monkeypatch)
    page = desk.client.get("/mail").text
    assert "wanda@gmial.com" not in page
    assert WORDS in page


def test_an_email_in_the_outbox(desk: AtDesk, members: Office) -> None:
    with members.reading() as connection:
        line = tables.outgoing.c
        query = select(line.id, line.member_id).where(line.file.like("%.eml")).limit(1)
        number, member = connection.execute(query).one()
    assert desk.client.get(f"/mail/message/{number}").status_code == 200
    assert noted(members) == [("Robin", "Mail", f"member:{member}", {"members": [member]})]


def test_a_form_on_hold_beside_a_member(
    desk: AtDesk, members: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    (hold,) = forms_on_hold(members)
    key = hold.applicant.raw.key
    page = desk.client.get(f"/sign-ups/holds/{key}").text
    (one,) = noted(members)
    assert one[:3] == ("Robin", "New sign-ups", f"row:{key}")
    assert one[3]["members"] == [2]
    desk.client.get(f"/sign-ups/holds/{key}")
    assert len(noted(members)) == 2
    busy(monkeypatch)
    hidden = desk.client.get(f"/sign-ups/holds/{key}").text
    assert WORDS in hidden
    assert len(hidden) < len(page) + len(WORDS) + 100


def test_what_new_members_are_to_be_asked(desk: AtDesk, members: Office) -> None:
    row = form(
        9,
        **PAT
        | {
            "full_name": "Ana Ruiz",
            "email": "ana@example.org",
            "phone": "419-555-0177",
            "street": "Oak Ave",
        },
    )
    process_batch(members, [row], file="h", keep=True)
    assert "OAK AVE" in desk.client.get("/sign-ups").text
    ((who, where, about, after),) = noted(members)
    assert (who, where) == ("Robin", "New sign-ups")
    assert after["members"] == [int(about.removeprefix("member:"))]


def test_findings_of_contact_info_and_no_others(desk: AtDesk, members: Office) -> None:
    row = form(
        9,
        **PAT
        | {
            "full_name": "ANA RUIZ",
            "email": "ana@example.org",
            "phone": "",
            "street": "77 Oak Ave",
        },
    )
    process_batch(members, [row], file="h", keep=True)
    keep_audit(members)
    audit = last_audit(members)
    assert audit
    with_contacts = 0
    for kind in audit.told.report.kinds:
        before = len(noted(members))
        found = list_findings(members, audit.number, kind.code, Part((Handled.OPEN, Handled.ASKED)))
        assert desk.client.get(f"/care/kinds/{kind.code}").status_code == 200
        is_contact = any(
            one.field in ("email", "phone", "address", "born") or one.code.startswith("twice.")
            for one in found
        )
        whose = any(one.owner.member_id for one in found)
        assert len(noted(members)) - before == (is_contact and whose), kind.code
        with_contacts += bool(is_contact and whose)
    assert with_contacts


def test_what_was_saved_is_told_and_a_preview_is_noted(
    desk: AtDesk, members: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    with members.transaction() as connection:
        connection.execute(
            update(tables.member)
            .where(tables.member.c.id == 1)
            .values(address=["12 Elm Street", "Lima, OH 45801"])
        )
    keep_audit(members)
    audit = last_audit(members)
    assert audit
    (found,) = (
        one
        for one in list_findings(
            members, audit.number, "fields.uncleaned", Part((Handled.OPEN, Handled.ASKED))
        )
        if one.change and one.change.field == "address"
    )
    where = "/care/kinds/fields.uncleaned/changes"
    before = len(noted(members))
    assert desk.post(where, finding=str(found.number)).status_code == 200
    assert len(noted(members)) == before + 1

    def cannot(*_: object) -> None:
        raise StoreBusy("Another program is writing.")

    monkeypatch.setattr(care_changes, "see_that_it_is_noted", cannot)
    assert desk.post(where, finding=str(found.number)).status_code == 503
    assert desk.post(where, finding=str(found.number), do="save").status_code == 200
    with members.reading() as connection:
        assert search.members_by_number(connection, [1])[1].address == (
            "12 ELM ST",
            "LIMA OH 45801",
        )


def test_what_was_changed_and_could_be_undone(
    desk: AtDesk, members: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    correct_member(members, "patlee", {"email": "new@example.org"}, keep=True)
    correct_member(members, "kimvale", {"site": "Athens Barn"}, keep=True)
    before = len(noted(members))
    log, undo = "/settings/change-log", "/care/changes/1"
    assert "<ins>new@example.org</ins>" in desk.client.get(log).text
    assert "Back to" in desk.client.get(undo).text
    desk.client.get("/care/changes/2")  # no contact info
    assert noted(members)[before:] == [
        ("Robin", where, "member:1", {"members": [1]}) for where in ("Change log", "Roster care")
    ]
    busy(monkeypatch)
    hidden = desk.client.get(log).text
    assert "new@example.org" not in hidden
    assert WORDS in hidden
    assert desk.client.get(undo).status_code == 503


def test_the_addresses_to_which_emails_would_go(
    desk: AtDesk, members: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = len(noted(members))
    assert "pat.lee@example.org" in desk.client.get("/mail/send").text
    assert noted(members)[before:] == [("Robin", "Mail", "roster", {"members": [1, 2]})]
    busy(monkeypatch)
    hidden = desk.client.get("/mail/send").text
    assert "pat.lee@example.org" not in hidden
    assert "Pat Lee" in hidden


def test_what_a_file_says_otherwise_than_the_roster(
    desk: AtDesk, members: Office, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "forms.csv"
    said = PAT | {"phone": "419-555-0190", "full_name": "Pat Lee"}
    file.write_text(
        "\n".join(",".join(f'"{one}"' for one in line) for line in (said, said.values())), "utf-8"
    )
    (tmp_path / "onboard.toml").write_text(settings_text(), "utf-8")
    told = judge_file(members.seat, file, Read({}), False, progress=lambda done: None)
    (contacts,) = (one for one in told.lists if one.title == NEW_CONTACT)
    assert "(419) 555-0143" in contacts.rows[0]
    assert told.on_file == {1}
    (hidden,) = (one for one in without_contacts(told.lists) if one.title == NEW_CONTACT)
    assert [column.heading for column in hidden.columns] == ["row", "name", "member", "what"]
    assert hidden.rows == (contacts.rows[0][:4],)
    with file.open("rb") as said_so:
        given = desk.place.files.take(said_so, "forms.csv", "Robin")
    done = cast("Work", SimpleNamespace(at=At.DONE, outcome=told, done=1, words=""))
    given.look(lambda: done)
    outcome = f"/sign-ups/files/{given.number}/outcome"
    before = len(noted(members))
    assert "(419) 555-0143" in desk.client.get(outcome).text
    assert noted(members)[before:] == [("Robin", "New sign-ups", "member:1", {"members": [1]})]
    busy(monkeypatch)
    page = desk.client.get(outcome).text
    assert "(419) 555-0143" not in page
    assert WORDS in page


def test_closing_an_account_shows_no_contact_info(desk: AtDesk, members: Office) -> None:
    page = desk.client.get("/care/close?member=1").text
    assert "patlee" in page
    assert not [one for one in ("555-0143", "pat.lee@", "12 N MAIN") if one in page]


def test_the_phones_of_members_to_call(
    decayed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(decayed, tmp_path, dirs_exist_ok=True)
    office = open_office(tmp_path / "onboard.toml", who="Robin")
    keep_audit(office)
    place = Place.at_home(office, PORT)
    app = desking.make(place)
    desk = AtDesk(app, place, TestClient(app, base_url=BASE), Clock())
    desk.sign_in()
    page = desk.client.get("/care").text
    ((_, where, _, after),) = noted(office)
    assert where == "Roster care"
    with office.reading() as connection:
        called = search.members_by_number(connection, after["members"])
    phones = [stored.in_words("phone", one.phone) for one in called.values()]
    assert phones
    assert all(phone in page for phone in phones)
    busy(monkeypatch)
    page = desk.client.get("/care").text
    assert not any(phone in page for phone in phones)
    assert WORDS in page
    office.close()

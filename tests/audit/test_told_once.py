"""What an audit tells of an account: each fact once, nothing that a person settled, and of the dead one thing."""

from __future__ import annotations

import pytest
from coop_forms import form, office_of
from sqlalchemy import Engine
from test_doubts import adopt, all_members, told

from onboard.model import Answer, RawRow, Ruling
from onboard.office import Office
from onboard.settings import Settings
from onboard.tasks.audit_roster import audit_roster
from onboard.tasks.correct_member import ALL_RIGHT, correct_member
from onboard.tasks.forget_member import tell_all
from onboard.tasks.merge_members import merge_members
from onboard.tasks.process_batch import process_batch
from onboard.tasks.settle_email import settle_email

JEN = {
    "given": "Jennifer", "middle": "Soto", "family": "Keller", "handle": "jkeller",
    "email": "jen@gmial.com", "phone": "419-234-5678", "street": "3 Pine St", "city": "Lima",
    "state": "OH", "zip": "45801", "site": "Lima Grange", "submitted": "3/14/2019",
    "last_sign_in": "10/14/2026",
}  # fmt: skip


@pytest.fixture
def office(coop: Settings, roster: Engine) -> Office:
    return office_of(coop, roster)


def test_what_the_member_said_is_right_is_not_asked_again(office: Office) -> None:
    adopt(office, JEN)
    assert {"name.last_or_middle", "email.slip"} <= told(office)["jkeller"].keys()
    correct_member(office, "jkeller", {ALL_RIGHT: ""}, keep=True)
    assert not {"name.last_or_middle", "email.slip"} & told(office)["jkeller"].keys()
    # What was changed since is another matter.
    correct_member(office, "jkeller", {"email": "jen@hotmial.com"}, keep=True)
    assert told(office)["jkeller"]["email.slip"] == "jen@hotmial.com"
    assert "name.last_or_middle" not in told(office)["jkeller"]


def test_a_name_that_somebody_put_right_was_asked_about(office: Office) -> None:
    adopt(office, JEN | {"middle": ""})
    correct_member(office, "jkeller", {"name": "Keller, Jennifer Soto"}, keep=True)
    assert "name.last_or_middle" not in told(office)["jkeller"]


def test_an_email_that_is_right_is_not_asked_about_again(office: Office) -> None:
    said = {field: text for field, text in JEN.items() if field not in ("handle", "submitted")}
    process_batch(office, [form(**said)], file="forms.csv", keep=True)
    (member,) = all_members(office)
    assert "email.slip" in told(office)[member.handle.text]
    settle_email(office, Ruling(member.handle.text, Answer.RIGHT, "Robin"))
    assert "email.slip" not in told(office)[member.handle.text]
    correct_member(office, member.handle.text, {"email": "jen@hotmial.com"}, keep=True)
    assert "email.slip" in told(office)[member.handle.text]


@pytest.mark.parametrize("where", ["notes", "family"])
def test_of_whoever_may_have_died_only_that_is_told(office: Office, where: str) -> None:
    said = {"notes": "passed away 3/2024", "family": "Keller (deceased)"}[where]
    bare = JEN | {"email": "", "phone": "", "street": "", "city": "", "zip": "", where: said}
    adopt(office, bare)
    assert len(told(office)["jkeller"]) == 1


def test_one_fact_is_told_once(office: Office) -> None:
    adopt(office, JEN | {"zip": "", "city": "Lima"})
    about = [one.code for one in audit_roster(office).found if "zip" in one.code]
    assert about == ["place.zip_missing"]


def test_a_pair_says_when_each_account_was_last_used(office: Office) -> None:
    again = JEN | {"handle": "jenk", "last_sign_in": "", "last_order": "", "submitted": ""}
    adopt(office, JEN, again)
    (pair,) = [one for one in audit_roster(office).found if one.code.startswith("twice.")]
    assert "jkeller: last sign-in 2026-10-14, joined 2019-03-14." in pair.finding.note
    assert "jenk: no sign-in or order known, nobody knows when they joined." in pair.finding.note
    assert "suffix" not in pair.finding.note


def test_a_day_that_nobody_can_read_is_not_the_day_of_the_import(office: Office) -> None:
    adopt(office, JEN | {"submitted": "last spring"}, JEN | {"given": "Kim", "handle": "kim"})
    jen, kim = all_members(office)
    assert jen.joined is None
    assert kim.joined is not None
    assert told(office)["jkeller"]["day.unreadable"] == "last spring"
    whole = tell_all(office, "jkeller")
    assert whole["member"][0]["joined"] == "unknown"
    assert "last spring" in [finding["said"] for finding in whole["finding"]]
    merge_members(office, ("jkeller", "kim"), stays="jkeller", keep=True)
    assert all_members(office)[0].joined == kim.joined


@pytest.mark.parametrize(
    ("heading", "said", "joined"),
    [
        ("Member since", "3/14/2019", "2019-03-14"), ("Joined", "last spring", None),
        ("Timestamp", "11/20/2026 10:15", "2026-11-25"), ("Joined", "3/14/2091", None),
    ],
)  # fmt: skip
def test_a_form_that_says_since_when_somebody_is_a_member_is_heard(
    office: Office, heading: str, said: str, joined: str | None
) -> None:
    """So do the rows that `adopt` skipped, given as forms."""
    fields = {field: text for field, text in JEN.items() if field not in ("handle", "last_sign_in")}
    fields |= {"submitted": said, "notes": "has a truck"}
    raw = RawRow("old.csv", 2, ((heading, said), ("Notes", "has a truck")), fields)
    process_batch(office, [raw], file="old.csv", keep=True)
    (member,) = all_members(office)
    assert member.notes == "has a truck"
    assert (member.joined.date().isoformat() if member.joined else None) == joined

"""What an old roster said and nobody understood: kept with the member, told by an audit, until it is settled."""

from __future__ import annotations

from collections import defaultdict

import pytest
from coop_forms import form, office_of
from sqlalchemy import Engine, select

from onboard.errors import FileTrouble
from onboard.model import Answer, Member, Ruling
from onboard.office import Office
from onboard.roster import search, store, tables
from onboard.settings import Settings
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.audit_roster import audit_roster
from onboard.tasks.correct_member import ALL_RIGHT, correct_member
from onboard.tasks.forget_member import forget_member, tell_all
from onboard.tasks.merge_members import merge_members
from onboard.tasks.process_batch import process_batch
from onboard.tasks.undo import undo
from onboard.tasks.write_packets import write_packets

NAN = {
    "given": "Nan", "family": "Fuller", "handle": "nfuller", "email": "nfuller@gmail",
    "phone": "555-01", "street": "3 Pine St", "city": "Lima", "state": "OH", "zip": "45801",
    "site": "The Old Mill", "born": "2/30/1960",
}  # fmt: skip


@pytest.fixture
def office(coop: Settings, roster: Engine) -> Office:
    return office_of(coop, roster)


def adopt(office: Office, *rows: dict[str, str]) -> None:
    lines = [form(line, **said) for line, said in enumerate(rows, start=2)]
    adopt_members(office, lines, file="old.csv", keep=True)


def told(office: Office) -> dict[str, dict[str, str]]:
    """By sign-in name: the codes that the audit tells, and what was said."""
    members = {member.owner: member for member in all_members(office)}
    found: dict[str, dict[str, str]] = defaultdict(dict)
    for one in audit_roster(office).found:
        if one.owner in members:
            found[members[one.owner].handle.text][one.code] = one.finding.said
    return found


def all_members(office: Office) -> list[Member]:
    with office.reading() as connection:
        return search.members(connection)


def test_an_audit_tells_what_was_said_and_not_understood(office: Office) -> None:
    adopt(office, NAN)
    found = told(office)["nfuller"]
    assert found["site.unknown"] == "The Old Mill"
    assert found["phone.too_short"] == "555-01"
    assert found["email.spelling"] == "nfuller@gmail"
    assert found["day.impossible"] == "2/30/1960"
    # That nothing is on file says less.
    assert not found.keys() & {"site.missing", "phone.missing", "email.missing"}


@pytest.mark.parametrize(
    ("field", "said", "code"),
    [
        ("site", "Athens", "site.unknown"), ("phone", "419-234-5678", "phone.too_short"),
        ("email", "nan@example.org", "email.spelling"),
    ],
)  # fmt: skip
def test_a_correction_settles_it_and_undoing_that_brings_it_back(
    office: Office, field: str, said: str, code: str
) -> None:
    adopt(office, NAN)
    done = correct_member(office, "nfuller", {field: said}, keep=True)
    left = told(office)["nfuller"]
    assert code not in left
    assert len(left.keys() & {"site.unknown", "phone.too_short", "email.spelling"}) == 2
    undo(office, done.number, keep=True)
    assert code in told(office)["nfuller"]


def test_what_stays_in_a_merge_stays_in_doubt(office: Office) -> None:
    other = {"given": "Nancy", "family": "Fuller", "handle": "nancy", "phone": "419-234-5678"}
    adopt(office, other, NAN)
    done = merge_members(office, ("nancy", "nfuller"), stays="nancy", keep=True)
    found = told(office)["nancy"]
    # The email came from the account that went; the phone that was no phone is needed no more.
    assert found["email.spelling"] == "nfuller@gmail"
    assert found["site.unknown"] == "The Old Mill"
    assert "phone.too_short" not in found
    undo(office, done.number, keep=True)
    assert "email.spelling" not in told(office)["nancy"]
    assert told(office)["nfuller"].keys() >= {"email.spelling", "site.unknown", "phone.too_short"}


def test_it_is_disclosed_and_forgotten_with_the_member(office: Office, roster: Engine) -> None:
    adopt(office, NAN | {"notes": "Likes oats."})
    everything = tell_all(office, "nfuller")
    assert {"The Old Mill", "555-01"} <= {line["said"] for line in everything["finding"]}
    (member,) = everything["member"]
    assert member["notes"] == "Likes oats."
    forget_member(office, "nfuller", keep=True)
    with store.reading(roster) as connection:
        assert connection.execute(select(tables.finding.c.id)).all() == []
        for (cells,) in connection.execute(select(tables.row.c.cells)):
            assert cells == []
    assert told(office) == {}


def test_who_says_that_all_is_right_is_not_asked_again(office: Office) -> None:
    adopt(office, NAN)
    done = correct_member(office, "nfuller", {ALL_RIGHT: "yes", "born": "2/28/1960"}, keep=True)
    (nan,) = all_members(office)
    assert (str(nan.confirmed), str(nan.born)) == ("2026-11-25", "1960-02-28")
    assert not told(office)["nfuller"].keys() & {"email.spelling", "site.unknown", "day.impossible"}
    undo(office, done.number, keep=True)
    assert told(office)["nfuller"].keys() >= {"email.spelling", "site.unknown", "day.impossible"}


def test_nothing_is_made_for_who_may_have_died_before_somebody_asked(office: Office) -> None:
    adopt(office, NAN | {"given": "Nan (deceased)", "email": "nan@example.org"})
    with pytest.raises(FileTrouble, match="Nan \\(deceased\\) Fuller” was said of nfuller"):
        write_packets(office, again=["nfuller"])
    correct_member(office, "nfuller", {ALL_RIGHT: "yes"}, keep=True)
    assert write_packets(office, again=["nfuller"]).written == ["nfuller"]


def test_what_a_join_form_said_is_told_too_but_not_what_was_asked_and_answered(
    office: Office,
) -> None:
    raw = form(**{k: v for k, v in NAN.items() if k != "handle"} | {"given": "Nan (deceased)"})
    process_batch(office, [raw], file="forms.csv", keep=True)
    ruling = Ruling(raw.key, Answer.ENROL, "Robin", "she lives")
    process_batch(office, [], file="", keep=True, rulings=[ruling])
    found = told(office)["nanfuller"]
    assert found["site.unknown"] == "The Old Mill"
    assert "site.missing" not in found
    assert "name.deceased" not in found
    assert write_packets(office, again=["nanfuller"]).asked, "its email address is in doubt"


def test_what_a_later_form_says_otherwise_is_told_with_its_change_until_it_is_settled(
    office: Office,
) -> None:
    wes = {
        "full_name": "Wilhelmina Quillfeather", "email": "wilhelmina@example.org", "phone": "419-234-5678",
        "street": "3 Pine St", "city": "Lima", "state": "OH", "zip": "45801", "site": "Lima Grange",
    }  # fmt: skip
    process_batch(office, [form(2, **wes)], file="may.csv", keep=True)
    for line, news in enumerate(
        ({"email": "old@example.net"}, {"email": "wq@example.net"}, {"phone": "(567) 234-1111"}), 3
    ):
        process_batch(office, [form(line, **(wes | news))], file="june.csv", keep=True)

    def changes() -> dict[str, object]:
        return {
            one.code: one.change.after
            for one in audit_roster(office).found
            if one.code.endswith(".newer") and one.change
        }

    assert changes() == {"email.newer": "wq@example.net", "phone.newer": "tel:+15672341111"}
    done = correct_member(office, "1", {"email": "wq@example.net"}, keep=True)
    assert changes().keys() == {"phone.newer"}
    undo(office, done.number, keep=True)
    assert changes().keys() == {"email.newer", "phone.newer"}
    correct_member(office, "1", {ALL_RIGHT: "yes"}, keep=True)
    assert not changes()

"""Which of two accounts stays, and what stands on it: a table of cases, then a merge and its undo."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from coop_forms import NOON, form, office_of
from sqlalchemy import Engine, select
from tidy.content import content

from onboard.errors import FileTrouble
from onboard.model import Answer, Member, Owner, Ruling, Signature, State, What
from onboard.roster import members, outgoing, record, search, store, tables
from onboard.settings import Settings
from onboard.tasks.merge_members import Merge, merge_members, plan, which_stays
from onboard.tasks.process_batch import process_batch
from onboard.tasks.undo import undo

ROBIN = Signature("Robin", NOON)
PAT_NAME = {"given": "Pat", "middle": "", "family": "Lee", "suffix": "", "title": "", "called": "",
            "former": "", "joint": []}  # fmt: skip
LINE: dict[str, Any] = {
    "id": 17, "handle": "patlee", "name": PAT_NAME, "email": "pat@example.org", "phone": "",
    "address": ["12 N MAIN ST", "LIMA OH 45801"], "site": "Lima Grange", "language": "en",
    "consent": None, "extras": {}, "born": None, "notes": "", "joined": "2020-05-01T12:00:00Z", "standing": "open",
    "page_seen": None, "last_sign_in": None, "last_order": None,
    "bounced": None, "confirmed": None, "closed": None, "merged_into": None,
    "handle_steps": [], "password_hash": None, "password_expires": None, "must_change": False,
}  # fmt: skip


def account(**said: Any) -> Member:
    line = LINE | {"packet": State.WRITTEN} | said
    return members.of_line(SimpleNamespace(**line), line["packet"])


OTHER = {"id": 22, "handle": "patlee2", "joined": "2025-05-01T12:00:00Z"}


@pytest.mark.parametrize(
    ("one", "other", "stays", "because"),
    [
        ({"standing": "closed"}, {}, 22, "it is open"),
        ({"last_sign_in": "2026-01-02"}, {"last_order": "2026-03-01"}, 22,
         "it was used last on the ordering page"),
        ({"last_sign_in": "2026-05-02"}, {"last_order": "2026-03-01"}, 17,
         "it was used last on the ordering page"),
        ({"packet": State.DUE}, {"packet": None}, 22, "its owner can sign in with it"),
        ({"packet": State.UNSURE}, {"packet": State.SENT}, 22, "its owner can sign in with it"),
        ({}, {}, 17, "it is the older one"),
    ],
)  # fmt: skip
def test_which_account_stays(
    one: dict[str, Any], other: dict[str, Any], stays: int, because: str
) -> None:
    first, second = account(**one), account(**OTHER | other)
    assert which_stays(first, second)[0].id == stays
    assert which_stays(second, first)[0].id == stays  # whichever is named first
    assert which_stays(first, second)[2] == because


MORE = {"confirmed": "2026-10-01"}


@pytest.mark.parametrize(
    ("field", "one", "other", "value"),
    [
        ("phone", {}, {"phone": "tel:+14195550143"}, "tel:+14195550143"),  # one rather than none
        ("email", {}, {"email": ""}, "pat@example.org"),
        ("email", MORE, {"email": "new@example.org"}, "pat@example.org"),  # confirmed last
        ("email", {}, {"email": "new@example.org"} | MORE, "new@example.org"),
        # came back, though confirmed last, as that was before it came back
        ("email", MORE | {"bounced": "2026-11-01"}, {"email": "new@example.org"}, "new@example.org"),
        ("email", MORE | {"bounced": "2026-09-01"}, {"email": "new@example.org"}, "pat@example.org"),
        # the rule of the field finds more odd about one
        ("email", {"email": "pat@mailinator.com"}, {"email": "pat@example.org"}, "pat@example.org"),
        ("site", {"site": "The Old Mill"}, {"site": "Athens Barn"}, "Athens Barn"),
        ("address", {"address": ["12 N MAIN ST"]}, {"address": ["9 ELM ST", "LIMA OH 45801"]},
         ["9 ELM ST", "LIMA OH 45801"]),
        ("email", {}, {"email": "new@example.org"}, "new@example.org"),  # said last
        ("email", {"joined": OTHER["joined"]}, {"email": "new@example.org"}, "pat@example.org"),
        ("consent", {"consent": True}, {"consent": False}, False),  # no is no, whoever said it
        ("consent", {"consent": False}, {"consent": True} | MORE, False),
        ("consent", {}, {"consent": True}, True),
        ("joined", {}, {}, "2020-05-01T12:00:00Z"),
        ("confirmed", {"confirmed": "2026-01-01"}, MORE, "2026-10-01"),
        ("last_order", {"last_order": "2026-01-01"}, {}, "2026-01-01"),
        ("extras", {"extras": {"Needs": "a ramp"}}, {"extras": {"Needs": "-", "Eggs": "2"}},
         {"Needs": "a ramp", "Eggs": "2"}),
        ("born", {}, {"born": "1976-07-04"}, "1976-07-04"),
        ("born", {"born": "1976-07-05"}, {"born": "1976-07-04"}, "1976-07-05"),
        ("notes", {"notes": "Likes oats."}, {"notes": "Has a truck."}, "Likes oats.\nHas a truck."),
    ],
)  # fmt: skip
def test_what_stands_on_the_account_that_stays(
    coop: Settings, field: str, one: dict[str, Any], other: dict[str, Any], value: Any
) -> None:
    stays = account(**one)
    merge = plan(stays, account(**OTHER | other), coop)
    assert after(merge, stays)[field] == value


def after(merge: Merge, stays: Member) -> dict[str, Any]:
    said = {c.field: c.after for c in merge.changes if c.member_id == stays.id}
    return members.columns(stays) | said


def test_a_person_goes_before_every_rule(coop: Settings) -> None:
    stays = account(consent=True, **MORE)
    goes = account(**OTHER | {"email": "new@example.org", "consent": False})
    merge = plan(stays, goes, coop, choices={"email": 22, "consent": 17})
    assert after(merge, stays)["email"] == "new@example.org"
    assert after(merge, stays)["consent"] is True
    assert merge.chosen == {"email": "you said so"}
    kept = plan(replace(stays, email="set@example.org"), goes, coop, untouched={"email"})
    assert "email" not in {c.field for c in kept.changes}


def test_a_dead_address_does_not_make_the_live_one_look_dead(coop: Settings) -> None:
    stays = account(bounced="2026-11-01")
    merge = plan(stays, account(**OTHER | {"email": "new@example.org"}), coop)
    assert after(merge, stays)["bounced"] is None


# ---------------------------------------------------------------- on the store


def member(engine: Engine, number: int) -> Any:
    with store.transaction(engine, keep=False) as connection:
        return connection.execute(select(tables.member).where(tables.member.c.id == number)).one()


def merged(engine: Engine, coop: Settings, one: str, other: str, **more: Any) -> Merge:
    return merge_members(office_of(coop, engine, ROBIN), (one, other), **{"keep": True} | more)


def test_a_merge_is_looked_at_then_made_then_taken_back(enrolled: Engine, coop: Settings) -> None:
    before = content(enrolled)
    looked = merged(enrolled, coop, "kimvale", "1", keep=False)
    assert content(enrolled) == before
    done = merged(enrolled, coop, "kimvale", "1")
    assert done.changes == looked.changes
    assert (done.stays.handle.text, done.goes.handle.text) == ("patlee", "kimvale")
    assert (member(enrolled, 2).standing, member(enrolled, 2).merged_into) == ("merged", 1)
    assert "onboard export changes.csv --changed --record" in " ".join(done.told)
    undo(office_of(coop, enrolled, ROBIN), done.number, keep=True)
    assert content(enrolled) == before


def test_who_joins_again_with_what_a_merged_account_knew_is_known(
    enrolled: Engine, coop: Settings
) -> None:
    merged(enrolled, coop, "kimvale", "patlee", stays="patlee")
    again = form(9, full_name="Kim Vale", email="kim@example.net", phone="419-555-0177")
    process_batch(office_of(coop, enrolled, ROBIN), [again], file="more.csv", keep=True)
    with store.transaction(enrolled, keep=False) as connection:
        assert search.seen(connection, [again.key])[again.key].owner == "member:1"


def test_an_answer_that_names_a_merged_account_means_the_one_that_stays(
    enrolled: Engine, coop: Settings
) -> None:
    held = form(9, full_name="K Vale", email="", phone="", street="7 Oak Ave", zip="45801")
    process_batch(office_of(coop, enrolled, ROBIN), [held], file="more.csv", keep=True)
    merged(enrolled, coop, "kimvale", "patlee", stays="patlee")
    ruling = Ruling(held.key, Answer.SAME, "Robin", "", Owner.of_member(2))
    process_batch(office_of(coop, enrolled, ROBIN), (), file="", keep=True, rulings=[ruling])
    with store.transaction(enrolled, keep=False) as connection:
        assert search.seen(connection, [held.key])[held.key].owner == "member:1"


def test_those_told_apart_from_a_merged_account_are_told_apart_from_the_one_that_stays(
    enrolled: Engine, coop: Settings
) -> None:
    twin = form(9, full_name="Kim Vale", email="", phone="", street="7 Oak Ave", zip="45801")
    process_batch(office_of(coop, enrolled, ROBIN), [twin], file="more.csv", keep=True)
    ruling = Ruling(twin.key, Answer.ENROL, "Robin", "mother and daughter", None,
                    {"email": "k@example.org"})  # fmt: skip
    process_batch(office_of(coop, enrolled, ROBIN), (), file="", keep=True, rulings=[ruling])
    merged(enrolled, coop, "kimvale", "patlee", stays="patlee")
    with store.transaction(enrolled, keep=False) as connection:
        assert "member:1" in search.apart(connection, [twin.key])[twin.key]


def test_no_handle_of_a_merged_account_is_given_again(enrolled: Engine, coop: Settings) -> None:
    merged(enrolled, coop, "kimvale", "patlee", stays="patlee")
    other = form(9, full_name="Kim Vale", email="other@example.com", phone="419-555-0190",
                 street="1 Far Rd", city="Athens", state="OH", zip="45701")  # fmt: skip
    process_batch(office_of(coop, enrolled, ROBIN), [other], file="more.csv", keep=True)
    ruling = Ruling(other.key, Answer.ENROL, "Robin", "somebody else")
    process_batch(office_of(coop, enrolled, ROBIN), (), file="", keep=True, rulings=[ruling])
    with store.transaction(enrolled, keep=False) as connection:
        handles = connection.execute(select(tables.member.c.handle)).scalars().all()
    assert {"kimvale", "kimvale2"} <= set(handles)


def test_no_packet_is_written_for_an_account_that_was_merged(
    enrolled: Engine, coop: Settings
) -> None:
    merged(enrolled, coop, "kimvale", "patlee", stays="patlee")
    with store.transaction(enrolled, keep=False) as connection:
        due = outgoing.by_state(connection, What.PACKET, State.DUE)
        assert 2 not in {line.member_id for line in due}
        assert record.next_member(connection) == 6


@pytest.mark.parametrize(
    ("one", "other", "more", "words"),
    [
        ("patlee", "1", {}, "patlee and 1 are the same account: patlee, member 1."),
        ("nobody", "1", {}, "Nobody here has the sign-in name or number “nobody”"),
        ("1", "2", {"stays": "3"}, "3 is neither of the two. Use 1 or 2."),
        ("1", "2", {"choices": {"handle": "2"}}, "handle of member 2 can't be chosen"),
        ("1", "2", {"choices": {"email": "3"}}, "email of member 3 can't be chosen"),
    ],
)  # fmt: skip
def test_what_cannot_be_merged_is_said(
    enrolled: Engine, coop: Settings, one: str, other: str, more: dict[str, Any], words: str
) -> None:
    with pytest.raises(FileTrouble) as caught:
        merged(enrolled, coop, one, other, **more)
    assert words in str(caught.value)


def test_a_merged_account_is_not_merged_again(enrolled: Engine, coop: Settings) -> None:
    merged(enrolled, coop, "2", "1", stays="1")
    with pytest.raises(FileTrouble, match="kimvale is already merged into member 1"):
        merged(enrolled, coop, "2", "3")

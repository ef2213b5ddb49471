"""A stored member is changed by one door, journaled, and the change can be taken back."""

from __future__ import annotations

from typing import Any

import listed
import pytest
from coop_forms import NOON
from sqlalchemy import Engine, select
from tidy.content import content

from onboard.match import keys
from onboard.model import Owner, Person, Signature
from onboard.roster import change, journal, search, store, tables, taking_back
from onboard.roster.change import Change

SAM = Signature("Sam", NOON)
PAT, KIM, ANA = 1, 2, 3
EMAIL = Change(PAT, "email", "pat.lee@example.org", "pat@example.org", "said so on the phone")


def apply(engine: Engine, *changes: Change, **more: Any) -> list[Change]:
    with store.transaction(engine) as connection:
        return change.apply(connection, changes, SAM, **more)


def undo(engine: Engine, number: int, *only: int) -> taking_back.Undone:
    with store.transaction(engine) as connection:
        return taking_back.undo(connection, number, SAM, only=only)


def member(engine: Engine, number: int) -> Any:
    with store.transaction(engine, keep=False) as connection:
        return connection.execute(select(tables.member).where(tables.member.c.id == number)).one()


def found_as(engine: Engine, *match_keys: str) -> list[str]:
    """The owners of the spellings that have one of the keys."""
    with store.transaction(engine, keep=False) as connection:
        return [person.owner for person, _ in search.people(connection, match_keys)]


def test_a_change_is_made_and_journaled_with_before_and_after(enrolled: Engine) -> None:
    assert apply(enrolled, EMAIL) == []
    assert member(enrolled, PAT).email == "pat@example.org"
    with store.transaction(enrolled, keep=False) as connection:
        entry = connection.execute(select(tables.journal).order_by(tables.journal.c.id)).all()[-1]
        assert (entry.who, entry.what, entry.about, entry.why, entry.before, entry.after) == (
            "Sam", "corrected", "member:1", "said so on the phone",
            {"email": "pat.lee@example.org"}, {"email": "pat@example.org"},
        )  # fmt: skip


def test_a_change_of_somebody_who_changed_meanwhile_is_handed_back(enrolled: Engine) -> None:
    stale = Change(PAT, "phone", "tel:+1-419-555-0199", "", "")
    nobody = Change(99, "phone", "", "tel:+1-419-555-0199", "")
    before = content(enrolled)
    assert apply(enrolled, stale, nobody) == [stale, nobody]
    assert content(enrolled) == before
    assert apply(enrolled, EMAIL, stale) == [stale]
    assert member(enrolled, PAT).email == "pat@example.org"


def test_making_a_change_twice_changes_nothing_the_second_time(enrolled: Engine) -> None:
    apply(enrolled, EMAIL)
    before = content(enrolled)
    assert apply(enrolled, EMAIL) == [EMAIL]
    assert content(enrolled) == before
    with store.transaction(enrolled, keep=False) as connection:
        assert [a.number for a in taking_back.applied(connection)] == [1]


def test_values_of_every_kind_come_back_as_they_were(enrolled: Engine) -> None:
    line = member(enrolled, PAT)
    before = content(enrolled)
    left = apply(
        enrolled,
        Change(PAT, "name", line.name, line.name | {"family": "Leigh"}, "married"),
        Change(PAT, "address", tuple(line.address), ("9 ELM ST", "LIMA OH 45801"), "moved"),
        Change(PAT, "consent", None, False, "asked"),
        Change(PAT, "extras", {}, {"Allergies": "none\ud800"}, ""),
        Change(PAT, "confirmed", None, "2026-11-25", "called"),
    )
    assert left == []
    now = member(enrolled, PAT)
    assert now.name["family"] == "Leigh"
    assert (now.consent, now.extras) == (False, {"Allergies": "none?"})
    assert undo(enrolled, 1).kept == ()
    assert content(enrolled) == before


def test_an_added_spelling_is_matched_and_goes_with_the_change(enrolled: Engine) -> None:
    before = content(enrolled)
    spelling = Person(owner=Owner.of_member(1), given="Pat", family="Lee", email="pat@example.org")
    apply(enrolled, EMAIL, spellings=[(spelling, keys.of(spelling))])
    assert found_as(enrolled, "e:pat@example.org") == ["member:1"]
    assert found_as(enrolled, "e:pat.lee@example.org") == ["member:1"]  # the old one stays known
    undo(enrolled, 1)
    assert found_as(enrolled, "e:pat@example.org") == []
    assert content(enrolled) == before


def test_an_added_spelling_stays_while_any_change_that_brought_it_is_in_force(
    enrolled: Engine,
) -> None:
    before = content(enrolled)
    spelling = Person(owner=Owner.of_member(1), given="Pat", family="Lee", email="pat@example.org")
    asked = Change(PAT, "consent", None, True, "asked")
    apply(enrolled, asked, EMAIL, spellings=[(spelling, keys.of(spelling))])
    undo(enrolled, 1, 1)
    assert found_as(enrolled, "e:pat@example.org") == ["member:1"]
    undo(enrolled, 1, 2)
    assert content(enrolled) == before


def test_no_spelling_is_added_where_no_change_was_made(enrolled: Engine) -> None:
    spelling = Person(owner=Owner.of_member(1), given="Pat", family="Lee", email="pat@example.org")
    stale = Change(PAT, "email", "other@example.org", "pat@example.org", "")
    apply(enrolled, stale, spellings=[(spelling, keys.of(spelling))])
    assert found_as(enrolled, "e:pat@example.org") == []


def test_a_new_handle_is_kept_for_the_member_for_ever(enrolled: Engine) -> None:
    apply(enrolled, Change(PAT, "handle", "patlee", "patleigh", "married"))
    undo(enrolled, 1)
    assert member(enrolled, PAT).handle == "patlee"
    taken = Change(KIM, "handle", "kimvale", "patleigh", "")
    capitals = Change(KIM, "handle", "kimvale", "PatLeigh", "")
    assert apply(enrolled, taken, capitals) == [taken, capitals]
    assert apply(enrolled, Change(PAT, "handle", "patlee", "patleigh", "")) == []


def test_a_closed_account_is_due_no_packet_until_it_is_open_again(enrolled: Engine) -> None:
    before = content(enrolled)
    apply(enrolled, Change(PAT, "standing", "open", "closed", "asked to leave"))
    now = member(enrolled, PAT)
    assert (now.standing, now.closed) == ("closed", "2026-11-25")
    assert listed.packet(enrolled, PAT) is None
    undo(enrolled, 1)
    assert content(enrolled) == before


def test_what_no_change_may_name_is_refused_in_the_program(enrolled: Engine) -> None:
    for field in ("password_hash", "id", "nonsense"):
        with pytest.raises(ValueError, match=field):
            apply(enrolled, Change(PAT, field, None, "x", ""))


# ---------------------------------------------------------------- merging


def merged(one: int, into: int) -> tuple[Change, ...]:
    return (
        Change(one, "standing", "open", "merged", "the same person"),
        Change(one, "merged_into", None, into, "the same person"),
    )


def make(engine: Engine, *changes: Change, line: int = 1) -> change.Made:
    with store.transaction(engine) as connection:
        return change.make(connection, [(line, c) for c in changes], change.Occasion(SAM, "merged"))


def test_all_that_belonged_to_a_merged_account_belongs_to_the_one_that_stays(
    enrolled: Engine,
) -> None:
    before = content(enrolled)
    make(enrolled, *merged(KIM, PAT))
    assert found_as(enrolled, "e:kim@example.net") == ["member:1"]
    with store.transaction(enrolled, keep=False) as connection:
        handle = tables.handle
        owner = select(handle.c.member_id).where(handle.c.text == "kimvale")
        assert connection.execute(owner).scalar_one() == PAT
        assert search.stays(connection, [KIM, PAT]) == {KIM: PAT}
    assert listed.packet(enrolled, KIM) is None
    assert undo(enrolled, 1).kept == ()
    assert content(enrolled) == before


def test_nobody_is_merged_with_an_account_that_is_not_open_or_with_themselves(
    enrolled: Engine,
) -> None:
    make(enrolled, *merged(KIM, PAT))
    for one, into in ((ANA, KIM), (ANA, ANA), (ANA, 99)):
        assert make(enrolled, *merged(one, into)).number == 0


def test_of_a_chain_of_merges_the_last_is_taken_back_first(enrolled: Engine) -> None:
    before = content(enrolled)
    make(enrolled, *merged(KIM, PAT))
    make(enrolled, *merged(PAT, ANA))
    with store.transaction(enrolled, keep=False) as connection:
        assert search.stays(connection, [KIM]) == {KIM: ANA}
    assert found_as(enrolled, "e:kim@example.net") == ["member:3"]
    (kept,) = undo(enrolled, 1).kept
    assert (kept.change.field, kept.merged) == ("belongings", ANA)
    assert undo(enrolled, 2).kept == undo(enrolled, 1).kept == ()
    assert content(enrolled) == before


def test_two_merges_of_one_file_are_taken_back_in_their_turn(enrolled: Engine) -> None:
    before = content(enrolled)
    lines = [(n, c) for n, pair in enumerate(((KIM, PAT), (PAT, ANA)), 1) for c in merged(*pair)]
    with store.transaction(enrolled) as connection:
        assert change.make(connection, lines, change.Occasion(SAM, "tidied")).left_out == ()
    assert undo(enrolled, 1).kept == ()
    assert content(enrolled) == before


# ---------------------------------------------------------------- taking back


def test_of_changes_of_one_field_the_newest_is_taken_back_first(enrolled: Engine) -> None:
    before = content(enrolled)
    apply(enrolled, EMAIL)
    apply(enrolled, Change(PAT, "email", "pat@example.org", "p@example.org", ""))
    apply(enrolled, Change(PAT, "email", "p@example.org", "pat@example.org", ""))
    (kept,) = undo(enrolled, 1).kept
    assert kept == taking_back.Kept(1, EMAIL, later=3)
    for number in (3, 2, 1):
        assert undo(enrolled, number).kept == ()
    assert content(enrolled) == before


def test_two_changes_of_one_field_made_together_are_taken_back_together(enrolled: Engine) -> None:
    before = content(enrolled)
    apply(enrolled, EMAIL, Change(PAT, "email", "pat@example.org", "p@example.org", ""))
    assert member(enrolled, PAT).email == "p@example.org"
    assert undo(enrolled, 1).kept == ()
    assert content(enrolled) == before


def test_what_another_door_changed_since_is_left_and_said(enrolled: Engine) -> None:
    apply(enrolled, EMAIL, Change(PAT, "consent", None, True, ""))
    with store.transaction(enrolled) as connection:
        connection.execute(tables.member.update().values(email="else@example.org"))
    done = undo(enrolled, 1)
    assert [(k.line, k.now) for k in done.kept] == [(1, "else@example.org")]
    assert [line for line, _ in done.taken] == [2]
    assert member(enrolled, PAT).consent is None


def test_a_line_is_taken_back_alone_and_after_later_unrelated_changes(enrolled: Engine) -> None:
    apply(enrolled, EMAIL, Change(KIM, "email", "kim@example.net", "kim@example.org", ""))
    apply(enrolled, Change(PAT, "consent", None, True, "asked"))
    assert [line for line, _ in undo(enrolled, 1, 1).taken] == [1]
    assert member(enrolled, PAT).email == "pat.lee@example.org"
    assert member(enrolled, PAT).consent is True
    assert member(enrolled, KIM).email == "kim@example.org"
    with store.transaction(enrolled, keep=False) as connection:
        assert [(a.number, a.changes, a.in_force) for a in taking_back.applied(connection)] == [
            (2, 1, 1), (1, 2, 1),
        ]  # fmt: skip
        assert [(line, on) for line, _, on in taking_back.lines_of(connection, 1)] == [
            (1, False), (2, True),
        ]  # fmt: skip


def test_taking_back_is_journaled_and_done_once(enrolled: Engine) -> None:
    apply(enrolled, EMAIL)
    undo(enrolled, 1)
    assert undo(enrolled, 1).taken == ()
    with store.transaction(enrolled, keep=False) as connection:
        entries = [e for e in journal.read(connection, "member:1") if e[2] == "taken back"]
    assert [(e[1], e[4]) for e in entries] == [("Sam", "number 1")]

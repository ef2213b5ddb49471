"""The same people on another form: nothing that was settled changes, and nobody is asked about again."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import earlier
import pytest
from coop_forms import PAT, ROBIN, contents, form, office_of
from hypothesis import example, given
from hypothesis import strategies as st
from sqlalchemy import Engine, select, text
from test_batch_laws import CHAIN, FEW, batches, numbered, run

from onboard import who
from onboard.clean import statement
from onboard.model import (
    Answer,
    Drop,
    Enrol,
    Hold,
    Owner,
    RawRow,
    Ruling,
    SameAs,
    State,
    Way,
    What,
)
from onboard.roster import outgoing, search, store, tables
from onboard.settings import Settings
from onboard.tasks.process_batch import process_batch
from onboard.tasks.stated import Stands, Stated

SETTLED = ("member", "handle", "outgoing", "person", "person_key", "apart", "ruling", "finding")


def settled(engine: Engine) -> dict[str, list[str]]:
    said = contents(engine)
    return {name: said[name] for name in SETTLED}


def next_month(raw: RawRow, **more: str) -> RawRow:
    """The same person on a form with questions more, in another order, sent at another time."""
    fields = {"submitted": "6/1/2027 9:15", **dict(reversed(list(raw.fields.items()))), **more}
    cells = (("Timestamp", "6/1/2027 9:15"), *reversed(raw.cells), *more.items())
    return replace(raw, file="june.csv", line=raw.line + 7, cells=tuple(cells), fields=fields)


def reachable(dicts: list[dict[str, str]]) -> list[dict[str, str]]:
    """Forms that say more of somebody than a name, which is many people's."""
    return [said for said in dicts if said.get("email") or said.get("phone") or said.get("street")]


# The second says the same of the person, but for the drop site: that is asked about once.
MOVED = [
    {"full_name": "Patricia Lee", "email": "pat@example.org", "street": "12 N Main St", "zip": "45701", "site": site}
    for site in ("", "Athens Barn")
]  # fmt: skip


@FEW
@example(CHAIN)
@example(MOVED)
@given(batches)
def test_one_more_question_changes_nothing_that_was_settled(coop: Settings, dicts: Any) -> None:
    raw = numbered(reachable(dicts))
    engine = store.open_store("sqlite://")
    run(engine, coop, raw)
    before, waiting = settled(engine), len(holds(engine, coop))
    for more in (
        {"aside:Can you lift 50 lb?": "yes"},
        {"extra:Why?": "I grow corn", "language": "English"},
    ):
        told = run(engine, coop, [next_month(one, **more) for one in raw])
        assert settled(engine) == before
        assert all(
            o.owner.is_member or o.given_before or isinstance(o.decision, Hold) for o in told
        )
        assert not any(isinstance(o.decision, Enrol) for o in told)
    assert len(holds(engine, coop)) == waiting


@FEW
@given(batches, st.sampled_from(["phone", "street", "zip", "site"]))
def test_a_column_less_enrolls_nobody_and_asks_about_nobody_who_is_a_member(
    coop: Settings, dicts: Any, column: str
) -> None:
    raw = numbered([d for d in reachable(dicts) if d.get("email")])
    engine = store.open_store("sqlite://")
    told = run(engine, coop, raw)
    # Two who differ in nothing but that column cannot be told apart without it.
    sure = [
        one
        for one in raw
        if sum(_without(one, column).fields == _without(o, column).fields for o in raw) == 1
    ]
    before = settled(engine)
    members = {o.decision.applicant.raw.key for o in told if o.owner.is_member}
    again = [
        _without(one, column) for one in sure if one.key in members and one.fields["full_name"]
    ]
    told = run(engine, coop, again)
    assert settled(engine)["member"] == before["member"]
    assert all(o.given_before or isinstance(o.decision, SameAs) or o.on_hold_before for o in told)


def _without(raw: RawRow, column: str) -> RawRow:
    fields = {field: said for field, said in raw.fields.items() if field != column}
    return replace(raw, cells=tuple(fields.items()), fields=fields)


def holds(engine: Engine, coop: Settings) -> list[Hold]:
    told: dict[str, Any] = {}
    process_batch(
        office_of(coop, engine, ROBIN), [], file="", keep=False,
        tell=lambda o: told.update({o.decision.applicant.raw.key: o.decision}),
    )  # fmt: skip
    return [one for one in told.values() if isinstance(one, Hold)]


def test_what_came_again_is_kept_and_is_whose_the_first_one_is(
    coop: Settings, roster: Engine
) -> None:
    held = form(2, **(PAT | {"email": ""}))
    run(roster, coop, [held])
    later = next_month(held, **{"aside:Can you host?": "yes"})
    (told,) = [o for o in run(roster, coop, [later]) if o.decision.applicant.raw.key == later.key]
    assert told.given_before
    assert told.owner == f"row:{held.key}"
    run(roster, coop, [], [Ruling(held.key, Answer.ENROL, "Robin")])
    with store.transaction(roster, keep=False) as connection:
        seen = search.seen(connection, [held.key, later.key])
        kept = search.raw_rows(connection, [later.key])[later.key]
    assert {was.owner for was in seen.values()} == {"member:1"}
    assert kept.aside == {"Can you host?": "yes"}
    assert [o.given_before for o in run(roster, coop, [later])] == [True]  # the very same row


def on_hold(engine: Engine, coop: Settings) -> list[RawRow]:
    told = run(engine, coop, [])
    return [o.decision.applicant.raw for o in told if isinstance(o.decision, Hold)]


@pytest.mark.parametrize("at_once", [True, False])
def test_a_form_on_hold_that_comes_again_with_more_is_one_form_with_all_of_it(
    coop: Settings, roster: Engine, at_once: bool
) -> None:
    asked = dict(PAT, full_name="Pat and Robin Lee", email="pat@example.org")
    asked.pop("phone", None)
    first = form(2, **asked)
    more = form(3, **asked, phone="419-555-0143")
    for part in [[first, more]] if at_once else [[first], [more], [first, more]]:
        run(roster, coop, part)
    (held,) = on_hold(roster, coop)
    assert held.key == first.key
    assert held.fields["phone"] == "419-555-0143"
    run(
        roster,
        coop,
        [],
        [Ruling(held.key, Answer.ENROL, "Robin", "", None, {"full_name": "Pat Lee"})],
    )
    with store.transaction(roster, keep=False) as connection:
        (member,) = search.members(connection)
        assert member.phone == "tel:+14195550143"
        phones = set(connection.execute(select(tables.person.c.phone)).scalars())
    assert phones == {"", "+14195550143"}, "found by either form"
    assert on_hold(roster, coop) == []


def test_a_form_on_hold_that_comes_again_in_its_file_counts_once(
    coop: Settings, roster: Engine
) -> None:
    rows = [form(2, **PAT), form(3, full_name="Kim and Bo Vale", email="kim@example.org")]
    run(roster, coop, rows)
    again = process_batch(office_of(coop, roster, ROBIN), rows, file="f", keep=False)
    assert (again.rows, again.held, again.given_before, again.waiting) == (2, 1, 1, 1)


def test_a_form_on_hold_that_comes_in_next_months_file_counts_once(
    coop: Settings, roster: Engine
) -> None:
    held = form(2, full_name="Kim and Bo Vale", email="kim@example.org")
    run(roster, coop, [form(3, **PAT), held])
    rows = [next_month(held), form(4, **PAT)]
    again = process_batch(office_of(coop, roster, ROBIN), rows, file="g", keep=False)
    assert (again.rows, again.held, again.given_before, again.waiting) == (2, 1, 1, 1)


def test_who_was_not_to_be_enrolled_is_not_asked_about_again(
    coop: Settings, roster: Engine
) -> None:
    held = form(2, **(PAT | {"email": ""}))
    run(roster, coop, [held])
    run(roster, coop, [], [Ruling(held.key, Answer.DROP, "Robin", "moved away")])
    told = run(roster, coop, [next_month(held, born="1/2/1980")])
    assert [o.given_before for o in told] == [True]
    assert not [o for o in told if isinstance(o.decision, Enrol | Hold | Drop)]


def test_a_form_that_says_more_of_the_person_is_theirs_and_is_known_by_it(
    coop: Settings, roster: Engine
) -> None:
    said = {field: text for field, text in PAT.items() if field != "phone"}
    run(roster, coop, [form(2, **said)])
    (told,) = run(roster, coop, [form(3, **PAT)])
    assert isinstance(told.decision, SameAs)
    assert (told.owner, told.given_before) == ("member:1", False)
    assert any("4195550143" in line for line in contents(roster)["person"])
    assert told.news
    assert [(c.field, c.before) for c in told.news.proposed] == [("phone", "")]


def test_where_two_could_be_meant_by_a_form_nobody_is() -> None:
    father, son = form(2, **PAT), form(3, **(PAT | {"phone": "740-555-0177"}))
    less = form(4, full_name=PAT["full_name"], email=PAT["email"])
    stated, whose = Stated(), {father.key: "member:1", son.key: "member:2"}
    for one in (father, son, less):
        stated.add(one.key, one.fields, statement.sketch(one.fields))

    def stands(key: str) -> Stands | None:
        return Stands(key, Owner(whose[key]), True, 0) if key in whose else None

    assert stated.first(less, stands) is None
    whose.pop(son.key)
    first = stated.first(less, stands)
    assert first == (father.key, "member:1", False)


def test_rows_of_an_earlier_roster_are_known_again(tmp_path: Path, coop: Settings) -> None:
    first = form(2, **PAT)

    def fill(connection: Any) -> None:
        connection.execute(
            text("INSERT INTO batch VALUES (1, 'f.csv', '2026-11-25T12:00:00Z', 'Robin')")
        )
        connection.execute(
            text(
                "INSERT INTO row VALUES (:key, 1, 1, 'f.csv', 2, '[]', :fields, '[]', 'drop', 0, NULL)"
            ),
            {"key": first.key, "fields": json.dumps(PAT)},
        )

    earlier.roster(tmp_path / "roster.db", "0008", fill)
    engine = store.open_store(f"sqlite:///{tmp_path / 'roster.db'}")
    assert [o.given_before for o in run(engine, coop, [first])] == [True]  # by its old key
    assert [o.given_before for o in run(engine, coop, [next_month(first)])] == [True]


@pytest.mark.parametrize("answer", ["no", "", "x"])
def test_a_later_no_to_email_is_heard_on_a_form_that_came_again(
    coop: Settings, roster: Engine, answer: str
) -> None:
    field = "opt_out" if answer == "x" else "consent"
    run(roster, coop, [form(2, **PAT)])
    (told,) = run(roster, coop, [next_month(form(2, **PAT), **{field: answer})])
    assert told.news
    assert [(c.field, c.after) for c in told.news.recorded] == [("consent", False)]
    with store.transaction(roster, keep=False) as connection:
        assert search.members(connection)[0].consent is False


def test_after_a_later_no_to_email_the_packet_in_the_outbox_goes_by_letter(
    coop: Settings, roster: Engine
) -> None:
    run(roster, coop, [form(2, **PAT)])
    with store.transaction(roster) as connection:
        (due,) = outgoing.by_state(connection, What.PACKET, State.DUE)
        outgoing.written(connection, {due.id: "patlee.eml"}, "letters-1.pdf", ROBIN)
    run(roster, coop, [next_month(form(2, **PAT), consent="no")])
    with store.transaction(roster, keep=False) as connection:
        (line,) = outgoing.by_state(connection, What.PACKET, State.WRITTEN)
    assert (line.way, line.letter) == (Way.LETTER, "letters-1.pdf")


def test_only_what_a_form_says_otherwise_than_the_one_before_it_is_news(
    coop: Settings, roster: Engine
) -> None:
    first = form(2, **(PAT | {"consent": "No", "site": "Lima Grange"}))
    run(roster, coop, [first])
    with store.transaction(roster) as connection:  # they were called since, and changed their mind
        members = tables.member.update().values(consent=True, site="Athens Barn")
        connection.execute(members)
    (told,) = run(roster, coop, [next_month(first, **{"aside:Can you host?": "yes"})])
    assert told.news is None
    (told,) = run(roster, coop, [next_month(first, born="1980-01-02")])
    assert isinstance(told.decision, SameAs)
    assert told.news is None
    elsewhere = form(9, **(PAT | {"site": "Toledo Dock", "consent": "no"}))
    assert run(roster, coop, [elsewhere])[0].news is None, "there is no such site"


def test_another_drop_site_on_a_later_form_is_proposed(coop: Settings, roster: Engine) -> None:
    run(roster, coop, [form(2, **PAT)])
    with store.transaction(roster) as connection:
        connection.execute(tables.member.update().values(site="Athens Barn"))
    first = form(2, **(PAT | {"site": ""}))
    (told,) = run(roster, coop, [next_month(first, site="lima grange")])
    assert told.news is None, "the earlier form said it too"
    run(
        roster,
        coop,
        [
            form(
                4,
                **(
                    PAT
                    | {
                        "full_name": "Kim Vale",
                        "email": "k@example.org",
                        "phone": "740-555-0111",
                        "site": "",
                    }
                ),
            )
        ],
    )
    again = form(
        5, **(PAT | {"full_name": "Kim Vale", "email": "k@example.org", "phone": "740-555-0111"})
    )
    (told,) = [o for o in run(roster, coop, [again]) if o.decision.applicant.raw.key == again.key]
    assert told.news
    assert [(c.field, c.before, c.after) for c in told.news.proposed] == [
        ("site", "", "Lima Grange")
    ]


@pytest.mark.parametrize(
    ("on_file", "said", "is_proposed"),
    [("Denise Garcia-Rael", "Denise Rael", True), ("Denise Garcia-Rael", "Denise Garcia", True),
     ("Inés Ortega Baca", "Inés Baca", True), ("Inés Ortega Baca", "Inés Ortega", False),
     ("Inés de la Cruz Soto", "Inés de la Cruz", False), ("Joan Featherstonhaugh", "Joan Feather", False),
     ("Denise Garcia-Rael", "Denise Garcia Rael", False)],
)  # fmt: skip
def test_a_last_name_that_lost_a_part_is_proposed(
    coop: Settings, on_file: str, said: str, is_proposed: bool
) -> None:
    engine = store.open_store("sqlite://")
    run(engine, coop, [form(2, **(PAT | {"full_name": on_file}))])
    (told,) = run(engine, coop, [form(3, **(PAT | {"full_name": said}))])
    assert isinstance(told.decision, SameAs)
    names = [c.after for c in told.news.proposed if c.field == "name"] if told.news else []
    assert bool(names) == is_proposed


def test_whose_a_form_is_is_told_by_the_name_on_file(coop: Settings) -> None:
    engine = store.open_store("sqlite://")
    names = ("Denise Garcia-Rael", "Denise Garcia", "Denise Ortega")
    told = [
        run(engine, coop, [form(n, **(PAT | {"full_name": name}))])
        for n, name in enumerate(names, 2)
    ]
    for (one,) in told[1:]:
        assert isinstance(one.decision, SameAs | Hold)
        shown = {who.shown(match) for match in one.decision.matches}
        assert shown == {"Denise Garcia-Rael (member 1)"}


def test_a_row_that_came_again_names_the_file_of_the_first(coop: Settings, roster: Engine) -> None:
    first = replace(form(7, **PAT), file="forms-may.csv")
    run(roster, coop, [first])
    (told,) = run(roster, coop, [next_month(first)])
    assert told.decision.reasons == (
        "the same person as in row 7 of forms-may.csv, given on 2026-11-25",
    )
    (told,) = run(roster, coop, [first])
    assert told.decision.reasons == (
        "this very row was given before: row 7 of forms-may.csv, given on 2026-11-25",
    )
    report = process_batch(
        office_of(coop, roster, ROBIN),
        [next_month(first, born="1/2/1980")],
        file="july.csv",
        keep=True,
    )
    assert (report.same, report.members_again) == (1, 1)

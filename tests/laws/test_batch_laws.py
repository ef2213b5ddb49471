"""The laws of the path, over the real store, on rows that were made to collide."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from coop_forms import NOON, PAT, contents, form, office_of
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine

from onboard.model import Answer, Enrol, Hold, RawRow, Ruling, SameAs, Signature
from onboard.roster import store
from onboard.settings import Settings
from onboard.tasks.outcome import Outcome
from onboard.tasks.process_batch import process_batch

ROBIN = Signature("Robin", NOON)
FEW = settings(
    max_examples=25,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # shrinking here takes minutes
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)

# Few values a field, so that rows of one example are often alike in some and unlike in others.
rows = st.fixed_dictionaries(
    {
        "full_name": st.sampled_from(
            ["Pat Lee", "PAT LEE", "Patricia Lee", "Pat Leigh", "Robin Lee", "Pat and Robin Lee",
             "Pat Lee Jr", "Ana María de la Cruz", "Мария", "", "asdf"]
        ),
        "email": st.sampled_from(
            ["pat@example.org", "Pat@Example.org", "robin@example.org", "ana@example.net", "", "pat at"]
        ),
        "phone": st.sampled_from(["419-555-0143", "(419) 555-0143", "740-555-0177", "", "555-0143"]),
        "street": st.sampled_from(["12 N Main St", "12 North Main Street", "9 Ash St Apt 4", ""]),
        "zip": st.sampled_from(["45801", "45701", ""]),
        "site": st.sampled_from(["Lima Grange", "Athens Barn", ""]),
    }
)  # fmt: skip
batches = st.lists(rows, min_size=1, max_size=9)


# Whoever came later waits for a row on hold that only at the end is asked about.
CHAIN = [
    {"full_name": "Мария", "phone": "555-0143", "street": "12 North Main Street", "zip": "45701", "site": "Athens Barn"},
    {"full_name": "Pat Lee Jr", "email": "robin@example.org", "phone": "(419) 555-0143",
     "street": "12 North Main Street", "zip": "45701", "site": "Athens Barn"},
    {"email": "pat@example.org", "phone": "740-555-0177", "street": "9 Ash St Apt 4", "zip": "45801", "site": "Athens Barn"},
    {"full_name": "Мария", "email": "robin@example.org", "phone": "740-555-0177", "street": "12 N Main St",
     "zip": "45801", "site": "Lima Grange"},
    {"full_name": "Pat Leigh", "email": "pat at", "phone": "740-555-0177", "street": "12 North Main Street",
     "zip": "45801", "site": "Athens Barn"},
    {"full_name": "Robin Lee", "email": "Pat@Example.org", "phone": "419-555-0143", "street": "12 N Main St", "site": "Lima Grange"},
    {"full_name": "Pat Lee Jr", "phone": "419-555-0143", "street": "9 Ash St Apt 4", "zip": "45701", "site": "Lima Grange"},
    {"full_name": "Pat and Robin Lee", "email": "Pat@Example.org", "phone": "(419) 555-0143", "zip": "45801", "site": "Athens Barn"},
    {"full_name": "Pat Lee Jr", "email": "Pat@Example.org", "phone": "555-0143", "street": "12 N Main St", "zip": "45701"},
]  # fmt: skip


def run(engine: Engine, coop: Settings, raw: list[RawRow], rulings: Any = ()) -> list[Outcome]:
    told: list[Outcome] = []
    process_batch(office_of(coop, engine, ROBIN), raw, file="forms.csv", keep=True, rulings=rulings, tell=told.append)  # fmt: skip
    return told


def numbered(dicts: list[dict[str, str]]) -> list[RawRow]:
    return [form(line, **fields) for line, fields in enumerate(dicts, start=2)]


@FEW
@given(batches, st.data())
def test_splitting_a_batch_in_two_changes_nothing(coop: Settings, dicts: Any, data: Any) -> None:
    raw = numbered(dicts)
    at = data.draw(st.integers(0, len(raw)))
    whole, halves = store.open_store("sqlite://"), store.open_store("sqlite://")
    run(whole, coop, raw)
    run(halves, coop, raw[:at])
    run(halves, coop, raw[at:])
    assert contents(whole) == contents(halves)


@FEW
@example(CHAIN)
@given(batches)
def test_giving_the_same_file_twice_changes_nothing(coop: Settings, dicts: Any) -> None:
    raw = numbered(dicts)
    engine = store.open_store("sqlite://")
    run(engine, coop, raw)
    before = contents(engine)
    told = run(engine, coop, raw)
    assert contents(engine) == before
    assert all(o.given_before or isinstance(o.decision, Hold) for o in told)


@FEW
@given(batches)
def test_looking_changes_nothing_and_says_what_recording_does(coop: Settings, dicts: Any) -> None:
    raw = numbered(dicts)
    engine = store.open_store("sqlite://")
    looked: list[Outcome] = []
    process_batch(office_of(coop, engine, ROBIN), raw, file="f", keep=False, tell=looked.append)  # fmt: skip
    assert not any(contents(engine).values())
    assert run(engine, coop, raw) == looked


def told(one: Outcome) -> tuple[object, ...]:
    """What a person is told of a row, however the file was cut into parts."""
    of = one.decision
    said = of.questions if isinstance(of, Hold) else of.handle if isinstance(of, Enrol) else None
    return of.applicant.raw.key, type(of), one.owner, of.reasons, said, one.given_before, one.news


@pytest.mark.parametrize("in_memory", [3, 20_000])
@settings(FEW, max_examples=8)
@example(CHAIN, CHAIN[:3])
@given(st.lists(rows, min_size=1, max_size=15), st.lists(rows, max_size=3))
def test_how_much_of_a_preview_stays_in_memory_changes_nothing(
    coop: Settings, in_memory: int, dicts: Any, before: Any
) -> None:
    raw = numbered([*dicts, *dicts[:2]])
    engine = store.open_store("sqlite://")
    run(engine, coop, numbered(before))
    looked: list[Outcome] = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("onboard.tasks.process_batch.AT_ONCE", 2)
        patch.setattr("onboard.tasks.batch_pass.IN_MEMORY", in_memory)
        office = office_of(coop, engine, ROBIN)
        sums = process_batch(office, raw, file="forms.csv", keep=False, tell=looked.append)
        saved: list[Outcome] = []
        kept = process_batch(office, raw, file="forms.csv", keep=True, tell=saved.append)
    assert list(map(told, looked)) == list(map(told, saved))
    # A row that is judged once more after it was written is noticed twice.
    assert replace(sums, codes=kept.codes, first=kept.first) == kept


GIVEN = [
    "Ada",
    "Bea",
    "Cal",
    "Dov",
    "Eli",
    "Fay",
    "Gus",
    "Hal",
    "Ida",
    "Jan",
    "Kim",
    "Lou",
    "Mae",
    "Ned",
    "Ola",
    "Per",
    "Quy",
    "Ray",
    "Sue",
    "Tom",
    "Una",
    "Val",
    "Wes",
    "Xia",
    "Yma",
    "Zoe",
    "Abe",
    "Bo",
    "Cy",
    "Di",
    "Ed",
    "Flo",
]


@FEW
@given(batches, st.data())
def test_answers_to_rows_on_hold_settle_them_for_good(
    coop: Settings, dicts: Any, data: Any
) -> None:
    raw = numbered(dicts)
    engine = store.open_store("sqlite://")
    run(engine, coop, raw)
    for turn in range(2 * len(raw)):
        holds = [o.decision for o in run(engine, coop, []) if isinstance(o.decision, Hold)]
        if not holds:
            break
        hold = data.draw(st.sampled_from(holds))
        answer = data.draw(st.sampled_from([Answer.ENROL, Answer.DROP]))
        # Each answer names somebody else: who is a member by an earlier one would be asked about.
        somebody = {"full_name": f"{GIVEN[turn]} Vale", "email": f"{GIVEN[turn].lower()}@example.org"}  # fmt: skip
        corrections = {} if answer is Answer.DROP else somebody
        run(
            engine,
            coop,
            [],
            [Ruling(hold.applicant.raw.key, answer, "Robin", "", None, corrections)],
        )
        left = [o.decision for o in run(engine, coop, []) if isinstance(o.decision, Hold)]
        assert hold.applicant.raw.key not in {h.applicant.raw.key for h in left}
    assert not [o for o in run(engine, coop, []) if isinstance(o.decision, Hold)]


@FEW
@given(batches)
def test_every_row_is_kept_as_written_with_every_spelling(coop: Settings, dicts: Any) -> None:
    raw = numbered(dicts)
    engine = store.open_store("sqlite://")
    told = run(engine, coop, raw)
    said = contents(engine)
    for row in raw:
        assert any(repr(row.key) in line for line in said["row"])
    enrolled = {o.owner for o in told if o.owner.startswith("member:")}
    assert len(said["member"]) == len(enrolled)


def test_a_row_close_to_a_kept_spelling_is_not_enrolled_anew(
    coop: Settings, roster: Engine
) -> None:
    """Forgetting the spelling of a `SameAs` row would let a third one, close to it, in."""
    moved = {"phone": "740-555-0177", "street": "9 Ash St", "city": "Athens", "zip": "45701"}
    first, second = form(2, **PAT), form(3, **(PAT | moved))
    third = form(4, **(PAT | moved | {"email": "patlee@example.net"}))
    forgetful = store.open_store("sqlite://")
    run(forgetful, coop, [first])
    assert isinstance(run(forgetful, coop, [third])[-1].decision, Enrol)
    run(roster, coop, [first])
    assert isinstance(run(roster, coop, [second])[-1].decision, SameAs)
    assert not isinstance(run(roster, coop, [third])[-1].decision, Enrol)


def test_a_complete_form_after_one_without_an_address_takes_both(
    coop: Settings, roster: Engine
) -> None:
    # A rare name: two of a common one at one address may be father and son, and are asked about.
    mina = PAT | {"full_name": "Wilhelmina Quillfeather", "email": "mina@example.org"}
    (held,) = run(roster, coop, [form(2, **(mina | {"email": ""}))])
    assert isinstance(held.decision, Hold)
    told = run(roster, coop, [form(3, **mina)])
    assert [o.owner for o in told][-2:] == ["member:1", "member:1"]
    assert not [o for o in run(roster, coop, []) if isinstance(o.decision, Hold)]


def test_a_ruling_that_tells_two_apart_is_never_asked_again(coop: Settings, roster: Engine) -> None:
    run(roster, coop, [form(2, **PAT)])
    junior = form(
        3, **(PAT | {"full_name": "Pat Lee Jr", "phone": "", "email": "pat.lee@example.org"})
    )
    (held,) = run(roster, coop, [junior])
    if isinstance(held.decision, Hold):
        run(roster, coop, [], [Ruling(junior.key, Answer.ENROL, "Robin", "father and son")])
    assert not [o for o in run(roster, coop, []) if isinstance(o.decision, Hold)]


def test_a_row_on_hold_that_an_answer_settled_is_told_and_counted_once(
    coop: Settings, roster: Engine
) -> None:
    home = {"phone": "419-555-0142", "street": "14 Alder Lane", "city": "Lima", "zip": "45801"}
    both = form(2, full_name="Owen & Lark Dunmore", email="owen@example.org", **home)
    lark = form(3, full_name="Lark Dunmore", email="lark@example.org", **home)
    held = run(roster, coop, [both, lark])
    assert all(isinstance(o.decision, Hold) for o in held)
    hers = Ruling(both.key, Answer.ENROL, "Robin", "", None, {"full_name": "Lark Dunmore"})
    told: list[Outcome] = []
    sums = process_batch(office_of(coop, roster, ROBIN), [], file="", keep=True, rulings=[hers], tell=told.append)  # fmt: skip
    assert [(type(o.decision), o.owner) for o in told] == [
        (Enrol, "member:1"),
        (SameAs, "member:1"),
    ]
    assert (sums.rows, sums.enrolled, sums.same, sums.given_before) == (2, 1, 1, 0)


def test_a_new_row_beside_a_corrected_one_is_judged_as_after_it(coop: Settings) -> None:
    both = form(2, full_name="Pat and Robin Lee", street="12 N Main St", site="Athens Barn")
    hers = Ruling(
        both.key, Answer.ENROL, "Robin", "", None,
        {"full_name": "Patricia Lee", "email": "ana@example.net"},
    )  # fmt: skip
    phone = {"phone": "419-555-0143", "zip": "45701"}
    new = [
        form(20, full_name="Pat Lee Jr", email="pat@example.org", street="12 N Main St", **phone),
        form(21, full_name="Pat Leigh", email="robin@example.org", **phone),
    ]
    once, twice = store.open_store("sqlite://"), store.open_store("sqlite://")
    for engine in (once, twice):
        run(engine, coop, [both])
    run(once, coop, new, [hers])
    run(twice, coop, [], [hers])
    run(twice, coop, new)
    assert contents(once) == contents(twice)


def test_handles_are_numbered_from_two_and_never_given_twice(
    coop: Settings, roster: Engine
) -> None:
    homes = [
        ("12 N Main St", "Lima", "45801", "419-555-0143", "gardenpat@example.org"),
        ("880 Ridge Rd", "Dayton", "45402", "937-555-0119", "p.t.lee@example.net"),
        ("4 Quarry Ln", "Blacklick", "43004", "614-555-0162", "leehouse@example.com"),
    ]
    people = [
        form(
            n,
            full_name="Pat Lee",
            street=street,
            city=city,
            state="OH",
            zip=z,
            phone=phone,
            email=mail,
        )
        for n, (street, city, z, phone, mail) in enumerate(homes, start=2)
    ]
    told = [o.decision for o in run(roster, coop, people)]
    assert [d.handle.text for d in told if isinstance(d, Enrol)] == ["patlee", "patlee2", "patlee3"]

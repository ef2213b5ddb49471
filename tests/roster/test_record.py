"""What the roster keeps of a decision, and that nothing it has kept is ever lost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import listed
import pytest
from coop_forms import NOON, PAT, form, office_of
from sqlalchemy import Engine, select

from onboard.match import keys
from onboard.model import Answer, Hold, RawRow, Ruling, Signature, State, Way, What
from onboard.roster import journal, members, outgoing, record, search, store, tables
from onboard.settings import Settings
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.outcome import Outcome
from onboard.tasks.process_batch import process_batch

ROBIN = Signature("Robin", NOON)
LATER = Signature("Sam", NOON + timedelta(days=2))


def run(
    engine: Engine,
    coop: Settings,
    *raw: RawRow,
    rulings: tuple[Ruling, ...] = (),
    signature: Signature = ROBIN,
) -> list[Outcome]:
    told: list[Outcome] = []
    process_batch(office_of(coop, engine, signature), raw, file="forms.csv", keep=True, rulings=rulings, tell=told.append)  # fmt: skip
    return told


def lines(engine: Engine, table: Any, **where: Any) -> list[Any]:
    query = select(table).order_by(*table.primary_key.columns)
    for name, value in where.items():
        query = query.where(table.c[name] == value)
    with store.transaction(engine, keep=False) as connection:
        return list(connection.execute(query))


def entries(engine: Engine, about: str = "") -> list[tuple[str, str, str, str, str]]:
    with store.transaction(engine, keep=False) as connection:
        return journal.read(connection, about)


@pytest.fixture
def lacking(pat: Callable[..., RawRow]) -> RawRow:
    return pat(email="")


# ---------------------------------------------------------------- rows, members, spellings


def test_a_row_is_kept_as_it_was_written(roster: Engine, coop: Settings) -> None:
    cells = (("Your name ", "  PAT   lee\t"), ("E-mail", "Pat.Lee@Example.ORG"), ("", "x\x00y"))
    raw = RawRow(
        "fórms.csv", 7, cells, {"full_name": "  PAT   lee\t", "email": "Pat.Lee@Example.ORG"}
    )
    run(roster, coop, raw)
    (row,) = lines(roster, tables.row)
    assert (row.file, row.line, row.key) == ("fórms.csv", 7, raw.key)
    assert [tuple(cell) for cell in row.cells] == list(cells)
    with store.transaction(roster, keep=False) as connection:
        (again,) = search.raw_rows(connection, [raw.key]).values()
    assert (again.cells, dict(again.fields), again.key) == (cells, dict(raw.fields), raw.key)


def test_a_member_is_kept_with_what_was_understood(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow]
) -> None:
    (outcome,) = run(
        roster, coop,
        pat(full_name="Ms. Patricia Ann O'Lee-Vale Jr", language="Español", consent="no",
            **{"extra:How did you hear?": "=a friend"}),
    )  # fmt: skip
    (line,) = lines(roster, tables.member)
    member = members.of_line(line)
    assert member.owner == outcome.owner == "member:1"
    assert member.handle.text == "patriciaoleevale"
    assert member.handle.steps, "the steps of the handle are told in the packet"
    assert (member.name.given, member.name.middle, member.name.family) == (
        "Patricia", "Ann", "O'Lee-Vale",
    )  # fmt: skip
    assert (member.email, member.phone) == ("pat.lee@example.org", "tel:+14195550143")
    assert member.address == ("12 N MAIN ST", "LIMA OH 45801")
    assert (member.site, member.language, member.consent) == ("Lima Grange", "es", False)
    assert (member.joined, member.standing) == (NOON, "open")
    assert line.extras == {"How did you hear?": "=a friend"}
    assert (listed.packet(roster), line.password_hash) == (State.DUE, None)


def test_every_spelling_is_kept_with_its_keys(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow]
) -> None:
    first = pat(email="pat.lee@example.org; plee@example.net", phone="419-555-0143 / 419-555-0144")
    second = pat(3, full_name="Patricia Lee", street="9 Elm St")
    told = run(roster, coop, first, second)
    assert [o.owner for o in told] == ["member:1", "member:1"]
    people = lines(roster, tables.person, owner="member:1")
    assert {p.email for p in people} == {"pat.lee@example.org", "plee@example.net"}
    assert {p.phone for p in people} == {"+14195550143", "+14195550144"}
    assert {p.given for p in people} == {"Pat", "Patricia"}
    assert {p.street for p in people} >= {"12 N MAIN ST", "9 ELM ST"}
    with store.transaction(roster, keep=False) as connection:
        spellings = [search._person(p) for p in people]
        for line, spelling in zip(people, spellings, strict=True):
            query = select(tables.person_key.c.key).where(tables.person_key.c.person_id == line.id)
            kept = set(connection.execute(query).scalars())
            assert kept == keys.of(spelling) != set()
            found = {person: set(by) for person, by in search.people(connection, kept)}
            assert found[spelling] == kept


def test_a_row_judged_again_keeps_no_spelling_twice(
    roster: Engine, coop: Settings, lacking: RawRow
) -> None:
    run(roster, coop, lacking)
    run(roster, coop, rulings=(Ruling(lacking.key, Answer.ENROL, "Robin", "by phone"),))
    (person,) = lines(roster, tables.person)
    assert person.owner == "member:1"


# ---------------------------------------------------------------- findings and decisions


def test_findings_are_replaced_when_a_row_is_judged_again(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow]
) -> None:
    raw = pat(full_name="PAT LEE", email="", phone="419-555-014")
    run(roster, coop, raw)
    codes = {f.code for f in lines(roster, tables.finding)}
    assert "email.missing" in codes
    assert any(code.startswith("phone.") for code in codes)
    put_right = {"email": "pat@example.org", "phone": "419-555-0143"}
    run(roster, coop, rulings=(Ruling(raw.key, Answer.ENROL, "Robin", "", None, put_right),))
    left = lines(roster, tables.finding)
    assert "email.missing" not in {f.code for f in left}
    assert {f.code for f in left} >= {c for c in codes if c.startswith("name.")}
    assert len(left) == len({(f.code, f.said) for f in left})


def test_a_finding_repeats_little_of_what_was_said_and_the_row_has_it_all(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow]
) -> None:
    junk = "no phone " * 1000
    raw = pat(phone=junk)
    run(roster, coop, raw)
    assert max(len(f.said) for f in lines(roster, tables.finding)) <= record.LONGEST_SAID
    (row,) = lines(roster, tables.row)
    assert dict(row.cells)["phone"] == junk


def test_every_decision_about_a_row_is_kept_in_its_order(
    roster: Engine, coop: Settings, lacking: RawRow
) -> None:
    run(roster, coop, lacking)
    run(roster, coop, rulings=(Ruling(lacking.key, Answer.WAIT, "Robin", "called, no reply"),))
    run(
        roster, coop, signature=LATER,
        rulings=(Ruling(lacking.key, Answer.ENROL, "Sam", "letters only"),),
    )  # fmt: skip
    made = [(d.kind, d.who, d.at) for d in lines(roster, tables.decision)]
    assert made == [
        ("hold", "Robin", "2026-11-25T12:00:00Z"),
        ("enrol", "Sam", "2026-11-27T12:00:00Z"),
    ], "still on hold with the same question is no new decision"
    held, enrolled = lines(roster, tables.decision)
    assert [q[0] for q in held.questions] == ["email"]
    assert enrolled.reasons == ["Sam decided: a new person (letters only)"]
    (row,) = lines(roster, tables.row)
    assert (row.decision, row.member_id, row.line) == ("enrol", 1, 2)
    assert [(r.answer, r.who, r.why) for r in lines(roster, tables.ruling)] == [
        ("wait", "Robin", "called, no reply"),
        ("enrol", "Sam", "letters only"),
    ]


def test_a_decision_keeps_the_evidence_it_was_made_on(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow]
) -> None:
    run(roster, coop, pat(), pat(3, street="9 Elm St"))
    *_, same = lines(roster, tables.decision)
    (match,) = same.matches
    assert match["owner"] == "member:1"
    assert 0.9 < match["confidence"] <= 1
    assert {"email", "phone"} <= {field for field, _, _ in match["parts"]}
    assert all(isinstance(weight, float) and words for _, weight, words in match["parts"])


def test_a_row_dropped_is_matched_no_more_and_kept_all_the_same(
    roster: Engine, coop: Settings, lacking: RawRow
) -> None:
    run(roster, coop, lacking)
    assert lines(roster, tables.person)
    run(roster, coop, rulings=(Ruling(lacking.key, Answer.DROP, "Robin", "a prank"),))
    assert lines(roster, tables.person) == lines(roster, tables.person_key) == []
    (row,) = lines(roster, tables.row)
    assert (row.decision, row.member_id) == ("drop", None)
    assert dict(row.cells)["full_name"] == "Pat Lee"


# ---------------------------------------------------------------- handles


def people_named_pat(count: int) -> list[RawRow]:
    """Different people of one name."""
    zips = ("45801", "45701", "43004", "44001", "44101", "43201", "45001")
    return [
        form(n, **(PAT | {"email": f"{chr(97 + n)}{n}q@example.org", "phone": f"{212 + n}-555-01{n:02}",
                          "street": f"{n}07 {['Oak', 'Elm', 'Ash', 'Fir', 'Yew', 'Bay', 'Ivy'][n % 7]} Ave",
                          "zip": zips[n % 7], "city": "", "state": "OH"}))
        for n in range(count)
    ]  # fmt: skip


def test_no_handle_is_given_twice_nor_ever_deleted(roster: Engine, coop: Settings) -> None:
    run(roster, coop, *people_named_pat(3))
    held = [o.decision.applicant.raw.key for o in run(roster, coop)]
    run(roster, coop, rulings=tuple(Ruling(key, Answer.ENROL, "Robin") for key in held))
    texts = [h.text for h in lines(roster, tables.handle)]
    assert texts == ["patlee", "patlee2", "patlee3"]
    with store.transaction(roster) as connection:  # closed, as one who left
        connection.execute(tables.member.update().values(standing="closed"))
    run(roster, coop, *people_named_pat(4)[3:])
    held = [o.decision.applicant.raw.key for o in run(roster, coop)]
    run(roster, coop, rulings=tuple(Ruling(key, Answer.ENROL, "Robin") for key in held))
    assert [h.text for h in lines(roster, tables.handle)] == [*texts, "patlee4"]


def test_a_handle_taken_over_is_not_given_again_whatever_its_capitals(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow]
) -> None:
    old = form(2, full_name="Paul Lee", email="paul@example.net", handle="PatLee")
    again = form(3, full_name="Paula Lee", email="paula@example.net", handle="PATLEE")
    report = adopt_members(office_of(coop, roster, ROBIN), [old, again], file="m.csv", keep=True)
    assert report.left_out == [
        (
            3,
            "Paula Lee",
            "the sign-in name PATLEE is also that of row 2 of forms.csv: if both rows are one person, "
            "delete this one",
        )
    ]
    run(roster, coop, pat())
    assert [m.handle for m in lines(roster, tables.member)] == ["PatLee", "patlee2"]


# ---------------------------------------------------------------- rulings and those told apart


def test_those_told_apart_stay_apart_when_one_becomes_a_member(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow]
) -> None:
    first, second = pat(2, email=""), pat(3, email="", full_name="Patrick Lee")
    run(roster, coop, first, second)
    held = {o.decision.applicant.raw.key for o in run(roster, coop)}
    assert held == {first.key, second.key}
    run(roster, coop, rulings=(Ruling(second.key, Answer.ENROL, "Robin", "father and son"),))
    (line,) = [a for a in lines(roster, tables.apart) if a.row_key == second.key]
    assert line.other == f"row:{first.key}"
    with store.transaction(roster, keep=False) as connection:
        assert search.apart(connection, [first.key]) == {first.key: {"member:1"}}
    run(roster, coop, rulings=(Ruling(first.key, Answer.ENROL, "Robin", "the father"),))
    with store.transaction(roster, keep=False) as connection:
        assert search.apart(connection, [second.key]) == {second.key: {"member:2"}}


def test_the_newest_ruling_holds_and_the_others_stay(
    roster: Engine, coop: Settings, lacking: RawRow
) -> None:
    run(roster, coop, lacking)
    waits = Ruling(lacking.key, Answer.WAIT, "Robin", "a", None, {"email": "old@example.org"})
    run(roster, coop, rulings=(waits,))
    with store.transaction(roster, keep=False) as connection:
        assert search.rulings(connection, [lacking.key]) == {lacking.key: waits}
    drops = Ruling(lacking.key, Answer.DROP, "Sam", "b")
    run(roster, coop, rulings=(waits, drops))
    with store.transaction(roster, keep=False) as connection:
        assert search.rulings(connection, [lacking.key]) == {lacking.key: drops}
    assert [r.answer for r in lines(roster, tables.ruling)] == ["wait", "wait", "drop"]


def test_text_that_no_database_takes_is_kept_readable(
    roster: Engine, coop: Settings, lacking: RawRow
) -> None:
    broken = "Ro\udce9bin\x00"
    signature = Signature(broken, NOON)
    run(roster, coop, lacking, signature=signature)
    run(
        roster, coop, signature=signature,
        rulings=(Ruling(lacking.key, Answer.ENROL, broken, broken, None, {"email": "p\udce9@example.org"}),),
    )  # fmt: skip
    texts = [v for t in tables.metadata.sorted_tables for line in lines(roster, t) for v in line
             if isinstance(v, str)]  # fmt: skip
    assert not [t for t in texts if "\x00" in t or any("\ud800" <= c <= "\udfff" for c in t)]
    assert any("Ro?bin" in t for t in texts)


# ---------------------------------------------------------------- journal


def test_the_journal_says_who_when_what_and_why_of_every_change(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], lacking: RawRow
) -> None:
    def of(about: str) -> list[tuple[str, str, str, str]]:
        return [(at[:10], who, what, why) for at, who, what, _, why in entries(roster, about)]

    run(roster, coop, lacking)
    run(
        roster, coop, signature=LATER,
        rulings=(Ruling(lacking.key, Answer.ENROL, "Sam", "asked by phone", None, {"email": "pat.lee@example.org"}),),
    )  # fmt: skip
    run(roster, coop, pat(9, street=""), signature=LATER)
    run(roster, coop, form(10), signature=LATER)
    (held, ruled) = of(f"row:{lacking.key}")
    assert held == ("2026-11-25", "Robin", "put on hold",
                    "No email address. Ask for one by phone. No email?"
                    " Answer enroll, and a letter will be made.")  # fmt: skip
    assert ruled == ("2026-11-27", "Sam", "ruled", "asked by phone")
    enrolled, kept = of("member:1")
    assert enrolled == (
        "2026-11-27",
        "Sam",
        "enrolled",
        "Sam decided: a new person (asked by phone)",
    )
    assert kept[2] == "spelling kept"
    assert kept[3].startswith("over 99% sure: same email")
    assert of(f"row:{form(10).key}") == [
        ("2026-11-27", "Sam", "dropped",
         "the row has no name and no way to reach anybody"),
    ]  # fmt: skip
    assert len(entries(roster)) == 5
    (first, *_) = lines(roster, tables.journal, about="member:1")
    assert first.after == {"row": lacking.key, "handle": "patlee"}


def test_passwords_and_packets_are_journalled_without_the_secret(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow]
) -> None:
    run(roster, coop, pat())
    with store.transaction(roster) as connection:
        issued = record.Issued(1, "$argon2id$hash", date(2026, 12, 9))
        record.issued(connection, [issued], LATER)
        (due,) = outgoing.by_state(connection, What.PACKET, State.DUE)
        outgoing.written(connection, {due.id: "patlee.eml"}, "letters-1-1.pdf", LATER)
    assert [e[2] for e in entries(roster, "member:1")] == [
        "enrolled", "first password issued", "packet written",
    ]  # fmt: skip
    (member,) = lines(roster, tables.member)
    assert (member.password_hash, member.password_expires, member.must_change) == (
        "$argon2id$hash", "2026-12-09", True,
    )  # fmt: skip
    (told,) = listed.lines(roster)
    assert (told.state, told.way, told.file, told.letter) == (
        State.WRITTEN, Way.EMAIL, "patlee.eml", "letters-1-1.pdf",
    )  # fmt: skip
    assert "argon2id" not in repr(lines(roster, tables.journal))


def test_giving_a_file_again_changes_nothing_and_journals_nothing(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], lacking: RawRow
) -> None:
    rows = [pat(), form(3, **(dict(lacking.fields) | {"full_name": "Kim Vale", "phone": ""}))]
    run(roster, coop, *rows)
    before = {t.name: lines(roster, t) for t in tables.metadata.sorted_tables}
    run(roster, coop, *rows, signature=LATER)
    assert {t.name: lines(roster, t) for t in tables.metadata.sorted_tables} == before


def test_a_time_is_written_in_utc_whatever_zone_it_was_told_in() -> None:
    there = datetime.fromisoformat("2026-11-25T07:00:00-05:00")
    assert journal.stamp(there) == journal.stamp(NOON.astimezone(UTC)) == "2026-11-25T12:00:00Z"


def test_a_hold_with_another_question_is_a_new_decision(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], lacking: RawRow
) -> None:
    run(roster, coop, lacking)
    ruling = Ruling(
        lacking.key, Answer.ENROL, "Robin", "", None, {"email": "p@example.org", "full_name": "-"}
    )
    told = run(roster, coop, rulings=(ruling,))
    assert isinstance(told[-1].decision, Hold)
    assert [[q[0] for q in d.questions] for d in lines(roster, tables.decision)] == [
        ["email"], ["name"],
    ]  # fmt: skip

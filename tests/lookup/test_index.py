"""The look-up index says what the tables say, whatever happens to them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.config import Config
from coop_forms import PAT, form, office_of
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import (
    Engine,
    Executable,
    MetaData,
    Table,
    create_engine,
    delete,
    func,
    insert,
    select,
    update,
)

from onboard.model import Answer, Owner, RawRow, Ruling, Signature
from onboard.roster import index, index_asked, index_check, store, tables
from onboard.settings import Settings
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.process_batch import process_batch

INDEX = [table for table in tables.metadata.sorted_tables if table.name.startswith("index_")]


def run(
    roster: Engine, coop: Settings, rows: list[RawRow], signature: Signature, **more: object
) -> None:
    process_batch(office_of(coop, roster, signature), rows, file="forms.csv", keep=True, **more)  # type: ignore[arg-type]


def wrong(roster: Engine) -> list[str]:
    with store.transaction(roster) as connection:
        return index_check.check(connection)


def lines(roster: Engine) -> dict[str, list[tuple[object, ...]]]:
    with store.transaction(roster) as connection:
        return {t.name: sorted(map(tuple, connection.execute(select(t)))) for t in INDEX}


def words(roster: Engine) -> set[str]:
    with store.transaction(roster) as connection:
        return set(connection.execute(select(tables.index_word.c.text)).scalars())


def test_a_batch_indexes_members_and_rows_on_hold(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], signature: Signature
) -> None:
    nameless = pat(line=3, full_name="", email="q@example.net", phone="419-555-0177")
    run(roster, coop, [pat(), nameless], signature)
    with store.transaction(roster) as connection:
        docs = index_asked.facts(connection, [2, 5])
        owners = {index.owner(connection, doc) for doc in docs}
    assert docs[2].handles == ("patlee",)
    assert docs[2].site == "lima grange"
    assert docs[2].phones == ("4195550143",)
    assert docs[5].standing == "hold"
    assert owners == {"member:1", f"row:{nameless.key}"}
    assert wrong(roster) == []


def test_a_row_that_becomes_a_member_is_no_longer_found_as_a_row(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], signature: Signature
) -> None:
    held = pat(full_name="")
    run(roster, coop, [held], signature)
    ruling = Ruling(held.key, Answer.ENROL, "Robin", corrections={"full_name": "Pat Lee"})
    run(roster, coop, [], signature, rulings=[ruling])
    with store.transaction(roster) as connection:
        kept = connection.execute(select(tables.index_owner.c.doc)).scalars().all()
    assert kept == [2]
    assert wrong(roster) == []


def test_a_look_indexes_nobody(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], signature: Signature
) -> None:
    process_batch(office_of(coop, roster, signature), [pat()], file="f.csv", keep=False)
    assert not any(lines(roster).values())


def test_members_taken_over_are_indexed_under_the_handle_they_have(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], signature: Signature
) -> None:
    rows = [pat(handle="SunnyPat")]
    adopt_members(office_of(coop, roster, signature), rows, file="m.csv", keep=True)
    with store.transaction(roster) as connection:
        assert index_asked.written(connection, ["sunnypat"]) == [("sunnypat", 2)]
    assert wrong(roster) == []


def test_a_second_spelling_is_added_and_the_first_still_found(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], signature: Signature
) -> None:
    run(roster, coop, [pat()], signature)
    run(roster, coop, [pat(full_name="Patricia Lee", phone="419-555-0199")], signature)
    with store.transaction(roster) as connection:
        known = index_asked.facts(connection, [2])[2]
    assert {name.given for name in known.names} == {("pat",), ("patricia",)}
    assert known.phones == ("4195550143", "4195550199")
    assert wrong(roster) == []


def test_who_is_gone_leaves_nothing_behind_not_even_a_name(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], signature: Signature
) -> None:
    other = form(3, **(PAT | {"full_name": "Kim Quixley", "email": "kim@example.net",
                              "phone": "419-555-0177", "street": "7 Oak Ave"}))  # fmt: skip
    run(roster, coop, [pat(), other], signature)
    before = lines(roster)
    assert {"quixley", "oak"} <= words(roster)
    with store.transaction(roster) as connection:
        person, key, handle = tables.person, tables.person_key, tables.handle
        mine = select(person.c.id).where(person.c.owner == "member:2")
        connection.execute(delete(key).where(key.c.person_id.in_(mine)))
        connection.execute(delete(person).where(person.c.owner == "member:2"))
        connection.execute(delete(handle).where(handle.c.member_id == 2))
        connection.execute(
            update(tables.row).values(member_id=None).where(tables.row.c.member_id == 2)
        )
        connection.execute(update(tables.decision).values(member_id=None))
        connection.execute(delete(tables.outgoing).where(tables.outgoing.c.member_id == 2))
        connection.execute(delete(tables.member).where(tables.member.c.id == 2))
        assert index_check.check(connection) == ["1 owners are indexed who are no longer there"]
        index.update(connection, [Owner.of_member(2)])
    assert wrong(roster) == []
    assert words(roster).isdisjoint({"quixley", "kim", "oak"})
    after = lines(roster)
    for name in ("index_place", "index_pair", "index_written", "index_owner"):
        assert after[name] == [line for line in before[name] if line[-1] != 4 and line[0] != 4]


def test_check_tells_what_differs(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], signature: Signature
) -> None:
    run(roster, coop, [pat()], signature)
    with store.transaction(roster) as connection:
        connection.execute(update(tables.member).values(standing="closed"))
        assert index_check.check(connection) == ["member:1 is not indexed as it stands now"]
        index.update(connection, [Owner.of_member(1)])
        assert index_check.check(connection) == []
        connection.execute(delete(tables.index_pair))
        assert index_check.check(connection) == ["member:1 is not found by just what it should be"]


NOT_JUST = "member:1 is not found by just what it should be"


PLACE, PAIR, WRITTEN = tables.index_place, tables.index_pair, tables.index_written
FIRST_PLACE = select(func.min(PLACE.c.place)).scalar_subquery()
MISSPELT = "words are not found, when misspelt, as they should be"


@pytest.mark.parametrize(
    ("spoilt", "told"),
    [
        (delete(PLACE).where(PLACE.c.place == FIRST_PLACE), NOT_JUST),
        (delete(WRITTEN).where(WRITTEN.c.turned), NOT_JUST),
        (insert(WRITTEN).values(turned=False, text="somebody", doc=2), NOT_JUST),
        (insert(PAIR).values(pair=77, doc=2), NOT_JUST),
        (update(tables.index_word).values(text="x").where(tables.index_word.c.id == 1), NOT_JUST),
        (insert(PAIR).values(pair=77, doc=90), "1 numbers of the index lead to nobody"),
        (delete(tables.index_near), MISSPELT),
        (insert(tables.index_near).values(key=1, word=1), f"1 {MISSPELT}"),
    ],
)
def test_check_tells_of_every_single_entry(
    roster: Engine, coop: Settings, pat: Callable[..., RawRow], signature: Signature,
    spoilt: Executable, told: str,
) -> None:  # fmt: skip
    run(roster, coop, [pat()], signature)
    with store.transaction(roster) as connection:
        connection.execute(spoilt)
        assert any(told in one for one in index_check.check(connection))


NAMES = st.sampled_from(
    ["Pat Lee", "Ana de la Cruz", "José Núñez-Soto", "Kim O'Hara", "Pat Lee", "", "Li", "Q. Vale"]
)
FORMS = st.fixed_dictionaries(
    {
        "full_name": NAMES,
        "email": st.sampled_from(["a.b@example.org", "c@example.net", "d_e@example.com", ""]),
        "phone": st.sampled_from(["419-555-0143", "419-555-0177", ""]),
        "street": st.sampled_from(["12 N Main St", "PO Box 4", ""]),
        "zip": st.sampled_from(["45801", "45701", ""]),
        "site": st.sampled_from(["Lima Grange", "athens", "nowhere"]),
    }
)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(FORMS, min_size=1, max_size=8), st.integers(0, 8))
def test_kept_step_by_step_it_is_the_index_made_anew(
    coop: Settings, signature: Signature, forms: list[dict[str, str]], cut: int
) -> None:
    roster = store.open_store("sqlite://")
    rows = [form(line, **fields) for line, fields in enumerate(forms, 2)]
    run(roster, coop, rows[:cut], signature)
    run(roster, coop, rows[cut:], signature)
    assert wrong(roster) == []

    def said() -> dict[str, list[object]]:
        """The index with its words and sites as texts: their numbers are as chance had it."""
        found = lines(roster)
        name: dict[Any, Any] = dict(found["index_word"])  # type: ignore[arg-type]
        site: dict[Any, Any] = dict(found["index_site"])  # type: ignore[arg-type]
        low = (1 << index_asked.SITES) - 1
        return {
            "owner": list(found["index_owner"]),
            "word": sorted(name.values()),
            "near": sorted((key, name[n]) for key, n in found["index_near"]),
            "place": sorted((name[p >> index_asked.SITES], site[p & low], d) for p, d in found["index_place"]),
            "pair": sorted((name[p >> index_asked.WORDS], name[p & ((1 << index_asked.WORDS) - 1)], d)
                           for p, d in found["index_pair"]),
            "written": list(found["index_written"]),
        }  # fmt: skip

    kept = said()
    with store.transaction(roster) as connection:
        index.rebuild(connection)
    assert said() == kept
    roster.dispose()


def test_an_older_roster_is_indexed_when_it_is_opened(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'roster.db'}"
    old = create_engine(url)
    config = Config()
    config.set_main_option("script_location", "onboard.roster:migrations")
    with old.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
        table = Table("member", MetaData(), autoload_with=connection)
        texts = {column.name: "" for column in table.c if not column.nullable}
        lists = {"handle_steps": "[]", "name": "{}", "address": "[]", "extras": "{}"}
        numbers = {"id": 7, "handle": "patlee", "standing": "open", "must_change": 0}
        connection.execute(table.insert(), texts | lists | numbers)
    old.dispose()
    roster = store.open_store(url)
    with store.transaction(roster) as connection:
        assert index_asked.written(connection, ["patlee"]) == [("patlee", 14)]
        assert index_check.check(connection) == []
    roster.dispose()

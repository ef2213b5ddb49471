"""A member who is deleted is deleted from what was said about others, too; what is theirs stays theirs."""

from __future__ import annotations

import json
import shutil
from contextlib import closing
from pathlib import Path
from sqlite3 import connect

import pytest
from cli.office import onboard, write_csv
from sqlalchemy import Engine, select
from tidy.test_forget import ROBIN, lived, roster

from onboard.match import keys
from onboard.model import Change, Owner, Person
from onboard.roster import change, journal, spoken_of, store, tables
from onboard.roster.journal import Entry

NOTE = "Shares a car with {}; call before noon"
SPELT = [
    "Pat Lee",
    "Lee, Pat",
    "pat … lee",
    "Mrs Lee (Pat)",
    "PAT LEE",
    "Pät Leé",
    "patlee",
]
AT = "2026-11-25T12:00:00Z"


def say(engine: Engine, said: str, about: str = "member:2") -> None:
    """What a coordinator writes about somebody, wherever it can be written."""
    note = NOTE.format(said)
    with store.transaction(engine) as connection:
        key = connection.execute(
            select(tables.row.c.key).where(tables.row.c.member_id == 2)
        ).scalar()
        number = len(connection.execute(select(tables.call)).all()) + 1
        connection.execute(
            tables.call.insert(),
            {"id": number, "at": AT, "who": "Robin", "about": about, "site": "", "ended": "open", "note": note},
        )  # fmt: skip
        journal.write(
            connection,
            [Entry("corrected", Owner(about), note, {"extras": {"who": note}}, {"extras": {}})],
            ROBIN,
        )
        change.apply(connection, [Change(2, "extras", {}, {"who": note}, note)], ROBIN)
        change.apply(connection, [Change(2, "extras", {"who": note}, {}, note)], ROBIN)
        ruling = {"row_key": key, "answer": "enrol", "member_id": None, "corrections": {"comment": note},
                  "why": note, "at": AT, "who": "Robin"}  # fmt: skip
        connection.execute(tables.ruling.insert(), ruling)
        connection.execute(
            tables.finding.insert(),
            {"row_key": key, "code": "name.aside", "field": "name", "weight": "mended", "said": said, "note": note},
        )  # fmt: skip


def raw(office: Path) -> str:
    """Every byte of the roster and the outbox, in small letters, with the escapes of JSON read."""
    files = [*office.glob("roster.db*"), *(office / "outbox").glob("*")]
    left = b"".join(file.read_bytes() for file in files if file.suffix != ".pdf")
    return spoken_of._plain(left.decode("utf-8", "replace")).casefold()


@pytest.mark.parametrize("said", SPELT)
def test_a_name_in_notes_about_others_is_found_nowhere_and_the_note_stays(
    office: Path, said: str
) -> None:
    say(roster(), said)
    looked = onboard("forget", "patlee")
    assert "places in" in looked.words
    assert "call of kimvale (member 2): 1 place" in looked.words
    assert "change log entry of kimvale (member 2):" in looked.words
    done = onboard("forget", "patlee", "--record")
    assert "now say “[deleted member]” instead:" in done.words
    left = raw(office)
    if said != "patlee":  # the bare handle stays
        assert said.casefold() not in left
    assert "shares a car with [deleted member]; call before noon" in left
    with store.transaction(roster(), keep=False) as connection:
        notes = connection.execute(select(tables.call.c.note)).scalars().all()
        assert notes == [NOTE.format("[deleted member]")]
        ruled = connection.execute(select(tables.ruling.c.corrections)).scalars().all()
        assert {"comment": NOTE.format("[deleted member]")} in ruled


def test_a_first_letter_may_be_somebody_elses(office: Path) -> None:
    say(roster(), "P. Lee")  # Patrick Lee, on hold, could be meant
    done = onboard("forget", "patlee", "--record")
    assert f"“{NOTE.format('P. Lee')}”" in done.words
    assert "p. lee" in raw(office)


def test_a_preview_says_how_much_and_changes_nothing(office: Path) -> None:
    say(roster(), "Pat Lee")
    before = (office / "roster.db").read_bytes()
    said = onboard("forget", "patlee", "--json").json()[0]
    assert sum(one["places"] for one in said["masked"]) > 5
    assert {one["whose"] for one in said["masked"]} == {"member:2"}
    assert (office / "roster.db").read_bytes() == before


@pytest.fixture
def namesake(office: Path) -> Path:
    """Another Pat Lee (3), who lives elsewhere; somebody on hold who is like Pat Lee waits no more."""
    other = (
        "Pat Lee",
        "other.pat@example.com",
        "740-555-0199",
        "9 Low Rd",
        "Athens",
        "OH",
        "45701",
        "Lima Grange",
    )
    onboard("batch", write_csv(Path("other.csv"), [other]), "--record")
    with store.transaction(roster(), keep=False) as connection:
        held = connection.execute(
            select(tables.row.c.key).where(tables.row.c.file == "other.csv")
        ).scalar_one()
        found = connection.execute(
            select(tables.row.c.decision).where(tables.row.c.key == held)
        ).scalar()
    if found == "hold":
        assert onboard("answer", held[:10], "enroll").code in (0, 1)
    return office


def test_a_namesake_keeps_the_name_and_what_could_mean_either_is_told(namesake: Path) -> None:
    say(roster(), "Pat Lee", about="member:3")  # in the namesake's own records
    done = onboard("forget", "patlee", "--record")
    assert done.code == 1
    assert "may mean this member, or somebody else with the same name" in done.words
    assert f"“{NOTE.format('Pat Lee')}”" in done.words
    with store.transaction(roster(), keep=False) as connection:
        member = tables.member.c
        (name,) = connection.execute(select(member.name).where(member.id == 3)).scalars()
        assert (name["given"], name["family"]) == ("Pat", "Lee")
        notes = connection.execute(select(tables.call.c.note)).scalars().all()
        assert notes == [NOTE.format("Pat Lee")]
    assert "call of patlee2 (member 3)" not in done.words  # it is about them: nothing to ask


def test_what_only_the_deleted_member_has_goes_from_a_namesakes_record_too(namesake: Path) -> None:
    with store.transaction(roster()) as connection:
        told = "not the Pat Lee of pat.lee@example.org, (419) 555-0143, patlee (member 1)"
        journal.write(connection, [Entry("noted", Owner("member:3"), told)], ROBIN)
    onboard("forget", "patlee", "--record")
    with store.transaction(roster(), keep=False) as connection:
        (why,) = connection.execute(
            select(tables.journal.c.why).where(tables.journal.c.what == "noted")
        ).scalars()
    assert why == "not the Pat Lee of [deleted member]"


def test_what_the_household_shares_stays_with_the_others(office: Path) -> None:
    with store.transaction(roster()) as connection:
        shared = Person(Owner.of_member(2), "Kim", family="Lee", phone="+14195550143")
        change.apply(connection, [], ROBIN, spellings=[(shared, keys.of(shared))])
        told = "Kim Lee and Pat Lee share 419-555-0143; Mrs Lee is the host"
        journal.write(connection, [Entry("noted", Owner("row:x"), told)], ROBIN)
    done = onboard("forget", "patlee", "--record")
    with store.transaction(roster(), keep=False) as connection:
        (why,) = connection.execute(
            select(tables.journal.c.why).where(tables.journal.c.what == "noted")
        ).scalars()
    assert why == "Kim Lee and [deleted member] share 419-555-0143; Mrs Lee is the host"
    assert "- phone: kimvale (member 2)" in done.words


def test_a_merge_that_was_undone_leaves_neither_name_nor_address(office: Path) -> None:
    onboard("merge", "kimvale", "patlee", "--stays", "kimvale", "--take", "name=patlee",
            "--take", "address=patlee", "--record")  # fmt: skip
    onboard("undo", "1", "--record")
    onboard("forget", "patlee", "--record")
    left = raw(office)
    assert '"pat"' not in left
    with store.transaction(roster(), keep=False) as connection:
        changes = connection.execute(select(tables.applied_change)).all()
        logged = connection.execute(select(tables.journal)).all()
        assert not any("Pat" in json.dumps([c.before, c.after]) for c in changes)
        assert not any(
            "MAIN" in json.dumps([c.before, c.after]).upper() for c in (*changes, *logged)
        )


def test_an_answer_on_anothers_form_is_masked_and_the_form_is_still_known(office: Path) -> None:
    heads = (
        "Full name",
        "Email",
        "Phone",
        "Street",
        "City",
        "State",
        "ZIP",
        "Drop site",
        "Who told you of us?",
    )
    form = (
        "Lou Marsh",
        "",
        "",
        "4 Oak Ave",
        "Lima",
        "OH",
        "45801",
        "Lima Grange",
        "my friend Pat Lee",
    )
    onboard("batch", write_csv(Path("lou.csv"), [form], heads), "--record")
    onboard("forget", "patlee", "--record")
    with store.transaction(roster(), keep=False) as connection:
        row = connection.execute(select(tables.row).where(tables.row.c.file == "lou.csv")).one()
    assert ["Who told you of us?", "my friend [deleted member]"] in row.cells
    again = onboard("batch", "lou.csv", "--record")
    assert "3 rows: 0 new members, 0 already members, 3 on hold" in again.words
    answered = onboard("answer", row.key[:10], "enroll", "--correct", "email=lou@example.org")
    assert "Lou Marsh: new member." in answered.words
    assert "No form on hold" not in answered.words


def test_what_a_killed_program_left_in_the_outbox_goes(office: Path) -> None:
    box = office / "outbox"
    shutil.copy(box / "patlee.eml", box / "tmpabc123.part")
    (box / "notice-1-20261101120000.eml").write_bytes((box / "patlee.eml").read_bytes())
    (box / "notice-12-20261101120000.eml").write_bytes(b"Subject: for somebody else\n\n")
    onboard("forget", "patlee", "--record")
    assert sorted(file.name for file in box.iterdir()) == [
        "kimvale.eml", "letters-1-2.pdf", "notice-12-20261101120000.eml",
    ]  # fmt: skip


def test_a_deletion_that_was_killed_before_the_files_went_is_finished(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def killed(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("onboard.mail.outbox.take_away", killed)
    with pytest.raises(KeyboardInterrupt):
        from onboard.office import open_office
        from onboard.tasks.forget_member import forget_member

        forget_member(open_office(office / "onboard.toml"), "patlee", keep=True)
    assert (office / "outbox" / "patlee.eml").exists()
    monkeypatch.undo()
    monkeypatch.chdir(office)
    said = onboard("forget", "--record")
    assert "These files were taken out of the outbox: patlee.eml." in said.words
    assert not (office / "outbox" / "patlee.eml").exists()
    assert "pat.lee@" not in raw(office)


def test_while_somebody_reads_it_says_that_traces_are_left_and_how_to_end_that(
    office: Path,
) -> None:
    lived()
    with closing(connect(office / "roster.db")) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM member").fetchone()
        said = onboard("forget", "patlee", "--record")
        assert said.code == 1
        assert "Deleted for patlee (member 1):" in said.words
        assert (
            "traces of it are still in the roster's file (another program reads it)" in said.words
        )
        assert "Then run: onboard forget --record" in said.words
        assert "pat.lee@" in raw(office)
    assert onboard("forget", "--record").code == 0
    assert "pat.lee@" not in raw(office)


def test_copies_and_files_that_still_hold_the_member_are_named(office: Path) -> None:
    onboard("export", "accounts.csv", "--record")
    onboard("audit", "--to", "audit")
    with (
        closing(connect(office / "roster.db")) as source,
        closing(connect(office / "roster-before-0007.db")) as copy,
    ):
        source.backup(copy)
    Path("notes.txt").write_text("Milk for Lee, Pat\n", encoding="utf-16")
    Path("menu.txt").write_text("Leeks, patties")
    Path("scan.pdf").write_bytes(b"%PDF-1.7 nothing to read")
    said = onboard("forget", "patlee", "--record", "--json").json()[0]
    assert said["copies"] == ["roster-before-0007.db"]
    assert {"accounts.csv", "forms.csv", "notes.txt"} <= set(said["holding"])
    assert "menu.txt" not in said["holding"]
    assert "more.csv" not in said["holding"]  # Patrick Lee
    assert said["unread"] == ["scan.pdf"]
    words = onboard("forget", "kimvale").words
    assert (
        "Copies of the roster that still have the member. Delete them: roster-before-0007.db."
        in words
    )
    assert "Files that the program can't look inside. Check them yourself: scan.pdf." in words


def test_whoever_worked_here_under_the_name_is_told(office: Path) -> None:
    onboard("correct", "kimvale", "--phone", "419-555-0190", "--record", "--by", "Pat Lee")
    said = onboard("forget", "patlee", "--record")
    assert (
        "Somebody worked on the roster as Pat Lee. Who did what stays in the change log."
        in said.words
    )


def test_on_every_engine_others_records_get_the_word(enrolled: Engine) -> None:
    from onboard.roster import removing, whole

    with store.transaction(enrolled) as connection:
        journal.write(
            connection,
            [
                Entry(
                    "noted",
                    Owner("member:2"),
                    "asked Léé, Pat (member 1)",
                    {"extras": {"who": "Pát Lee"}},
                )
            ],
            ROBIN,
        )
        meant = whole.of_member(connection, 1)
        spelt = spoken_of.people(connection, meant)
        removing.remove(connection, meant, ROBIN)
        wanted = spoken_of.wanted(connection, meant, spelt, frozenset(["patlee"]))
        found = spoken_of.mask(connection, wanted)
        assert sum(one.places for one in found.masked) == 2
        assert spoken_of.left_after(connection, wanted, found).masked == []
        assert spoken_of.mask(connection, wanted).masked == []
        line = connection.execute(
            select(tables.journal).where(tables.journal.c.what == "noted")
        ).one()
        assert (line.why, line.before) == (
            "asked [deleted member]",
            {"extras": {"who": "[deleted member]"}},
        )


def test_a_phone_of_the_household_in_anothers_note_is_left_to_a_person(office: Path) -> None:
    with store.transaction(roster()) as connection:
        shared = Person(Owner.of_member(2), "Kim", family="Vale", phone="+14195550143")
        change.apply(connection, [], ROBIN, spellings=[(shared, keys.of(shared))])
        told = "rides with Pat Lee. Call 419.555.0143 if late"
        journal.write(connection, [Entry("noted", Owner("row:x"), told)], ROBIN)
        own = "asked to call 419.555.0143 after noon"
        journal.write(connection, [Entry("noted", Owner("member:2"), own)], ROBIN)
    for words in (("forget", "patlee"), ("forget", "patlee", "--record")):
        said = onboard(*words).words
        left = "rides with [deleted member]. Call 419.555.0143 if late"
        assert f"“{left}”" in said
        assert own not in said  # the phone is theirs
        assert "Others on the roster have the same phone: - phone: kimvale (member 2)" in said
    assert left.casefold() in raw(office)

"""A member deleted on request is gone, provably; what stays is bound to nobody."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from cli.office import HEADINGS, KIM, PAT, onboard, write_csv
from python_calamine import CalamineWorkbook
from sqlalchemy import Engine, select, text
from tidy.content import content

from onboard.clean import statement
from onboard.match import keys
from onboard.model import Change, Owner, Person, Signature
from onboard.office import utc_now
from onboard.roster import change, index, index_check, journal, record, search, store, tables
from onboard.roster.journal import Entry
from onboard.welcome import letters

ROBIN = Signature("Robin", utc_now())


def roster() -> Engine:
    return store.open_store("sqlite:///roster.db")


def lived(*, number: int = 1) -> None:
    """What happens to a member in time: a changed email, a call, a try, a notice, an export."""
    spelling = Person(
        Owner.of_member(number), "Patricia", family="Leigh", email="secret@example.org"
    )
    with store.transaction(roster()) as connection:
        change.apply(
            connection,
            [Change(number, "email", "pat.lee@example.org", "secret@example.org", "asked Pat Lee")],
            ROBIN,
            spellings=[(spelling, keys.of(spelling))],
        )
        owner = {"at": "2026-11-25T12:00:00Z", "who": "Robin", "about": f"member:{number}"}
        call = owner | {
            "site": "Lima Grange",
            "ended": "helped",
            "note": "secret@example.org typed",
        }
        connection.execute(tables.call.insert(), call | {"id": 1})
        connection.execute(tables.call_cause.insert(), {"call_id": 1, "cause": "typed.email"})
        tried = {"at": "2026-11-25T12:00:00Z", "who": "Robin", "member_id": number, "ended": "done"}
        connection.execute(tables.attempt.insert(), tried)
        index.rebuild(connection)
    onboard("export", "accounts.csv", "--record")


def test_looking_changes_nothing_and_says_what_would_go(office: Path) -> None:
    lived()
    before = [f.read_bytes() for f in sorted(office.glob("roster.db"))]
    said = onboard("forget", "patlee")
    assert "Would be deleted for patlee (member 1):" in said.words
    assert "1 account" in said.words
    assert "change log entries" in said.words
    assert "differs by state and country" in said.words
    assert "Nothing has been deleted yet." in said.words
    assert "none is left" not in said.words
    assert [f.read_bytes() for f in sorted(office.glob("roster.db"))] == before
    with store.transaction(roster(), keep=False) as connection:
        assert search.existing(connection, [1]) == {1}


def test_no_byte_of_the_member_is_left_in_the_rosters_files(office: Path) -> None:
    lived()
    onboard("export", "news.csv", "--changed", "--record")
    said = onboard("forget", "patlee", "--record", "--by", "Robin")
    assert "Deleted for patlee (member 1):" in said.words
    onboard("export", "news.csv", "--changed", "--record")
    left = b"".join(file.read_bytes() for file in office.glob("roster.db*")).lower()
    for secret in (b"pat.lee@", b"secret@", b"pat lee", b"4195550143", b"419-555-0143", b"patricia",
                   b"leigh", b"asked pat"):  # fmt: skip
        assert secret not in left, secret
    assert b"kim@example.net" in left  # the search would have found it
    onboard("forget", "--record")  # the page's mark is no more; nor is where it was in the file
    left = b"".join(file.read_bytes() for file in office.glob("roster.db*")).lower()
    assert (
        left.count(b"patlee") == 4
    )  # the bare handle: two columns of its table, and their indexes


def test_what_stays_is_bound_to_nobody(office: Path) -> None:
    lived()
    onboard("forget", "1", "--record", "--by", "Robin")
    with store.transaction(roster(), keep=False) as connection:
        handle = tables.handle.c
        given = dict(connection.execute(select(handle.text, handle.member_id)).all())
        assert given == {"kimvale": 2, "patlee": None}
        assert record.next_member(connection) == 3
        (gone,) = connection.execute(select(tables.forgotten)).all()
        assert (gone.member_id, gone.who) == (1, "Robin")
        assert gone.removed["person"] == 2
        (row,) = [r for r in connection.execute(select(tables.row)) if r.decision == "forgotten"]
        assert (row.cells, row.fields, row.file, row.member_id) == ([], {}, "", None)
        call = connection.execute(select(tables.call)).one()
        assert (call.about, call.note, call.site) == ("forgotten", "", "Lima Grange")
        assert connection.execute(select(tables.call_cause.c.cause)).scalar() == "typed.email"
        about = tables.journal.c.about == "member:1"
        lines = connection.execute(select(tables.journal).where(about)).all()
        assert {line.what for line in lines} > {"enrolled", "corrected"}
        assert not any(line.why or line.before or line.after for line in lines)
        assert connection.execute(text("PRAGMA foreign_key_check")).all() == []
        assert index_check.check(connection) == []
    assert "member 1, by Robin" in onboard("forget").words


def test_the_number_of_the_last_member_is_not_given_again(office: Path) -> None:
    onboard("forget", "2", "--record")
    onboard("batch", write_csv(Path("new.csv"), [("Ana Ruiz", "ana@example.org", "", "3 Low Rd",
            "Athens", "OH", "45701", "Lima Grange")]), "--record")  # fmt: skip
    with store.transaction(roster(), keep=False) as connection:
        assert connection.execute(select(tables.member.c.id)).scalars().all() == [1, 3]


def test_a_file_given_again_brings_nobody_back_and_a_new_form_gets_another_handle(
    office: Path,
) -> None:
    onboard("forget", "patlee", "--record")
    again = onboard("batch", "forms.csv", "--record")
    assert "0 new members" in again.words
    new = (*PAT[:1], "pat.new@example.org", *PAT[2:])
    joined = onboard("batch", write_csv(Path("new.csv"), [new]), "--record", "--json")
    assert joined.code in (0, 1)
    with store.transaction(roster(), keep=False) as connection:
        handles = connection.execute(select(tables.member.c.handle)).scalars().all()
    assert "patlee" not in handles


def test_a_deleted_member_whose_form_comes_with_one_more_question_is_asked_about(
    office: Path,
) -> None:
    onboard("forget", "patlee", "--record")
    heads = (*HEADINGS, "Do you have a truck?")
    more = write_csv(Path("june.csv"), [(*PAT, "yes"), (*KIM, "no")], heads)
    said = onboard("batch", more, "--record").words
    assert "Somebody with this email address and first name, or with this name, was deleted" in said
    assert "0 new members" in said
    with store.transaction(roster(), keep=False) as connection:
        kept = connection.execute(
            select(tables.row.c.statement).where(tables.row.c.decision == "forgotten")
        ).scalars()
        assert statement.sketch({"full_name": "Pat Lee", "email": PAT[1]}) not in list(kept)
    rows = onboard("batch", more, "--json").json()
    (key,) = {r["row"] for r in rows if r.get("verdict") == "on hold" and r["name"] == "Pat Lee"}
    assert "Pat Lee: new member." in onboard("answer", key, "enroll").words


def test_who_was_asked_about_the_member_is_asked_no_more(office: Path) -> None:
    said = onboard("forget", "patlee", "--record")
    assert "texts about others" in said.words
    with store.transaction(roster(), keep=False) as connection:
        decisions = connection.execute(select(tables.decision)).all()
        assert all("member:1" not in json.dumps(d.matches) for d in decisions)
        assert all("Pat Lee" not in json.dumps([d.questions, d.reasons]) for d in decisions)


def test_what_still_stands_as_somebody_elses_is_said_and_stays(office: Path) -> None:
    with store.transaction(roster()) as connection:
        shared = Person(Owner.of_member(2), "Kim", family="Vale", phone="+14195550143")
        change.apply(connection, [], ROBIN, spellings=[(shared, keys.of(shared))])
    said = onboard("forget", "patlee", "--record")
    assert said.code == 1
    assert "- phone: kimvale (member 2)" in said.words
    assert "a household shares a phone" in said.words


def test_all_accounts_of_the_member_go_those_merged_with_it_too(office: Path) -> None:
    onboard("merge", "kimvale", "patlee", "--stays", "patlee", "--record")
    said = onboard("forget", "2", "--record")
    assert "Deleted for patlee (member 1), kimvale (member 2):" in said.words
    with store.transaction(roster(), keep=False) as connection:
        assert search.count(connection) == 0


def test_what_a_merge_that_was_taken_back_left_with_the_other_goes_too(office: Path) -> None:
    onboard("merge", "kimvale", "patlee", "--stays", "patlee", "--take", "email=kimvale",
            "--record")  # fmt: skip
    onboard("undo", "1", "--record")
    said = onboard("forget", "kimvale", "--record")
    assert "Nobody else on the roster has these" in said.words
    left = b"".join(file.read_bytes() for file in office.glob("roster.db*"))
    assert b"kim@example.net" not in left
    assert b"pat.lee@example.org" in left


def test_of_everybody_else_nothing_changes(office: Path) -> None:
    with store.transaction(roster()) as connection:
        index.rebuild(connection)
        row = tables.row.c
        key = connection.execute(select(row.key).where(row.member_id == 2)).scalar_one()
    before = content(roster())
    onboard("forget", "2", "--record")
    theirs = (key, "kimvale", '["packet", 2,')
    others = [line for line in before if not any(word in line for word in theirs)]
    assert len(others) < len(before)
    now = content(roster())
    assert [line for line in others if line not in now] == []
    added = [json.loads(line)[0] for line in now if line not in before]
    assert sorted(added) == ["forgotten", "handle", "row", "trace"]  # what stays, bound to nobody


def test_mails_in_the_outbox_go_and_their_letter_is_taken_out_of_others(office: Path) -> None:
    assert (office / "outbox" / "patlee.eml").exists()
    said = onboard("forget", "patlee", "--record")
    assert not (office / "outbox" / "patlee.eml").exists()
    assert (office / "outbox" / "kimvale.eml").exists()
    assert "Their letter was taken out of files with others': letters-1-2.pdf." in said.words
    assert letters.whose(office / "outbox" / "letters-1-2.pdf") == {"kimvale"}
    assert "The files that their forms came from: forms.csv." in said.words


def test_a_letter_that_is_theirs_alone_goes_and_the_others_stay(office: Path) -> None:
    onboard("packets", "--again", "patlee")
    said = onboard("forget", "patlee")
    assert "would be taken out of the outbox: letters-1-1.pdf, patlee.eml." in said.words
    assert "letters-1-2.pdf" not in said.words, "it is not in there any more"
    assert "letters-1-1.pdf" not in onboard("forget", "kimvale").words
    onboard("forget", "patlee", "--record")
    assert not (office / "outbox" / "letters-1-1.pdf").exists()
    assert (office / "outbox" / "letters-1-2.pdf").exists()


def test_letters_that_nobody_can_look_inside_are_named(office: Path) -> None:
    (office / "outbox" / "letters-1-2.pdf").write_bytes(b"%PDF-1.7 damaged, by Typst")
    said = onboard("forget", "patlee", "--record")
    assert "Letters in the outbox that may include theirs: letters-1-2.pdf." in said.words


def test_a_namesakes_packet_is_theirs_and_only_what_is_sure_is_to_be_deleted(office: Path) -> None:
    namesake = (
        "Pat Lee",
        "pat.lee.two@example.com",
        "614-555-0121",
        "3 Bay St",
        "Toledo",
        "OH",
        "43604",
        "",
    )
    write_csv(office / "two.csv", [namesake])
    *_, row = onboard("batch", "two.csv", "--record", "--json").json()[:1]
    if row["verdict"] == "on hold":
        onboard("answer", row["row"], "enroll")
    onboard("packets", "--write")
    with store.transaction(roster(), keep=False) as connection:
        (other,) = [m for m in search.members(connection) if m.email == "pat.lee.two@example.com"]
    theirs = f"outbox/{other.handle.text}.eml"
    (office / "list.txt").write_text("Milk: Pat Lee\n")
    (office / "calls.txt").write_text("Called 419-555-0143 today\n")
    for words in (("forget", "patlee"), ("forget", "patlee", "--record")):
        said = onboard(*words)
        (sure,) = [
            text for text in said.out.splitlines() if "Delete them, or take the member out" in text
        ]
        assert "calls.txt" in sure
        assert "forms.csv" in sure
        assert theirs not in sure
        assert "list.txt" not in sure
        assert "two.csv" not in sure
        (maybe,) = [
            text for text in said.out.splitlines() if "Look whether it is the member" in text
        ]
        assert {"list.txt", "two.csv"} <= set(re.findall(r"[\w/]+\.\w+", maybe))
        assert f"Look whether they say anything about this member: {theirs}." in said.out
    assert (office / theirs).exists()


def test_when_nobody_was_deleted_that_is_said(office: Path) -> None:
    assert "Nobody has been deleted so far." in onboard("forget").words


def test_the_page_is_told_once_and_then_the_handle_is_bound_to_no_number(office: Path) -> None:
    lived()
    onboard("forget", "patlee", "--record")
    onboard("export", "news.csv", "--changed", "--record")
    assert "deleted" in Path("news.csv").read_text()
    assert "patlee" in Path("news.csv").read_text()
    with store.transaction(roster(), keep=False) as connection:
        assert 1 not in connection.execute(select(tables.exported.c.member_id)).scalars().all()
    onboard("export", "news.csv", "--changed", "--record")
    assert not Path("news.csv").exists()


def test_a_form_on_hold_is_deleted_too(office: Path) -> None:
    with store.transaction(roster(), keep=False) as connection:
        (key, *_) = [raw.key for raw in search.held(connection) if "Sam" in str(raw.fields)]
    said = onboard("forget", f"row:{key[:8]}", "--record")
    assert "Deleted for a join form: " in said.words
    left = b"".join(file.read_bytes() for file in office.glob("roster.db*"))
    assert b"Sam Moor" not in left
    assert b"419-555-0188" not in left


def test_who_is_unknown_is_said(office: Path) -> None:
    for said in (onboard("forget", "nobody"), onboard("disclose", "nobody", "--to", "a.json")):
        assert (said.code, "Nobody here has the sign-in name or number “nobody”" in said.words) == (
            2,
            True,
        )
    assert (
        "No form without a member has a key that starts with zz"
        in onboard("forget", "row:zz").words
    )


def test_a_crash_half_way_deletes_nothing(office: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    lived()

    def crash(*_: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("onboard.roster.spoken_of.mask", crash)
    assert onboard("forget", "patlee", "--record").code == 2
    with store.transaction(roster(), keep=False) as connection:
        assert search.existing(connection, [1]) == {1}
        assert len(connection.execute(select(tables.person)).all()) >= 3


# ---------------------------------------------------------------- all that is known


def test_all_that_is_known_is_told_and_nothing_of_others(office: Path) -> None:
    lived()
    with store.transaction(roster()) as connection:
        about = "Is this the same person as Kim Vale (member 2)?"
        journal.write(connection, [Entry("noted", Owner.of_member(1), about)], ROBIN)
    said = onboard("disclose", "patlee", "--to", "pat.json")
    assert said.code == 0
    assert Path("pat.json").stat().st_mode & 0o777 == 0o600
    text_ = Path("pat.json").read_text()
    told = json.loads(text_)
    assert told["from"] == "Test Growers Co-op"
    (account,) = told["member"]["lines"]
    assert account["email"] == "secret@example.org"
    assert account["password_hash"] == "kept, and shown to nobody"
    assert "argon2" not in text_
    assert ["Full name", "Pat Lee"] in told["row"]["lines"][0]["cells"]
    assert {p["email"] for p in told["person"]["lines"]} == {
        "pat.lee@example.org",
        "secret@example.org",
    }
    assert told["call"]["lines"][0]["note"] == "secret@example.org typed"
    assert told["call_cause"]["lines"] == [
        {"at": "2026-11-25T12:00:00Z", "causes": ["typed.email"]}
    ]
    assert "Kim" not in text_
    assert "Robin" not in text_.replace("Robin Vale", "")
    assert "(left out: it names somebody else)" in text_


def test_people_get_it_as_sheets(office: Path) -> None:
    lived()
    assert onboard("disclose", "1", "--to", "pat.xlsx").code == 0
    assert Path("pat.xlsx").stat().st_mode & 0o777 == 0o600
    book = CalamineWorkbook.from_path("pat.xlsx")
    assert book.sheet_names[:3] == ["About", "member", "handle"]
    assert ["patlee"] in [row[:1] for row in book.get_sheet_by_name("handle").to_python()]
    assert onboard("disclose", "1", "--to", "pat.docx").code == 2

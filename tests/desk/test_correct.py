"""`onboard correct`, as the desk types it."""

from __future__ import annotations

import csv
import stat
from pathlib import Path

import listed
import pytest
from cli.office import KIM, onboard, phrases, program, with_mail, write_csv
from desk.roster_seen import journaled, mail, member, sent, spelt

from onboard.model import State
from onboard.roster import store, tables

# ---------------------------------------------------------------- looking, recording


def test_looking_changes_nothing(office: Path) -> None:
    before = member(office)
    files = sorted(file.name for file in (office / "outbox").iterdir())
    said = onboard(
        "correct", "patlee", "--email", "pat@example.net", "--name", "Pat Moor", "--by", "robin"
    )
    assert said.code == 1  # a packet has not gone out, and would wait
    assert "pat.lee@example.org" in said.words
    assert "pat@example.net" in said.words
    assert "This was a preview. Nothing was saved." in said.words
    assert said.out.startswith("Never change contact info because a caller says so. Call back")
    assert member(office) == before
    assert sorted(file.name for file in (office / "outbox").iterdir()) == files


@pytest.mark.parametrize(
    ("option", "said", "column", "value"),
    [
        ("--email", " Pat@Example.NET ", "email", "Pat@example.net"),
        ("--phone", "419.555.0199 x2", "phone", "tel:+14195550199;ext=2"),
        ("--address", "14 north main street apt 3, lima, ohio 45801", "address",
         ["14 N MAIN ST APT 3", "LIMA OH 45801"]),
        ("--phone", "", "phone", ""),
    ],
)  # fmt: skip
def test_it_goes_through_the_rules_of_a_join_form(
    office: Path, option: str, said: str, column: str, value: object
) -> None:
    done = onboard("correct", "1", option, said, "--why", "asked by phone", "--record")
    assert done.code == (option == "--email"), done.words
    assert member(office)[column] == value
    assert "corrected" in journaled(office)


def test_what_was_known_stays_known_and_the_new_is_matched(office: Path) -> None:
    onboard(
        "correct", "patlee", "--email", "pat.moor@example.net", "--name", "Pat Moor", "--record"
    )
    assert ("Pat", "Lee", "pat.lee@example.org", "+14195550143") in spelt(office)
    assert ("Pat", "Moor", "pat.moor@example.net", "+14195550143") in spelt(office)
    # The next form under either name is the same person.
    write_csv(
        office / "again.csv",
        [("Pat Moor", "pat.moor@example.net", "419-555-0143", "12 N Main St", "Lima", "OH", "45801",
          "Lima Grange")],
    )  # fmt: skip
    said = onboard("batch", "again.csv", "--record")
    assert "1 already a member" in said.words


def test_the_handle_stays_with_a_change_of_name(office: Path) -> None:
    said = onboard("correct", "patlee", "--name", "Pat Moor", "--record")
    assert "The sign-in name stays patlee" in said.words
    assert member(office)["handle"] == "patlee"


def test_the_handle_of_a_merged_account_stays_with_it(office: Path) -> None:
    onboard("merge", "kimvale", "patlee", "--stays", "patlee", "--record")
    said = onboard("correct", "patlee", "--name", "Kim Vale", "--new-handle", "--record")
    assert said.code in (0, 1), said.words
    assert (member(office)["handle"], member(office, 2)["handle"]) == ("kimvale2", "kimvale")


def test_a_new_handle_is_given_when_asked_for_and_the_old_one_stays_theirs(office: Path) -> None:
    said = onboard("correct", "patlee", "--name", "Pat Moor", "--new-handle", "--record", "--json")
    assert said.code == 0, said.words
    assert member(office)["handle"] == "patmoor"
    told = onboard("why", "patlee", "--member", "patlee", "--json").json()[0]
    assert told["handle"] == "patmoor"
    assert told["owner"] == "member:1"
    # Nobody else gets the old one, and it can be had again.
    write_csv(office / "new.csv", [("Pat Lee", "other@example.com", "614-555-0111", "9 Far Rd",
                                    "Columbus", "OH", "43004", "Lima Grange")])  # fmt: skip
    onboard("batch", "new.csv", "--record")
    assert member(office, 3)["handle"] == "patlee2"
    onboard("correct", "1", "--name", "Pat Lee", "--new-handle", "--record")
    assert member(office)["handle"] == "patlee"


def test_a_comma_says_where_the_last_name_begins(office: Path) -> None:
    both = ("correct", "1", "--new-handle", "--record", "--name")
    assert onboard(*both, "Soto Feliciano, Ana").code == 0
    assert (member(office)["name"]["family"], member(office)["handle"]) == (
        "Soto Feliciano",
        "anasotofeliciano",
    )
    said = onboard(*both, "Feliciano, Ana Soto")
    assert "two last names" not in said.words
    assert "Soto Feliciano, Ana" in said.words
    name = member(office)["name"]
    assert (name["given"], name["middle"], name["family"]) == ("Ana", "Soto", "Feliciano")
    assert member(office)["handle"] == "anafeliciano"
    onboard(*both, "Walsh Keller, Mary")
    assert member(office)["handle"] == "marywalshkeller"


def test_a_handle_that_somebody_has_gets_a_number(office: Path) -> None:
    onboard("correct", "patlee", "--name", "Kim Vale", "--new-handle", "--record")
    assert member(office)["handle"] == "kimvale2"


def test_what_it_is_already_is_no_change(office: Path) -> None:
    lines = len(journaled(office))
    said = onboard("correct", "1", "--phone", "(419) 555-0143", "--name", "Pat Lee", "--record")
    assert "nothing to change" in said.words
    assert len(journaled(office)) == lines


@pytest.mark.parametrize(
    ("option", "text", "told"),
    [
        ("--email", "pat.lee", "must have an @-sign"),
        ("--site", "the moon", "We have no drop site"),
        ("--name", "", "name"),
        ("--phone", "not known", "phone"),
    ],
)
def test_what_cannot_be_understood_is_refused(
    office: Path, option: str, text: str, told: str
) -> None:
    before = member(office)
    said = onboard("correct", "1", option, text, "--record")
    assert said.code == 1, said.words
    assert "Nothing was changed" in said.words
    assert told in said.words
    assert member(office) == before


def test_a_doubt_is_told_and_taken(office: Path) -> None:
    said = onboard("correct", "1", "--email", "pat@gmial.com", "--record")
    assert "gmail.com" in said.words
    assert member(office)["email"] == "pat@gmial.com"


def test_it_can_be_taken_back(office: Path) -> None:
    sent(office)
    number = onboard(
        "correct", "1", "--phone", "419-555-0190", "--name", "Pat Moor", "--record", "--json"
    ).json()[0]["undo"]
    assert onboard("undo", str(number), "--record").code in (0, 1)
    line = member(office)
    assert line["phone"] == "tel:+14195550143"
    assert line["name"]["family"] == "Lee"  # type: ignore[index]


# ---------------------------------------------------------------- who had it before is told


def test_the_old_address_is_told_and_learns_nothing(office: Path) -> None:
    sent(office)
    said = onboard("correct", "patlee", "--email", "new@example.net", "--record", "--json").json()[
        0
    ]
    (name,) = said["notices"]
    file = office / "outbox" / name
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    to, words = mail(file)
    assert to == "pat.lee@example.org"
    assert "419-555-0100" in words
    whole = file.read_text("utf-8")
    for fact in ("patlee", "Pat", "Lee", "new@example.net", "0143", "Main"):
        assert fact not in whole.replace("pat.lee@example.org", ""), fact


def test_a_look_says_who_would_be_told_and_names_no_file_that_is_not_there(office: Path) -> None:
    assert (
        "A letter would tell the old contact" in onboard("correct", "patlee", "--phone", "").words
    )
    with_mail(office)
    sent(office)
    looked = onboard("correct", "patlee", "--email", "new@example.net").words
    assert "An email would tell the old contact" in looked
    assert "outbox" not in looked
    assert ".eml" not in looked


@pytest.mark.parametrize("option", ["--phone", "--address"])
def test_another_contact_is_told_of_by_mail_as_well(office: Path, option: str) -> None:
    text = {"--phone": "419-555-0190", "--address": "9 Elm St, Lima OH 45801"}[option]
    (name,) = onboard("correct", "1", option, text, "--record", "--json").json()[0]["notices"]
    to, words = mail(office / "outbox" / name)
    assert to == "pat.lee@example.org"
    assert {"--phone": "the phone number", "--address": "the mailing address"}[option] in words
    assert "0190" not in words
    assert "Elm" not in words


def test_where_mail_comes_back_or_is_not_wanted_a_letter_goes_to_the_old_address(
    office: Path,
) -> None:
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:
        connection.execute(tables.member.update().values(bounced="2026-11-20"))
        listed.put(connection, State.SENT)
    said = onboard("correct", "1", "--email", "new@example.net", "--record", "--json").json()[0]
    (name,) = said["notices"]
    assert name.endswith(".pdf")
    assert (office / "outbox" / name).read_bytes().startswith(b"%PDF")
    assert member(office)["bounced"] is None  # that was the other address
    # It is not taken away when the next packets are written.
    onboard("packets", "--write")
    assert (office / "outbox" / name).exists()


def test_where_nothing_else_is_on_file_the_desk_is_told_to_call(office: Path) -> None:
    sent(office)
    onboard("correct", "1", "--address", "", "--record")
    onboard("correct", "1", "--email", "", "--record")
    said = onboard("correct", "1", "--phone", "419-555-0190", "--record")
    assert said.code == 1
    assert "Call the number that was on file before, (419) 555-0143, and tell them." in said.words


def test_a_name_or_a_site_is_nobodys_contact(office: Path) -> None:
    done = onboard("correct", "1", "--name", "Pat Moor", "--record", "--json").json()[0]
    assert done["notices"] == []


# ---------------------------------------------------------------- the packet that has not gone out


def test_a_packet_to_another_address_waits_for_a_check(office: Path) -> None:
    old = phrases(office / "outbox")
    onboard("correct", "patlee", "--email", "new@example.net", "--record")
    line = member(office)
    assert (line["packet"], line["password_hash"]) == (State.WAITING, None)
    assert not (office / "outbox" / "patlee.eml").exists()
    onboard("packets", "--write")
    assert member(office)["packet"] is State.WAITING
    assert len(phrases(office / "outbox") & old) == 1  # Kim's
    out = office / "accounts.csv"
    onboard("export", str(out))
    assert [line["handle"] for line in csv.DictReader(out.open()) if "handle" in line] != ["patlee"]
    told = onboard("why", "patlee", "--member", "1", "--json").json()[0]
    assert told["causes"][0]["code"] == "packet.barred"


def test_a_packet_with_old_words_is_written_anew_with_another_password(office: Path) -> None:
    old = phrases(office / "outbox")
    assert (
        "it would have to be made again: onboard packets --write"
        in onboard("correct", "patlee", "--name", "Pat Moor").words
    )
    said = onboard("correct", "patlee", "--name", "Pat Moor", "--record")
    assert (said.code, "it must be made again: onboard packets --write" in said.words) == (0, True)
    assert member(office)["packet"] == "due"
    assert not (office / "outbox" / "patlee.eml").exists()
    onboard("packets", "--write")
    new = phrases(office / "outbox")
    assert len(new) == 2
    assert len(new & old) == 1


def test_what_has_gone_out_stays_out(office: Path) -> None:
    sent(office)
    onboard("correct", "patlee", "--email", "new@example.net", "--name", "Pat Moor", "--record")
    line = member(office)
    assert line["packet"] == "sent"
    assert line["password_hash"]


def test_a_phone_is_not_in_the_packet(office: Path) -> None:
    said = onboard("correct", "patlee", "--phone", "419-555-0190", "--record")
    assert "made again" not in said.words
    assert member(office)["packet"] == "written"
    assert (office / "outbox" / "patlee.eml").exists()


def test_without_a_second_check_in_the_settings_the_packet_is_due(office: Path) -> None:
    file = office / "onboard.toml"
    file.write_text(file.read_text() + "second_check_days = 0\n")
    onboard("correct", "patlee", "--email", "new@example.net", "--record")
    assert member(office)["packet"] == "due"


# ---------------------------------------------------------------- who, and what comes in


def test_a_merged_account_is_not_corrected(office: Path) -> None:
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:
        connection.execute(
            tables.member.update().where(tables.member.c.id == 1)
            .values(standing="merged", merged_into=2)
        )  # fmt: skip
    said = onboard("correct", "1", "--phone", "419-555-0190", "--record")
    assert said.code == 1
    assert "merged into member 2" in said.words


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("patlee",), "Say what to correct"),
        (
            ("nobody", "--phone", "419-555-0190"),
            "Nobody here has the sign-in name or number “nobody”",
        ),
    ],
)
def test_what_cannot_run_says_why(office: Path, words: tuple[str, ...], told: str) -> None:
    said = onboard("correct", *words)
    assert said.code == 2
    assert told in said.words


def test_only_those_whom_the_settings_name_may_correct(office: Path) -> None:
    file = office / "onboard.toml"
    file.write_text(file.read_text().replace("[desk]", '[desk]\nmay_look_up = ["robin"]'))
    said = onboard("correct", "1", "--phone", "419-555-0190", "--by", "lou", "--record")
    assert said.code == 2
    assert member(office)["phone"] == "tel:+14195550143"


def test_junk_is_answered_in_words(office: Path) -> None:
    for text in (
        "\udcff\udc00",
        "=HYPERLINK(1)",
        "a" * 100_000,
        "\x1b[31mred",
        "<b>Pat</b> \n Lee",
    ):
        for option in ("--name", "--email", "--phone", "--address", "--site"):
            said = onboard("correct", "1", option, text)
            sound = text.isprintable() or "\udc00" not in text
            assert said.code in ((0, 1) if sound else (2,)), (option, text[:10], said.words[:300])
            assert "fault" not in said.err
            assert "\x1b[31mred" not in said.out


def test_a_full_disk_leaves_it_as_it_was(office: Path) -> None:
    before = member(office)
    (office / "outbox").rename(office / "gone")
    (office / "outbox").write_text("in the way")
    said = onboard("correct", "1", "--email", "new@example.net", "--record")
    assert said.code == 2
    assert member(office) == before


def test_it_runs_as_a_program(office: Path) -> None:
    said = program("correct", "kimvale", "--phone", "419-555-0170", "--by", "robin", cwd=office)
    assert said.code == 0
    assert KIM[2].removeprefix("419-555-") in said.out


def test_what_was_on_file_is_shown_to_those_who_may_reissue(office: Path) -> None:
    line = ("correct", "patlee", "--email", "pat@example.net", "--name", "Pat Moor", "--by")
    shown, hidden = onboard(*line, "robin"), onboard(*line, "lou")
    assert "pat.lee@example.org" in shown.words
    assert "pat.lee@example.org" not in hidden.words
    assert "(not shown)" in hidden.words
    assert "Pat Lee" in hidden.words
    assert "pat.lee@example.org" not in onboard(*line, "lou", "--json").out
    assert "pat.lee@example.org" in onboard(*line, "robin", "--json").out

"""A drop site that closes, one that moves, and a new one: who is told, once, and who goes where."""

from __future__ import annotations

import csv
import email
import sqlite3
from email import policy
from pathlib import Path

import pytest
from office import SETTINGS, onboard, write_csv
from test_windows_command import today_is

from onboard.mail import post

SITES = f"""{SETTINGS}
[[group]]
name = "Hill"
windows = [{{ opens = 2026-12-15, closes = 2026-12-20 }}]

[[site]]
name = "Cridersville Shed"
address = "3 Main St, Cridersville, OH"
zip = "45806"
group = "Hill"
host = "Lee Darby"
capacity = 1

[[site]]
name = "Wapakoneta Depot"
address = "8 Rail St, Wapakoneta, OH"
zip = "45895"
group = "Lake"
host = "Kim Oster"

[mail]
host = "mail.example.org"
"""
FORMS = [
    ("Pat Lee", "pat.lee@example.org", "419-555-0143", "12 N Main St", "Lima", "OH", "45801", "Lima Grange"),
    ("Kim Vale", "kim@example.net", "419-555-0177", "7 Oak Ave", "Cridersville", "OH", "45806", "Lima Grange"),
    ("Sam Moor", "sam.moor@example.org", "419-555-0188", "40 Elm St", "Wapakoneta", "OH", "45895", "Lima Grange"),
    ("Ana Ross", "ana.ross@example.org", "419-555-0199", "9 Ash St", "Wapakoneta", "OH", "45895", "Wapakoneta Depot"),
]  # fmt: skip


@pytest.fixture
def coop(office: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Three members at Lima Grange, all of whom said yes to email; one at Wapakoneta Depot."""
    today_is(monkeypatch, 2026, 11, 25, 12)
    (office / "onboard.toml").write_text(SITES)
    write_csv(office / "forms.csv", FORMS)
    assert onboard("batch", "forms.csv", "--record").code == 0
    ask(office, "UPDATE member SET consent = 1")
    return office


def ask(office: Path, query: str, *values: object) -> list[tuple[object, ...]]:
    with sqlite3.connect(office / "roster.db") as connection:
        return connection.execute(query, values).fetchall()


def notices(office: Path) -> list[tuple[str, str, str]]:
    return ask(
        office, "SELECT handle, way, state FROM outgoing JOIN member ON member.id = member_id WHERE what = 'notice' "
        "ORDER BY handle, outgoing.id",
    )  # type: ignore[return-value]  # fmt: skip


def mails(office: Path) -> dict[str, str]:
    found = {}
    for file in sorted((office / "outbox").glob("notice-*.eml")):
        mail = email.message_from_bytes(file.read_bytes(), policy=policy.default)
        body = mail.get_body(("plain",))
        assert body
        found[str(mail["To"]).split("<")[-1].strip(">")] = " ".join(body.get_content().split())
    return found


def approve(file: Path) -> list[list[str]]:
    """The moves in a review file, each with a yes from here on."""
    with file.open(encoding="utf-8-sig", newline="") as said:
        headings, *rows = csv.reader(said)
    with file.open("w", encoding="utf-8", newline="") as out:
        csv.writer(out).writerows([headings, *(["yes", *row[1:]] for row in rows)])
    return rows


CLOSE = ("sites", "--close", "Lima Grange", "--on", "2027-01-15")


def test_members_of_a_site_that_closes_each_have_the_nearest_with_room(coop: Path) -> None:
    said = onboard(*CLOSE)
    assert said.code == 1
    assert "Lima Grange closes on Friday, January 15, 2027: 3 members there." in said.words
    assert "kimvale 45806 Cridersville Shed (less than 1 mile)" in said.words
    assert "sammoor 45895 Wapakoneta Depot (less than 1 mile)" in said.words
    assert "Cridersville Shed is closer, and full" in said.words  # it has room for one
    assert "This was a preview. Nothing was saved." in said.words
    assert 'write closed = true under the [[site]] named "Lima Grange"' in said.words
    assert notices(coop) == []
    lines = {one["handle"]: one for one in onboard(*CLOSE, "--json").json()}
    assert set(lines) == {"patlee", "kimvale", "sammoor"}
    assert (lines["kimvale"]["key"], lines["kimvale"]["to"]) == ("Lima Grange", "Cridersville Shed")
    assert lines["kimvale"]["miles"] == 0
    assert lines["patlee"]["to"] == "Wapakoneta Depot"
    assert [near["key"] for near in lines["patlee"]["near"]] == [
        "Cridersville Shed",
        "Wapakoneta Depot",
    ]


def test_nobody_is_sent_far_away_without_being_asked(coop: Path) -> None:
    """The one site with room is a day's drive away: who lives here hears that we look for one with them."""
    far = SITES.replace('zip = "45895"', 'zip = "54901"').replace("Wapakoneta, OH", "Oshkosh, WI")
    (coop / "onboard.toml").write_text(far)
    assert "far: ask them first" in onboard(*CLOSE).words
    onboard(*CLOSE, "--record")
    told = mails(coop)
    assert "Cridersville Shed" in told["kim@example.net"]
    for address in ("pat.lee@example.org", "sam.moor@example.org"):
        assert "Wapakoneta Depot" not in told[address]
        assert "don't need to do anything" not in told[address].replace("’", "'")
    assert "far: ask them first" in onboard(*CLOSE).words


def test_each_is_told_once_in_words_of_their_own_site(coop: Path) -> None:
    said = onboard(*CLOSE, "--record")
    assert said.code == 0
    assert (
        "3 emails in the outbox, not sent yet. To send: onboard packets --send --really"
        in said.words
    )
    to_kim = mails(coop)["kim@example.net"]
    assert "Cridersville Shed, 3 Main St, Cridersville, OH" in to_kim
    assert "Tuesday, December 15, 2026" in to_kim  # another group, other days
    assert "Your ordering days stay the same." in mails(coop)["sam.moor@example.org"]
    again = onboard(*CLOSE, "--record")
    assert "3 members were told already, or a notice waits in the outbox." in again.words
    assert len(notices(coop)) == 3
    assert onboard("sites", "--close", "lima grange", "--record").code == 0
    assert len(notices(coop)) == 3, "who gives no day asks for no other"


def test_another_last_day_is_told_anew(coop: Path) -> None:
    onboard(*CLOSE, "--record")
    onboard("sites", "--close", "Lima Grange", "--on", "2027-02-01", "--record")
    stand = [state for *_, state in notices(coop)]
    assert sorted(stand) == ["void"] * 3 + ["written"] * 3
    assert all("February 1, 2027" in text for text in mails(coop).values())


def test_moves_are_approved_applied_and_undone(coop: Path) -> None:
    onboard(*CLOSE, "--record", "--changes", "closing.csv")
    ask(coop, "UPDATE outgoing SET state = 'sent' WHERE what = 'notice'")
    rows = approve(coop / "closing.csv")
    assert [row[4:7] for row in rows] == [
        ["site", "Lima Grange", "Wapakoneta Depot"], ["site", "Lima Grange", "Cridersville Shed"],
        ["site", "Lima Grange", "Wapakoneta Depot"],
    ]  # fmt: skip
    assert "Lima Grange closes. Wapakoneta Depot is about" in rows[0][7]
    assert onboard("tidy", "closing.csv", "--record").code == 0
    assert dict(ask(coop, "SELECT handle, site FROM member")) == {
        "patlee": "Wapakoneta Depot", "kimvale": "Cridersville Shed", "sammoor": "Wapakoneta Depot",
        "anaross": "Wapakoneta Depot",
    }  # fmt: skip
    after = onboard(*CLOSE, "--record")
    assert after.code == 0
    assert len(notices(coop)) == 3, "they went where they were told"
    number = ask(coop, "SELECT max(id) FROM applied")[0][0]
    onboard("undo", str(number), "--record")
    assert dict(ask(coop, "SELECT handle, site FROM member"))["kimvale"] == "Lima Grange"
    assert onboard(*CLOSE, "--record").code == 0
    assert len(notices(coop)) == 3


def test_who_was_sent_to_another_site_than_they_were_told_hears_of_it(coop: Path) -> None:
    onboard(*CLOSE, "--record")
    ask(coop, "UPDATE outgoing SET state = 'sent' WHERE what = 'notice'")
    onboard("correct", "kimvale", "--site", "Wapakoneta Depot", "--record")
    onboard(*CLOSE, "--record")
    assert [state for handle, _, state in notices(coop) if handle == "kimvale"] == [
        "sent",
        "written",
    ]
    texts = [file.read_text() for file in (coop / "outbox").glob("notice-2-*.eml")]
    assert sum("From now on, you pick up your orders here" in text for text in texts) == 1
    onboard(*CLOSE, "--record")
    assert len(notices(coop)) == 4


def test_who_was_moved_before_anybody_told_them_hears_of_it(coop: Path) -> None:
    onboard(*CLOSE, "--changes", "closing.csv")
    approve(coop / "closing.csv")
    onboard("tidy", "closing.csv", "--record")
    onboard(*CLOSE, "--record")
    assert len(notices(coop)) == 3
    assert all("From now on, you pick up your orders here" in text for text in mails(coop).values())


def test_only_who_said_yes_gets_an_email(coop: Path) -> None:
    ask(coop, "UPDATE member SET consent = NULL WHERE handle = 'patlee'")
    ask(coop, "UPDATE member SET consent = 0 WHERE handle = 'kimvale'")
    ask(coop, "UPDATE member SET email = '', address = '[]' WHERE handle = 'sammoor'")
    said = onboard(*CLOSE, "--record")
    assert said.code == 1
    assert "sammoor can only be called: (419) 555-0188." in said.words
    assert notices(coop) == [("kimvale", "letter", "written"), ("patlee", "letter", "written")]
    done = onboard(*CLOSE, "--called", "sammoor", "--record")
    assert done.code == 0
    assert ("sammoor", "call", "told") in notices(coop)
    assert "sammoor can only be called" not in onboard(*CLOSE, "--record").words
    assert onboard(*CLOSE, "--called", "sammoor", "--record").code == 2


def test_whoever_nobody_can_place_is_named(coop: Path) -> None:
    ask(coop, "UPDATE member SET address = '[\"12 N MAIN ST\"]' WHERE handle = 'patlee'")
    said = onboard(*CLOSE, "--record")
    assert said.code == 1
    assert "no ZIP code is on file: ask where they live" in said.words
    assert "Please call us." in mails(coop)["pat.lee@example.org"]


def test_a_notice_that_no_longer_holds_does_not_go_out(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    onboard(*CLOSE, "--record")
    onboard("correct", "kimvale", "--site", "Wapakoneta Depot", "--record")
    sent = sent_by(monkeypatch)
    assert "It tells of a drop site that holds no longer." in onboard("packets", "--send").words
    assert len(sent) == 2


def sent_by(monkeypatch: pytest.MonkeyPatch) -> list[bytes]:
    """The notices about sites that would be sent."""
    found: list[bytes] = []

    def send(mails: object, *_: object, **__: object) -> object:
        found.extend(
            m.message for m in mails if b"drop site" in m.message.partition(b"\r\n\r\n")[0]
        )  # type: ignore[attr-defined]
        return iter(())

    monkeypatch.setattr(post, "send", send)
    return found


def test_a_notice_goes_to_the_address_on_file_when_it_is_sent(
    coop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    onboard(*CLOSE, "--record")
    onboard("correct", "kimvale", "--email", "kim.vale@example.com", "--record")
    sent = sent_by(monkeypatch)
    onboard("packets", "--send")
    to = [str(email.message_from_bytes(one, policy=policy.default)["To"]) for one in sent]
    assert any("kim.vale@example.com" in one for one in to)
    assert not any("kim@example.net" in one for one in to)


# ---------------------------------------------------------------- moved, new


def test_a_new_address_is_told_once(coop: Path) -> None:
    (coop / "onboard.toml").write_text(SITES.replace("12 Elm St, Lima OH", "90 Pine St, Lima OH"))
    said = onboard("sites", "--moved", "Lima Grange", "--on", "2027-01-05", "--record")
    assert said.code == 0
    assert all(
        "From Tuesday, January 5, 2027 on, you pick up your orders here" in text
        for text in mails(coop).values()
    )
    assert all("90 Pine St" in text for text in mails(coop).values())
    onboard("sites", "--moved", "Lima Grange", "--record")
    assert len(notices(coop)) == 3
    (coop / "onboard.toml").write_text(SITES.replace("12 Elm St, Lima OH", "7 Oak St, Lima OH"))
    onboard("sites", "--moved", "Lima Grange", "--record")
    assert [state for *_, state in notices(coop)].count("written") == 3
    assert all("7 Oak St" in text for text in mails(coop).values())


def test_those_who_live_closer_to_a_new_site_are_asked_once_and_nobody_is_moved(coop: Path) -> None:
    said = onboard("sites", "--new", "Wapakoneta Depot", "--miles", "5")
    assert said.code == 1
    assert (
        "1 member lives at least 5 miles closer to Wapakoneta Depot than to their own drop site."
        in said.words
    )
    assert "sammoor 45895 less than 1 mile Lima Grange (about 14 miles)" in said.words
    (line,) = onboard("sites", "--new", "Wapakoneta Depot", "--json").json()
    assert (line["key"], line["handle"], line["miles"], line["own"]) == (
        "Wapakoneta Depot", "sammoor", 0, "Lima Grange"
    )  # fmt: skip
    onboard("sites", "--new", "Wapakoneta Depot", "--record")
    assert "Do you want to pick up at the new site?" in mails(coop)["sam.moor@example.org"]
    onboard("sites", "--new", "Wapakoneta Depot", "--record")
    assert notices(coop) == [("sammoor", "email", "written")]
    assert dict(ask(coop, "SELECT handle, site FROM member"))["sammoor"] == "Lima Grange"
    assert (
        "0 members live at least 20 miles closer"
        in onboard("sites", "--new", "Wapakoneta Depot", "--miles", "20").words
    )


def test_whose_own_site_is_closed_is_asked_about_a_new_one(coop: Path) -> None:
    shut = SITES.replace('name = "Lima Grange"\n', 'name = "Lima Grange"\nclosed = true\n')
    (coop / "onboard.toml").write_text(shut)
    said = onboard("sites", "--new", "Wapakoneta Depot", "--record")
    assert "than to their own drop site, or have none that is open." in said.words
    assert "sammoor 45895 less than 1 mile Lima Grange (not open)" in said.words
    words = " ".join(mails(coop)["sam.moor@example.org"].split())
    assert "Your drop site, Lima Grange, is closed." in words
    assert "If you do nothing" not in words


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("--close", "Nowhere Mill"), "does not name one drop site. Write one of: Lima Grange"),
        (("--close", "Lima Grange", "--on", "tomorrow"), "--on 'tomorrow' is not a day."),
        (("--close", "Lima Grange", "--on", "2026-01-01"), "2026-01-01 is over."),
        (("--near", "45801", "--close", "Lima Grange"), "Give one of --near"),
        (("--record",), "Name a drop site first"),
        (("--new", "Lima Grange", "--changes", "a.xlsx"), "--changes is for a site that closes"),
    ],
)
def test_what_makes_no_sense_is_refused(coop: Path, line: tuple[str, ...], words: str) -> None:
    said = onboard("sites", *line)
    assert said.code == 2
    assert words in said.words


def test_whoever_may_not_look_members_up_sees_nobody(coop: Path) -> None:
    (coop / "onboard.toml").write_text(SITES + '\n[desk]\nmay_look_up = ["robin"]\n')
    said = onboard(*CLOSE, "--by", "sam")
    assert said.code == 2
    assert "kimvale" not in said.words
    assert onboard("sites", "--by", "sam").code == 0

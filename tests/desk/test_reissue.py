"""`onboard reissue`: who may, after which check, how often, and where the new password goes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from unittest.mock import patch

import listed
import pytest
from cli.office import all_logged, onboard, phrases, with_mail
from desk.roster_seen import journaled, mail, member, sent
from sqlalchemy import select

from onboard import office as office_module
from onboard import passwords
from onboard.model import Signature, State
from onboard.office import Office
from onboard.roster import desk, store, tables

CALLED = ("--checked", "call-back")
WROTE = ("--checked", "mail")
NOW = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)


def reissue(*words: str, by: str = "robin", when: datetime | None = None):  # type: ignore[no-untyped-def]
    """The command by somebody who may, at a time."""
    line = ("reissue", *words, "--by", by)
    if when is None:
        return onboard(*line)
    place = office_module.open_office

    def then(*args: object, **named: object) -> Office:
        return place(*args, **named, now=lambda: when)  # type: ignore[arg-type]

    with patch.object(office_module, "open_office", then):
        return onboard(*line)


def tries(office: Path) -> list[str]:
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine, keep=False) as connection:
        attempt = tables.attempt.c
        return [e for (e,) in connection.execute(select(attempt.ended).order_by(attempt.id))]


# ---------------------------------------------------------------- what it does


def test_looking_makes_nothing(office: Path) -> None:
    with_mail(office)
    before, old = member(office), phrases(office / "outbox")
    said = reissue("patlee", *CALLED)
    assert said.code == 0
    assert "would go to the email address on file" in said.words
    assert member(office) == before
    assert phrases(office / "outbox") == old
    assert tries(office) == []


@pytest.mark.parametrize("check", [CALLED, WROTE, (*CALLED, *WROTE)])
def test_the_old_password_dies_and_the_new_one_is_in_the_packet_alone(
    office: Path, check: tuple[str, ...]
) -> None:
    (old,) = phrases_of(office, "patlee")
    kim = member(office, 2)
    with all_logged() as log:
        said = reissue("patlee", *check, "--record")
    assert said.code == 0, said.words
    (new,) = phrases_of(office, "patlee")
    assert new != old
    stored = str(member(office)["password_hash"])
    assert passwords.verify(new, stored)
    assert not passwords.verify(old, stored)
    assert new not in said.out + said.err + log.getvalue()
    assert new.encode() not in (office / "roster.db").read_bytes()
    assert mail(office / "outbox" / "patlee.eml")[0] == "Pat Lee <pat.lee@example.org>"
    assert member(office)["packet"] == "written"
    assert member(office)["must_change"]
    assert member(office, 2) == kim
    assert tries(office) == ["done"]
    assert journaled(office)[-4:] == [
        "first password asked for", "packet due", "first password issued", "packet written"
    ]  # fmt: skip


def phrases_of(office: Path, handle: str) -> set[str]:
    """The password in one member's packet."""
    folder = office / "one"
    folder.mkdir(exist_ok=True)
    (folder / "a.eml").write_bytes((office / "outbox" / f"{handle}.eml").read_bytes())
    return phrases(folder)


def test_who_gets_no_mail_gets_a_letter(office: Path) -> None:
    sent(office)
    onboard("correct", "1", "--email", "", "--record")
    later = datetime.now(UTC) + timedelta(days=15)
    said = reissue("1", *CALLED, "--record", "--json", when=later)
    told = said.json()[0]
    assert (told["to"], told["made"]) == ("address", True)
    assert len(told["letters"]) == 1
    assert not (office / "outbox" / "patlee.eml").exists()


def test_other_packets_that_are_due_stay_due(office: Path) -> None:
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:
        listed.put(connection, State.DUE)
    reissue("patlee", *CALLED, "--record")
    assert member(office)["packet"] == "written"
    assert member(office, 2)["packet"] == "due"


def test_a_crash_before_the_packet_is_written_leaves_it_due_and_the_old_password_dead(
    office: Path,
) -> None:
    with patch("onboard.tasks.reissue.write_packets", side_effect=KeyboardInterrupt):
        reissue("patlee", *CALLED, "--record")
    line = member(office)
    assert (line["packet"], line["password_hash"]) == ("due", None)
    assert not (office / "outbox" / "patlee.eml").exists()
    assert onboard("packets", "--write").code == 0
    assert len(phrases_of(office, "patlee")) == 1


# ---------------------------------------------------------------- who may


@pytest.mark.parametrize("record", [(), ("--record",)])
def test_who_may_look_up_may_not_reissue(office: Path, record: tuple[str, ...]) -> None:
    before = member(office)
    said = reissue("patlee", *CALLED, *record, by="lou")
    assert said.code == 2
    assert "lou is not allowed to issue temporary passwords" in said.words
    assert onboard("why", "patlee", "--member", "1", "--by", "lou").code == 0
    assert member(office) == before
    assert tries(office) == []


def test_nobody_may_unless_the_settings_name_somebody(office: Path) -> None:
    file = office / "onboard.toml"
    file.write_text(file.read_text().replace('may_reissue = ["robin"]', ""))
    assert reissue("patlee", *CALLED, "--record").code == 2


def test_the_other_way_to_a_new_packet_has_the_same_guard(office: Path) -> None:
    before = member(office)
    assert onboard("packets", "--again", "patlee", "--by", "lou").code == 2
    assert member(office) == before
    sent(office)
    onboard("correct", "1", "--email", "thief@example.net", "--record")
    said = onboard("packets", "--again", "patlee", "--by", "robin")
    assert said.code == 2
    assert "must be checked first: onboard reissue patlee" in said.words


# ---------------------------------------------------------------- after which check


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "what a caller knows proves nothing."),
        (("--checked", "birthday"), "The settings do not allow “birthday”"),
        (("--checked", "security question"), "The settings do not allow “security question”"),
        (("--checked", "call-back", "--checked", "address"), "The settings do not allow “address”"),
    ],
)
def test_facts_are_no_check(office: Path, words: tuple[str, ...], told: str) -> None:
    before = member(office)
    said = reissue("patlee", *words, "--record")
    assert said.code == 1
    assert told in said.words
    assert member(office) == before
    assert tries(office) == ["refused"]
    assert journaled(office)[-1] == "first password refused"


def test_the_settings_may_take_fewer_checks(office: Path) -> None:
    file = office / "onboard.toml"
    file.write_text(file.read_text() + 'checks = ["mail"]\n')
    assert reissue("patlee", *CALLED, "--record").code == 1
    assert reissue("patlee", *WROTE, "--record").code == 0


@pytest.mark.parametrize(
    ("values", "words", "told"),
    [
        ({"phone": ""}, CALLED, "No phone is on file"),
        ({"email": ""}, WROTE, "No email is on file"),
        ({"consent": False}, WROTE, "This member asked for no email. Call them back instead."),
        ({"email": "", "address": []}, CALLED, "No email and no mailing address is on file"),
        ({"standing": "closed"}, CALLED, "The account is closed"),
        ({"standing": "merged", "merged_into": 2}, CALLED, "merged into member 2"),
    ],
)
def test_what_is_not_on_file_cannot_have_been_used(
    office: Path, values: dict[str, object], words: tuple[str, ...], told: str
) -> None:
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:
        connection.execute(tables.member.update().where(tables.member.c.id == 1).values(values))
    said = reissue("patlee", *words, "--record")
    assert said.code == 1
    assert told in said.words


def test_nobody_is_told_so(office: Path) -> None:
    said = reissue("nobody", *CALLED, "--record")
    assert said.code == 2
    assert "Nobody here has the sign-in name or number “nobody”" in said.words


# ---------------------------------------------------------------- the road by a changed contact

CHANGES = {
    "email": "new@example.net",
    "phone": "419-555-0190",
    "address": "9 Elm St, Lima OH 45801",
}


@pytest.mark.parametrize(
    ("changed", "checks", "allowed"),
    [
        # The packet goes to the email: a changed one needs two checks.
        (("email",), CALLED, False),
        (("email",), WROTE, False),  # whoever asked for the change reads that mailbox
        (("email",), (*CALLED, *WROTE), True),
        # A changed phone proves nothing, and the email that the packet goes to is as it was.
        (("phone",), CALLED, False),
        (("phone",), WROTE, True),
        (("phone",), (*CALLED, *WROTE), True),
        # All that could be checked is new.
        (("email", "phone"), (*CALLED, *WROTE), False),
        # An address is neither called nor, with an email on file, written to.
        (("address",), CALLED, True),
        (("address",), WROTE, True),
    ],
)
@pytest.mark.parametrize("gone_out", [True, False])
def test_a_contact_changed_a_short_time_ago_proves_nothing_by_itself(
    office: Path, changed: tuple[str, ...], checks: tuple[str, ...], allowed: bool, gone_out: bool
) -> None:
    if gone_out:
        sent(office)
    for field in changed:
        done = onboard("correct", "1", f"--{field}", CHANGES[field], "--record")
        assert done.code == (field == "email" and not gone_out)
    said = reissue("patlee", *checks, "--record")
    assert (said.code == 0) == allowed, said.words
    # After the days of the settings it is a contact like any other.
    later = datetime.now(UTC) + timedelta(days=14, minutes=1)
    assert reissue("patlee", *checks, "--record", when=later).code == 0


def test_a_contact_changed_back_is_as_it_was(office: Path) -> None:
    sent(office)
    onboard("correct", "1", "--email", "new@example.net", "--record")
    onboard("correct", "1", "--email", "pat.lee@example.org", "--record")
    assert reissue("patlee", *CALLED, "--record").code == 0


def test_the_address_of_before_is_told_of_the_new_password(office: Path) -> None:
    sent(office)
    onboard("correct", "1", "--email", "new@example.net", "--record")
    told = reissue("patlee", *CALLED, *WROTE, "--record", "--json",
                   when=datetime.now(UTC) + timedelta(minutes=1)).json()[0]  # fmt: skip
    (name,) = told["notices"]
    to, words = mail(office / "outbox" / name)
    assert to == "pat.lee@example.org"
    assert "issued a new temporary password" in words
    whole = (office / "outbox" / name).read_text()
    assert not phrases_of(office, "patlee") & set(whole.split())
    assert "new@example.net" not in whole


def test_notices_go_out_with_the_packets_and_once(office: Path) -> None:
    onboard("correct", "1", "--phone", "419-555-0190", "--record")
    said = onboard("packets", "--send")
    notice = next(file.name for file in (office / "outbox").glob("notice-1-*.eml"))
    lines = said.out.splitlines()
    assert lines[0] == f"{notice}: to pat.lee@example.org."
    assert len([line for line in lines if ": to " in line]) == 3


def test_a_packet_addressed_to_where_the_member_no_longer_is_does_not_go_out(
    office: Path,
) -> None:
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:  # by another road than `correct`
        connection.execute(
            tables.member.update().where(tables.member.c.id == 1).values(email="new@example.net")
        )
    said = onboard("packets", "--send")
    assert said.code == 1
    assert (
        "patlee: not sent. It is addressed to another email address than is on file now."
        in said.out
    )
    assert "pat.lee@example.org" not in said.out


# ---------------------------------------------------------------- how often


def test_guessing_is_slowed_down_an_hour_at_a_time(office: Path) -> None:
    for minute in range(3):
        when = NOW + timedelta(minutes=minute)
        assert reissue("patlee", "--record", when=when).code == 1
    said = reissue("patlee", *CALLED, "--record", when=NOW + timedelta(minutes=10))
    assert said.code == 1
    # 17:00 UTC is noon in New York; the first of three is an hour old at 13:00 there.
    assert (
        "That makes 3 tries within an hour, and the limit is 3. Try again after 1:00 PM."
        in said.words
    )
    # What is slowed down is not counted, or the member would be locked out for good.
    assert tries(office) == ["refused"] * 3
    # Another member is not slowed down, and this one not for longer than an hour.
    assert reissue("kimvale", *CALLED, "--record", when=NOW + timedelta(minutes=10)).code == 0
    assert reissue("patlee", *CALLED, "--record", when=NOW + timedelta(minutes=61)).code == 0


def test_a_failed_check_is_counted_and_makes_nothing(office: Path) -> None:
    before = member(office)
    said = reissue("patlee", "--failed", "--record")
    assert said.code == 0
    assert "The check failed, so no temporary password was made." in said.words
    assert member(office) == before
    assert tries(office) == ["failed"]
    assert journaled(office)[-1] == "first password not made"


def test_what_was_tried_lasts(office: Path) -> None:
    engine = store.open_store(f"sqlite:///{office / 'roster.db'}")
    with store.transaction(engine) as connection:
        for minute in (0, 70):
            when = NOW + timedelta(minutes=minute)
            desk.count_try(connection, 1, "failed", Signature("robin", when))
    with store.transaction(store.open_store(f"sqlite:///{office / 'roster.db'}")) as connection:
        assert desk.tries(connection, 1, NOW) == ["2026-11-25T18:10:00Z"]
        assert desk.tries(connection, 2, NOW) == []

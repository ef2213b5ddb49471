"""Members who leave and members who come back, as a coordinator closes and opens their accounts."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.office import PAT, onboard, write_csv
from desk.roster_seen import sent
from sqlalchemy import select
from tidy.test_forget import roster

from onboard.model import Change, Signature, State
from onboard.office import utc_now
from onboard.roster import change, journal, outgoing, store, tables

ROBIN = Signature("Robin", utc_now())


def standing(number: int) -> tuple[str, bool]:
    """How the account stands, and whether the day on which it was closed is known."""
    member = tables.member.c
    with store.transaction(roster(), keep=False) as connection:
        found = connection.execute(
            select(member.standing, member.closed).where(member.id == number)
        ).one()
    return found.standing, found.closed is not None


def packet(number: int) -> State | None:
    with store.transaction(roster(), keep=False) as connection:
        return outgoing.current_packets(connection, [number]).get(number)


def log_of(number: int) -> list[tuple[str, str, str]]:
    """(who, what, why) of the change log about a member."""
    with store.transaction(roster(), keep=False) as connection:
        return [
            (who, what, why)
            for _, who, what, _, why in journal.read(connection, f"member:{number}")
        ]


def test_a_preview_says_what_would_be_and_changes_nothing(office: Path) -> None:
    before = (office / "roster.db").read_bytes()
    said = onboard("close", "patlee", "--why", "moved away")
    assert "1 patlee Pat Lee open closed" in said.words
    assert "Nobody can sign in with a closed account." in said.words
    assert "call back the number on file" in said.words
    assert "1 account would be closed, 0 left as now." in said.words
    assert "This was a preview. Nothing was saved." in said.words
    assert (office / "roster.db").read_bytes() == before
    assert (office / "outbox" / "patlee.eml").exists()


def test_closing_is_saved_logged_and_takes_the_packet_out_of_the_outbox(office: Path) -> None:
    onboard("export", "accounts.csv", "--record")
    onboard("packets", "--write")
    assert packet(1) is State.WRITTEN
    said = onboard("close", "patlee", "--why", "moved away", "--by", "Robin", "--record")
    assert standing(1) == ("closed", True)
    assert ("Robin", "closed", "moved away") in log_of(1)
    assert packet(1) is None
    assert not (office / "outbox" / "patlee.eml").exists()
    assert "The welcome packet that has not gone out is canceled: patlee." in said.words
    assert "The letter was taken out of the outbox (letters-1-2.pdf)." in said.words
    assert "To undo it: onboard undo 1 --record" in said.words
    assert "onboard export changes.csv --changed --record" in said.words
    onboard("export", "changes.csv", "--changed", "--record")
    assert "patlee" in Path("changes.csv").read_text()
    assert "closed" in Path("changes.csv").read_text()


def test_several_leave_together_and_one_of_them_comes_back_by_undoing_a_row(office: Path) -> None:
    said = onboard("close", "2", "patlee", "kimvale", "--record")  # one of them named twice
    assert "2 accounts closed, 0 left as now." in said.words
    assert (standing(1)[0], standing(2)[0]) == ("closed", "closed")
    assert onboard("undo", "1", "--line", "2", "--record").code == 0
    assert (standing(1), standing(2)[0]) == (("open", False), "closed")


def test_who_comes_back_gets_the_packet_that_was_canceled(office: Path) -> None:
    onboard("close", "patlee", "--record")
    said = onboard("reopen", "patlee", "--why", "came back", "--by", "Robin", "--record")
    assert said.code == 0
    assert standing(1) == ("open", False)
    assert packet(1) is State.DUE
    assert ("Robin", "reopened", "came back") in log_of(1)
    assert (
        "The welcome packet is due again: patlee. To make it: onboard packets --write" in said.words
    )
    onboard("undo", "2", "--record")
    assert (standing(1), packet(1)) == (("closed", True), None)
    undone = onboard("undo", "1", "--record")
    assert "packet none due" in undone.words  # not "written", as it was: it must be made anew
    assert (standing(1), packet(1)) == (("open", False), State.DUE)


def test_who_has_the_packet_signs_in_with_the_old_password(office: Path) -> None:
    with store.transaction(roster()) as connection:
        connection.execute(tables.outgoing.update().values(state="sent"))
    onboard("close", "patlee", "--record")
    said = onboard("reopen", "patlee", "--record")
    assert packet(1) is State.SENT
    assert "The password is the old one: patlee." in said.words


def test_closing_twice_is_told_and_changes_nothing(office: Path) -> None:
    onboard("close", "patlee", "--record")
    day = f"{utc_now().date()}"
    again = onboard("close", "patlee", "--record")
    assert again.code == 1
    assert (
        f"patlee is closed already since {day}. To open it again: onboard reopen patlee"
        in again.words
    )
    assert "0 accounts closed, 1 left as now." in again.words
    assert "number 2" not in onboard("undo").words
    both = onboard("close", "patlee", "kimvale", "--record")  # the other one is closed all the same
    assert "1 account closed, 1 left as now." in both.words
    assert standing(2)[0] == "closed"


def test_an_open_account_is_not_opened_again(office: Path) -> None:
    said = onboard("reopen", "patlee", "--record")
    assert (said.code, "patlee is open already." in said.words) == (1, True)


def test_a_merged_account_is_neither_closed_nor_opened(office: Path) -> None:
    onboard("merge", "kimvale", "patlee", "--stays", "patlee", "--record")
    closed = onboard("close", "2", "--record")
    assert closed.code == 1
    assert "was merged into patlee (member 1), so it is not an account of its own." in closed.words
    assert "To close that one: onboard close patlee" in closed.words
    opened = onboard("reopen", "2", "--record")
    assert "To take the merge apart: onboard undo 1" in opened.words
    assert standing(2)[0] == "merged"
    assert standing(1)[0] == "open"


def test_a_review_file_does_not_open_or_close_a_merged_account(office: Path) -> None:
    onboard("merge", "kimvale", "patlee", "--stays", "patlee", "--record")
    for after in ("open", "closed"):
        wanted = Change(2, "standing", "merged", after, "by hand")
        with store.transaction(roster()) as connection:
            assert change.apply(connection, [wanted], ROBIN) == [wanted]
    assert standing(2)[0] == "merged"
    assert onboard("undo", "1", "--record").code == 0
    assert standing(2)[0] == "open"


def test_who_is_nobody_or_a_form_on_hold_is_told_and_nobody_is_closed(office: Path) -> None:
    said = onboard("close", "patlee", "nobody", "--record")
    assert (said.code, standing(1)[0]) == (2, "open")
    assert "Nobody here has the sign-in name or number “nobody”" in said.words
    form = onboard("close", "row:3f9a", "--record")
    assert (form.code, "onboard answer 3f9a drop" in form.words) == (2, True)


def test_programs_read_what_was_done(office: Path) -> None:
    account, sums = onboard("close", "patlee", "--record", "--json").json()
    assert (account["handle"], account["before"], account["after"], account["packet"]) == (
        "patlee", "open", "closed", "none",
    )  # fmt: skip
    assert sums["sums"]["number"] == 1
    assert sums["sums"]["recorded"] is True


def test_an_account_that_a_review_file_closed_is_opened_again(office: Path) -> None:
    with store.transaction(roster()) as connection:
        change.apply(connection, [Change(1, "standing", "open", "closed", "left")], ROBIN)
    assert onboard("reopen", "patlee", "--record").code == 0
    assert standing(1) == ("open", False)


@pytest.mark.parametrize("command", ["close", "reopen"])
def test_the_settings_say_who_may(office: Path, command: str) -> None:
    file = office / "onboard.toml"
    file.write_text(file.read_text().replace("[desk]", '[desk]\nmay_look_up = ["robin"]'))
    said = onboard(command, "patlee", "--by", "lou", "--record")
    assert said.code == 2
    assert said.err.startswith("lou is not allowed to look up members.")
    assert standing(1)[0] == "open"


def test_an_audit_that_speaks_of_closing_names_the_command(office: Path) -> None:
    with store.transaction(roster()) as connection:
        connection.execute(
            tables.member.update().where(tables.member.c.id == 1).values(
                name={"given": "Test", "family": "Test"}, joined="2020-01-01T00:00:00Z",
            )
        )  # fmt: skip
    said = [
        line["note"]
        for line in onboard("audit", "--json").json()
        if line.get("code") == "name.test"
    ]
    assert said == [
        "This looks like a test of the form. Ask who it is. If it is nobody, close the account (onboard close patlee)."
    ]
    written = Path("list.csv")
    written.write_text("Name,Handle\nTest Test,testtest\n")
    said = [
        line["note"]
        for line in onboard("audit", written, "--json").json()
        if line.get("code") == "name.test"
    ]
    assert said == [
        "This looks like a test of the form. Ask who it is. If it is nobody, close the account."
    ]


def test_a_packet_that_waits_again_says_why(office: Path) -> None:
    write_csv(office / "more.csv", [("Mabel Ridley", "mabel@gmial.com", "419-555-0122", *PAT[3:])])
    onboard("batch", "more.csv", "--record")
    onboard("correct", "kimvale", "--email", "kim.vale@example.net", "--record")
    onboard("close", "mabelridley", "kimvale", "--record")
    said = onboard("reopen", "mabelridley", "kimvale")
    assert (
        "The welcome packet of mabelridley waits, because the email or mailing address may be wrong. To see "
        "why, and to answer: onboard packets"
    ) in said.out
    assert (
        "The welcome packet of kimvale is held, because the contact info changed before it went out. Check "
        "the member first, then: onboard reissue kimvale --checked call-back --record"
    ) in said.out


def test_who_sets_their_own_password_hears_of_no_other(office: Path) -> None:
    sent(office)
    file = office / "onboard.toml"
    file.write_text(file.read_text() + "\n[first_password]\nset_by_member = true\n")
    onboard("close", "patlee", "kimvale", "--record")
    said = onboard("reopen", "patlee", "kimvale")
    assert (
        "The password is the one that the member set: patlee, kimvale. If they lost it, they can set a new "
        "one at https://order.example.org: “Set a password”."
    ) in said.out
    assert "reissue" not in said.out
    onboard("reopen", "patlee", "kimvale", "--record")
    said = onboard("close", "patlee", "kimvale")
    assert "wants it deleted: \n  onboard forget patlee\n  onboard forget kimvale\n" in said.out

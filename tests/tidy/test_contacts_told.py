"""A contact that a review file changes is a road to take an account over, as one changed at the desk.

NIST SP 800-63B-4, section 4.6 (whoever had the account is told) and 4.2.1.2 (a new address proves
nothing by itself).
"""

from __future__ import annotations

from email import message_from_bytes
from email.policy import default
from pathlib import Path
from typing import Any

import pytest
from cli.office import onboard, with_mail
from sqlalchemy import select

from onboard.model import Change, Proposal, State
from onboard.reports import changes
from onboard.roster import outgoing, store, tables

OLD = "pat.lee@example.org"


def member(number: int = 1) -> Any:
    engine = store.open_store("sqlite:///roster.db")
    with store.transaction(engine, keep=False) as connection:
        query = select(tables.member).where(tables.member.c.id == number)
        packet = outgoing.current_packets(connection, [number]).get(number)
        return dict(connection.execute(query).mappings().one()) | {"packet": packet}


def put(**values: Any) -> None:
    engine = store.open_store("sqlite:///roster.db")
    with store.transaction(engine) as connection:
        connection.execute(tables.member.update().where(tables.member.c.id == 1).values(values))


def mailed() -> None:
    """Pat Lee's packet has gone out."""
    engine = store.open_store("sqlite:///roster.db")
    with store.transaction(engine) as connection:
        line = tables.outgoing
        connection.execute(line.update().where(line.c.member_id == 1).values(state="printed"))


def tidy(field: str, after: Any, *words: str) -> Any:
    """Apply a review file of one approved line about Pat Lee."""
    change = Change(1, field, member()[field], after, "said so")
    changes.write(Path("review.csv"), [Proposal(change, "patlee", "Pat Lee", "code")])
    text = Path("review.csv").read_text("utf-8-sig")
    first, rest = text.split("\n", 1)
    Path("review.csv").write_text(f"{first}\nyes{rest}", "utf-8")
    return onboard("tidy", "review.csv", *(words or ("--record",)))


def notices() -> list[Path]:
    return sorted(Path("outbox").glob("notice-*"))


@pytest.mark.parametrize(
    ("field", "after", "word"),
    [
        ("email", "new@example.net", "email"),
        ("phone", "tel:+14195550190", "phone"),
        ("phone", "", "phone"),
        ("address", ["9 ELM ST", "LIMA OH 45801"], "address"),
    ],
)
def test_the_contact_of_before_is_told_and_learns_nothing(
    office: Path, field: str, after: Any, word: str
) -> None:
    with_mail(office)
    done = tidy(field, after)
    assert done.code == (field == "email")
    (file,) = notices()
    mail = message_from_bytes(file.read_bytes(), policy=default)
    said = mail.get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert mail["To"] == OLD
    assert word in said
    assert "new@example.net" not in said
    assert (
        f"In the outbox, 1 email to the old contacts, not sent yet. To see what would go out: onboard packets --send: {file.name}"
        in done.words
    )


def test_a_packet_to_another_address_waits_for_a_check_and_is_due_when_that_is_taken_back(
    office: Path,
) -> None:
    onboard("packets", "--write")
    assert member()["packet"] == "written"
    tidy("email", "new@example.net")
    assert (member()["packet"], member()["password_hash"]) == (State.WAITING, None)
    assert not Path("outbox/patlee.eml").exists()
    onboard("packets", "--write")
    assert member()["packet"] is State.WAITING
    assert onboard("undo", "1", "--record").code == 0
    assert (member()["packet"], member()["email"]) == ("due", OLD)


def test_a_bar_stays_while_another_change_of_the_contact_is_in_force(office: Path) -> None:
    tidy("email", "one@example.net")
    tidy("email", "two@example.net")
    onboard("undo", "1", "--record")
    assert member()["packet"] is State.WAITING
    onboard("undo", "2", "--record")
    assert member()["packet"] is State.WAITING
    onboard("undo", "1", "--record")
    assert (member()["packet"], member()["email"]) == ("due", OLD)


def test_a_changed_contact_proves_nothing_when_a_new_password_is_asked_for(office: Path) -> None:
    with Path("onboard.toml").open("a") as settings:
        settings.write('\n[desk]\nmay_reissue = ["robin"]\n')
    tidy("phone", "tel:+14195550190")
    refused = onboard("reissue", "patlee", "--checked", "call-back", "--record", "--by", "robin")
    assert "The phone on file changed on" in refused.words


def test_the_same_contact_written_otherwise_is_no_change_of_it(office: Path) -> None:
    with Path("onboard.toml").open("a") as settings:
        settings.write('\n[desk]\nmay_reissue = ["robin"]\n')
    put(
        phone="(419) 555-0143",
        email="pat.lee@Example.ORG",
        address=["12 N. Main Street", "Lima, OH 45801"],
    )
    for field, after in (("phone", "tel:+14195550143"), ("email", OLD),
                         ("address", ["12 N MAIN ST", "LIMA OH 45801"])):  # fmt: skip
        tidy(field, after)
        assert member()[field] == after
    assert notices() == []
    assert member()["packet"] is not State.WAITING
    done = onboard("reissue", "patlee", "--checked", "call-back", "--by", "robin")
    assert "changed on" not in done.words


def test_mail_that_came_back_says_nothing_of_another_address(office: Path) -> None:
    put(bounced="2026-10-03")
    tidy("email", "new@example.net")
    assert member()["bounced"] is None
    (file,) = notices()
    assert file.suffix == ".pdf"  # no mail goes to where mail comes back from
    onboard("undo", "1", "--record")
    assert member()["bounced"] == "2026-10-03"


def test_where_nothing_else_is_on_file_a_person_is_told_to_call(office: Path) -> None:
    put(email="", address=[])
    mailed()
    done = tidy("email", "new@example.net")
    assert done.code == 1
    assert "Left to do for patlee: Call the number that was on file before" in done.words


def test_a_merge_by_a_person_tells_the_one_of_before_as_well(office: Path) -> None:
    with_mail(office)
    done = onboard(
        "merge", "patlee", "kimvale", "--stays", "patlee", "--take", "email=kimvale", "--record"
    )
    assert member()["email"] == "kim@example.net"
    (file,) = notices()
    assert f"A notice to the old contact is in the outbox, not sent yet: {file.name}" in done.words


def test_looking_writes_nothing(office: Path) -> None:
    before = dict(member())
    assert (
        "1 letter would tell the old contacts"
        in tidy("email", "new@example.net", "--by", "robin").words
    )
    with_mail(office)
    looked = tidy("email", "new@example.net", "--by", "robin")
    assert "1 email would tell the old contacts" in looked.words
    assert (notices(), dict(member())) == ([], before)


def test_a_merge_that_brings_another_email_tells_the_one_of_before(office: Path) -> None:
    engine = store.open_store("sqlite:///roster.db")
    with store.transaction(engine) as connection:
        connection.execute(
            tables.member.update().where(tables.member.c.id == 2).values(confirmed="2026-11-01")
        )
    change = Change(2, "merged_into", None, 1, "one person")
    changes.write(Path("review.csv"), [Proposal(change, "kimvale", "Kim Vale", "code")])
    text = Path("review.csv").read_text("utf-8-sig")
    first, rest = text.split("\n", 1)
    Path("review.csv").write_text(f"{first}\nyes{rest}", "utf-8")
    onboard("tidy", "review.csv", "--record")
    assert member()["email"] == "kim@example.net"
    (file,) = notices()
    assert message_from_bytes(file.read_bytes(), policy=default)["To"] == OLD

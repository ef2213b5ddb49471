"""Accounts as columns are the accounts that they were made of."""

from __future__ import annotations

import pickle
from datetime import date

from onboard.audit.briefs import Briefs
from onboard.audit.record import Brief
from onboard.match.piles import Piles
from onboard.model import Owner

DAY = date(2026, 11, 5)
PAT = Brief(
    Owner("member:7"), 7, "Pat Lée", "patlee", True, "pat@example.org", "+14192345678",
    "12 N MAIN ST||45801", "lée", "Lima Grange Hall", "45801", "email phone", DAY, None, DAY, None, True,
)  # fmt: skip
KIM = Brief(Owner("line:two 3"), 3, "Kim Voss", "", False, "pat@example.org", "", "", "", "", "")
LOU = KIM._replace(owner=Owner("member:9"), number=9, name="Lou", is_open=True, site="Barn")


def test_each_account_comes_back_as_it_was() -> None:
    piles = Piles()
    for part in ([PAT], [], [KIM, LOU]):
        Briefs.of(part).add_to(piles)
    briefs = Briefs.out_of(piles)
    assert list(briefs) == [PAT, KIM, LOU] == briefs[:]
    assert briefs[-1] == LOU
    assert isinstance(briefs[0].owner, Owner)
    assert pickle.loads(pickle.dumps(briefs)) == briefs
    assert briefs != Briefs.of([PAT, KIM])


def test_an_account_is_found_by_its_owner_and_a_stranger_is_not() -> None:
    by_owner = Briefs.of([PAT, KIM, LOU]).by_owner
    assert dict(by_owner) == {one.owner: one for one in (PAT, KIM, LOU)}
    strangers = (
        "member:8",
        "member:07",
        "member:",
        "7",
        "site:Barn 7",
        "line:3",
        "member:" + "7" * 30,
    )
    assert not [owner for owner in strangers if owner in by_owner]
    assert by_owner.get("member:8") is None


def test_rows_of_several_files_are_told_apart_by_file() -> None:
    files = [KIM._replace(owner=Owner.of_line(n, f), number=n) for f in ("b2", "a") for n in (4, 3)]
    briefs = Briefs.of(files)
    assert [briefs.by_owner.place(one.owner) for one in files] == [0, 1, 2, 3]
    assert list(briefs.by_owner) == [one.owner for one in files]


def test_of_each_account_little_is_kept() -> None:
    many = [PAT._replace(owner=Owner.of_member(n), number=n, name=f"P{n}") for n in range(5000)]
    size = len(pickle.dumps(Briefs.of(many))) / len(many)
    letters = sum(len(text) for text in (many[-1].name, PAT.handle, PAT.email, PAT.phone, PAT.home))
    assert size < letters + 70


def test_only_open_accounts_share_a_text() -> None:
    assert list(Briefs.of([PAT, KIM]).shared("email")) == []
    assert list(Briefs.of([PAT, KIM, LOU]).shared("email")) == [[PAT, LOU]]
    assert list(Briefs.of([PAT, KIM, LOU]).shared("phone")) == []


def test_open_accounts_are_counted_by_a_text() -> None:
    assert Briefs.of([PAT, KIM, LOU, PAT]).counted("site") == {"Lima Grange Hall": 2, "Barn": 1}

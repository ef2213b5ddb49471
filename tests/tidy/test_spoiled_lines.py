"""Somebody changed the exact values of an approved line: the rules judge them like anybody's entry."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest
from cli.office import onboard
from sqlalchemy import select

from onboard.model import Change, Proposal
from onboard.reports import changes
from onboard.roster import store, tables
from onboard.tables import review_sheet

GOOD = Change(1, "email", "pat.lee@example.org", "pat@example.org", "said so by phone")
COLUMNS = {
    "name": {"given": "Kim", "family": "Vale"}, "email": "kim@example.net",
    "phone": "tel:+14195550177", "address": ["7 OAK AVE", "LIMA OH 45801"], "site": "Lima Grange",
    "language": "", "consent": None, "extras": {}, "standing": "open", "confirmed": None,
    "merged_into": None,
}  # fmt: skip


def review(field: str, after: Any, raw: str = "") -> Path:
    """A review file of a sound line and one of Kim Vale, whose exact values were changed so."""
    spoiled = Change(2, field, None, None)
    file = Path("review.csv")
    changes.write(file, [Proposal(c, "handle", "Name", "code") for c in (GOOD, spoiled)])
    with file.open(encoding="utf-8-sig", newline="") as stream:
        head, *rows = csv.reader(stream)
    exact = raw or review_sheet.exact(field, COLUMNS[field], after)
    for row in rows:
        row[0] = "yes"
        if row[head.index("Member")] == "2":
            row[head.index("Exact values (leave as it is)")] = exact
            row[head.index("Change to")] = "(nothing)" if after in (None, "") else str(after)
    with file.open("w", encoding="utf-8", errors="replace", newline="") as stream:
        csv.writer(stream).writerows([head, *rows])
    return file


def kim() -> dict[str, Any]:
    member = tables.member
    with store.transaction(store.open_store("sqlite:///roster.db"), keep=False) as connection:
        return dict(connection.execute(select(member).where(member.c.id == 2)).one()._mapping)


@pytest.mark.parametrize(
    ("field", "after"),
    [
        ("standing", "asleep"), ("standing", "merged"), ("standing", ""), ("standing", 1),
        ("standing", None),
        ("email", "kim at example"), ("email", "KIM@EXAMPLE.NET "), ("email", "k\x1b[31m@example.net"),
        ("email", 7), ("email", ["kim@example.net"]), ("email", "kim@example.net, x@example.net"),
        ("phone", "12"), ("phone", "419-555-0177"), ("phone", {}),
        ("language", "tlh"), ("language", "fr"), ("language", "English"),
        ("site", "Nowhere Hall"), ("site", "lima grange"), ("site", None),
        ("confirmed", "2026-99-99"), ("confirmed", "10000-01-01"), ("confirmed", "yesterday"),
        ("confirmed", "20261125"), ("confirmed", 20261125),
        ("consent", "yes"), ("consent", 1), ("consent", []),
        ("name", "Kim Vale"), ("name", {}), ("name", {"given": ""}), ("name", {"given": 7}),
        ("name", {"given": "Kim", "handle": "x"}), ("name", {"given": "\x1b[2JKim"}),
        ("name", {"given": "Kim", "joint": "Pat"}), ("name", {"given": "K\ud800im"}),
        ("name", {"given": "Kim", "joint": [{"given": "Pat", "joint": [{"given": "Al"}]}]}),
        ("address", "7 Oak Ave"), ("address", [7]), ("address", ["\x007 OAK AVE"]), ("address", None),
        ("extras", []), ("extras", {"a": 1}), ("extras", {"\x1b": "x"}),
        ("merged_into", "1"), ("merged_into", True), ("merged_into", -1), ("merged_into", 10**20),
    ],
)  # fmt: skip
def test_a_spoiled_line_is_left_out_and_the_others_go_on(
    office: Path, field: str, after: Any
) -> None:
    before = kim()
    said = onboard("tidy", review(field, after), "--record")
    assert said.code == 1, said.words
    assert "1 applied, 1 skipped" in said.words
    place = next(line for line in said.out.splitlines() if line.startswith("row 3, "))
    assert "row 3, kimvale: " + changes.called(field) in place
    assert place.endswith("skipped. Copy the row from the file as the audit wrote it.")
    assert place.isprintable()
    assert kim() == before
    with store.transaction(store.open_store("sqlite:///roster.db"), keep=False) as connection:
        assert connection.execute(
            select(tables.member.c.email).where(tables.member.c.id == 1)
        ).scalar_one() == GOOD.after  # fmt: skip


@pytest.mark.parametrize(
    ("field", "after"),
    [
        ("standing", "closed"), ("email", "kim.vale@example.net"), ("email", ""), ("phone", ""),
        ("phone", "tel:+14195550178"), ("language", "es"), ("site", ""), ("confirmed", "2026-11-25"),
        ("consent", True), ("name", {"given": "Kimberly", "family": "Vale"}),
        ("address", ["8 OAK AVE", "LIMA OH 45801"]), ("address", []), ("extras", {"Size": "M"}),
    ],
)  # fmt: skip
def test_a_sound_value_is_taken(office: Path, field: str, after: Any) -> None:
    said = onboard("tidy", review(field, after), "--json")
    made = [
        line for line in said.json() if line.get("field") == field and line.get("member_id") == 2
    ]
    assert not any("now" in line for line in made), said.out


def test_brackets_without_end_are_told(office: Path) -> None:
    for raw in ("[" * 100_000, '{"field": "name", "before": null, "after": ' + "[" * 100_000):
        said = onboard("tidy", review("name", None, raw=raw))
        assert said.code == 2
        assert "the exact values were changed. Copy the row from the file" in said.err


@pytest.mark.parametrize("field", ["standing", "name"])
def test_a_person_cannot_empty_what_every_account_has(office: Path, field: str) -> None:
    file = Path("review.csv")
    changes.write(file, [Proposal(Change(2, field, COLUMNS[field], COLUMNS[field]), "", "", "")])
    text = file.read_text("utf-8-sig").splitlines()
    head, row = csv.reader(text)
    row[0], row[head.index("Change to")] = "yes", "(nothing)"
    with file.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([head, row])
    said = onboard("tidy", file)
    assert (said.code, "it cannot be emptied" in said.err) == (2, True)

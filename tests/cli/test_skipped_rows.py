"""Rows of an old list that `adopt` skips: kept with what they say, told, and settled in one way or another."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from office import SETTINGS, onboard, write_csv

HEADS = ("Login", "First", "Last", "Email", "Phone", "Joined", "Notes")
ROY = ("rhale", "Roy", "Hale", "roy@example.org", "419-386-7215", "25/12/2017", "")
INA = (
    "",
    "Ina",
    "Brandt",
    "ina.brandt@example.org",
    "419-386-7216",
    "28/2/2019",
    "Knows the millers",
)
ASA = ("rhale", "Asa", "Quint", "asa@example.net", "419-386-7217", "13/5/2016", "")
FIRM = ("", "Corner Bakery LLC", "", "", "419-386-7218", "", "Wholesale")
FORM = ("First", "Last", "Email", "Phone")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    assert (
        onboard(
            "adopt", write_csv(tmp_path / "old.csv", [ROY, INA, ASA, FIRM], HEADS), "--record"
        ).code
        == 1
    )
    return tmp_path


def asked(folder: Path, query: str) -> list[dict[str, Any]]:
    with closing(sqlite3.connect(folder / "roster.db")) as roster:
        roster.row_factory = sqlite3.Row
        return [dict(line) for line in roster.execute(query)]


def members(folder: Path) -> dict[str, dict[str, Any]]:
    return {line["handle"]: line for line in asked(folder, "SELECT * FROM member")}


def packets(folder: Path) -> int:
    return len(asked(folder, "SELECT * FROM outgoing WHERE what = 'packet'"))


def key_of(folder: Path, line: int) -> str:
    (row,) = asked(folder, f"SELECT key FROM row WHERE file = 'old.csv' AND line = {line}")
    return str(row["key"])[:8]


def test_they_are_kept_as_they_are_written_and_told(folder: Path) -> None:
    held = asked(folder, "SELECT * FROM row WHERE decision = 'hold' ORDER BY line")
    assert [row["line"] for row in held] == [3, 4, 5]
    assert "Knows the millers" in held[0]["cells"]
    assert "28/2/2019" in held[0]["cells"]
    told = asked(folder, "SELECT * FROM finding WHERE code = 'row.skipped' ORDER BY id")
    assert [one["said"] for one in told] == ["", "rhale", ""]
    assert "3 rows of an old list on hold" in onboard("today").words
    listed = onboard("answer").words
    assert "The row has no sign-in name: fill in the one the member signs in with." in listed
    assert "The sign-in name rhale is also that of row 2 of old.csv" in listed
    (*_, summary) = onboard("audit", "--json").json()
    assert any(note.startswith("3 rows of an old list are on hold") for note in summary["notes"])
    assert "Ina Brandt" in onboard("find", "ina brandt").words


def test_nobody_becomes_a_member_by_one_unasked(folder: Path) -> None:
    onboard(
        "batch",
        write_csv(folder / "a.csv", [("Kit", "Ames", "kit@example.org", "")], FORM),
        "--record",
    )
    onboard("adopt", "old.csv", "--record")
    assert members(folder).keys() == {"rhale", "kitames"}
    assert "3 rows of an old list on hold" in onboard("today").words
    (sums,) = onboard("adopt", "old.csv", "--json").json()
    assert (sums["given_before"], len(sums["left_out"])) == (1, 3), (
        "told again until they are settled"
    )


def test_each_is_settled_by_an_answer(folder: Path) -> None:
    onboard("answer", key_of(folder, 5), "drop")
    done = onboard("answer", key_of(folder, 3), "enroll")
    assert "Ina Brandt: new member." in done.words
    assert "To make the welcome packet: onboard packets --write" in done.words
    done = onboard("answer", key_of(folder, 4), "enroll", "--correct", "sign-in name=AQuint")
    assert "0 forms still on hold" in done.words
    assert "welcome packet" not in done.words, "they have an account, and get none"
    found = members(folder)
    assert found.keys() == {"rhale", "inabrandt", "AQuint"}
    assert found["inabrandt"]["joined"][:10] == "2019-02-28", "as the list writes days"
    assert found["AQuint"]["joined"][:10] == "2016-05-13"
    assert packets(folder) == 1, "who has an account gets no packet"


def test_a_sign_in_name_that_somebody_has_is_asked_about_again(folder: Path) -> None:
    said = onboard("answer", key_of(folder, 4), "enroll", "--correct", "sign-in name=RHale")
    assert said.code == 1
    assert "RHale belongs to a member already on the roster" in said.words
    assert members(folder).keys() == {"rhale"}
    onboard("answer", key_of(folder, 4), "enroll", "--correct", "sign-in name=asaq")
    assert members(folder).keys() == {"rhale", "asaq"}


def test_whoever_joins_by_a_form_has_their_row(folder: Path) -> None:
    form = write_csv(
        folder / "b.csv", [("Ina", "Brandt", "ina.brandt@example.org", "419-386-7216")], FORM
    )
    said = onboard("batch", form, "--record").words
    assert "1 new member" in said
    assert "the day they joined, the notes" in said
    ina = members(folder)["inabrandt"]
    assert (ina["joined"][:10], ina["notes"]) == ("2019-02-28", "Knows the millers")
    assert "2 rows of an old list on hold" in onboard("today").words


def test_a_doubtful_likeness_is_settled_as_the_same_person(folder: Path) -> None:
    form = write_csv(folder / "b.csv", [("Ina", "Voss", "ina.voss@example.net", "")], FORM)
    onboard("batch", form, "--record")
    done = onboard("answer", key_of(folder, 3), "same", "--member", "2", "--why", "she married")
    assert "already a member" in done.words
    assert members(folder)["inavoss"]["notes"] == "Knows the millers"
    assert packets(folder) == 1


def test_given_as_a_form_it_is_one(folder: Path) -> None:
    said = onboard("batch", write_csv(folder / "new.csv", [INA], HEADS), "--record")
    assert "1 new member" in said.words
    assert members(folder).keys() == {"rhale", "inabrandt"}
    assert packets(folder) == 1
    assert "2 rows of an old list on hold" in onboard("today").words


def test_fixed_in_the_list_itself_it_is_settled(folder: Path) -> None:
    fixed = [ROY, ("ibrandt", *INA[1:]), ("aquint", *ASA[1:]), FIRM]
    said = onboard("adopt", write_csv(folder / "old.csv", fixed, HEADS), "--record")
    assert "2 members brought in" in said.words
    assert members(folder).keys() == {"rhale", "ibrandt", "aquint"}
    assert "1 row of an old list on hold" in onboard("today").words
    assert packets(folder) == 0


def test_those_without_a_sign_in_name_get_one_when_asked(folder: Path) -> None:
    onboard("adopt", "old.csv", "--record", "--give-sign-in-names")
    assert members(folder).keys() == {"rhale", "inabrandt"}
    assert packets(folder) == 1
    assert "2 rows of an old list on hold" in onboard("today").words


def test_a_preview_keeps_nothing(folder: Path) -> None:
    more = write_csv(
        folder / "more.csv", [("", "Ole", "Frank", "ole@example.org", "", "", "")], HEADS
    )
    assert onboard("adopt", more).code == 1
    assert "3 rows of an old list on hold" in onboard("today").words


def test_a_row_that_says_nobody_waits_for_nobody(folder: Path) -> None:
    rows = [("", "", "", "", "", "", "300 members in all")]
    onboard("adopt", write_csv(folder / "more.csv", rows, HEADS), "--record")
    assert "3 rows of an old list on hold" in onboard("today").words
    assert asked(folder, "SELECT decision FROM row WHERE file = 'more.csv'") == [
        {"decision": "drop"}
    ]

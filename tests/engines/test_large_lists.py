"""Lists of several files, of Parquet, and of more pairs than a file should have."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pyarrow as pa
import pytest
from cli.office import onboard
from pyarrow import parquet

from onboard import intake
from onboard.engines.processes import Processes
from onboard.errors import FileTrouble
from onboard.intake import Sheet
from onboard.intake.lists import read_rulings
from onboard.match.cells import Row
from onboard.model import Verdict
from onboard.reports import duplicates as lists
from onboard.tasks import find_duplicates as search
from onboard.tasks.find_duplicates import fields_beside, find_duplicates, side_by_side
from onboard.tasks.list_duplicates import Lists, list_duplicates
from onboard.tasks.open_forms import files_meant

SIGNUPS = Path(__file__).parents[1] / "facts" / "duplicates" / "signups_open_5k.csv"
HEADINGS = ("first", "last", "email", "phone")
ROWS = [
    ("Ana", "Quill", "ana.quill@example.org", "202-555-0143"),
    ("Ana", "Quill", "ana.quill@example.org", "202-555-0143"),
    ("Bo", "Zorn", "bo.zorn@example.org", "202-555-0144"),
    ("Bo", "Zorn", "", "202-555-0144"),
    ("Ana", "Quil", "ana.quill@example.org", ""),
]


def write(file: Path, rows: list[tuple[str, ...]], headings: tuple[str, ...] = HEADINGS) -> Path:
    with file.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([headings, *rows])
    return file


def test_several_files_with_columns_in_another_order(tmp_path: Path) -> None:
    write(tmp_path / "north.csv", ROWS[:3])
    turned = [tuple(reversed(row)) for row in ROWS[3:]]
    write(tmp_path / "south.csv", turned, tuple(reversed(HEADINGS)))
    ended = onboard(
        "duplicates", str(tmp_path / "*th.csv"), "--to", str(tmp_path / "pairs.xlsx"),
        "--groups", str(tmp_path / "groups.csv"),
    )  # fmt: skip
    assert "5 rows" in ended.out, ended.err
    groups = (tmp_path / "groups.csv").read_text("utf-8")
    assert "north.csv line 2" in groups
    assert "south.csv line 2" in groups
    sheets = [intake.open_rows(tmp_path / name, needed=()) for name in ("north.csv", "south.csv")]
    found = find_duplicates(sheets)
    for pair, first, second in side_by_side(sheets, found, found.pairs):
        assert first.splitlines()[0].startswith("first: ")
        assert pair.other.startswith("north") or second.splitlines()[-1].startswith("first: ")
    assert [both.what for both in fields_beside(sheets, found)[0][1]] == [
        "first",
        "last",
        "email",
        "phone",
    ]


def test_what_stands_in_rows_is_read_once_for_all_lists(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = write(tmp_path / "rows.csv", [*ROWS, ("Zoe", "Quill", ROWS[0][2], ROWS[0][3])])
    sheet = intake.open_rows(file, needed=())
    reading: list[Sheet] = []
    lines = search._lines

    def counted(one: Sheet) -> Iterator[Row]:
        reading.append(one)
        return lines(one)

    monkeypatch.setattr(search, "_lines", counted)
    found, _ = list_duplicates(
        sheet, Lists(tmp_path / "pairs.xlsx", review=tmp_path / "review.csv")
    )
    assert reading == [sheet]
    with (tmp_path / "review.csv").open(encoding="utf-8-sig", newline="") as stream:
        unclear = list(csv.DictReader(stream))
    assert [row["id_a"] for row in unclear] == [pair.one for pair in found.of(Verdict.UNCLEAR)]
    assert unclear[0]["second"].splitlines()[:2] == ["first: Zoe", "last: Quill"]
    assert next(side_by_side(sheet, found, found.of(Verdict.UNCLEAR)))[1:] == (
        unclear[0]["first"], unclear[0]["second"],
    )  # fmt: skip
    list_duplicates(sheet, Lists(tmp_path / "pairs.csv"))
    assert len(reading) == 2  # by side_by_side itself, and not for a list that shows no rows


def test_parquet_says_what_the_same_csv_says(tmp_path: Path) -> None:
    plain = write(tmp_path / "rows.csv", ROWS)
    columns = {name: [row[at] or None for row in ROWS] for at, name in enumerate(HEADINGS)}
    columns["joined"] = [date(2026, 1, day) for day in range(1, 6)]
    parquet.write_table(pa.table(columns), tmp_path / "rows.parquet")
    one = find_duplicates(intake.open_rows(plain, needed=()))
    other = find_duplicates(intake.open_rows(tmp_path / "rows.parquet", needed=()))
    assert one == other
    assert one.pairs


def test_a_damaged_parquet_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "rows.parquet").write_bytes(b"PAR1" + b"\0" * 50)
    with pytest.raises(FileTrouble, match="damaged Parquet"):
        intake.open_rows(tmp_path / "rows.parquet", needed=())


def test_very_many_pairs_go_to_a_folder_that_is_read_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lists, "PART", 2)
    file = write(tmp_path / "rows.csv", ROWS)
    sheet = intake.open_rows(file, needed=())
    for _ in range(2):  # the second takes the place of the first
        found, written = list_duplicates(sheet, Lists(tmp_path / "pairs.csv"))
        assert written == tmp_path / "pairs"
        told = json.loads((written / "manifest.json").read_text("utf-8"))
        assert [part["pairs"] for part in told["parts"]] == [2, len(found.pairs) - 2]
        assert told["pairs"] == len(found.pairs) > 2
        every = []
        for part in told["parts"]:
            with (written / part["file"]).open(encoding="utf-8-sig", newline="") as stream:
                every += [(row["id_a"], row["id_b"]) for row in csv.DictReader(stream)]
        assert every == [(pair.one, pair.other) for pair in found.pairs]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["pairs", "rows.csv"]
    part = written / told["parts"][1]["file"]
    lines = part.read_text("utf-8-sig").splitlines()
    part.write_text("\n".join([lines[0], lines[1] + "different", *lines[2:]]), "utf-8")
    assert read_rulings(written).apart == [(found.pairs[2].one, found.pairs[2].other)]


def test_processes_write_what_one_does(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lists, "PART", 150)
    monkeypatch.setattr(lists, "AT_ONCE", 40)
    sheet = intake.open_rows(SIGNUPS, needed=())
    _, alone = list_duplicates(sheet, Lists(tmp_path / "alone.csv"))
    begun: list[object] = []
    begin = Processes.__init__

    def counted(self: Processes, processes: int, work: object, *, here: bool = False) -> None:
        begun.append(work)
        begin(self, processes, work, here=here)

    monkeypatch.setattr(Processes, "__init__", counted)
    monkeypatch.setattr("onboard.tasks.list_duplicates.MANY", 1)
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    heard: list[float] = []
    _, shared = list_duplicates(sheet, Lists(tmp_path / "shared.csv"), progress=heard.append)
    assert len(begun) == 1
    parts = sorted(path.name for path in alone.iterdir())
    assert len(parts) > 3
    assert sorted(path.name for path in shared.iterdir()) == parts
    assert all((alone / name).read_bytes() == (shared / name).read_bytes() for name in parts)
    assert heard == sorted(heard)
    assert heard[-1] == 1


def test_another_folder_of_that_name_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lists, "PART", 2)
    sheet = intake.open_rows(write(tmp_path / "rows.csv", ROWS), needed=())
    (tmp_path / "pairs").mkdir()
    (tmp_path / "pairs" / "mine.txt").write_text("mine")
    with pytest.raises(FileTrouble, match="has no manifest"):
        list_duplicates(sheet, Lists(tmp_path / "pairs.csv"))
    assert (tmp_path / "pairs" / "mine.txt").read_text() == "mine"


def test_patterns_stand_for_files(tmp_path: Path) -> None:
    north, south = (write(tmp_path / name, ROWS) for name in ("north.csv", "south.csv"))
    assert files_meant([tmp_path / "*.csv"]) == [north, south]
    with pytest.raises(FileTrouble, match="no file has such a name"):
        files_meant([tmp_path / "*.ods"])
    with pytest.raises(FileTrouble, match="given twice"):
        files_meant([north, tmp_path / "n*.csv"])

"""Files in an object store: fsspec's own, in memory."""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from cli.office import onboard
from fsspec.implementations.memory import MemoryFileSystem

from onboard.errors import FileTrouble
from onboard.intake.far_files import brought

HEADS = ("first", "last", "email", "zip")
NORTH = [("Odalys", "Brannigan", "odalysb@example.org", "45801"), ("Tor", "Vance", "", "45804")]
SOUTH = [("Odalys", "Brannigan", "odalysb@example.org", "45801"), ("Ib", "Lund", "", "43001")]


@pytest.fixture
def store() -> Iterator[MemoryFileSystem]:
    store = MemoryFileSystem()
    for name, rows in (("north.csv", NORTH), ("south.csv", SOUTH), ("more/north.csv", NORTH)):
        text = io.StringIO()
        csv.writer(text).writerows([HEADS, *rows])
        store.pipe(f"/coop/{name}", text.getvalue().encode())
    yield store
    store.rm("/coop", recursive=True)


@pytest.mark.usefixtures("store")
def test_parts_in_a_store_are_read_and_nothing_of_them_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "temp"))
    (tmp_path / "temp").mkdir()
    done = onboard("duplicates", "memory://coop/*.csv", "--to", str(tmp_path / "pairs.csv"))
    assert done.code == 0, done.err
    told = (tmp_path / "pairs.csv").read_text("utf-8-sig")
    assert "north.csv line 2" in told
    assert "south.csv line 2" in told
    assert list((tmp_path / "temp").iterdir()) == []


@pytest.mark.usefixtures("store")
def test_copies_are_the_owners_alone_and_gone_when_the_work_fails(tmp_path: Path) -> None:
    own = tmp_path / "own.csv"
    with pytest.raises(ZeroDivisionError), brought([own, Path("memory://coop/north.csv")]) as here:
        assert here[0] == own
        assert here[1].name == "north.csv"
        assert here[1].read_text().startswith("first,last")
        assert sys.platform == "win32" or here[1].parent.stat().st_mode & 0o077 == 0
        _ = 1 // 0
    assert not here[1].parent.exists()


@pytest.mark.usefixtures("store")
@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("memory://coop/west.csv", r"Can't read memory://coop/west\.csv \(FileNotFoundError\)"),
        ("memory://coop/*.ods", "no file has such a name"),
        ("nostore://coop/north.csv", r"Can't read nostore://coop/north\.csv \(ValueError\)"),
        ("memory://coop/**/north.csv", r"Two of the files are called north\.csv"),
    ],
)
def test_what_cannot_be_had_is_told(address: str, said: str) -> None:
    with pytest.raises(FileTrouble, match=said), brought([Path(address)]):
        pytest.fail("it was read")


def test_a_path_is_no_address() -> None:
    some = [Path("C:/lists/north.csv"), Path("parts/*.csv"), Path("/data/a:b.csv")]
    with brought(some) as here:
        assert here == some

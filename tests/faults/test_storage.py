"""A full disk, a locked roster, folders that may not be written to, a batch stopped half-way:
clear words, nothing half-written, and running it again ends right."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))

from office import HEADINGS, KIM, PAT, SAM, SETTINGS, onboard, phrases, program, write_csv

from onboard.roster import store
from onboard.tasks import batch_pass


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with settings and forms.csv: two sound forms, one without an email."""
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    folder = tmp_path / "coop"
    folder.mkdir()
    (folder / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    write_csv(folder / "forms.csv", [PAT, KIM, SAM])
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of its own, of half a megabyte. Only root may mount one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", folder], capture_output=True, check=False
    )  # fmt: skip
    if mounted.returncode:
        pytest.skip(f"no disk can be mounted here: {mounted.stderr.decode().strip()}")
    yield folder
    subprocess.run(["umount", "-l", folder], check=True)


def fill(disk: Path) -> Path:
    """Leave no room at all."""
    file = disk / "ballast"
    with file.open("wb", buffering=0) as out:
        try:
            while out.write(b"x" * 4096):
                pass
        except OSError:
            pass
    return file


def place(office: Path, **files: Path) -> None:
    told = "".join(f'{name} = "{path}"\n' for name, path in files.items())
    (office / "onboard.toml").write_text(SETTINGS + "\n[files]\n" + told, encoding="utf-8")


def members(db: Path) -> list[str]:
    with sqlite3.connect(db) as roster:
        return [handle for (handle,) in roster.execute("SELECT handle FROM member ORDER BY id")]


def sound_end(office: Path, db: Path, outbox: Path) -> None:
    """The batch run again, with room: everybody once, each with a packet."""
    said = onboard("batch", "forms.csv", "--record")
    assert said.code == 1, said.err
    assert members(db) == ["patlee", "kimvale"]
    assert {f.name for f in outbox.glob("*.eml")} == {"patlee.eml", "kimvale.eml"}
    assert len(phrases(outbox)) == 2
    assert onboard("packets", "--json").json()[0]["written"] == 2
    assert (office / "forms-questions.xlsx").exists()


def test_the_disk_of_the_roster_is_full(office: Path, small_disk: Path) -> None:
    db = small_disk / "roster.db"
    place(office, roster=db)
    write_csv(office / "before.csv", [("Ann Oak", "ann@example.org", *PAT[2:])])
    assert onboard("batch", "before.csv", "--record").code == 0
    ballast = fill(small_disk)
    said = onboard("batch", "forms.csv", "--record")
    assert said.code == 2
    assert "is full: make room, then run this again. Nothing was changed." in said.err
    assert not list(office.glob("*questions*"))
    ballast.unlink()
    assert members(db) == ["annoak"]
    said = onboard("batch", "forms.csv", "--record")
    assert said.code == 1, said.err
    assert members(db)[0] == "annoak"
    assert len(phrases(office / "outbox")) == len(members(db))


def test_no_roster_can_be_made_on_a_full_disk(office: Path, small_disk: Path) -> None:
    db = small_disk / "roster.db"
    place(office, roster=db)
    ballast = fill(small_disk)
    said = onboard("batch", "forms.csv", "--record")
    assert said.code == 2
    assert "make room" in said.err
    ballast.unlink()
    sound_end(office, db, office / "outbox")


def test_the_disk_of_the_outbox_is_full(office: Path, small_disk: Path) -> None:
    outbox = small_disk / "outbox"
    place(office, outbox=outbox)
    ballast = fill(small_disk)
    said = onboard("batch", "forms.csv", "--record")
    assert said.code == 2
    assert str(outbox) in said.err
    assert "Make room" in said.err
    assert members(office / "roster.db") == ["patlee", "kimvale"]
    assert onboard("packets", "--json").json()[0]["due"] == 2
    assert [f for f in small_disk.rglob("*") if f.is_file()] == [ballast], "nothing half-written"
    assert onboard("export", "accounts.csv").out.startswith("Wrote 0 accounts")
    ballast.unlink()
    sound_end(office, office / "roster.db", outbox)


def test_the_disk_of_the_sheet_of_questions_is_full(office: Path, small_disk: Path) -> None:
    forms = write_csv(small_disk / "forms.csv", [PAT, KIM, SAM])
    told = ("--settings", office / "onboard.toml")
    ballast = fill(small_disk)
    said = onboard("batch", forms, "--record", *told)
    assert said.code == 2
    assert str(small_disk) in said.err
    assert {f.name for f in small_disk.iterdir()} == {"forms.csv", "ballast"}
    ballast.unlink()
    assert onboard("batch", forms, "--record", *told).code == 1
    assert (small_disk / "forms-questions.xlsx").exists()
    assert members(office / "roster.db") == ["patlee", "kimvale"]
    assert len(phrases(office / "outbox")) == 2, "packets that were due are written then"


def test_an_earlier_sheet_of_questions_outlives_a_full_disk(office: Path, small_disk: Path) -> None:
    forms = write_csv(small_disk / "forms.csv", [PAT, KIM, SAM])
    told = ("--settings", office / "onboard.toml")
    onboard("batch", forms, "--record", *told)
    sheet = (small_disk / "forms-questions.xlsx").read_bytes()
    fill(small_disk)
    assert onboard("batch", forms, "--record", *told).code == 2
    assert sheet in [f.read_bytes() for f in small_disk.glob("forms-questions*.xlsx")]


@pytest.fixture
def no_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    assert store.open_store.__kwdefaults__
    monkeypatch.setitem(store.open_store.__kwdefaults__, "wait", 0.1)


@pytest.mark.usefixtures("no_waiting")
def test_another_program_is_writing_to_the_roster(office: Path) -> None:
    assert onboard("start", office / "x").code == 0  # makes the tables
    db = (office / "x" / "roster.db").rename(office / "roster.db")
    other = sqlite3.connect(db, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    for words in (
        ("batch", "forms.csv", "--record"),
        ("packets", "--write"),
        ("export", "a.csv", "--record"),
    ):
        said = onboard(*words)
        assert said.code == 2
        assert said.err == (
            f"Another program is writing to the roster {db}: wait until it is done, then run "
            "this again. Nothing was changed.\n"
        )
    assert {f.name for f in office.iterdir()} & {"outbox", "a.csv", "forms-questions.xlsx"} == set()
    other.execute("ROLLBACK")
    sound_end(office, db, office / "outbox")


LOOKS = (
    ("packets",),
    ("packets", "--send"),
    ("batch", "more.csv"),
    ("adopt", "members.csv"),
    ("answer",),
    ("find", "pat lee"),
    ("why", "Pat.Lee", "--member", "patlee"),
    ("correct", "patlee", "--email", "pat@example.org"),
    ("reissue", "patlee", "--checked", "call-back"),
    ("merge", "patlee", "kimvale"),
    ("undo",),
    ("undo", "1"),
    ("forget", "patlee"),
    ("disclose", "patlee", "--to", "told.json"),
    ("activity", "activity.csv"),
    ("export", "accounts.csv"),
    ("export", "news.csv", "--changed"),
    ("calls",),
)


@pytest.mark.usefixtures("no_waiting")
def test_a_look_waits_for_nobody_who_writes_and_changes_nothing(office: Path) -> None:
    desk = '\n[desk]\nmay_reissue = ["robin"]\n'
    (office / "onboard.toml").write_text(SETTINGS + desk, encoding="utf-8")
    onboard("batch", "forms.csv", "--record")
    onboard("correct", "kimvale", "--phone", "419-555-0178", "--record")
    write_csv(office / "more.csv", [("Ann Oak", "ann@example.org", *PAT[2:])])
    write_csv(office / "members.csv", [("Bo Elm", "bo@example.org", "boelm")],
              ("Full name", "Email", "Username"))  # fmt: skip
    write_csv(office / "activity.csv", [("patlee", "2026-11-01")], ("Username", "Last sign-in"))
    db = office / "roster.db"
    before = db.read_bytes()
    other = sqlite3.connect(db, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    for words in LOOKS:
        said = onboard(*words, "--settings", office / "onboard.toml", *who(words))
        assert said.code in (0, 1), (words, said.err)
    assert db.read_bytes() == before
    other.close()


def who(words: tuple[str, ...]) -> tuple[str, ...]:
    return ("--by", "Robin") if words[0] == "reissue" else ()


@pytest.mark.usefixtures("no_waiting")
def test_the_roster_is_taken_between_the_batch_and_its_packets(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from onboard.tasks import enroll_batch as command

    locks = []

    def locked(*args: Any, **more: Any) -> Any:
        other = sqlite3.connect(office / "roster.db", isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        locks.append(other)
        from onboard.tasks.write_packets import write_packets

        return write_packets(*args, **more)

    with monkeypatch.context() as patched:
        patched.setattr(command, "write_packets", locked)
        said = onboard("batch", "forms.csv", "--record")
    assert said.code == 2
    assert said.err.startswith("Another program is writing")
    locks[0].execute("ROLLBACK")
    assert onboard("packets", "--json").json()[0]["due"] == 2
    sound_end(office, office / "roster.db", office / "outbox")


def test_a_batch_is_stopped_by_the_person_at_the_keys(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    judge = batch_pass.decide
    met = []

    def stopped(applicant: Any, *args: Any, **more: Any) -> Any:
        met.append(applicant)
        if len(met) == 2:
            raise KeyboardInterrupt
        return judge(applicant, *args, **more)

    with monkeypatch.context() as patched:
        patched.setattr(batch_pass, "decide", stopped)
        said = onboard("batch", "forms.csv", "--record")
    assert (said.code, said.err) == (
        2, "Stopped. What was saved by then stays saved; nothing else changed.\n",
    )  # fmt: skip
    assert members(office / "roster.db") == []
    assert not (office / "outbox").exists()
    sound_end(office, office / "roster.db", office / "outbox")


def test_the_outbox_is_a_file(office: Path) -> None:
    (office / "outbox").write_text("not a folder")
    said = onboard("batch", "forms.csv", "--record")
    assert said.code == 2
    assert str(office / "outbox") in said.err
    assert (office / "outbox").read_text() == "not a folder"
    (office / "outbox").unlink()
    sound_end(office, office / "roster.db", office / "outbox")


def test_a_folder_that_nothing_can_be_written_to(office: Path, small_disk: Path) -> None:
    """Root may write anywhere but on a disk that is mounted for reading only."""
    (small_disk / "onboard.toml").write_text(SETTINGS)
    write_csv(small_disk / "forms.csv", [PAT, KIM, SAM])
    told = ("--settings", small_disk / "onboard.toml")
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    assert onboard("batch", small_disk / "forms.csv", *told).code == 1, "a look needs no writing"
    for words in (
        ("batch", small_disk / "forms.csv", "--record"),
        ("batch", small_disk / "forms.csv", "--remember"),
        ("packets", "--write"),
    ):
        said = onboard(*words, *told)
        assert said.code == 2
        assert "ead-only" in said.err
        assert str(small_disk) in said.err
    assert onboard("start", small_disk / "new").code == 2
    subprocess.run(["mount", "-o", "remount,rw", small_disk], check=True)
    assert {f.name for f in small_disk.iterdir()} == {"onboard.toml", "forms.csv"}


def test_a_roster_that_may_only_be_read_says_so(office: Path, small_disk: Path) -> None:
    db = small_disk / "roster.db"
    place(office, roster=db)
    # By a program of its own: a file that is still open keeps the disk from being remounted.
    assert program("packets", "--write", cwd=office).code == 0
    subprocess.run(["mount", "-o", "remount,ro", small_disk], check=True)
    said = onboard("batch", "forms.csv", "--record")
    assert said.code == 2
    assert str(db) in said.err
    subprocess.run(["mount", "-o", "remount,rw", small_disk], check=True)
    sound_end(office, db, office / "outbox")


def test_a_file_given_under_many_names_enrols_nobody_twice(office: Path) -> None:
    import itertools

    orders = [HEADINGS, HEADINGS[::-1], (*HEADINGS[3:], *HEADINGS[:3])]
    for number, (heads, rows) in enumerate(itertools.product(orders, ([PAT, KIM], [KIM, PAT]))):
        turned = [[dict(zip(HEADINGS, row, strict=True))[h] for h in heads] for row in rows]
        file = write_csv(office / f"export {number}.csv", turned, heads)
        assert onboard("batch", file, "--record").code == 0
    assert members(office / "roster.db") == ["patlee", "kimvale"]

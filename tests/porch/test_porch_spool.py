"""The spool: what was thanked for is on the disk, whatever happens; a batch takes it once."""

from __future__ import annotations

import json
import os
import re
import stat
import subprocess
import sys
import threading
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from at_porch import DEMO, HOME, QUESTION
from sqlalchemy import func, select

from onboard import spool
from onboard.errors import FileTrouble
from onboard.model import Decision, Enrol, Hold, Need, Waiting
from onboard.office import Office
from onboard.porch import tickets
from onboard.porch.writer import OtherContent, Writer
from onboard.reports import today as report
from onboard.roster import tables
from onboard.settings import read
from onboard.spool import Answer, Entry
from onboard.tasks.from_porch import from_spool, waiting_at_porch
from onboard.tasks.outcome import Outcome
from onboard.tasks.process_batch import process_batch
from onboard.tasks.today import today

CONSENT = "May we email you?"


def entry(identity: str, given: str = "Ana", **said: str) -> Entry:
    """A sign-up."""
    fields = {
        "given": given, "family": "Núñez", "email": f"{given.lower()}@example.org", "phone": f"608-234-{len(given):04}",
        "street": f"{len(given)} Main St", "city": "Viroqua", "state": "WI", "zip": "54665",
        "site": "Viroqua Grange Hall", "consent": "Yes, you may email me.", "language": "Español",
    } | said  # fmt: skip
    answers = [
        Answer(field, CONSENT if field == "consent" else field, text)
        for field, text in fields.items()
    ]
    return Entry(identity, "2026-12-02T12:00:05+00:00", "form", tuple(answers))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An empty spool."""
    spool.prepare(tmp_path / "spool")
    return tmp_path / "spool"


@pytest.fixture
def office(tmp_path: Path) -> Office:
    """The demo co-op, with an empty roster."""
    coop = replace(
        read(DEMO), store=f"sqlite:///{tmp_path / 'roster.db'}", outbox=tmp_path / "outbox"
    )
    return Office(coop, who="Robin")


def batch(office: Office, folder: Path, *, keep: bool) -> list[Decision]:
    """What a batch made of the spool, without those that it knew."""
    told: list[Outcome] = []
    with from_spool(folder, keep=keep) as waiting:
        process_batch(office, waiting.rows(), file=waiting.named.name, keep=keep, tell=told.append)
    return [one.decision for one in told if not one.given_before]


def test_only_its_owner_may_read_it(folder: Path) -> None:
    spool.add(folder, [entry("a")])
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert {stat.S_IMODE(file.stat().st_mode) for file in folder.iterdir()} == {0o600}
    folder.chmod(0o750)
    with pytest.raises(FileTrouble, match="chmod 700"):
        spool.prepare(folder)


def test_what_was_handed_in_twice_is_there_once_and_a_change_takes_its_place(folder: Path) -> None:
    spool.add(folder, [entry("a"), entry("b", "Bo"), entry("a")])
    spool.add(folder, [entry("b", "Bo", email="bo2@example.org")])
    found = spool.look(folder)
    assert [one.identity for one in found.entries] == ["a", "b"]
    assert (found.again, found.changed, found.cut_off) == (1, 1, [])
    assert found.entries[1].answers[2].said == "bo2@example.org"


@pytest.mark.parametrize("cut", range(1, len(entry("b", "Bo").line) - 1, 7))
def test_a_line_that_was_cut_off_spoils_no_other(folder: Path, cut: int) -> None:
    spool.add(folder, [entry("a")])
    with (folder / spool.FILE).open("ab") as stream:
        stream.write(entry("b", "Bo").line[:cut])
    spool.add(folder, [entry("c", "Cy")])
    found = spool.look(folder)
    assert [one.identity for one in found.entries] == ["a", "c"]
    assert found.cut_off == [entry("b", "Bo").line[:cut]]
    taken, files = spool.take(folder)
    kept = spool.done(folder, files, taken)
    assert kept
    assert kept.read_bytes() == entry("b", "Bo").line[:cut] + b"\n"


@pytest.mark.parametrize(
    "line",
    [b"\0" * 900, b"{}", b"[]", b"1", b'{"id": 1, "at": "", "by": "", "answers": []}', b"[" * 100_000,
     b'{"id": "x", "at": "", "by": "", "answers": [["a", "b"]]}', b'"' + b"x" * 10_000_000 + b'"', b"\xff\xfe"],
)  # fmt: skip
def test_what_is_no_entry_is_told_and_left_alone(folder: Path, line: bytes) -> None:
    (folder / spool.FILE).write_bytes(line + b"\n" + entry("a").line)
    found = spool.look(folder)
    assert [one.identity for one in found.entries] == ["a"]
    assert len(found.cut_off) == 1


def test_a_full_disk_leaves_nothing_half_written(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spool.add(folder, [entry("a")])
    before = (folder / spool.FILE).read_bytes()

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        spool.add(folder, [entry("b", "Bo")])
    assert (folder / spool.FILE).read_bytes() == before


def test_a_batch_takes_each_sign_up_once(office: Office, folder: Path) -> None:
    spool.add(folder, [entry("a"), entry("b", "Boris", email="boris@gmial.com")])
    shown = batch(office, folder, keep=False)
    assert [type(one) for one in shown] == [Enrol, Enrol]
    assert len(spool.look(folder).entries) == 2
    batch(office, folder, keep=True)
    assert spool.look(folder).entries == []
    spool.add(folder, [entry("c", "Carla")])
    third = batch(office, folder, keep=True)
    assert [one.applicant.name.value.given for one in third] == ["Carla"]
    with office.reading() as connection:
        assert connection.scalar(select(func.count()).select_from(tables.member)) == 3


def test_nobody_is_lost_or_enrolled_twice_when_a_batch_is_stopped_after_saving(
    office: Office, folder: Path
) -> None:
    spool.add(folder, [entry("a"), entry("b", "Boris")])

    class Stopped(Exception):
        pass

    with pytest.raises(Stopped), from_spool(folder, keep=True) as waiting:
        process_batch(office, waiting.rows(), file="f", keep=True)
        raise Stopped
    spool.add(folder, [entry("c", "Carla")])
    again = batch(office, folder, keep=True)
    assert [one.applicant.name.value.given for one in again] == ["Carla"]
    assert spool.look(folder).entries == []


def test_nothing_is_taken_out_when_nothing_was_saved(office: Office, folder: Path) -> None:
    spool.add(folder, [entry("a")])
    with pytest.raises(RuntimeError), from_spool(folder, keep=True):
        raise RuntimeError
    assert [one.identity for one in spool.look(folder).entries] == ["a"]
    spool.add(folder, [entry("b", "Boris")])
    assert len(batch(office, folder, keep=True)) == 2


def test_a_batch_asks_nothing_about_the_columns_and_knows_the_answers(
    office: Office, folder: Path
) -> None:
    own = Answer(f"extra:{QUESTION}", QUESTION, "At the fair. I have no car.")
    first = entry("a", "Jose", second_family="Ortiz")
    refuses = entry("b", "Boris", consent="No, do not email me.")
    silent = entry("c", "Carla", consent="")
    spool.add(folder, [first._replace(answers=(*first.answers, own)), refuses, silent])
    jose, boris, carla = (one.applicant for one in batch(office, folder, keep=False))
    assert (jose.name.value.family, jose.language.value, jose.consent.value) == (
        "Núñez Ortiz",
        "es",
        True,
    )
    assert jose.extras == {QUESTION: "At the fair. I have no car."}
    assert "At the fair. I have no car." in jose.raw.remarks
    assert (CONSENT, "Yes, you may email me.") in jose.raw.cells
    assert boris.consent.value is False
    assert boris.consent.findings == ()
    assert [one.code for one in carla.consent.findings] == ["consent.unsaid"]


def test_formulas_markup_and_long_fields_do_no_harm(office: Office, folder: Path) -> None:
    spool.add(
        folder,
        [
            entry("a", "=HYPERLINK(1)"),
            entry("b", "Boris", street="<script>alert(1)</script>"),
            entry("c", "Carla", notes="x" * 200_000),
            entry("d", "Ana\x00\x1b[2J\u202e"),
        ],
    )
    shown = batch(office, folder, keep=True)
    assert any(isinstance(one, Hold) for one in shown)
    assert spool.look(folder).entries == []


def test_the_command_reads_it_as_any_file(tmp_path: Path, folder: Path) -> None:
    (tmp_path / "onboard.toml").write_text(DEMO.read_text("utf-8"), "utf-8")
    spool.add(folder, [entry("a"), entry("a"), entry("b", "Boris")])
    with (folder / spool.FILE).open("ab") as stream:
        stream.write(b'{"id": "cut')

    def run(*more: str) -> str:
        line = [sys.executable, "-m", "onboard", "batch", "--from-porch", *more]
        done = subprocess.run(
            line, cwd=tmp_path, capture_output=True, text=True, check=False, env=os.environ | {"PYTHONPATH": str(HOME)}
        )  # fmt: skip
        return done.stdout + done.stderr

    shown = run("spool")
    assert "2 rows: 2 new members" in shown
    assert "can't be read" in shown
    assert "onboard batch --from-porch spool --record" in shown
    assert "2 new members" in run("spool", "--record")
    assert (folder / spool.CUT_OFF).read_bytes() == b'{"id": "cut\n'
    again = run("spool")
    assert "0 rows" in again
    assert "No sign-ups wait" in again


def test_the_line_of_today_works_where_it_is_typed(
    office: Office, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spool.add(folder, [entry("a")])
    monkeypatch.chdir(folder.parent)
    found = waiting_at_porch(replace(office.settings, spool=folder))
    assert found
    assert found.command == "batch --from-porch spool"


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with (
        pytest.raises(FileTrouble, match="There is no folder"),
        from_spool(tmp_path / "no", keep=False),
    ):
        pass
    with (
        pytest.raises(FileTrouble, match="There is no folder"),
        from_spool(tmp_path / "no", keep=True),
    ):
        pass


def test_many_at_once_are_all_there_and_a_second_hand_in_adds_nothing(folder: Path) -> None:
    writer = Writer(folder)
    ids = [f"id{n}" for n in range(300)]
    done = []

    def hand_in(identity: str) -> None:
        done.append(writer.add(entry(identity), may_change=False))

    threads = [threading.Thread(target=hand_in, args=(identity,)) for identity in ids]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    for one in done:
        one.result(10)
    assert {one.identity for one in spool.look(folder).entries} == set(ids)
    size = (folder / spool.FILE).stat().st_size
    writer.add(entry("id7"), may_change=False).result(10)
    with pytest.raises(OtherContent):
        writer.add(entry("id7", "Boris"), may_change=False)
    writer.close()
    assert (folder / spool.FILE).stat().st_size == size
    # Another porch knows them too.
    other = Writer(folder)
    other.add(entry("id9"), may_change=False).result(10)
    other.close()
    assert (folder / spool.FILE).stat().st_size == size


def test_what_came_before_takes_the_disk_as_long_as_what_is_new(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    synced: list[int] = []
    fsync = os.fsync
    monkeypatch.setattr(os, "fsync", lambda handle: (synced.append(handle), fsync(handle))[1])
    writer = Writer(folder)

    def syncs(identity: str) -> int:
        before = len(synced)
        writer.add(entry(identity), may_change=False).result(10)
        return len(synced) - before

    first = [syncs("a"), syncs("a")]  # both make a file
    assert [syncs(one) for one in "bbcca"] == [1] * 5
    assert first[0] == first[1]
    for _ in range(spool.REPEATS):
        spool.repeat(folder)
    assert [one.identity for one in spool.look(folder).entries] == ["a", "b", "c"]
    if (repeated := folder / spool.REPEATED).exists():
        assert repeated.stat().st_size < spool.REPEATS
    writer.close()


def test_only_what_was_looked_at_is_taken_and_the_rest_stays_as_it_was_said_last(
    office: Office, folder: Path
) -> None:
    spool.add(folder, [entry("a"), entry("b", "Boris"), entry("c", "Carla")])
    seen = {one.mark for one in spool.look(folder).entries if one.identity != "c"}
    spool.add(folder, [entry("d", "Dora"), entry("b", "Boris", email="other@example.org")])
    with from_spool(folder, keep=True, only=seen) as waiting:
        assert [one.identity for one in waiting.found.entries] == ["a"]  # Boris said something else
        process_batch(office, waiting.rows(), file="f", keep=True)
        spool.add(folder, [entry("c", "Carla", email="carla2@example.org")])  # meanwhile
        assert "3 sign-ups came in after you looked" in " ".join(waiting.notes())
    left = {one.identity: one.answers[2].said for one in spool.look(folder).entries}
    assert left == {"b": "other@example.org", "c": "carla2@example.org", "d": "dora@example.org"}
    assert {stat.S_IMODE(file.stat().st_mode) for file in folder.iterdir()} == {0o600}


@pytest.mark.parametrize("at", ["write", "sync", "unlink"])
def test_a_crash_while_the_rest_is_put_back_loses_and_doubles_nobody(
    office: Office, folder: Path, at: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    spool.add(folder, [entry("a"), entry("b", "Boris")])
    seen = {spool.look(folder).entries[0].mark}

    class Dead(BaseException):
        pass

    def die(*_: object, **__: object) -> None:
        raise Dead

    with pytest.raises(Dead), from_spool(folder, keep=True, only=seen) as waiting:
        process_batch(office, waiting.rows(), file="f", keep=True)
        owner = {"write": (spool, "_write"), "sync": (os, "fsync"), "unlink": (Path, "unlink")}[at]
        monkeypatch.setattr(*owner, die)
    monkeypatch.undo()
    again = batch(office, folder, keep=True)
    assert [one.applicant.name.value.given for one in again] == ["Boris"]
    assert spool.look(folder).entries == []


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may look")
def test_a_spool_of_somebody_else_is_told(folder: Path) -> None:
    folder.chmod(0o000)
    with pytest.raises(FileTrouble, match="may not look"):
        spool.look(folder)
    folder.chmod(0o700)


def test_today_tells_of_sign_ups_that_wait(office: Office, folder: Path, tmp_path: Path) -> None:
    day = datetime(2026, 12, 4, 15, tzinfo=UTC)
    here = replace(
        office,
        settings=replace(office.settings, spool=folder, timezone="America/Chicago"),
        now=lambda: day,
    )

    def told() -> Waiting | None:
        return next((one for one in today(here) if one.need is Need.PORCH), None)

    assert told() is None
    late = entry("b", "Boris")._replace(at="2026-12-03T02:00:00+00:00")  # the 2nd where they are
    spool.add(folder, [late, late, entry("c", "Carla")._replace(at="2026-12-04T12:00:00+00:00")])
    found = told()
    assert found
    assert (found.count, str(found.since), found.newest) == (
        2,
        "2026-12-02",
        "2026-12-04T12:00:00Z",
    )
    assert found.command == f"batch --from-porch {folder}"
    assert found.needs_a_person
    assert (
        report.what(found, here.today())
        == "2 sign-ups wait at the porch, the oldest since Dec 2, 2026"
    )
    spool.add(folder, [entry("d", "Dora")._replace(at="soon")])
    assert (told() or found).count == 3
    batch(here, folder, keep=True)
    assert told() is None
    nowhere = replace(here, settings=replace(here.settings, spool=tmp_path / "no"))
    assert not [one for one in today(nowhere) if one.need is Need.PORCH]


# ---------------------------------------------------------------- known again, and nothing of it readable


def _add(folder: Path, one: Entry, *, may_change: bool) -> int:
    """What a porch that was just started makes of it: how many wait afterwards."""
    writer = Writer(folder)
    try:
        writer.add(one, may_change=may_change).result(10)
    finally:
        writer.close()
    return len(spool.look(folder).entries)


def test_a_second_hand_in_is_known_after_a_batch_and_a_restart(
    office: Office, folder: Path
) -> None:
    spool.add(folder, [entry("a"), entry("b", "Boris")])
    batch(office, folder, keep=True)
    assert _add(folder, entry("a"), may_change=True) == 0
    assert _add(folder, entry("b", "Boris"), may_change=False) == 0
    with pytest.raises(OtherContent):  # as before the restart
        _add(folder, entry("b", "Boris", email="other@example.org"), may_change=False)
    assert _add(folder, entry("a", email="other@example.org"), may_change=True) == 1
    assert _add(folder, entry("c", "Carla"), may_change=False) == 2
    batch(office, folder, keep=True)
    assert _add(folder, entry("a", email="other@example.org"), may_change=True) == 0


def test_nothing_that_was_typed_can_be_read_once_it_is_taken_away(
    office: Office, folder: Path
) -> None:
    one = entry("a", "Fernanda", notes="I sing in the choir.")
    spool.add(folder, [one])
    batch(office, folder, keep=True)
    left = b"".join(file.read_bytes() for file in folder.iterdir())
    for said in (*(answer.said for answer in one.answers), "Fernanda"):
        assert said.encode() not in left
    assert {stat.S_IMODE(file.stat().st_mode) for file in folder.iterdir()} == {0o600}
    writer = Writer(folder)
    assert all(re.fullmatch(r"[0-9a-f]{64}", told) for told in writer._known.values())
    writer.close()


def test_what_is_known_is_forgotten_when_no_form_can_come_in_again(
    office: Office, folder: Path
) -> None:
    spool.add(folder, [entry("a")])
    batch(office, folder, keep=True)
    file = folder / spool.KNOWN
    identity, content, _ = json.loads(file.read_text())
    old = datetime.now(UTC) - timedelta(spool.KNOWN_DAYS + 1)
    file.write_text(json.dumps([identity, content, old.isoformat(timespec="seconds")]) + "\n{torn")
    spool.add(folder, [entry("b", "Boris")])
    batch(office, folder, keep=True)
    assert [json.loads(line)[0] for line in file.read_text().splitlines()] == ["b"]
    assert spool.KNOWN_DAYS >= tickets.DAYS


def test_a_batch_that_takes_it_away_while_a_porch_starts_leaves_it_known(
    office: Office, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    spool.add(folder, [entry("a")])
    look = spool.look

    def looked(where: Path) -> spool.Found:
        found = look(where)
        monkeypatch.undo()
        batch(office, folder, keep=True)
        return found

    monkeypatch.setattr(spool, "look", looked)
    assert set(spool.identities(folder)) == {"a"}

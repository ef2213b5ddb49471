"""On a cluster: the same pairs, confidences and groups to the last one, whoever is lost meanwhile."""

from __future__ import annotations

import asyncio
import csv
import gc
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from random import Random
from threading import Thread
from typing import Any

import cluster_server
import dask
import pytest
from cluster_server import Running
from match import people_with_truth as facts

from onboard import intake
from onboard.engines import cluster, reaching
from onboard.engines.cluster import Cluster
from onboard.errors import EngineTrouble, FileTrouble
from onboard.intake import Sheet
from onboard.match import keys
from onboard.match.groups import Group, Rulings
from onboard.tasks import rows_in_parts
from onboard.tasks.find_duplicates import find_duplicates
from onboard.tasks.rows_in_parts import Limits

SIGNUPS = Path(__file__).parents[1] / "facts" / "duplicates" / "signups_open_5k.csv"
SHARE = "onboard.tasks.find_duplicates.SHARE"


@pytest.fixture(scope="module")
def threads() -> Iterator[Cluster]:
    with cluster_server.threads() as engine:
        yield engine


@pytest.fixture(scope="module")
def servers(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """A scheduler and two workers, processes of their own that speak TLS."""
    with cluster_server.running(tmp_path_factory.mktemp("dask")) as running:
        yield running


HEADINGS = (
    "first", "middle", "last", "suffix", "email", "phone", "street", "city", "zip", "born", "ssn",
)  # fmt: skip
SAID: tuple[tuple[str, ...], ...] = (
    ("Ana", "Anna", "Bob", "Robert", "José", "Mary Ann", "", "A."),
    ("", "", "J.", "Jo"),
    ("Ruiz", "Ruiz-Soto", "Smith", "Smyth", "van den Berg", "", "Quill Jr."),
    ("", "", "Jr", "Sr."),
    ("", "ana.ruiz@example.org", "anaruiz@example.org", "bob71@example.net", "none@example.org"),
    ("", "202-555-0143", "202-555-0134", "202-555-0199", "202-555-0100"),
    ("", "12 N Main St", "12 Main St Apt 4", "21 N Main St", "PO Box 4"),
    ("Lima", "Lima", "Athens"),
    ("45801", "45801", "45810", ""),
    ("", "1971-02-03", "3/2/1971", "1980-09-09"),
    ("", "", "123-45-6789", "000-99-0001"),
)


def sheet_of(folder: Path, chance: Random, rows: int, ids: bool) -> Sheet:
    """Rows of few values, so that many are alike, some keys are shared by crowds, and ids come again."""
    file = folder / f"drawn{rows}.csv"
    with file.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow((*(("id",) if ids else ()), *HEADINGS))
        for _ in range(rows):
            row = [chance.choice(values) for values in SAID]
            writer.writerow([str(chance.randrange(rows)), *row] if ids else row)
    return intake.open_rows(file, told={"ssn": "personal"}, needed=())


@pytest.mark.parametrize("seed", range(8))
def test_parts_and_workers_change_nothing(
    seed: int, threads: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    chance = Random(seed)
    monkeypatch.setattr(keys, "CROWD", chance.choice((4, 9, 60)))
    sheet = sheet_of(tmp_path, chance, chance.choice((1, 30, 90, 140)), ids=seed % 2 == 1)
    monkeypatch.setattr(SHARE, Limits(rows=chance.choice((1000, 40, 17))))
    bars: dict[str, Any] = {
        "tied": chance.choice((0.99, 0.65, 0.06)), "least": chance.choice((0.06, 0.5)),
        "chains": seed % 3 > 0, "learn": seed % 4 == 0,
    }  # fmt: skip
    named = [
        str(chance.randrange(40)) if seed % 2 else f"line {chance.randrange(2, 30)}"
        for _ in range(8)
    ]
    if seed:
        bars["rulings"] = Rulings([(named[0], named[1])], [(named[2], named[3])])
        bars["keep"] = [Group(named[4], (named[4], named[5], named[6]), 0.7)]
    alone = find_duplicates(sheet, **bars)
    assert find_duplicates(sheet, engine=threads, **bars) == alone


def test_the_cases_drawn_are_not_empty(tmp_path: Path) -> None:
    found = find_duplicates(sheet_of(tmp_path, Random(3), 90, ids=True))
    assert len(found.pairs) > 50
    assert found.groups
    assert found.notes


def test_several_files_are_one(
    threads: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = SIGNUPS.read_text("utf-8").splitlines()
    for number, some in enumerate((lines[1:900], lines[900:1000], lines[1000:2000])):
        (tmp_path / f"{number}.csv").write_text("\n".join([lines[0], *some]), "utf-8")
    whole = tmp_path / "whole.csv"
    whole.write_text("\n".join(lines[:2000]), "utf-8")
    sheets = [intake.open_rows(tmp_path / f"{number}.csv", needed=()) for number in range(3)]
    monkeypatch.setattr(SHARE, Limits(rows=300))
    one = find_duplicates(intake.open_rows(whole, needed=()))
    assert find_duplicates(sheets) == one
    assert find_duplicates(sheets, engine=threads) == one
    assert one.groups


def test_a_quotation_mark_that_is_not_closed_is_told_by_the_workers_too(
    threads: Cluster, tmp_path: Path
) -> None:
    file = tmp_path / "open.csv"
    rows = [f"Ana,Quill,a{n}@example.org,Lima,45801\n" for n in range(40)]
    rows[20] = f'"{rows[20]}'
    file.write_text("first name,last name,email,city,zip\n" + "".join(rows), "utf-8")
    sheet = intake.open_rows(file, needed=())
    found = find_duplicates(sheet, engine=threads)
    assert found.lost == 19
    assert found == find_duplicates(sheet)


def nobody(*_: object) -> None:
    raise AssertionError("this machine did what the workers should do")


def test_a_scheduler_and_two_workers_find_the_same(
    servers: Running, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The workers read the file; this machine reads none of its rows."""
    monkeypatch.setattr(SHARE, Limits(rows=1300))
    alone = facts.find(SIGNUPS)
    monkeypatch.setattr(rows_in_parts, "_sent", nobody)
    told, words = [], []
    with reaching.reached(servers.address, say=words.append) as engine:
        found = facts.find(SIGNUPS, engine=engine, progress=told.append)
    assert found == alone
    assert told == sorted(told)
    assert told[-1] == 1
    assert not words


def test_a_file_that_the_workers_do_not_see_is_read_here_and_that_is_said(
    servers: Running, tmp_path: Path
) -> None:
    """It is open in this process, and has no name any more."""
    file = tmp_path / "gone.csv"
    file.write_text("".join(SIGNUPS.read_text("utf-8").splitlines(keepends=True)[:600]), "utf-8")
    words: list[str] = []
    with file.open("rb") as stream:
        file.unlink()
        sheet = intake.open_rows(Path(f"/proc/self/fd/{stream.fileno()}"), needed=())
        alone = find_duplicates(sheet)
        with reaching.reached(servers.address, say=words.append) as engine:
            assert find_duplicates(sheet, engine=engine) == alone
    assert alone.pairs
    (said,) = words
    assert f"can't see {sheet.file}" in said
    assert "this machine reads the files and sends the rows" in said


def test_another_file_under_the_same_name_is_not_the_same_file(tmp_path: Path) -> None:
    one, other = tmp_path / "one.csv", tmp_path / "other.csv"
    one.write_text("Name\nAna\n", "utf-8")
    other.write_text("Name\nBob\n", "utf-8")
    mine, again, theirs, none = cluster.seen([one, one, other, tmp_path / "none.csv"])
    assert mine == again != theirs
    assert not none


def test_a_row_that_no_worker_could_hold_is_told(threads: Cluster, tmp_path: Path) -> None:
    file = tmp_path / "open.csv"
    rows = [f"Ana,Quill,a{n}@example.org\n" for n in range(400)]
    rows[9] = 'Bo,"Zorn,bo@example.org\n'
    file.write_text("First,Last,Email\n" + "".join(rows), "utf-8")
    sheet = intake.open_rows(file, needed=())
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(SHARE, Limits(500, 100, 1000))
        with pytest.raises(FileTrouble, match="one of the rows from line 1 on has more than"):
            find_duplicates(sheet, engine=threads)


def worker_processes(engine: Cluster) -> list[int]:
    return list(engine._client.run(os.getpid).values())


@pytest.mark.parametrize("phase", ["_made", "keys_of", "guests", "judged", "wanted"])
def test_a_worker_that_is_killed_changes_nothing(
    servers: Running, phase: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In each phase one worker is killed, and in one both."""
    monkeypatch.setattr(SHARE, Limits(rows=1300))
    with reaching.reached(servers.address) as engine:
        killed = killing(engine, phase, monkeypatch, 2 if phase == "guests" else 1)
        found = facts.find(SIGNUPS, engine=engine)
    assert killed
    assert found == facts.find(SIGNUPS)
    logs = servers.logs()
    assert "Bowden" not in logs
    assert "donald737912" not in logs


def killing(
    engine: Cluster, phase: str, monkeypatch: pytest.MonkeyPatch, how_many: int
) -> list[int]:
    """Kill so many workers once the first work of that name is under way; who was killed."""
    killed: list[int] = []
    submit = engine.submit

    def submitted(work: Callable[..., Any], *of: Any) -> Any:
        future = submit(work, *of)
        if work.__name__ == phase and not killed:
            for process in worker_processes(engine)[:how_many]:
                os.kill(process, signal.SIGKILL)
                killed.append(process)
        return future

    monkeypatch.setattr(engine, "submit", submitted)
    return killed


def test_what_a_worker_raises_names_nobody(servers: Running) -> None:
    def fail_with_a_name(_: object) -> None:
        raise ValueError("Bowden cannot be")

    with reaching.reached(servers.address) as engine:
        with pytest.raises(EngineTrouble, match="fail_with_a_name") as raised:
            engine.results([engine.submit(fail_with_a_name, "Bowden")])
    assert "Bowden" not in str(raised.value)
    assert "Bowden" not in servers.logs()


def test_from_a_notebook_where_an_event_loop_runs_it_is_reached(servers: Running) -> None:
    async def in_a_cell() -> list[int]:
        with reaching.reached(servers.address) as engine:
            return engine.results([engine.submit(int, "7")])

    # A thread of its own: a browser test that ran before in this process leaves its own loop running in this one.
    with ThreadPoolExecutor(1) as beside:
        assert beside.submit(lambda: asyncio.run(in_a_cell())).result() == [7]


def test_a_part_that_stops_every_worker_is_told(servers: Running) -> None:
    def stop(_: object) -> None:
        os.kill(os.getpid(), signal.SIGKILL)

    with reaching.reached(servers.address) as engine:
        with pytest.raises(EngineTrouble, match="most often because memory ran out"):
            engine.results([engine.submit(stop, 1)])


def test_a_scheduler_that_is_gone_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(SHARE, Limits(rows=1300))
    monkeypatch.setattr(cluster, "BACK", 3)
    with cluster_server.running(tmp_path, workers=1) as running:
        with reaching.reached(running.address) as engine:
            submit = engine.submit

            def submitted(work: Callable[..., Any], *of: Any) -> Any:
                if work.__name__ == "guests":
                    running.stop_scheduler()
                return submit(work, *of)

            monkeypatch.setattr(engine, "submit", submitted)
            with pytest.raises(EngineTrouble, match="was lost"):
                facts.find(SIGNUPS, engine=engine)
    # The sentence is enough: no traceback of Dask's beside it on the screen.
    assert not [one for one in caplog.records if one.name == "distributed.client"]


def test_processes_here_listen_for_this_machine_alone() -> None:
    with reaching.reached("here:1") as engine:
        info = engine._client.scheduler_info()
        workers = list(info["workers"])
        assert info["address"].startswith("tls://127.0.0.1:")
        assert all(one.startswith("tls://127.0.0.1:") for one in workers)
        assert listening(worker_processes(engine)) <= {"127.0.0.1"}
        assert listening([os.getpid()]) <= {"127.0.0.1"}


def test_a_cluster_that_is_started_as_the_page_says_listens_at_its_address_alone(
    servers: Running,
) -> None:
    with reaching.reached(servers.address) as engine:
        processes = [*servers.processes, *worker_processes(engine)]
        assert listening(processes) == {"127.0.0.1"}


def listening(processes: list[int]) -> set[str]:
    """The addresses of this machine at which these processes take calls (Linux)."""
    sockets = {
        str(entry.readlink())
        for process in processes
        for entry in Path(f"/proc/{process}/fd").iterdir()
        if entry.is_symlink()
    }
    found = set()
    for table in ("tcp", "tcp6"):
        for line in Path(f"/proc/net/{table}").read_text().splitlines()[1:]:
            fields = line.split()
            if fields[3] == "0A" and f"socket:[{fields[9]}]" in sockets:
                number = bytes.fromhex(fields[1].split(":")[0])[::-1]
                found.add(".".join(map(str, number)))
    return found


@pytest.mark.parametrize("address", ["here:", "here:0", "here:two", "here:9999"])
def test_a_wrong_number_of_processes_is_told(address: str) -> None:
    with pytest.raises(EngineTrouble, match="from 1 to 256"):
        with reaching.reached(address):
            pass


@pytest.mark.parametrize("address", ["10.0.0.5:8786", "here", "localhost"])
def test_an_address_that_does_not_say_how_to_reach_it_is_told_at_once(address: str) -> None:
    with pytest.raises(EngineTrouble, match=f"“{address}”.* begins with tls:// or tcp://"):
        with reaching.reached(address):
            pass


def test_a_scheduler_that_is_not_there_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reaching, "SCHEDULER", 1)
    with pytest.raises(EngineTrouble, match="No Dask scheduler answers"):
        with reaching.reached("tcp://127.0.0.1:9"):
            pass


def test_who_answers_and_is_no_scheduler_is_told(capfd: pytest.CaptureFixture[str]) -> None:
    """Its answer, read as the length of a message, would be longer than memory."""
    with socket.create_server(("127.0.0.1", 0)) as server:

        def answer() -> None:
            caller, _ = server.accept()
            with caller:
                caller.sendall(b"HTTP/1.1 400 Bad Request\r\n\r\n" * 4)
                caller.recv(1000)

        somebody = Thread(target=answer, daemon=True)
        somebody.start()
        with pytest.raises(EngineTrouble, match="No Dask scheduler answers"):
            with dask.config.set({"distributed.comm.require-encryption": False}):
                with reaching.reached(f"tcp://127.0.0.1:{server.getsockname()[1]}"):
                    pass
        somebody.join(5)
    gc.collect()
    assert "Traceback" not in capfd.readouterr().err


def test_without_the_extra_it_says_what_to_install() -> None:
    """And nothing of the extra is loaded where nobody works on a cluster."""
    script = (
        "import sys; sys.modules['distributed'] = None\n"
        "import onboard.cli.duplicates, onboard.tasks.find_duplicates\n"
        "assert not {'dask', 'pandas', 'pyarrow'} & sys.modules.keys()\n"
        "from onboard.engines import reaching\n"
        "with reaching.reached('here:2'): pass\n"
    )
    ended = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert "pip install 'onboard[cluster]'" in ended.stderr.splitlines()[-1]


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("tcp://10.0.0.5:8786", True),
        ("tls://10.0.0.5:8786", False),
        ("tcp://127.0.0.1:8786", False),
        ("tcp://[::1]:8786", False),
        ("here:2", False),
        ("", False),
    ],
)
def test_what_is_not_encrypted_is_said(address: str, said: bool) -> None:
    assert bool(reaching.caution(address)) == said


def test_workers_of_another_version_are_told(
    servers: Running, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reaching.metadata, "version", lambda _: "0.0.1")  # here, not there
    with pytest.raises(EngineTrouble, match="another version"):
        with reaching.reached(servers.address):
            pass

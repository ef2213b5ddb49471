"""How long an audit takes, stage by stage, and what it finds of what is known to have decayed.

    python tests/benchmarks/audit.py FOLDER [FOLDER]

The folders are made by `python tests/audit/decay.py members N SEED --to FOLDER`. Seconds are CPU time
of this process and those that it starts, all stages in one process, so that other work on the machine
counts for nothing; the last line is one roster beside the other. With "--wall" the audit runs once more
on all processors, and the time on the clock is told too: that is worth something on a quiet machine only.
"""

from __future__ import annotations

import multiprocessing
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "audit"))
import measure

from onboard import settings
from onboard.cli import tend_memory
from onboard.office import Office
from onboard.reports import audited
from onboard.roster import condition, index_check, store
from onboard.tasks.audit_roster import audit_roster

STAGES: dict[str, float] = {}


@contextmanager
def stage(name: str) -> Iterator[None]:
    began = time.process_time()
    yield
    STAGES[name] = STAGES.get(name, 0.0) + time.process_time() - began


def stages(folder: Path) -> tuple[int, dict[str, float], float]:
    """Members, CPU seconds of each stage, and most memory (MB)."""
    tend_memory()  # as the command does
    coop = settings.read(folder / "onboard.toml")
    engine = store.open_store(f"sqlite:///{folder / 'roster.db'}")
    began = {"at": time.process_time()}
    marks: dict[str, float] = {}

    def progress(name: str, done: int) -> None:
        now = time.process_time()
        marks[name] = marks.get(name, 0.0) + now - began["at"]
        began["at"] = now

    done = audit_roster(
        Office(coop, engine, now=lambda: measure.NOON), processes=1, progress=progress
    )
    with tempfile.TemporaryDirectory() as out, stage("written"):
        audited.write(done, audited.report_of(done), Path(out) / "out")
    told = measure.measure(done, folder)
    print(f"{folder}: {len(done.briefs):,} members, {len(done.found):,} findings")
    print(f"  least found of a kind {min(told.found.values()):.2%}", {
        kind: round(share, 4) for kind, share in told.found.items() if share < 1
    })  # fmt: skip
    print(f"  false alarms {told.false_alarms:.2%}", dict(told.alarms.most_common(8)), flush=True)
    marks["sort and rest"] = time.process_time() - began["at"] - STAGES["written"]
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    with store.reading(engine) as connection:
        with stage("of sound: tables and journal"):
            list(condition.flaws(connection))
        with stage("of sound: look-up index"):
            index_check.check(connection)
        with stage("of accounts: reading"):
            for _ in condition.members(connection):
                pass
    engine.dispose()
    return len(done.briefs), marks | STAGES, memory


def on_the_clock(folder: Path) -> float:
    """Seconds on the clock, all processors at work."""
    coop = settings.read(folder / "onboard.toml")
    engine = store.open_store(f"sqlite:///{folder / 'roster.db'}")
    began = time.perf_counter()
    audit_roster(Office(coop, engine, now=lambda: measure.NOON), processes=0)
    return time.perf_counter() - began


def main(folders: list[Path], wall: bool) -> None:
    """Print each stage of each roster, and how they compare."""
    told = []
    for folder in folders:
        with multiprocessing.get_context("spawn").Pool(1) as one:
            told.append(one.apply(stages, (folder,)))
        members, seconds, memory = told[-1]
        for name, took in seconds.items():
            print(f"  {name:<30}{took:8.1f} s{1000 * took / members:8.3f} ms a member")
        print(f"  most memory of the process {memory:,.0f} MB")
        if wall:
            print(f"  on the clock {on_the_clock(folder):.0f} s", flush=True)
    if len(told) == 2:
        (few, some, _), (many, more, _) = told
        whole = [
            sum(s[n] for n in ("sound", "accounts", "twice", "among", "written"))
            for s in (some, more)
        ]
        print(f"{many / few:.0f} times the members take {whole[1] / whole[0]:.1f} times the time")


if __name__ == "__main__":
    main([Path(word) for word in sys.argv[1:] if word[:2] != "--"], "--wall" in sys.argv)

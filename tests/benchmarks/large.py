"""How duplicates grow: the same invented rows here, spilled to disk, and on processes that act as a cluster.

    python tests/benchmarks/large.py ROWS… [--on here:1 here:2] [--spill] [--here] [--alone] [--check]

Every case runs in a process of its own. `--spill` does what `onboard duplicates --spill` does, with all processors, its list of pairs included, and
`--here` the same without files; `--alone` finds in one process, and of it the bar is measured by the processor's time, which other programs do not stretch. The file is written row by row and
is never in memory; it needs 95 MB of disk a million rows, and --spill 600 MB more, and up to 150 for the list (in TMPDIR). Rows are invented with names as common as in the Census; one in ten is
somebody who is there before, with a slip or a field left out. Said are, a case a line: rows, where, seconds on the clock and
of all processors, the largest process (the workers of a cluster, and the one that asks), the most that all processes had in memory
at once (PSS, read each half second; of it what lies in files too, which the system may take back), bytes that went through
the shuffles for each row, pairs that were judged and that are told, and a digest of the answer, which must be the same. Below
it stands what the bar said when it was at 25, 50, 75 and 90 %: how much longer the whole would have taken by it than it took. This should be from
-25 to +25 %; --check ends with 1 if it is not, or if the bar went back.
"""

from __future__ import annotations

import csv
import multiprocessing
import os
import resource
import sys
import tempfile
import time
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from random import Random
from threading import Event, Thread
from typing import Any

from onboard import intake, tables
from onboard.engines import reaching
from onboard.engines.cluster import Cluster
from onboard.reports.duplicates import Duplicates
from onboard.tasks.find_duplicates import find_duplicates
from onboard.tasks.list_duplicates import Lists, Where, list_duplicates

HEADINGS = ("id", "first", "last", "email", "phone", "street", "city", "state", "zip")
AT_ONCE = 10_000
SLIPS = ("last", "email", "phone", "street")


def main(arguments: list[str]) -> None:
    sizes = [int(one) for one in arguments if one.isdigit()]
    cases = [one for one in arguments if one.startswith("here:")]
    cases += [one[2:] for one in ("--here", "--spill", "--alone") if one in arguments] or (
        [] if cases else ["here"]
    )
    print(f"{'rows':>10} {'where':8} {'wall s':>7} {'cpu s':>7} {'worker MB':>9} {'asks MB':>8} {'all MB':>7} {'files':>6} "
          f"{'B/row':>6} {'judged':>10} {'told':>9} digest")  # fmt: skip
    context, failed = multiprocessing.get_context("spawn"), False
    for size in sizes:
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "rows.csv"
            write(file, size)
            for case in cases:
                process = context.Process(target=measure, args=(file, case))
                process.start()
                process.join()
                failed |= bool(process.exitcode)
    if failed and "--check" in arguments:
        sys.exit(1)


def write(file: Path, size: int) -> None:
    chance = Random(18)
    names = list(tables.rows("census_names"))
    said = [name[0] for name in names]
    weights = [[int(name[column]) for name in names] for column in (1, 2)]
    before: list[list[str]] = []
    with file.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(HEADINGS)
        for start in range(0, size, AT_ONCE):
            some = min(AT_ONCE, size - start)
            given, family, streets = (
                chance.choices(said, weights[kind], k=some) for kind in (0, 1, 1)
            )
            rows = []
            for at in range(some):
                if before and chance.random() < 0.1:
                    row = again(chance, chance.choice(before))
                else:
                    row = ["", given[at].title(), family[at].title(),
                           f"{given[at]}.{family[at]}{chance.randrange(1000)}@example.org",
                           f"{chance.randrange(200, 999)}-555-{chance.randrange(10_000):04}",
                           f"{chance.randrange(1, 9999)} {streets[at].title()} St",
                           "Lima", "OH", f"{chance.randrange(43001, 45999)}"]  # fmt: skip
                rows.append([f"R{start + at:08}", *row[1:]])
            before = rows
            writer.writerows(rows)


def again(chance: Random, row: Sequence[str]) -> list[str]:
    """The same person, with a field left out or a slip in it."""
    row = list(row)
    at = HEADINGS.index(chance.choice(SLIPS))
    text = row[at]
    if chance.random() < 0.5 and len(text) > 3:
        place = chance.randrange(len(text) - 1)
        row[at] = text[:place] + text[place + 1] + text[place] + text[place + 2 :]
    elif at != HEADINGS.index("last"):
        row[at] = ""
    return row


class Counting(Cluster):
    """A cluster that adds up what goes through its shuffles."""

    shuffled_bytes = 0

    def shuffled(self, tables: Sequence[Any], schema: Any, homes: int) -> list[Any]:
        found = super().shuffled(tables, schema, homes)
        self.shuffled_bytes += sum(self.results([self.submit(_bytes, one) for one in tables]))
        return found


def _bytes(table: Any) -> int:
    return int(table.nbytes)


def measure(file: Path, case: str) -> None:
    sheet = intake.open_rows(file, needed=())
    memory = Memory()
    clock = time.process_time if case == "alone" else time.perf_counter
    begin = clock()
    shuffled, workers = 0, (0.0, 0)
    bar: list[tuple[float, float]] = []

    def progress(share: float) -> None:
        bar.append((clock() - begin, share))

    if case.startswith("here:"):
        with reaching.reached(case, file.parent) as engine:
            engine.__class__ = Counting
            found = find_duplicates(sheet, engine=engine, progress=progress)
            assert isinstance(engine, Counting)
            shuffled = engine.shuffled_bytes
            told = engine._client.run(used).values()
            workers = sum(one for one, _ in told), max(one for _, one in told)
    elif case == "alone":
        found = find_duplicates(sheet, processes=1, spill=file.parent, progress=progress)
    else:
        where = Where(spill=file.parent if case == "spill" else None)
        lists = Lists(file.with_name("pairs.csv"))
        found, _ = list_duplicates(sheet, lists, where=where, progress=progress)
    wall = clock() - begin
    every, in_files = memory.most()
    own = used()
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = own[0] + (workers[0] or children.ru_utime + children.ru_stime)
    largest = workers[1] or children.ru_maxrss // 1024
    print(f"{len(found.ids):10} {case:8} {wall:7.1f} {cpu:7.1f} {largest:9} {own[1]:8} {every:7} {in_files:6} "
          f"{shuffled / len(found.ids):6.0f} {found.compared:10} {len(found.pairs):9} {digest(found)}", flush=True)  # fmt: skip

    off = honest(bar, wall)
    if off > HONEST or bar != sorted(bar):
        sys.exit(1)


HONEST = 0.25


def honest(bar: Sequence[tuple[float, float]], wall: float) -> float:
    """Says how far the bar was off, and gives the worst of it."""
    said, worst = [], 0.0
    for quarter in (0.25, 0.5, 0.75, 0.9):
        at, share = next(((at, share) for at, share in bar if share >= quarter), (wall, 1.0))
        off = at / share / wall - 1
        worst = max(worst, abs(off))
        said.append(f"{quarter:.0%} after {at:.1f} s ({off:+.0%})")
    print(" " * 19, "bar:", ", ".join(said), flush=True)
    return worst


class Memory:
    """The most memory that this process and those that help it had at once, in MB."""

    def __init__(self) -> None:
        self._most, self._in_files, self._over = 0, 0, Event()
        self._watch = Thread(target=self._look, daemon=True)
        self._watch.start()

    def most(self) -> tuple[int, int]:
        """All, and what of it lies in files too."""
        self._over.set()
        self._watch.join()
        return self._most, self._in_files

    def _look(self) -> None:
        while not self._over.wait(0.5):
            together, in_files = 0, 0
            for process in _family(os.getpid()):
                try:
                    lines = Path(f"/proc/{process}/smaps_rollup").read_text().splitlines()[1:]
                except OSError:
                    continue
                sizes = {line.split()[0]: int(line.split()[1]) for line in lines}
                together += sizes["Pss:"] // 1024
                in_files += sizes["Pss_File:"] // 1024
            if together > self._most:
                self._most, self._in_files = together, in_files


def _family(process: int) -> list[int]:
    """A process and all that it started, and those started."""
    try:
        children = Path(f"/proc/{process}/task/{process}/children").read_text().split()
        for thread in Path(f"/proc/{process}/task").iterdir():
            if thread.name != str(process):
                children += (thread / "children").read_text().split()
    except OSError:
        return [process]
    return [process, *(one for child in children for one in _family(int(child)))]


def used() -> tuple[float, int]:
    """CPU seconds of this process, and megabytes at its largest."""
    usage = resource.getrusage(resource.RUSAGE_SELF)
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss // 1024


def digest(found: Duplicates) -> str:
    answer = sha256()
    for pair in found.pairs:
        answer.update(repr(pair).encode())
    for group in found.groups:
        answer.update(repr(group).encode())
    return answer.hexdigest()[:12]


if __name__ == "__main__":
    main(sys.argv[1:])

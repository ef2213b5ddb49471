"""Whether time and memory a row grow with the number of rows, of members, or of rows on hold.

    python tests/benchmarks/growth.py [SMALL LARGE]

Every case runs in a process of its own, so that its memory is its own, on made-up people as in
`batch.py`. Time is CPU time of the process. What is said in the end are ratios: a row of the large
case to a row of the small one. 1 means that nothing grows.
"""

from __future__ import annotations

import multiprocessing
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from batch import DEMO, HEADINGS, people, write

from onboard import intake
from onboard import settings as settings_file
from onboard.office import Office
from onboard.roster import store
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.process_batch import process_batch

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
FORMS = 1000  # of a batch whose roster grows


def forms(folder: Path, rows: list[list[str]]) -> Path:
    return write(folder / "forms.csv", HEADINGS, rows)


def members(folder: Path, count: int) -> Path:
    lines = [[*p, f"m{n}x"] for n, p in enumerate(people(count, seed=1))]
    return write(folder / "members.csv", [*HEADINGS, "Handle"], lines)


def look(folder: Path, file: Path, *, keep: bool, url: str = "") -> int:
    """Process a file; the number of its rows."""
    coop = replace(settings_file.read(DEMO / "onboard.toml"), outbox=folder / "outbox")
    engine = store.open_store(url or f"sqlite:///{folder / 'roster.db'}")
    sheet = intake.open_rows(file)
    done = process_batch(Office(coop, engine, "benchmark", lambda: NOON), sheet.rows(), file=file.name, keep=keep)  # fmt: skip
    return done.rows


def adopt(folder: Path, file: Path) -> int:
    coop = settings_file.read(DEMO / "onboard.toml")
    engine = store.open_store(f"sqlite:///{folder / 'roster.db'}")
    sheet = intake.open_rows(file, needed=("name", "handle"))
    return adopt_members(
        Office(coop, engine, "benchmark", lambda: NOON), sheet.rows(), file=file.name, keep=True
    ).rows


def looking(folder: Path, count: int) -> Callable[[], int]:
    """A look at many forms, where there is a roster."""
    file = forms(folder, people(count, seed=2))
    return lambda: look(folder, file, keep=False)


def first_look(folder: Path, count: int) -> Callable[[], int]:
    """A look at many forms, where there is no roster yet."""
    file = forms(folder, people(count, seed=2))
    return lambda: look(folder, file, keep=False, url="sqlite://")


def recording(folder: Path, count: int) -> Callable[[], int]:
    """Many forms recorded."""
    file = forms(folder, people(count, seed=2))
    return lambda: look(folder, file, keep=True)


def adopting(folder: Path, count: int) -> Callable[[], int]:
    """Many members taken over."""
    file = members(folder, count)
    return lambda: adopt(folder, file)


def large_roster(folder: Path, count: int) -> Callable[[], int]:
    """As many forms as ever, on a roster of many members."""
    adopt(folder, members(folder, count))
    file = forms(folder, people(FORMS, seed=2))
    return lambda: look(folder, file, keep=True)


def many_on_hold(folder: Path, count: int) -> Callable[[], int]:
    """Complete forms of as many people as wait on hold for want of an address."""
    rows = people(count // 2, seed=2)
    look(folder, forms(folder, [[r[0], "", *r[2:]] for r in rows]), keep=True)
    file = forms(folder, rows)
    return lambda: look(folder, file, keep=True)


CASES = (looking, first_look, recording, adopting, large_roster, many_on_hold)


def measured(
    case: Callable[[Path, int], Callable[[], int]], count: int
) -> tuple[float, float, int]:
    """CPU seconds a row, most memory that it added (MB), and the rows."""
    with tempfile.TemporaryDirectory() as name:
        work = case(Path(name), count)
        warm = Path(name) / "warm"
        warm.mkdir()
        look(warm, forms(warm, people(200, seed=3)), keep=False)  # tables and lookups are loaded
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        began = time.process_time()
        rows = work()
        took = time.process_time() - began
        grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    return took / rows, grown / 1024, rows


def main(small: int = 2000, large: int = 20_000) -> None:
    """Print each case at both sizes, and the ratio of the time a row."""
    print(
        f"{'':<16}{'rows':>8}{'ms a row':>10}{'MB more':>9}{'rows':>9}{'ms a row':>10}{'MB more':>9}{'ratio':>7}"
    )
    for case in CASES:
        told = []
        for count in (small, large):
            with multiprocessing.get_context("spawn").Pool(1) as one:
                told.append(one.apply(measured, (case, count)))
        (few, few_mb, few_rows), (many, many_mb, many_rows) = told
        print(
            f"{case.__name__:<16}{few_rows:>8,}{1000 * few:>10.2f}{few_mb:>9.1f}"
            f"{many_rows:>9,}{1000 * many:>10.2f}{many_mb:>9.1f}{many / few:>7.2f}",
            flush=True,
        )  # fmt: skip


if __name__ == "__main__":
    main(*(int(text) for text in sys.argv[1:]))

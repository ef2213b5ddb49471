"""How long reminders take: previewed, made and counted for many members at once, and a year day by day.

    python tests/benchmarks/reminders.py [MEMBERS]
    python tests/benchmarks/reminders.py --year [MEMBERS]

The first makes a roster in which a reminder by email is due to each member of one group, on one day. The second lives the
year of `tests/reminded_year.py`, checks each day, and tells how long a day takes. Times are of this process; the clock's too.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time as clock
from collections.abc import Callable
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from reminded_year import Killer, Year, days

from onboard.tasks.due_reminders import count_due_reminders
from onboard.tasks.write_reminders import preview_reminders, write_reminders


def timed(what: str, work: Callable[[], object], count: int) -> None:
    """Say how long something takes."""
    cpu, wall = clock.process_time(), clock.perf_counter()
    work()
    cpu, wall = clock.process_time() - cpu, clock.perf_counter() - wall
    print(f"{what}: {wall:.1f} s, {cpu:.1f} s of CPU, {1e6 * cpu / count:.0f} µs each")


def at_once(folder: Path, members: int) -> None:
    """One reminder for each of many members, all due on one day."""
    year = Year(folder, members, seed=1, kills=0, moody=0)
    name, (group, opens, _) = next(iter(year.windows.items()))
    year.sql(
        f"UPDATE member SET consent = 1, extras = '{{}}', site = '{group} 1', email = 'm' || id || '@members.example.org'"
    )
    office = year.office(opens)
    due = len(preview_reminders(office).due)
    assert due == members, (name, due)
    timed(f"{due:,} reminders previewed", lambda: preview_reminders(office), due)
    timed("counted", lambda: count_due_reminders(office), due)
    timed("made", lambda: write_reminders(office), due)
    assert len(list((folder / "outbox").glob("reminder-*.eml"))) == due
    print(f"Memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def year(folder: Path, members: int) -> None:
    """A year day by day."""
    co_op = Year(folder, members, seed=1, moody=0)
    spent: list[tuple[float, float, date]] = []
    for day in days():
        co_op.live(day)
        co_op.work_and_die(day)
        cpu, wall = clock.process_time(), clock.perf_counter()
        co_op.work(day, Killer())
        spent.append((clock.process_time() - cpu, clock.perf_counter() - wall, day))
        co_op.check(day)
    co_op.close()
    spent.sort()
    print(
        f"{members:,} members, {len(co_op.told):,} reminders, {co_op.killed} kills: all as it should be."
    )
    (cpu, wall, _), (most, longest, busy) = spent[len(spent) // 2], spent[-1]
    print(
        f"A day: {cpu:.2f} s of CPU ({wall:.2f} s by the clock) in the middle, {most:.1f} s ({longest:.1f} s) at most, on "
        f"{busy}."
    )


if __name__ == "__main__":
    words = [word for word in sys.argv[1:] if word != "--year"]
    with tempfile.TemporaryDirectory() as place:
        if "--year" in sys.argv:
            year(Path(place), int(words[0]) if words else 10_000)
        else:
            at_once(Path(place), int(words[0]) if words else 100_000)

"""How much of what decayed an audit finds, and what it says of clean members.

python tests/audit/measure.py N SEED [DIR]
"""

from __future__ import annotations

import csv
import json
import sys
import tempfile
import time
from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from decay import KNOWN_OF_CLEAN, TODAY, make

from onboard import intake
from onboard import settings as settings_file
from onboard.office import Office
from onboard.tasks.audit_roster import Audit, audit_roster
from onboard.tasks.audit_sheets import audit_sheet

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


@dataclass(frozen=True)
class Measured:
    """Shares of what decayed that was found, by kind; of clean members of whom something is said."""

    found: dict[str, float]
    missed: dict[str, list[int]]  # the first few members of each kind
    false_alarms: float
    alarms: Counter[str]  # codes said of clean members


def audited(folder: Path, *, sheet: bool, today: date = TODAY, **options: Any) -> Audit:
    """The audit of the roster, or of the spreadsheet, in a folder that `decay` made.

    `options` are those of `audit_roster`.
    """
    coop = settings_file.read(folder / "onboard.toml")
    office = Office(coop, now=lambda: datetime.combine(today, NOON.timetz()))
    if sheet:
        rows = intake.open_rows(folder / "members.csv", needed=())
        return audit_sheet(office, rows, **options)
    try:
        return audit_roster(office, **options)
    finally:
        office.close()


def measure(done: Audit, folder: Path) -> Measured:
    """The audit beside the truth of the folder."""
    prefix, shift = ("member:", 0) if done.is_roster else ("line:", 1)
    said: dict[int, set[str]] = defaultdict(set)
    for one in done.found:
        for owner in (one.owner, *one.others):
            if owner.startswith(prefix):
                said[int(owner.removeprefix(prefix)) - shift].add(one.code)
    counts: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    missed: dict[str, list[int]] = defaultdict(list)
    with (folder / "truth.csv").open(encoding="utf-8", newline="") as lines:
        for line in csv.DictReader(lines):
            if not done.is_roster and line["in_sheet"] == "0":
                continue
            hit = not said[int(line["id"])].isdisjoint(line["codes"].split())
            counts[line["kind"]][0] += hit
            counts[line["kind"]][1] += 1
            if not hit:
                missed[line["kind"]].append(int(line["id"]))
    clean = json.loads((folder / "clean.json").read_text("utf-8"))
    alarms: Counter[str] = Counter()
    wrong = 0
    for number in clean:
        codes = said[number] - KNOWN_OF_CLEAN
        wrong += bool(codes)
        alarms.update(codes)
    return Measured(
        {kind: hit / of for kind, (hit, of) in counts.items()},
        dict(missed),
        wrong / max(1, len(clean)),
        alarms,
    )


def main(count: int, seed: int, folder: Path) -> None:
    """Print what each way to decay comes to, of the roster and of the spreadsheet."""
    make(folder, count, seed)
    for sheet in (False, True):
        began = time.process_time()
        done = audited(folder, sheet=sheet)
        took = time.process_time() - began
        told = measure(done, folder)
        print(
            f"\n{'spreadsheet' if sheet else 'roster'}: {len(done.found):,} findings, {took:.1f} s CPU"
        )
        for kind, share in sorted(told.found.items(), key=lambda item: item[1]):
            print(f"  {kind:<28}{share:8.2%}  {told.missed.get(kind, [])[:5] or ''}")
        print(f"  false alarms{told.false_alarms:24.2%}  {dict(told.alarms.most_common(12))}")
        for note in done.notes:
            print(f"  {note}")


if __name__ == "__main__":
    size, start = int(sys.argv[1]), int(sys.argv[2])
    if len(sys.argv) > 3:
        main(size, start, Path(sys.argv[3]))
    else:
        with tempfile.TemporaryDirectory() as name:
            main(size, start, Path(name))

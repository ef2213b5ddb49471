"""Measures `find_duplicates` on files with truth: how right it is, and how fast.

Run: .venv/bin/python tests/benchmarks/duplicates.py FOLDER-OR-FILE… [--half]

FOLDER holds CSV files with columns id, true_id and perhaps household_id; files whose names begin
with febrl, rldata or pseudo have the headings of those data sets. With --half only the people
that the shipped weights were not learned from are read (an odd CRC-32 of `true_id`).
Thresholds are those that ship; nothing is chosen by looking at the truth.
"""

from __future__ import annotations

import csv
import resource
import sys
import tempfile
import time
from pathlib import Path
from zlib import crc32

from onboard.model import Verdict

sys.path.insert(0, str(Path(__file__).parents[1] / "match"))
import people_with_truth as facts

HEAD = (
    f"{'file':24} {'rows':>7} {'compared':>9}  {'F1':>6} {'prec':>6} {'rec':>6} {'homes':>7}"
    f"  {'P alone':>7} {'R alone':>7}  {'R asked':>7} {'asked':>6}  {'calib':>6}"
    f"  {'wall s':>6} {'cpu s':>6} {'MB':>5}"
)


def main(arguments: list[str]) -> None:
    half = "--half" in arguments
    files = [
        file
        for name in arguments
        if not name.startswith("--")
        for file in (sorted(Path(name).glob("*.csv")) if Path(name).is_dir() else [Path(name)])
    ]
    print(HEAD)
    for file in files:
        with file.open(encoding="utf-8") as stream:
            if "true_id" not in stream.readline():
                continue
        with tempfile.TemporaryDirectory() as folder:
            measure(unseen(file, Path(folder)) if half else file)


def unseen(file: Path, folder: Path) -> Path:
    """The half of a file that no weight was learned from."""
    with file.open(encoding="utf-8", newline="") as stream:
        rows = csv.DictReader(stream)
        kept = [row for row in rows if crc32(row["true_id"].encode()) % 2]
        headings = rows.fieldnames or ()
    with (folder / file.name).open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, headings)
        writer.writeheader()
        writer.writerows(kept)
    return folder / file.name


def measure(file: Path) -> None:
    wall, cpu = time.perf_counter(), _cpu()
    found = facts.find(file)
    wall, cpu = time.perf_counter() - wall, _cpu() - cpu
    truth = facts.Truth.of(file)
    whole = facts.score(facts.grouped(found.groups), truth)
    alone = facts.score(facts.decided_alone(found.pairs), truth)
    asked = facts.score(((p.one, p.other) for p in found.pairs), truth)
    questions = sum(pair.verdict is Verdict.UNCLEAR for pair in found.pairs)
    memory = sum(
        resource.getrusage(who).ru_maxrss
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    print(
        f"{file.name:24} {len(found.ids):7} {found.compared:9}  {whole.f1:6.4f} "
        f"{whole.precision:6.4f} {whole.recall:6.4f} {whole.homes_merged:7.3%}"
        f"  {alone.precision:7.4f} {alone.recall:7.4f}  {asked.recall:7.4f} "
        f"{100 * questions / len(found.ids):6.2f}  {facts.calibration_error(found.pairs, truth):6.4f}"
        f"  {wall:6.1f} {cpu:6.1f} {memory // 1024:5}",
        flush=True,
    )


def _cpu() -> float:
    return sum(
        usage.ru_utime + usage.ru_stime
        for usage in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    )


if __name__ == "__main__":
    main(sys.argv[1:])

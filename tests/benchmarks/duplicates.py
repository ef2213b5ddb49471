"""Measures `find_duplicates` on files with truth: how right it is, and how fast.

Run: .venv/bin/python tests/benchmarks/duplicates.py FOLDER-OR-FILE… [--half]
     .venv/bin/python tests/benchmarks/duplicates.py --one [members]

FOLDER holds CSV files with columns id, true_id and perhaps household_id; files whose names begin
with febrl, rldata or pseudo have the headings of those data sets. With --half only the people
that the shipped weights were not learned from are read (an odd CRC-32 of `true_id`).
Thresholds are those that ship; nothing is chosen by looking at the truth. Sign-ups are held to the
bars of the project (BARS), and what falls short of one is named at the end of the line.

--one measures how long it takes to look one sign-up up among a million members in a roster.
"""

from __future__ import annotations

import csv
import math
import resource
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from random import Random
from zlib import crc32

from onboard import tables
from onboard.match import Known, keys, match
from onboard.model import Person, Verdict
from onboard.roster import search
from onboard.roster import tables as roster_tables
from onboard.roster.store import open_store

sys.path.insert(0, str(Path(__file__).parents[1] / "match"))
import people_with_truth as facts

HEAD = (
    f"{'file':24} {'rows':>7} {'compared':>9}  {'F1':>6} {'prec':>6} {'rec':>6} {'homes':>7}"
    f"  {'P alone':>7} {'R alone':>7}  {'R asked':>7} {'asked':>6}  {'calib':>6}"
    f"  {'wall s':>6} {'cpu s':>6} {'MB':>5}"
)
# asked: pairs that a person must look at, for each 100 members.
BARS = {
    "F1": (0.935, math.inf), "homes": (0.0, 0.011), "P alone": (0.992, math.inf),
    "R alone": (0.74, math.inf), "R asked": (0.97, math.inf), "asked": (0.0, 3.5),
    "calib": (0.0, 0.02),
}  # fmt: skip


def main(arguments: list[str]) -> None:
    if arguments[:1] == ["--one"]:
        one_sign_up(int(arguments[1]) if arguments[1:] else 1_000_000)
        return
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
    found = facts.find(file, processes=0)
    wall, cpu = time.perf_counter() - wall, _cpu() - cpu
    truth = facts.Truth.of(file)
    whole = facts.score(facts.grouped(found.groups), truth)
    alone = facts.score(facts.decided_alone(found.pairs), truth)
    asked = facts.score(((p.one, p.other) for p in found.pairs), truth)
    questions = sum(pair.verdict is Verdict.UNCLEAR for pair in found.pairs)
    asked_for = 100 * questions / len(set(truth.person.values()))
    calibration = facts.calibration_error(found.pairs, truth)
    figures = {
        "F1": whole.f1, "homes": whole.homes_merged, "P alone": alone.precision,
        "R alone": alone.recall, "R asked": asked.recall, "asked": asked_for, "calib": calibration,
    }  # fmt: skip
    short = [
        what
        for what, (least, most) in BARS.items()
        if facts.kind_of(file) == "signups" and not least <= figures[what] <= most
    ]
    # The processes that work together, each at its largest.
    memory = sum(
        resource.getrusage(who).ru_maxrss
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    print(
        f"{file.name:24} {len(found.ids):7} {found.compared:9}  {whole.f1:6.4f} "
        f"{whole.precision:6.4f} {whole.recall:6.4f} {whole.homes_merged:7.3%}"
        f"  {alone.precision:7.4f} {alone.recall:7.4f}  {asked.recall:7.4f} "
        f"{asked_for:6.2f}  {calibration:6.4f}"
        f"  {wall:6.1f} {cpu:6.1f} {memory // 1024:5}"
        + (f"  short: {', '.join(short)}" if short else ""),
        flush=True,
    )


def one_sign_up(size: int) -> None:
    """Look-ups in a roster of so many invented members, by its index of keys.

    Names are as common as the Census has them, and one in a hundred members gives the phone and
    the mailbox of one of a few helpers, which makes crowds.
    """
    chance = Random(7)
    names = list(tables.rows("census_names"))
    given, family = (_drawn(chance, names, column, size) for column in (1, 2))
    streets = _drawn(chance, names, 2, size)

    def somebody(number: int) -> Person:
        first, last = given[number], family[number]
        helper = chance.randrange(20) if chance.random() < 0.01 else -1
        return Person(
            f"member:{number}", given=first, family=last,
            email=f"{first}.{last}{chance.randrange(100)}@example.org" if helper < 0
            else f"helper{helper}@example.org",
            phone=f"+1{chance.randrange(2 * 10**9, 10**10) if helper < 0 else 2025550100 + helper}",
            street=f"{chance.randrange(1, 9999)} {streets[number]} ST",
            city="LIMA", state="OH", zip5=f"{chance.randrange(43001, 45999)}",
        )  # fmt: skip

    with tempfile.TemporaryDirectory() as folder:
        engine = open_store(f"sqlite:///{folder}/roster.sqlite")
        texts = [
            name
            for name in (column.name for column in roster_tables.person.columns)
            if name not in ("id", "row_key", "joint")
        ]
        with engine.connect() as connection:
            store = connection.connection.driver_connection
            store.rollback()
            store.execute("PRAGMA foreign_keys=OFF")  # the members themselves are not needed
            store.execute("BEGIN")
            marks = ", ".join("?" * (len(texts) + 3))
            for start in range(0, size, 50_000):
                people = [somebody(at) for at in range(start, min(start + 50_000, size))]
                store.executemany(
                    f"INSERT INTO person (id, row_key, joint, {', '.join(texts)}) VALUES ({marks})",
                    [(at + start, "0" * 24, "[]", *(getattr(who, text) for text in texts))
                     for at, who in enumerate(people)],
                )  # fmt: skip
                store.executemany(
                    "INSERT INTO person_key (key, person_id) VALUES (?, ?)",
                    sorted(
                        (key, at + start) for at, who in enumerate(people) for key in keys.of(who)
                    ),
                )
            store.commit()
            helped = [who for who in people if who.email.startswith("helper")]
            # Half of them moved and have another phone; one in ten was helped.
            again = [
                who._replace(owner="row:new", phone="", street=who.street if at % 2 else "")
                for at, who in enumerate([*people[:180], *helped[:20]])
            ]
            times, found = [], 0
            for who in again:
                begin = time.perf_counter(), time.process_time()
                known, wanted = Known(), keys.of(who)
                others, crowds = search.sharing(connection, wanted, 2 * keys.CROWD)
                known.pass_over(crowds)
                for person, by in others:
                    known.add(person, by=by)
                found += len(match(who, known))
                times.append((time.perf_counter() - begin[0], time.process_time() - begin[1]))
    for what, some in zip(("wall", "processor"), zip(*times, strict=True), strict=True):
        some = sorted(1000 * one for one in some)
        print(
            f"one sign-up among {size:,} members, {what}: median {some[100]:.1f} ms, "
            f"95 of 100 within {some[190]:.1f} ms, the slowest {some[-1]:.1f} ms"
        )
    print(f"{found} matches for {len(again)} who are there")


def _drawn(chance: Random, names: Sequence[Sequence[str]], column: int, size: int) -> list[str]:
    """So many names of this column of the Census's, each as often as there."""
    return chance.choices(
        [name[0] for name in names], [int(name[column]) for name in names], k=size
    )


def _cpu() -> float:
    return sum(
        usage.ru_utime + usage.ru_stime
        for usage in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    )


if __name__ == "__main__":
    main(sys.argv[1:])

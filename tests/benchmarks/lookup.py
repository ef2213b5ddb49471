"""How well and how fast members are found by what callers say.

    python tests/benchmarks/lookup.py MEMBERS.tsv QUERIES.csv [ROSTER] [--misses]

MEMBERS.tsv has id, first, middle, last, former, email, phone, handle, site; QUERIES.csv has kind,
text, site, truth_ids (numbers divided by "|"). ROSTER is a file or the address of a database, filled
if it is empty, and kept; or "postgresql", for a server which lives as long as this program. With the
members and queries in tests/facts it takes a few seconds:

    python tests/benchmarks/lookup.py tests/facts/lookup_members.tsv tests/facts/lookup_queries.csv

Times are process time of one core in a warm process: first the answers are found once, then timed.
With a server they are by the clock, as most of the work is the server's.
"""

from __future__ import annotations

import gc
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import postgres_server
from called_members import coop, load, put, read
from sqlalchemy import Connection, Engine, text

from onboard.lookup.words import evidence
from onboard.model import Owner
from onboard.roster import index, index_asked, store
from onboard.tasks.look_up import Finds, meant_by


def main(members: Path, queries: Path, roster: str, misses: bool) -> None:
    """`roster` is the address of a store."""
    clock = time.process_time if roster.startswith("sqlite") else time.perf_counter
    sites, there = set(), set()
    some: list[dict[str, str]] = []  # to be added once more
    for at, line in enumerate(read(members, "\t")):
        if at % 4 == 0 and len(some) < 1000:
            some.append(line)
        sites.add(line["site"])
        there.add(line["id"])
    settings = coop(sites)
    engine = store.open_store(roster)
    with store.reading(engine) as connection:
        filled = index_asked.size(connection) > 0
    if not filled:
        begun = clock()
        load(engine, read(members, "\t"), indexed=False)
        print(f"members put there in {clock() - begun:.1f} s")
        begun = clock()
        with store.transaction(engine) as connection:
            index.rebuild(connection)
        took = clock() - begun
        print(f"index made in {took:.1f} s, {1000 * took / len(there):.3f} ms a member")
    asked = [q for q in read(queries) if not there.isdisjoint(q["truth_ids"].split("|"))]
    with store.reading(engine) as connection:
        print(f"index: {size(connection) / 1e6:.0f} MB for {len(there):,} members")
        for query in asked[:200]:
            meant_by(connection, settings, query["text"], site=query["site"])
        gc.collect()
        gc.freeze()
        kinds: dict[str, Counter[str]] = defaultdict(Counter)
        times: list[float] = []
        for query in asked:
            begun = clock()
            finds = meant_by(connection, settings, query["text"], site=query["site"])
            times.append(1000 * (clock() - begun))
            count(kinds[query["kind"]], query, finds, times[-1], misses)
    tell(kinds, times)
    add(engine, some, clock)


def count(
    kind: Counter[str], query: dict[str, str], finds: Finds, took: float, misses: bool
) -> None:
    right = {f"member:{number}" for number in query["truth_ids"].split("|")}
    found = [one.owner for one in finds.found]
    first = found[:1] != [] and found[0] in right
    kind["asked"] += 1
    kind["first"] += first
    kind["among five"] += not right.isdisjoint(found[:5])
    kind["safe"] += finds.safe_to_open
    kind["wrong and safe"] += finds.safe_to_open and not first
    kind["slowest"] = max(kind["slowest"], round(took))
    if misses and not first:
        print(
            f"{query['kind']}: {query['text']!r} {query['site']!r} is {query['truth_ids']}; found"
        )
        for one in finds.found[:3]:
            print(f"    {one.owner} {one.confidence:.2f}", "; ".join(map(evidence, one.clues)))


def tell(kinds: dict[str, Counter[str]], times: Sequence[float]) -> None:
    columns = ("asked", "first", "among five", "safe", "wrong and safe")
    print("\t".join(("kind", *columns, "slowest, ms")))
    for name, kind in kinds.items():
        print("\t".join((name, *(str(kind[column]) for column in columns), str(kind["slowest"]))))
    whole = sum((Counter({c: kind[c] for c in columns}) for kind in kinds.values()), Counter())
    asked = whole["asked"]
    for column in columns[1:]:
        print(f"{column}: {whole[column]} of {asked}, {whole[column] / asked:.2%}")
    ordered = sorted(times)
    for name, share in (("half", 0.5), ("95 %", 0.95), ("99 %", 0.99)):
        print(f"{name} answered within {ordered[min(asked - 1, int(share * asked))]:.1f} ms")
    print(f"slowest {ordered[-1]:.1f} ms, mean {sum(times) / asked:.1f} ms")


def size(connection: Connection) -> int:
    """The bytes of all tables of the index, with the indexes that they need themselves."""
    if connection.dialect.name == "postgresql":
        pages = text(
            "SELECT sum(pg_total_relation_size(c.oid)) FROM pg_class c "
            "WHERE c.relkind = 'r' AND c.relname LIKE 'index!_%' ESCAPE '!'"
        )
        return int(connection.execute(pages).scalar_one())
    pages = text(
        "SELECT coalesce(sum(pgsize), 0) FROM dbstat "
        "WHERE name LIKE 'index!_%' ESCAPE '!' OR name LIKE 'sqlite!_autoindex!_index!_%' ESCAPE '!'"
    )
    return int(connection.execute(pages).scalar_one())


def add(engine: Engine, members: Sequence[dict[str, str]], clock: Callable[[], float]) -> None:
    """What it costs to index new members, five hundred at once and one by one; then taken back."""
    with store.transaction(engine, keep=False) as connection:
        last = index_asked.size(connection)
        new = [
            line | {"id": str(last + 1 + at), "handle": line["handle"] + "x"}
            for at, line in enumerate(members)
        ]
        put(connection, new)
        owners = [Owner.of_member(line["id"]) for line in new]
        half = len(owners) // 2
        begun = clock()
        index.update(connection, owners[:half])
        together = clock() - begun
        for owner in owners[half:]:
            index.update(connection, [owner])
        alone = clock() - begun - together
    print(f"to add a member: {1000 * together / half:.2f} ms of {half} at once, "
          f"{1000 * alone / (len(owners) - half):.2f} ms alone")  # fmt: skip


if __name__ == "__main__":
    args = [arg for arg in sys.argv[1:] if not arg.startswith("--")]
    with tempfile.TemporaryDirectory() as folder, ExitStack() as server:
        roster = args[2] if len(args) > 2 else str(Path(folder) / "roster.db")
        if roster == "postgresql":
            programs = postgres_server.programs() or sys.exit("There is no PostgreSQL here.")
            address = server.enter_context(postgres_server.running(programs))
        else:
            address = roster if "://" in roster else f"sqlite:///{roster}"
        main(Path(args[0]), Path(args[1]), address, "--misses" in sys.argv)

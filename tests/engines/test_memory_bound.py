"""No worker of a cluster needs more than it may: parts of files, and blocks of pairs, have no more bytes than they should."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from random import Random
from typing import Any

import cluster_server
import pyarrow as pa
import pytest

from onboard import intake
from onboard.engines.cluster import Cluster
from onboard.match import keys, spread
from onboard.match.many import Folded
from onboard.tasks.find_duplicates import find_duplicates
from onboard.tasks.rows_in_parts import Limits

SIZE, ROWS, BLOCK, PAIRS = 20_000, 100, 250_000, 2_000


@pytest.fixture(scope="module")
def threads() -> Iterator[Cluster]:
    with cluster_server.threads() as engine:
        yield engine


def crowded(file: Path, rows: int) -> Path:
    """Many who share a name, a home or a phone, and rows of very different sizes."""
    chance = Random(7)
    with file.open("w", encoding="utf-8") as stream:
        stream.write("first,last,email,phone,street,city,zip\n")
        for n in range(rows):
            long = "x" * chance.choice((0, 0, 0, 300))
            home = chance.randrange(rows // 25)
            stream.write(
                f"{chance.choice(('Ana', 'Bo', 'Cy'))},Quill{chance.choice('abc')},ana{long}{n}@example.org,"
                f"202-555-{home:04},{home} Elm St,Lima,45801\n"
            )
    return file


def test_what_a_worker_holds_has_no_more_bytes_than_it_may(
    threads: Cluster, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("onboard.tasks.find_duplicates.SHARE", Limits(SIZE, ROWS))
    monkeypatch.setattr(spread, "BLOCK", BLOCK)
    monkeypatch.setattr(spread, "PAIRS_AT_ONCE", PAIRS)
    monkeypatch.setattr(spread, "CELL", 2)
    sheet = intake.open_rows(crowded(tmp_path / "rows.csv", 260), needed=())
    alone = find_duplicates(sheet)
    tables: dict[tuple[str, ...], list[pa.Table]] = defaultdict(list)
    folded: list[Folded] = []
    shuffled, submit = threads.shuffled, threads.submit

    def seen_shuffled(some: Sequence[Any], schema: pa.Schema, homes: int) -> list[Any]:
        found = shuffled(some, schema, homes)
        tables[tuple(schema.names)] += threads.results([*some, *found])
        return found

    def seen_submit(work: Callable[..., Any], *of: Any) -> Any:
        future = submit(work, *of)
        if work.__name__ == "_folded":
            folded.append(future)
        return future

    monkeypatch.setattr(threads, "shuffled", seen_shuffled)
    monkeypatch.setattr(threads, "submit", seen_submit)
    assert find_duplicates(sheet, engine=threads) == alone

    parts = threads.results(folded)
    assert sum(part.size for part in parts) == 260
    assert 0 < max(part.size for part in parts) <= ROWS
    pairs, guests = (tables[tuple(schema.names)] for schema in (spread.PAIRS, spread.GUESTS))
    at_most = keys.CROWD * (keys.CROWD - 1) // 2  # pairs of one key
    assert PAIRS / 2 < max(map(len, pairs)) < PAIRS + at_most
    assert BLOCK / 2 < max(map(weight, guests)) <= BLOCK
    assert sum(map(len, guests)) == 2 * alone.compared  # where they come from and where they go


def weight(guests: pa.Table) -> int:
    """How many bytes the numbers and letters of a table of pairs take."""
    lengths = (sum(map(len, column.to_pylist())) for column in guests.columns[3:])
    return len(guests) * (3 * 4 + 8 * (guests.num_columns - 3)) + sum(lengths)

"""How fast names are cleaned and handles made, beside bare nameparser in the same run.

    python tests/benchmarks/names.py [ROWS]

Prints rates in names a second of process time, and the ratio to nameparser, which only splits.
The people are drawn from the 1990 Census lists; a tenth of the rows are untidy.
"""

from __future__ import annotations

import random
import subprocess
import sys
import time
from collections.abc import Callable, Sequence

from nameparser import HumanName

from onboard import handles
from onboard.clean import name
from onboard.tables import rows

UNTIDY = (
    "{1}, {0}", "Dr. {0} Q. {1} Jr.", "{0} & Robin {1}", "{0} {1} (born Diaz)", "{0}\u200b {1}",
    "José {1}", "{0} O’{1}", "{0} {1}, RN", "{0} van der {1}", "{0} {1} {0}@example.org",
)  # fmt: skip


def rate(work: Callable[..., object], texts: Sequence[tuple[str, ...]]) -> float:
    """Texts a second of process time, the best of three rounds."""
    best = float("inf")
    for _ in range(3):
        before = time.process_time()
        for text in texts:
            work(*text)
        best = min(best, time.process_time() - before)
    return len(texts) / best


def main(count: int) -> None:
    random.seed(19900401)
    people = list(zip(drawn(1, count), drawn(2, count), strict=True))
    tidy = [(f"{first} {last}",) for first, last in people]
    loud = [(text.upper(),) for (text,) in tidy]
    untidy = [(UNTIDY[n % len(UNTIDY)].format(*pair),) for n, pair in enumerate(people)]
    mixed = [untidy[n] if n % 10 == 0 else tidy[n] for n in range(count)]
    values = [(value,) for (text,) in mixed if (value := name.clean(text).value)]

    bare = rate(HumanName, mixed)
    print(f"{'nameparser, the mixed rows':42}{bare:>10,.0f} /s")
    for what, work, texts in (
        ("name.clean, as written", name.clean, tidy),
        ("name.clean, first and last in columns", by_columns, people),
        ("name.clean, all capitals", name.clean, loud),
        ("name.clean, untidy", name.clean, untidy),
        ("name.clean, the mixed rows", name.clean, mixed),
        ("handles.clean of a cleaned name", handles.clean, values),
    ):
        speed = rate(work, texts)
        print(f"{what:42}{speed:>10,.0f} /s   {speed / bare:5.1f} × nameparser")
    print(f"{'first name cleaned in a new process':42}{cold():>10.0f} ms more than an empty one")


def drawn(column: int, count: int) -> list[str]:
    """First (1) or last names (2), as often as people bear them."""
    table = rows("census_names")
    weights = [int(row[column]) for row in table]
    return random.choices([row[0].title() for row in table], weights, k=count)


def by_columns(first: str, last: str) -> object:
    return name.clean(given=first, family=last)


def cold() -> float:
    """Milliseconds from starting Python to the first cleaned name, less an empty Python."""

    def took(code: str) -> float:
        before = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        return (time.perf_counter() - before) * 1000

    work = "from onboard.clean import name; name.clean('Pat Lee')"
    return min(took(work) for _ in range(5)) - min(took("pass") for _ in range(5))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5_000)

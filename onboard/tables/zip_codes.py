"""The table of ZIP codes, kept as text: a line a code, cut into its cells only when asked for."""

from __future__ import annotations

from functools import cache
from importlib.resources import files


@cache
def lines() -> dict[str, str]:
    """Each ZIP code's line of zip_codes.tsv: see the head of that file for its cells."""
    text = (files(__package__) / "zip_codes.tsv").read_text("utf-8")
    return {line[:5]: line for line in text.splitlines() if not line.startswith("#")}


@cache
def cities() -> frozenset[str]:
    """Every name that some post office uses for its place.

    >>> "LIMA" in cities()
    True
    """
    return frozenset(line.split("\t", 2)[1] for line in lines().values())


def names(zip5: str) -> tuple[str, ...]:
    """The names of the place of a five-digit ZIP code, the post office's own first; () if it is unknown.

    >>> names("10001")[0]
    'NEW YORK'
    """
    if (line := lines().get(zip5)) is None:
        return ()
    cells = line.split("\t")
    return (cells[1], *filter(None, cells[7].split(";")))

"""Which given names are one person's: Bob is Robert, and so is Rob."""

from __future__ import annotations

from functools import cache

from nicknames import name_triplets

from onboard import tables


@cache
def _full_names() -> dict[str, frozenset[str]]:
    """For each name, the full names that it can stand for, itself among them if it is one."""
    found: dict[str, set[str]] = {}
    pairs = [(full.lower(), short.lower()) for full, _, short in name_triplets()]
    pairs += [(full, short) for full, short, *_ in tables.rows("nicknames")]
    for full, short in pairs:
        found.setdefault(full, set()).add(full)
        found.setdefault(short, set()).add(full)
    return {name: frozenset(full) for name, full in found.items()}


def alike(one: str, other: str) -> bool:
    """Whether both names can stand for one full name. Both in small letters.

    >>> alike("bob", "robert"), alike("bob", "rob"), alike("bob", "ana")
    (True, True, False)
    """
    full = _full_names()
    return not full.get(one, frozenset()).isdisjoint(full.get(other, frozenset()))

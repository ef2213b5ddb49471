"""Given names that one person bears, and whose they are: Bob is Robert; Justina is not Justin."""

from __future__ import annotations

from functools import cache

from nicknames import name_triplets

from onboard import tables


@cache
def _short_forms() -> frozenset[tuple[str, str]]:
    """(full, short). Where a list has a pair both ways round, as Bob and Robert, the longer is full."""
    pairs = {(full.lower(), short.lower()) for full, _, short in name_triplets()}
    pairs |= {(full, short) for full, short, *_ in tables.rows("nicknames")}
    return frozenset(
        (full, short)
        for full, short in pairs
        if (short, full) not in pairs or len(full) > len(short)
    )


@cache
def _full_names() -> dict[str, frozenset[str]]:
    """For each short form the names that it can stand for."""
    found: dict[str, set[str]] = {}
    for full, short in _short_forms():
        found.setdefault(short, set()).add(full)
    return {short: frozenset(full) for short, full in found.items()}


@cache
def _sexes() -> dict[str, str]:
    return {name: sex for name, sex, *_ in tables.rows("given_names")}


def is_short_for(one: str, other: str) -> bool:
    """Whether either name is a short form of the other. Both in small letters.

    >>> is_short_for("robert", "bob"), is_short_for("bill", "william"), is_short_for("bob", "ann")
    (True, True, False)
    """
    return (one, other) in _short_forms() or (other, one) in _short_forms()


def have_one_full(one: str, other: str) -> bool:
    """Whether both names are short forms of one name.

    >>> have_one_full("bob", "rob"), have_one_full("bob", "ann")
    (True, False)
    """
    full = _full_names()
    return not full.get(one, frozenset()).isdisjoint(full.get(other, frozenset()))


@cache
def _short_names() -> dict[str, frozenset[str]]:
    """For each name the short forms of it."""
    found: dict[str, set[str]] = {}
    for full, short in _short_forms():
        found.setdefault(full, set()).add(short)
    return {full: frozenset(short) for full, short in found.items()}


def kin(name: str) -> frozenset[str]:
    """The names that somebody called so may have on paper, and those they may go by.

    >>> sorted(kin("lupita")), "william" in kin("bill"), "ann" in kin("bill")
    (['guadalupe', 'lupe'], True, False)
    """
    nobody: frozenset[str] = frozenset()
    full = _full_names().get(name, nobody)
    found = full.union(_short_names().get(name, nobody), *(_short_names()[one] for one in full))
    return found - {name}


def sex(name: str) -> str:
    """ "m" if the name is a man's, "w" if a woman's, "mw" if both, "" if it is on no list."""
    return _sexes().get(name, "")


def of_two_sexes(one: str, other: str) -> bool:
    """Whether one is a man's name and the other a woman's.

    >>> of_two_sexes("justin", "justina"), of_two_sexes("lee", "leah")
    (True, False)
    """
    return {sex(one), sex(other)} == {"m", "w"}

"""Given names that one person bears, and whose they are: Bob is Robert; Justina is not Justin."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from nicknames import name_triplets
from rapidfuzz.distance import OSA

from onboard import tables
from onboard.match import written_names

NOBODY: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class ShortForms:
    """Which given names are short or pet forms of which. All in small letters.

    >>> shipped().join("robert", "bob"), shipped().join("bill", "william")
    (True, True)
    >>> shipped().join("bob", "ann"), besides([("annegret", "bob")]).join("bob", "annegret")
    (False, True)
    """

    full: Mapping[str, frozenset[str]]  # for each short form the names that it can stand for

    def join(self, one: str, other: str) -> bool:
        """Whether either name is a short form of the other."""
        return other in self.full.get(one, NOBODY) or one in self.full.get(other, NOBODY)

    def have_one_full(self, one: str, other: str) -> bool:
        """Whether both names are short forms of one name.

        >>> shipped().have_one_full("bob", "rob"), shipped().have_one_full("bob", "ann")
        (True, False)
        """
        return not self.full.get(one, NOBODY).isdisjoint(self.full.get(other, NOBODY))


@cache
def shipped() -> ShortForms:
    """The short forms that come with the package."""
    return besides(())


def besides(more: Iterable[tuple[str, str]]) -> ShortForms:
    """The short forms that come with the package, and these: (full, short), in small letters.

    Where lists have a pair both ways round, as Bob and Robert, the longer is full; of two as long as each other, what
    our own list says.
    """
    pairs = {(full.lower(), short.lower()) for full, _, short in name_triplets()}
    own = {(full, short) for full, short, *_ in tables.rows("nicknames")}
    pairs |= own
    pairs |= set(written_names.short())
    pairs |= set(more)
    found: dict[str, set[str]] = {}
    for full, short in pairs:
        is_turned = (short, full) in pairs and (full, short) not in own
        if not is_turned or len(full) > len(short):
            found.setdefault(short, set()).add(full)
    return ShortForms({short: frozenset(names) for short, names in found.items()})


def is_short_for(one: str, other: str) -> bool:
    """Whether either name is a short form of the other, as shipped."""
    return shipped().join(one, other)


@cache
def _seldom() -> frozenset[tuple[str, str]]:
    marked = ((full, short, *more) for full, short, *more in tables.rows("nicknames"))
    return frozenset((full, short) for full, short, *more in marked if more == ["seldom"])


def is_seldom(short: str, full: str) -> bool:
    """Whether who goes by the short form mostly has another name than this one.

    >>> is_seldom("patsy", "martha"), is_seldom("patsy", "patricia")
    (True, False)
    """
    return (full, short) in _seldom()


def have_one_full(one: str, other: str) -> bool:
    """Whether both names are short forms of one name, as shipped."""
    return shipped().have_one_full(one, other)


@cache
def _short_names() -> dict[str, frozenset[str]]:
    """For each name the short forms of it."""
    found: dict[str, set[str]] = {}
    for short, names in shipped().full.items():
        for full in names:
            found.setdefault(full, set()).add(short)
    return {full: frozenset(short) for full, short in found.items()}


def kin(name: str) -> frozenset[str]:
    """The names that somebody called so may have on paper, and those they may go by.

    >>> sorted(kin("lupita")), "william" in kin("bill"), "ann" in kin("bill")
    (['gpe', 'guadalupe', 'lupe'], True, False)
    """
    full = shipped().full.get(name, NOBODY)
    found = full.union(_short_names().get(name, NOBODY), *(_short_names()[one] for one in full))
    return found - {name}


@cache
def _sexes() -> dict[str, str]:
    return {name: sex for name, sex, *_ in tables.rows("given_names")}


def sex(name: str) -> str:
    """ "m" if the name is a man's, "w" if a woman's, "mw" if both, "" if it is on no list."""
    return _sexes().get(name, "")


def of_two_sexes(one: str, other: str) -> bool:
    """Whether one is a man's name and the other a woman's.

    >>> of_two_sexes("justin", "justina"), of_two_sexes("lee", "leah")
    (True, False)
    """
    return {sex(one), sex(other)} == {"m", "w"}


def are_two(one: str, other: str) -> bool:
    """Whether both are names that people bear, and not one name spelled in two ways.

    A slip hardly ever makes another name of a name; two sisters have two.

    >>> are_two("anna", "annabel"), are_two("anna", "ana"), are_two("anna", "anma")
    (True, False, False)
    """
    return bool(sex(one) and sex(other)) and sound(one) != sound(other)


def one_is_listed(one: str, other: str) -> bool:
    """Whether one is a name on a list, and the other is not."""
    return bool(sex(one)) != bool(sex(other))


def none_is_listed(one: str, other: str) -> bool:
    """Whether neither is a name on a list."""
    return not sex(one) and not sex(other)


def slip_of_kin(one: str, other: str) -> bool:
    """Whether either is on no list, and a slip away from what somebody called like the other goes by.

    >>> slip_of_kin("jhon", "johnny"), slip_of_kin("ajmes", "jimmy"), slip_of_kin("john", "joan")
    (True, True, False)
    """
    if not one_is_listed(one, other):
        return False
    listed, slip = (one, other) if sex(one) else (other, one)
    return len(slip) >= 3 and any(
        OSA.distance(slip, name, score_cutoff=1) <= 1
        for name in kin(listed)
        if name[0] == slip[0] or name[:2] == slip[1::-1]
    )


# Spelled in two ways, said in one; each is put in the place of the one before it.
SPELLINGS = tuple(
    (re.compile(said), sounds)
    for said, sounds in (
        ("ph|v", "f"), ("c(?=[eiy])", "s"), ("ch|ck|qu?|c", "k"), ("z", "s"), ("g(?=[eiy])", "j"),
        ("(?<!^)h", ""), ("y|ie|ea|ee|ey|ei", "i"), ("a[uw]", "o"), (r"(.)\1+", r"\1"),
        ("(?<=[^aeiou])e$", ""),
    )
)  # fmt: skip


@cache
def sound(name: str) -> str:
    """What a name in small letters sounds like, roughly: equal for the spellings of one name.

    >>> sound("kathryn") == sound("cathrin"), sound("maria") == sound("marie")
    (True, False)
    """
    for said, sounds in SPELLINGS:
        name = said.sub(sounds, name)
    return name

"""Who belongs together: ties between pairs become groups of one person each.

The strongest tie is taken first. Two groups become one only if nobody in the one speaks against
anybody in the other, so that a chain of likenesses never joins people who are plainly two: a
father and a son who share a phone with a row that leaves out the suffix. What a person has ruled
always wins over evidence; and of two rulings that contradict each other, "not the same" wins, as a
merged account is harder to take apart than two accounts are to merge.

Owners are counted here, by their places, and ties are arrays: a list may have millions of them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from onboard.match.called import Called
from onboard.match.columns import Flags, Index
from onboard.match.found_groups import Group, Groups
from onboard.match.growing import Ruled, grown
from onboard.match.texts import texts
from onboard.match.ties import Tie, Ties

# From this confidence on, two rows are put together unless something speaks against it.
TIED = 0.65
# Two rows speak against each other below this. It is less than makes a pair not worth a question:
# one row full of slips must not part those whom many others tie together.
AGAINST = 0.01


@dataclass(frozen=True, slots=True)
class Rulings:
    """What a person has said of pairs of ids."""

    same: Collection[tuple[str, str]] = ()
    apart: Collection[tuple[str, str]] = ()

    def __len__(self) -> int:
        return len(self.same) + len(self.apart)

    def of(self, ids: Called) -> tuple[Index, Index, Flags]:
        """The places in `ids`, from 0, of the pairs of which both are there, and which are one person."""
        pairs = dict.fromkeys(self.same, True) | dict.fromkeys(self.apart, False)
        place = ids.places({one for pair in pairs for one in pair})
        there = [
            (place[a], place[b], one) for (a, b), one in pairs.items() if {a, b} <= place.keys()
        ]
        here = np.array([(min(a, b), max(a, b)) for a, b, _ in there], np.int32).reshape(-1, 2)
        return here[:, 0], here[:, 1], np.array([one for _, _, one in there], np.bool_)


NO_RULINGS = Rulings()


def group(
    owners: Sequence[str],
    ties: Ties | Iterable[Tie],
    *,
    rulings: Rulings = NO_RULINGS,
    together: Collection[Group] = (),
    tied: float = TIED,
    chains: bool = True,
) -> Groups:
    """The groups of two and more among `owners`, who are in the order they came.

    `ties` are pairs with their confidence, those that speak against (less than `AGAINST`) among
    them. `together` are groups found before: new rows join them, and they stay as they are but for
    a ruling "apart". Without `chains`, a row joins a group only if it is tied to everybody in it.

    >>> [g.members for g in group("abc", [Tie("a", "b", 0.99), Tie("b", "c", 0.9)])]
    [('a', 'b', 'c')]
    >>> ties = [Tie("a", "b", 0.99), Tie("b", "c", 0.9), Tie("a", "c", 0.001)]
    >>> [g.members for g in group("abc", ties)]
    [('a', 'b')]
    >>> [g.members for g in group("abc", ties[:2], chains=False)]
    [('a', 'b')]
    """
    called = _called(owners)
    head, weakest = grown(
        called, *_told(called, ties, rulings, tied), _ruled(called, rulings, together), chains
    )
    size = np.bincount(head, minlength=len(head))
    firsts = np.flatnonzero(size > 1)
    members = np.flatnonzero(size[head] > 1).astype(np.int32)
    members = members[np.argsort(head[members], kind="stable")]
    ends = np.cumsum(size[firsts])
    return Groups(
        called, members, ends, weakest[firsts], _kept_names(called, members, ends, together)
    )


@dataclass(frozen=True, slots=True)
class Surely:
    """Who is surely one person: whoever asks about two of them asks about all."""

    called: Called
    person: Index  # of each owner, by place, the first one of those who are the same
    apart: Collection[frozenset[int]]  # two such people whom a person has told apart

    def between(self, one: str, other: str) -> frozenset[int]:
        """Which two people a pair is about; one, if both are surely a third."""
        place = self.called.places({one, other})
        return frozenset(self.person[[place[one], place[other]]].tolist())


def surely(
    owners: Sequence[str],
    ties: Ties | Iterable[Tie],
    *,
    rulings: Rulings = NO_RULINGS,
    chains: bool = True,
) -> Surely:
    """Who is surely one person by ties that need no question; those that speak against are among them.

    >>> found = surely("abcd", [Tie("a", "b", 0.99), Tie("b", "c", 0.97)])
    >>> len(found.between("a", "c")), found.between("a", "d") == found.between("c", "d")
    (1, True)
    """
    called = _called(owners)
    ruled = _ruled(called, rulings, ())
    person, _ = grown(called, *_told(called, ties, rulings, TIED), ruled, chains)
    apart = {frozenset(person[list(pair)].tolist()) for pair in ruled.never}
    return Surely(called, person, apart)


def _called(owners: Sequence[str]) -> Called:
    return owners if isinstance(owners, Called) else Called(texts(list(owners)))


def _told(
    called: Called, ties: Ties | Iterable[Tie], rulings: Rulings, tied: float
) -> tuple[Ties, Ties]:
    """The ties that may hold groups together, and those that speak against; but for pairs that a person has ruled on."""
    if not isinstance(ties, Ties):
        some = list(ties)
        place = called.places({one for tie in some for one in (tie.one, tie.other)})
        one, other = (
            np.array([place[name] for name in names], np.int32)
            for names in ([tie.one for tie in some], [tie.other for tie in some])
        )
        ties = Ties(one, other, np.array([tie.confidence for tie in some]))
    ruled = np.array(
        [
            one * len(called) + other
            for one, other in (*_places(called, rulings.same), *_places(called, rulings.apart))
        ],
        np.int64,
    )
    one, other = np.minimum(ties.one, ties.other), np.maximum(ties.one, ties.other)
    free = (one != other) & ~np.isin(one.astype(np.int64) * len(called) + other, ruled)
    return (
        ties.only(free & (ties.confidence >= tied)),
        ties.only(free & (ties.confidence < min(AGAINST, tied))),
    )


def _ruled(called: Called, rulings: Rulings, together: Collection[Group]) -> Ruled:
    """What holds owners together whatever the evidence says, and what keeps them apart."""
    never = _places(called, rulings.apart)
    firm = dict.fromkeys(_places(called, rulings.same).keys() - never.keys(), 1.0)
    place = called.places({member for found in together for member in found.members})
    held: dict[tuple[int, int], float] = {}
    for found in together:  # of members who are not there any more the others do not depend
        still = [place[member] for member in found.members if member in place]
        held |= {(min(still[0], one), max(still[0], one)): found.weakest for one in still[1:]}
    return Ruled({pair: held[pair] for pair in held if pair[0] != pair[1]} | firm, never.keys())


def _places(called: Called, pairs: Iterable[tuple[str, str]]) -> dict[tuple[int, int], None]:
    """The owners of these pairs by their places, the earlier one first, where both are there and are two."""
    pairs = list(pairs)
    place = called.places({one for pair in pairs for one in pair})
    both = [(place[one], place[other]) for one, other in pairs if {one, other} <= place.keys()]
    return dict.fromkeys((min(pair), max(pair)) for pair in both if len(set(pair)) == 2)


def _kept_names(
    called: Called, members: Index, ends: NDArray[np.int64], together: Collection[Group]
) -> dict[int, str]:
    """The names of groups, by their places, that keep one, or whose first member has the name of another."""
    kept = {member: found.id for found in together for member in found.members}
    known = {place: kept[member] for member, place in called.places(kept).items()}
    called_alike = set(called.places(set(kept.values())).values())
    names: dict[int, str] = {}
    taken: set[str] = set()
    at = np.flatnonzero(np.isin(members, list(known.keys() | called_alike)))
    for group in np.unique(np.searchsorted(ends, at, "right")).tolist():
        ours = members[ends[group - 1] if group else 0 : ends[group]]
        some = (*(known[member] for member in ours.tolist() if member in known), *called.at(ours))
        names[group] = next(name for name in some if name not in taken)
        taken.add(names[group])
    return names

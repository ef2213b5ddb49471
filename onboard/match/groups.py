"""Who belongs together: ties between pairs become groups of one person each.

The strongest tie is taken first. Two groups become one only if nobody in the one speaks against
anybody in the other, so that a chain of likenesses never joins people who are plainly two: a
father and a son who share a phone with a row that leaves out the suffix. What a person has ruled
always wins over evidence; and of two rulings that contradict each other, "not the same" wins, as a
merged account is harder to take apart than two accounts are to merge.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from onboard.match.columns import Flags, Index

# From this confidence on, two rows are put together unless something speaks against it.
TIED = 0.6
# Two rows speak against each other below this. It is less than makes a pair not worth a question:
# one row full of slips must not part those whom many others tie together.
AGAINST = 0.01


@dataclass(frozen=True, slots=True)
class Tie:
    """The confidence that two owners are one person."""

    one: str
    other: str
    confidence: float


@dataclass(frozen=True, slots=True)
class Group:
    """Owners who are one person.

    The group is called by the member who came first, so adding rows never renames it; and one that
    was found before keeps its name, in whatever order rows come now.
    """

    id: str
    members: tuple[str, ...]  # in the order they came
    weakest: float  # confidence of the weakest tie that holds it together; 1 for rulings


@dataclass(frozen=True, slots=True)
class Rulings:
    """What a person has said of pairs of ids."""

    same: Collection[tuple[str, str]] = ()
    apart: Collection[tuple[str, str]] = ()

    def __len__(self) -> int:
        return len(self.same) + len(self.apart)

    def of(self, ids: Sequence[str]) -> tuple[Index, Index, Flags]:
        """The places of the pairs of which both are there, and which are one person."""
        place = {one: at for at, one in enumerate(ids)}
        pairs = dict.fromkeys(self.same, True) | dict.fromkeys(self.apart, False)
        there = [
            (place[a], place[b], one) for (a, b), one in pairs.items() if {a, b} <= place.keys()
        ]
        here = np.array([(min(a, b), max(a, b)) for a, b, _ in there], np.int32).reshape(-1, 2)
        return here[:, 0], here[:, 1], np.array([one for _, _, one in there], np.bool_)


NO_RULINGS = Rulings()


def group(
    owners: Sequence[str],
    ties: Iterable[Tie],
    *,
    same: Collection[tuple[str, str]] = (),
    apart: Collection[tuple[str, str]] = (),
    together: Collection[Group] = (),
    tied: float = TIED,
    against: float = AGAINST,
    chains: bool = True,
) -> list[Group]:
    """The groups of two and more among `owners`, who are in the order they came.

    `ties` are pairs with their confidence, those that speak against (less than `against`) among
    them. `same` and `apart` are pairs that a person has ruled on. `together` are groups found
    before: new rows join them, and they stay as they are but for an `apart` ruling. Without
    `chains`, a row joins a group only if it is tied to everybody in it.

    >>> [g.members for g in group("abc", [Tie("a", "b", 0.99), Tie("b", "c", 0.9)])]
    [('a', 'b', 'c')]
    >>> ties = [Tie("a", "b", 0.99), Tie("b", "c", 0.9), Tie("a", "c", 0.001)]
    >>> [g.members for g in group("abc", ties)]
    [('a', 'b')]
    >>> [g.members for g in group("abc", ties[:2], chains=False)]
    [('a', 'b')]
    """
    place = {owner: at for at, owner in enumerate(owners)}
    ruled_apart = {frozenset(pair) for pair in apart}
    ruled_same = {frozenset(pair) for pair in same if place.keys() >= set(pair)} - ruled_apart
    held: dict[frozenset[str], float] = {}
    for found in together:  # of members who are not there any more the others do not depend
        still = [member for member in found.members if member in place]
        held |= {frozenset((still[0], member)): found.weakest for member in still[1:]}
    firm: dict[frozenset[str], float] = dict.fromkeys(ruled_same, 1.0)
    firm |= {pair: held[pair] for pair in held if pair not in firm}
    doubts: dict[str, set[str]] = {}  # who speaks against whom
    never: dict[str, set[str]] = {}  # who was ruled apart from whom
    for pair in ruled_apart:
        _note(never, pair)
    tentative: list[tuple[float, str, str]] = []
    holds = set(firm)
    for tie in ties:
        pair = frozenset((tie.one, tie.other))
        if len(pair) < 2 or pair in ruled_same or pair in ruled_apart:
            continue
        if tie.confidence >= tied:
            one, other = sorted(pair)
            tentative.append((-tie.confidence, one, other))
            holds.add(pair)
        elif tie.confidence < against:
            _note(doubts, pair)

    members = {owner: [owner] for owner in owners}
    head = {owner: owner for owner in owners}
    weakest: dict[str, float] = {}

    def merge(one: str, other: str, confidence: float, doubted: bool) -> None:
        a, b = head[one], head[other]
        if a == b:
            return
        if place[b] < place[a]:
            a, b = b, a
        few, many = sorted((members[a], members[b]), key=len)
        if _any_against(never, few, many) or (doubted and _any_against(doubts, few, many)):
            return
        if doubted and not chains and not _all_tied(holds, few, many):
            return
        weakest[a] = min(confidence, weakest.get(a, 1.0), weakest.pop(b, 1.0))
        for owner in members[b]:
            head[owner] = a
        members[a] += members.pop(b)

    for pair, confidence in sorted(
        firm.items(), key=lambda item: sorted(item[0], key=place.__getitem__)
    ):
        one, other = sorted(pair, key=place.__getitem__)
        merge(one, other, confidence, doubted=False)
    for confidence, one, other in sorted(tentative):  # equal ties in an order of their own
        merge(one, other, -confidence, doubted=True)
    called = {member: found.id for found in together for member in found.members}
    taken: set[str] = set()
    groups = []
    for first in owners:
        if head[first] != first or len(members[first]) < 2:
            continue
        ours = tuple(sorted(members[first], key=place.__getitem__))
        names = (*(called[member] for member in ours if member in called), *ours)
        name = next(name for name in names if name not in taken)
        taken.add(name)
        groups.append(Group(name, ours, weakest[first]))
    return groups


def _note(pairs: dict[str, set[str]], pair: frozenset[str]) -> None:
    one, other = sorted(pair)
    pairs.setdefault(one, set()).add(other)
    pairs.setdefault(other, set()).add(one)


def _any_against(pairs: Mapping[str, set[str]], few: Sequence[str], many: Sequence[str]) -> bool:
    return any(
        not pairs.get(owner, frozenset()).isdisjoint(many) for owner in few if owner in pairs
    )


def _all_tied(holds: Collection[frozenset[str]], few: Sequence[str], many: Sequence[str]) -> bool:
    return all(frozenset((one, other)) in holds for one in few for other in many)

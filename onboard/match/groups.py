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
TIED = 0.65
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
        """The places in `ids`, from 0, of the pairs of which both are there, and which are one person."""
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
    rulings: Rulings = NO_RULINGS,
    together: Collection[Group] = (),
    tied: float = TIED,
    chains: bool = True,
) -> list[Group]:
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
    evidence = _Evidence(owners, rulings, together)
    evidence.hear(ties, tied)
    growing = _Growing(owners, evidence, chains)
    place = growing.place
    for pair, confidence in sorted(
        evidence.firm.items(), key=lambda item: sorted(item[0], key=place.__getitem__)
    ):
        one, other = sorted(pair, key=place.__getitem__)
        growing.join(one, other, confidence, doubted=False)
    for confidence, one, other in sorted(evidence.tentative):  # equal ties in an order of their own
        growing.join(one, other, -confidence, doubted=True)
    return _named(growing, together)


@dataclass(frozen=True, slots=True)
class Surely:
    """Who is surely one person: whoever asks about two of them asks about all."""

    group: Mapping[str, str]  # of the owners who are, the id of their group
    apart: Collection[frozenset[str]]  # groups, or single owners, that a person has told apart

    def between(self, one: str, other: str) -> frozenset[str]:
        """Which two people a pair is about, by their groups; one, if both are surely a third."""
        return frozenset((self.group.get(one, one), self.group.get(other, other)))


def surely(
    owners: Sequence[str],
    ties: Iterable[Tie],
    *,
    rulings: Rulings = NO_RULINGS,
    chains: bool = True,
) -> Surely:
    """Who is surely one person by ties that need no question; those that speak against are among them.

    >>> found = surely("abcd", [Tie("a", "b", 0.99), Tie("b", "c", 0.97)])
    >>> len(found.between("a", "c")), found.between("a", "d") == found.between("c", "d")
    (1, True)
    """
    found = group(owners, ties, rulings=rulings, chains=chains)
    of = {member: some.id for some in found for member in some.members}
    return Surely(of, {frozenset(of.get(one, one) for one in pair) for pair in rulings.apart})


class _Evidence:
    """What speaks for and against pairs of owners."""

    def __init__(
        self, owners: Collection[str], rulings: Rulings, together: Collection[Group]
    ) -> None:
        there = frozenset(owners)
        self.apart = {frozenset(pair) for pair in rulings.apart}
        self.same = {frozenset(pair) for pair in rulings.same if there >= set(pair)} - self.apart
        held: dict[frozenset[str], float] = {}
        for found in together:  # of members who are not there any more the others do not depend
            still = [member for member in found.members if member in there]
            held |= {frozenset((still[0], member)): found.weakest for member in still[1:]}
        self.firm = dict.fromkeys(self.same, 1.0)
        self.firm |= {pair: held[pair] for pair in held if pair not in self.firm}
        self.tentative: list[tuple[float, str, str]] = []  # the surest have the least number
        self.holds = set(self.firm)
        self.doubts: dict[str, set[str]] = {}  # who speaks against whom
        self.never: dict[str, set[str]] = {}  # who was ruled apart from whom
        for pair in self.apart:
            _note(self.never, pair)

    def hear(self, ties: Iterable[Tie], tied: float) -> None:
        """Takes the ties in, but for those of pairs that a person has ruled on."""
        for tie in ties:
            pair = frozenset((tie.one, tie.other))
            if len(pair) < 2 or pair in self.same or pair in self.apart:
                continue
            if tie.confidence >= tied:
                one, other = sorted(pair)
                self.tentative.append((-tie.confidence, one, other))
                self.holds.add(pair)
            elif tie.confidence < AGAINST:
                _note(self.doubts, pair)


class _Growing:
    """Groups that grow; each is called by its first owner while it does."""

    def __init__(self, owners: Sequence[str], evidence: _Evidence, chains: bool) -> None:
        self.place = {owner: at for at, owner in enumerate(owners)}
        self.members = {owner: [owner] for owner in owners}
        self.head = {owner: owner for owner in owners}
        self.weakest: dict[str, float] = {}
        self._evidence, self._chains = evidence, chains

    def join(self, one: str, other: str, confidence: float, *, doubted: bool) -> None:
        """Makes the groups of two owners one, if nothing speaks against it."""
        a, b = self.head[one], self.head[other]
        if a == b:
            return
        if self.place[b] < self.place[a]:
            a, b = b, a
        few, many = sorted((self.members[a], self.members[b]), key=len)
        if not self._may_join(few, many, doubted):
            return
        self.weakest[a] = min(confidence, self.weakest.get(a, 1.0), self.weakest.pop(b, 1.0))
        for owner in self.members[b]:
            self.head[owner] = a
        self.members[a] += self.members.pop(b)

    def _may_join(self, few: Sequence[str], many: Sequence[str], doubted: bool) -> bool:
        evidence = self._evidence
        if _any_against(evidence.never, few, many):
            return False
        if not doubted:
            return True
        if _any_against(evidence.doubts, few, many):
            return False
        return self._chains or _all_tied(evidence.holds, few, many)


def _named(grown: _Growing, together: Collection[Group]) -> list[Group]:
    """The groups of two and more under the names that they keep."""
    called = {member: found.id for found in together for member in found.members}
    taken: set[str] = set()
    groups = []
    for first in grown.place:
        if grown.head[first] != first or len(grown.members[first]) < 2:
            continue
        ours = tuple(sorted(grown.members[first], key=grown.place.__getitem__))
        names = (*(called[member] for member in ours if member in called), *ours)
        name = next(name for name in names if name not in taken)
        taken.add(name)
        groups.append(Group(name, ours, grown.weakest[first]))
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

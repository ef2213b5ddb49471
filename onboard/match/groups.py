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

from onboard.match.evidence import IN_DOUBT

# From this confidence on, two rows are put together unless something speaks against it.
TIED = 0.6


@dataclass(frozen=True, slots=True)
class Tie:
    """The confidence that two owners are one person."""

    one: str
    other: str
    confidence: float


@dataclass(frozen=True, slots=True)
class Group:
    """Owners who are one person.

    The group is called by the member who came first, so adding rows never renames it.
    """

    id: str
    members: tuple[str, ...]  # in the order they came
    weakest: float  # confidence of the weakest tie that holds it together; 1 for rulings


def group(
    owners: Sequence[str],
    ties: Iterable[Tie],
    *,
    same: Collection[tuple[str, str]] = (),
    apart: Collection[tuple[str, str]] = (),
    together: Collection[Group] = (),
    tied: float = TIED,
    against: float = IN_DOUBT,
) -> list[Group]:
    """The groups of two and more among `owners`, who are in the order they came.

    `ties` are pairs with their confidence, those that speak against (less than `against`) among
    them. `same` and `apart` are pairs that a person has ruled on. `together` are groups found
    before: new rows join them, and they stay as they are but for an `apart` ruling.

    >>> [g.members for g in group("abc", [Tie("a", "b", 0.99), Tie("b", "c", 0.9)])]
    [('a', 'b', 'c')]
    >>> ties = [Tie("a", "b", 0.99), Tie("b", "c", 0.9), Tie("a", "c", 0.01)]
    >>> [g.members for g in group("abc", ties)]
    [('a', 'b')]
    """
    place = {owner: at for at, owner in enumerate(owners)}
    ruled_apart = {frozenset(pair) for pair in apart}
    ruled_same = {frozenset(pair) for pair in same if place.keys() >= set(pair)} - ruled_apart
    held = {
        frozenset((found.members[0], member)): found.weakest
        for found in together
        for member in found.members[1:]
    }
    firm: dict[frozenset[str], float] = dict.fromkeys(ruled_same, 1.0)
    firm |= {pair: held[pair] for pair in held if pair not in firm}
    doubts: dict[str, set[str]] = {}  # who speaks against whom
    never: dict[str, set[str]] = {}  # who was ruled apart from whom
    for pair in ruled_apart:
        _note(never, pair)
    tentative: list[tuple[float, str, str]] = []
    for tie in ties:
        pair = frozenset((tie.one, tie.other))
        if len(pair) < 2 or pair in ruled_same or pair in ruled_apart:
            continue
        if tie.confidence >= tied:
            one, other = sorted(pair)
            tentative.append((-tie.confidence, one, other))
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
    return [
        Group(first, tuple(sorted(members[first], key=place.__getitem__)), weakest[first])
        for first in owners
        if head[first] == first and len(members[first]) > 1
    ]


def _note(pairs: dict[str, set[str]], pair: frozenset[str]) -> None:
    one, other = sorted(pair)
    pairs.setdefault(one, set()).add(other)
    pairs.setdefault(other, set()).add(one)


def _any_against(pairs: Mapping[str, set[str]], few: Sequence[str], many: Sequence[str]) -> bool:
    return any(
        not pairs.get(owner, frozenset()).isdisjoint(many) for owner in few if owner in pairs
    )

"""Everybody known, and who of them is like a person."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields
from operator import attrgetter

import numpy as np

from onboard.match import keys
from onboard.match.evidence import Pairs, beside
from onboard.match.folds import Folded, fold
from onboard.model import Match, Person


class Known:
    """An index of people by the keys that they share.

    A key of more than `keys.CROWD` owners is passed over, whoever asks and whoever came first, so
    the work for one person is bounded and likeness stays the same both ways.
    """

    def __init__(self) -> None:
        self._spellings: dict[str, dict[Person, Folded]] = {}  # of each owner
        self._by_key: dict[str, dict[str, dict[Person, None]]] = {}  # key, owner, spellings
        self._ahead: dict[tuple[Folded, Folded], tuple[Pairs, int]] = {}

    def add(self, person: Person) -> None:
        """Know this spelling of this owner; knowing it already changes nothing."""
        mine = self._spellings.setdefault(person.owner, {})
        if person in mine:
            return
        folded = mine[person] = fold(person)
        for key in keys.of_folded(folded):
            self._by_key.setdefault(key, {}).setdefault(person.owner, {})[person] = None

    def forget(self, owner: str) -> None:
        """Know none of the owner's spellings any more."""
        for folded in self._spellings.pop(owner, {}).values():
            for key in keys.of_folded(folded):
                owners = self._by_key.get(key, {})
                owners.pop(owner, None)
                if not owners:
                    self._by_key.pop(key, None)

    def alike(self, person: Person) -> list[Person]:
        """The spellings of others that share a key with this person, by owner."""
        return [other for other, _ in self._alike(person.owner, fold(person))]

    def look_ahead(self, people: Sequence[Person]) -> None:
        """Judge at once the pairs that `match` is going to ask about for these people.

        With everybody known now, and among themselves, as they may become known one after the
        other. It changes no answer: many pairs at once cost little more than one.
        """
        mine = [(person.owner, fold(person)) for person in people]
        crowd: dict[str, list[int]] = {}
        for at, (_, folded) in enumerate(mine):
            for key in keys.of_folded(folded):
                crowd.setdefault(key, []).append(at)
        pairs: dict[tuple[Folded, Folded], None] = {}
        for owner, folded in mine:
            pairs |= {(folded, other): None for _, other in self._alike(owner, folded)}
        for together in crowd.values():
            if 1 < len(together) <= keys.CROWD:
                pairs |= {
                    (mine[later][1], mine[earlier][1]): None
                    for n, later in enumerate(together)
                    for earlier in together[:n]
                }
        new = [pair for pair in pairs if pair not in self._ahead]
        if not new:
            return
        everybody = list(dict.fromkeys(folded for pair in new for folded in pair))
        place = {folded: at for at, folded in enumerate(everybody)}
        here, there = (
            np.fromiter((place[pair[side]] for pair in new), np.int32, len(new)) for side in (0, 1)
        )
        judged = Pairs(everybody, here, there)
        self._ahead |= {pair: (judged, at) for at, pair in enumerate(new)}

    def judged(self, folded: Folded, others: Sequence[Folded]) -> list[tuple[Pairs, int]]:
        """Where the evidence on the person beside each of the others stands."""
        found = [
            self._ahead.get((folded, other)) or self._ahead.get((other, folded)) for other in others
        ]
        missing = [other for other, where in zip(others, found, strict=True) if where is None]
        now = beside(folded, missing) if missing else None
        count = iter(range(len(missing)))
        return [where or (now, next(count)) for where in found]  # type: ignore[misc]

    def _alike(self, owner: str, folded: Folded) -> list[tuple[Person, Folded]]:
        found: dict[Person, Folded] = {}
        for key in keys.of_folded(folded):
            owners = self._by_key.get(key, {})
            if len(owners) + (owner not in owners) > keys.CROWD:
                continue
            for other, spellings in owners.items():
                if other != owner:
                    known = self._spellings[other]
                    found.update((spelling, known[spelling]) for spelling in spellings)
        return sorted(found.items(), key=lambda item: _order(item[0]))


_order = attrgetter(*(field.name for field in fields(Person)))  # the owner first


def match(person: Person, known: Known) -> tuple[Match, ...]:
    """Those known who are or may be the person, or share a home with them; the likeliest first.

    One `Match` an owner: the spelling that is most like the person.
    """
    folded = fold(person)
    alike = known._alike(person.owner, folded)
    best: dict[str, tuple[Person, Pairs, int]] = {}
    judged = known.judged(folded, [other for _, other in alike])
    for (other, _), (pairs, at) in zip(alike, judged, strict=True):
        if pairs.different[at] and not pairs.household[at]:
            continue
        before = best.get(other.owner)
        if before is None or pairs.weight[at] > before[1].weight[before[2]]:
            best[other.owner] = other, pairs, at
    order = sorted(best.values(), key=lambda b: (-b[1].weight[b[2]], b[0].owner))
    return tuple(Match(other, pairs.evidence(at, person, other)) for other, pairs, at in order)

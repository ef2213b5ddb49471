"""Everybody known, and who of them is like a person."""

from __future__ import annotations

from dataclasses import fields
from operator import attrgetter

import numpy as np

from onboard.match import keys
from onboard.match.evidence import Beside
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
    if not alike:
        return ()
    others = [other for other, _ in alike]
    beside = Beside(person, folded, others, [found for _, found in alike])
    weight = beside.judged.weight
    best: dict[str, int] = {}
    for at in np.flatnonzero(~beside.different | beside.household).tolist():
        owner = others[at].owner
        if owner not in best or weight[at] > weight[best[owner]]:
            best[owner] = at
    order = sorted(best.values(), key=lambda at: (-weight[at], others[at].owner))
    return tuple(Match(others[at], beside.evidence(at)) for at in order)

"""Everybody known, and who of them is like a person."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import fields, replace
from itertools import combinations
from operator import attrgetter

import numpy as np

from onboard.match import keys
from onboard.match.evidence import Pairs, beside
from onboard.match.folds import Folded, fold
from onboard.model import Match, Person


class _Spelling:
    """A person with what matching makes of them, made once."""

    __slots__ = ("folded", "keys", "person")

    def __init__(self, person: Person, folded: Folded, found: Collection[str]) -> None:
        self.person, self.folded, self.keys = person, folded, found


class Known:
    """An index of people by the keys that they share.

    A key of more than `keys.CROWD` owners is passed over, whoever asks and whoever came first, so
    the work for one person is bounded and likeness stays the same both ways.
    """

    def __init__(self) -> None:
        self._made: dict[Person, _Spelling] = {}
        self._spellings: dict[str, dict[Person, _Spelling]] = {}  # of each owner
        self._by_key: dict[str, dict[str, dict[Person, _Spelling]]] = {}  # key, owner, spellings
        # Where the evidence on two foldings stands, by their identities.
        self._ahead: dict[tuple[int, int], tuple[Pairs, int]] = {}

    def keys_of(self, person: Person) -> Collection[str]:
        """The person's keys, as `keys.of` gives them."""
        return self._spelling(person).keys

    def add(self, person: Person, owner: str = "", *, by: Collection[str] | None = None) -> None:
        """Know this spelling of this owner, who is the person's unless another is named.

        Knowing it already changes nothing. With `by`, it is found by no other keys than these.
        """
        made = self._spelling(person)
        if owner and owner != person.owner:
            made = _Spelling(replace(person, owner=owner), made.folded, made.keys)
            made = self._made.setdefault(made.person, made)
        person, owner = made.person, made.person.owner
        self._spellings.setdefault(owner, {})[person] = made
        for key in made.keys if by is None else by:
            self._by_key.setdefault(key, {}).setdefault(owner, {})[person] = made

    def forget(self, owner: str) -> None:
        """Know none of the owner's spellings any more."""
        for made in self._spellings.pop(owner, {}).values():
            for key in made.keys:
                owners = self._by_key.get(key, {})
                owners.pop(owner, None)
                if not owners:
                    self._by_key.pop(key, None)

    def alike(self, person: Person) -> list[Person]:
        """The spellings of others that share a key with this person, by owner."""
        return [other.person for other in self._alike(self._spelling(person))]

    def look_ahead(self, people: Sequence[Person]) -> None:
        """Judge at once the pairs that `match` is going to ask about for these people.

        With everybody known now, and among themselves, as they may become known one after the
        other. It changes no answer: many pairs at once cost little more than one.
        """
        mine = [self._spelling(person) for person in people]
        crowd: dict[str, list[Folded]] = {}
        pairs: dict[tuple[int, int], tuple[Folded, Folded]] = {}
        for made in mine:
            one = made.folded
            for key in made.keys:
                crowd.setdefault(key, []).append(one)
            for other in self._alike(made):
                pairs[id(one), id(other.folded)] = (one, other.folded)
        for together in crowd.values():
            if 1 < len(together) <= keys.CROWD:
                for pair in combinations(together, 2):
                    pairs[id(pair[0]), id(pair[1])] = pair
        new = {where: pair for where, pair in pairs.items() if where not in self._ahead}
        if not new:
            return
        place: dict[int, int] = {}
        everybody: list[Folded] = []
        for pair in new.values():
            for folded in pair:
                if place.setdefault(id(folded), len(everybody)) == len(everybody):
                    everybody.append(folded)
        here, there = (
            np.fromiter((place[where[side]] for where in new), np.int32, len(new))
            for side in (0, 1)
        )
        judged = Pairs(everybody, here, there)
        self._ahead.update((where, (judged, at)) for at, where in enumerate(new))

    def judged(self, folded: Folded, others: Sequence[Folded]) -> list[tuple[Pairs, int]]:
        """Where the evidence on the person beside each of the others stands."""
        me, ahead = id(folded), self._ahead
        found = [ahead.get((me, id(other))) or ahead.get((id(other), me)) for other in others]
        missing = [other for other, where in zip(others, found, strict=True) if where is None]
        now = beside(folded, missing) if missing else None
        count = iter(range(len(missing)))
        return [where or (now, next(count)) for where in found]  # type: ignore[misc]

    def _spelling(self, person: Person) -> _Spelling:
        made = self._made.get(person)
        if made is None:
            folded = fold(person)
            made = self._made[person] = _Spelling(
                person, folded, tuple(dict.fromkeys(keys.of_folded(folded)))
            )
        return made

    def _alike(self, made: _Spelling) -> list[_Spelling]:
        owner, found = made.person.owner, {}
        for key in made.keys:
            owners = self._by_key.get(key)
            if owners is None or len(owners) + (owner not in owners) > keys.CROWD:
                continue
            for other, spellings in owners.items():
                if other != owner:
                    for spelling in spellings.values():
                        found[id(spelling)] = spelling
        return sorted(found.values(), key=_order)


# The owner first.
_order = attrgetter(*(f"person.{field.name}" for field in fields(Person)))


def match(person: Person, known: Known) -> tuple[Match, ...]:
    """Those known who are or may be the person, or share a home with them; the likeliest first.

    One `Match` an owner: the spelling that is most like the person.
    """
    made = known._spelling(person)
    alike = known._alike(made)
    best: dict[str, tuple[Person, Pairs, int]] = {}
    judged = known.judged(made.folded, [other.folded for other in alike])
    for other, (pairs, at) in zip(alike, judged, strict=True):
        if pairs.different[at] and not pairs.household[at]:
            continue
        owner = other.person.owner
        before = best.get(owner)
        if before is None or pairs.weight[at] > before[1].weight[before[2]]:
            best[owner] = other.person, pairs, at
    order = sorted(best.values(), key=lambda b: (-b[1].weight[b[2]], b[0].owner))
    return tuple(Match(other, pairs.evidence(at, person, other)) for other, pairs, at in order)

"""An account that more than one person goes by: "Rob & Delia Marsh" on one form, in one account."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from onboard.lookup.clue import Clue
from onboard.lookup.costs import SOUND
from onboard.lookup.slips import word
from onboard.match import folds
from onboard.model import Person, PersonName


def others(own: PersonName, people: Iterable[Person]) -> tuple[str, ...]:
    """Whom else an account in this name is known by, of all who stand on its forms, each once.

    Whoever is the member under another spelling, a pet form or a middle name is nobody else.

    >>> delia = PersonName("Delia", family="Marsh")
    >>> others(delia, [Person("member:1", given="Rob", family="Marsh", joint=("Delia",))])
    ('Rob Marsh',)
    >>> others(delia, [Person("member:1", given="Deelia", family="Marsh")])
    ()
    """
    found = {f"{one.given} {one.family}".strip(): None for one in own.joint if one.given}
    for person in people:
        givens = [given for given in (person.given, *person.joint) if given]
        if person.joint:  # one of them is the member, and nobody else is, however alike they are
            givens.remove(min(givens, key=lambda given: _cost(own, given)))
        for given in givens:
            if person.joint or _cost(own, given) > SOUND:
                found[f"{given} {person.family or own.family}".strip()] = None
    return tuple(found)


def says_which(clues: Iterable[Clue], own: PersonName, besides: Sequence[str]) -> bool:
    """Whether what was said names the one whose account it is, and none of the others."""
    named = [clue.known for clue in clues if clue.agrees and clue.kind.endswith("name")]
    return any(map(_words(own).__contains__, _each(named))) and not says_other(clues, besides)


def says_other(clues: Iterable[Clue], besides: Sequence[str]) -> bool:
    """Whether what was said names one of the others."""
    firsts = {folds.words(name)[0] for name in besides if folds.words(name)}
    joined = {"".join(folds.words(name)) for name in besides}
    named = [clue.known for clue in clues if clue.agrees and clue.kind.endswith("name")]
    return any(one in firsts or one in joined for one in _each(named))


def _each(named: Iterable[str]) -> Iterator[str]:
    for known in named:
        yield known
        yield from known.split()


def _words(own: PersonName) -> frozenset[str]:
    """The words by which a name tells its bearer from others of the family."""
    said = (own.given, own.middle, own.called)
    joined = "".join(folds.words(f"{own.given} {own.family}"))
    return frozenset((*(one for text in said for one in folds.words(text)), joined))


def _cost(own: PersonName, given: str) -> float:
    """The bits of calling the bearer of a name by this first name; of its other words too, as first and last
    name are written in either order."""
    said = (own.given, own.middle, own.called, own.family, own.former)
    known = [one for text in said for one in folds.words(text)]
    costs = [word(one, each)[0] for one in folds.words(given) for each in known]
    return min(costs, default=99.0)

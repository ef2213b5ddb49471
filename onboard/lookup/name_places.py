"""Where in a sentence the names stand, together and beside a word."""

from __future__ import annotations

from collections.abc import Sequence

from onboard.lookup.sentence import Token, phrase_at
from onboard.match.folds import PARTICLES

REACH = 7  # words behind "my wife" in which her name is looked for
IN = frozenset(("in", "from", "at", "near", "en", "out", "over", "down", "up"))
_OF = frozenset(("de", "van", "von"))


def names_before(found: Sequence[Token], at: int) -> frozenset[int]:
    """The places of the name that ends right before."""
    start = at - 1
    while start > 0 and found[start - 1].is_name and not found[start].gap:
        start -= 1
    return frozenset(place for place in range(start, at) if found[place].is_name)


def names_behind(found: Sequence[Token], at: int, is_far: bool = True) -> frozenset[int]:
    """The places of the first name behind; none if the caller's own comes first, or, unless
    `is_far`, the sentence ends or a place comes first."""
    for place in range(at, min(at + REACH, len(found))):
        if phrase_at(found, place, "before") and not found[place].word.startswith("name"):
            return frozenset()
        if found[place].gap == "." and not is_far:
            return frozenset()
        if found[place].is_name:
            if not is_far and found[place - 1].word in IN:
                continue
            return next(frozenset(run) for run in runs(found) if place in run)
    return frozenset()


def runs(found: Sequence[Token]) -> list[list[int]]:
    """The names that stand together with nothing between."""
    together: list[list[int]] = []
    for at, token in enumerate(found):
        if not token.is_name:
            continue
        before = at - 1 - _particles_before(found, at)
        if together and together[-1][-1] == before and not token.gap and not found[before].is_owned:
            together[-1].append(at)
        else:
            together.append([at])
    return together


def _particles_before(found: Sequence[Token], at: int) -> int:
    """How many words before a name belong to it: "Nancy De La Rosa"; "Ana de Taos" may live there."""
    size = 0
    while at - size > 1 and not found[at - size].gap and found[at - size - 1].word in PARTICLES:
        size += 1
    words = found[at - size : at]
    is_part = any(one.is_capital for one in words) or (size > 1 and words[0].word in _OF)
    return size if is_part and not any(one.is_name or one.gap for one in words) else 0

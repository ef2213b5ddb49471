"""A relative whom the caller does not name, found through the household: "my wife can't get in"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from onboard.lookup.clue import Clue
from onboard.lookup.costs import INITIAL
from onboard.lookup.facts import Facts
from onboard.lookup.judge import Ranking, Weighed
from onboard.lookup.relative import at_home
from onboard.lookup.slips import word
from onboard.match.given_names import sex

# bits: the name tells nothing of whether they are a wife or a husband; the caller is meant after all
NOT_TOLD, CALLER = 2.0, 3.0


def with_relative(
    ranking: Ranking, household: Mapping[int, Facts], kin: str, called: tuple[str, ...]
) -> Ranking:
    """The ranking with those of the caller's household first who may be the relative.

    The first of the ranking is the caller, who says that the one who is meant is their `kin`, `called` so
    if that was said. Where nobody of the household fits, it is the same ranking. Else nobody is certain.
    """
    caller, *others = ranking.ranked
    name = next((" ".join(n.given + n.family) for n in caller.facts.names), "")
    weighed = []
    for doc, facts in household.items():
        bits = _bits(facts, kin, called)
        if bits is not None:
            clue = Clue("household", kin, name, 0.0, "same")
            weighed.append(Weighed(doc, facts, caller.bits + bits, 0.0, (clue,), caller.said))
    if not weighed:
        return ranking
    weighed.append(replace(caller, bits=caller.bits + CALLER))
    weighed.sort(key=lambda one: (one.bits, one.doc))
    shares = [2.0 ** (caller.bits - one.bits) for one in weighed]
    told = {one.doc for one in weighed}
    first = (
        replace(one, confidence=caller.confidence * share / sum(shares))
        for one, share in zip(weighed, shares, strict=True)
    )
    left = (one for one in others if one.doc not in told)
    return replace(ranking, ranked=(*first, *left), certain=False, lead=0.0)


def _bits(facts: Facts, kin: str, called: tuple[str, ...]) -> float | None:
    """What it costs that they are the relative; None if they are not."""
    givens = [given for name in facts.names for given in (*name.given, *name.more)]
    if called:
        costs = [word(said, given)[0] for said in called for given in givens]
        least = min(costs, default=99.0)
        return least if least <= 2 * INITIAL else None
    sexes = {sex(given) for given in givens[:1]}
    if not sexes or sexes == {""} or at_home(kin) == "mw" or "mw" in sexes:
        return 0.0 if at_home(kin) == "mw" else NOT_TOLD
    return 0.0 if sexes == {at_home(kin)} else None

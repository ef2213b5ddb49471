"""How alike two people are, and the evidence for it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from onboard.model.person import Person


class Verdict(StrEnum):
    """What the evidence says of a pair."""

    SAME = "same"  # may be decided alone
    UNCLEAR = "unclear"  # a person is asked
    DIFFERENT = "different"
    FOLLOWS = "follows"  # a person is asked about a surer pair of the same two people


@dataclass(frozen=True, slots=True)
class Part:
    """One piece of evidence; `weight` is its log-likelihood ratio, in bits."""

    field: str
    here: str
    there: str
    weight: float
    words: str  # "same email", "surname rare: 1 in 40,000"


@dataclass(frozen=True, slots=True)
class Evidence:
    """How alike two people are: the parts, their sum, and what that means."""

    parts: tuple[Part, ...]
    weight: float  # bits, prior included
    confidence: float  # probability that they are the same person, 0 to 1
    verdict: Verdict
    household: bool = False  # they share a home or a helper, and are two people
    one_of_two: bool = (
        False  # one side is a joint sign-up, with somebody whom the other does not name
    )
    namesake: bool = (
        False  # may be a father and a son of one name: only one of the two has a suffix
    )

    @property
    def agreeing(self) -> tuple[Part, ...]:
        """The parts that speak for one person, strongest first; never what neither of the two said."""
        return self._strongest(
            part for part in self.parts if part.weight > 0 and (part.here or part.there)
        )

    @property
    def opposing(self) -> tuple[Part, ...]:
        """The parts that speak against it, strongest first.

        Two that are equal can weigh less than nothing beside the rest, as people of one home
        share a name anyway; that is no reason against, and neither is chance, nor what neither has.
        """
        return self._strongest(
            part
            for part in self.parts
            if part.weight < 0 and part.field != "chance" and part.here != part.there
        )

    @property
    def sure(self) -> str:
        """The confidence as people say it; nothing is ever quite certain.

        >>> Evidence((), 13.0, 0.9999, Verdict.SAME).sure
        'over 99% sure'
        """
        if self.confidence > 0.99:
            return "over 99% sure"
        return "under 1% sure" if self.confidence < 0.01 else f"{self.confidence:.0%} sure"

    @staticmethod
    def _strongest(parts: Iterable[Part]) -> tuple[Part, ...]:
        return tuple(sorted(parts, key=lambda part: -abs(part.weight)))


@dataclass(frozen=True, slots=True)
class Match:
    """Somebody already known who may be the applicant."""

    person: Person
    evidence: Evidence
    named: str = field(
        default="", compare=False
    )  # the member, as on file; the spelling may be that of an earlier form
    whom: str = ""  # of the people on a form for several, the one who surely is this person

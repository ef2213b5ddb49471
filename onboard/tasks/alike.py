"""Who is like a join form, of all who are known; and who of two people on one form is whom."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from onboard import match
from onboard.clean import name as names
from onboard.model import Applicant, Match, Owner, Person, PersonName, Verdict


def alike(
    applicant: Applicant, people: Sequence[Person], known: match.Known, apart: Collection[Owner]
) -> tuple[Match, ...]:
    """The best match with each owner who is like the form, but with those told `apart`; the likeliest first.

    Where a form is for several people, each of them is matched alone, too: `Match.whom` says who of them
    an owner surely is.
    """
    found = match.best(people, known, apart)
    name = applicant.name.value
    if name is None or not name.joint:
        return found
    each: dict[Owner, Match] = {}
    for one in name.each:
        alone = [_alone(person, one) for person in people if person.joint]
        for sure in match.best(alone, known, apart):
            if sure.evidence.verdict is Verdict.SAME:
                evidence = replace(sure.evidence, verdict=Verdict.UNCLEAR, one_of_two=True)
                each[sure.person.owner] = Match(sure.person, evidence, whom=names.show(one))
    whole = {m.person.owner for m in found if m.evidence.verdict is Verdict.SAME}
    found = tuple(m for m in found if m.person.owner in whole or m.person.owner not in each)
    found += tuple(m for owner, m in each.items() if owner not in whole)
    return tuple(sorted(found, key=lambda m: (-m.evidence.weight, m.person.owner)))


def _alone(person: Person, name: PersonName) -> Person:
    """The person of a form for several, as if they had come alone under this name of theirs."""
    return person._replace(given=name.given, middle=name.middle, family=name.family, suffix=name.suffix,
        called=name.called, former=name.former, joint=(),
    )  # fmt: skip


def with_names(matches: tuple[Match, ...], named: Mapping[Owner, str]) -> tuple[Match, ...]:
    """The matches, those with members with the names on file: a spelling may be that of an earlier form of theirs, or
    of the other one on a form for two."""
    return tuple(replace(m, named=named.get(m.person.owner, "")) for m in matches)

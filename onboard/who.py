"""Who a join form may be of: what a person is asked about it, and in what words."""

from __future__ import annotations

from collections.abc import Sequence

from onboard.clean import name as names
from onboard.match.evidence import SURE
from onboard.model import Answer, Applicant, Match, Owner, Person, Question, Verdict

MATCH_ASKED = (Answer.SAME, Answer.ENROL, Answer.DROP, Answer.WAIT)
ROW_ASKED = (Answer.ENROL, Answer.DROP, Answer.WAIT)


def is_member(match: Match) -> bool:
    """Whether somebody like a form is a member, and no form on hold."""
    return Owner(match.person.owner).is_member  # a program may give it as plain text


def is_same(match: Match) -> bool:
    """Whether somebody is like a form so surely that nobody is asked."""
    return match.evidence.verdict is Verdict.SAME and not match.evidence.namesake


def is_unclear(match: Match) -> bool:
    """Whether a person must say if it is somebody's form: also that of the father or the son, of whom one bears
    a suffix. However likely either is, a wrong guess gives the one the other's account, or a second one."""
    return match.evidence.verdict is Verdict.UNCLEAR or match.evidence.namesake


def is_by_what_is_theirs(match: Match) -> bool:
    """Whether a mailbox or a birth date agrees, which a parent and a child of one name seldom share."""
    return any(p.field in ("email", "born") and p.weight > 0 for p in match.evidence.parts)


def is_for_several(applicant: Applicant) -> bool:
    """Whether a form is a joint one, "Pat and Robin Lee"."""
    return bool(applicant.name.value and applicant.name.value.joint)


def is_for_nobody(applicant: Applicant) -> bool:
    """Whether the name is no person's: a household, "The Lee Family", or an organization; or that of two, one of
    whom filled out the form. Whoever of them is a member, the form may be another's."""
    return any(
        f.code in ("name.household", "name.organisation", "name.relative", "name.helper")
        for f in applicant.name.findings
    )


def question(applicant: Applicant, matches: list[Match]) -> Question:
    """What is asked about a form that may be of these people."""
    members = [m for m in matches if is_member(m)]
    name = applicant.name.value
    if members and name and name.joint:
        ask = _ask_of_two([names.show(one) for one in name.each], members)
        return Question("match", ask, MATCH_ASKED)
    named = " or ".join(map(shown, members or matches))
    if not members:
        ask = f"This may be the same person as {named}."
        if len(matches) == 1 and matches[0].evidence.one_of_two and matches[0].person.joint:
            one = matches[0].person
            ask = f"This may be one of those on a form on hold, for {_people((_first(one), *one.joint))}."
        return Question("match", f"{ask} Answer that row first.", ROW_ASKED)
    mine = names.show(name) if name else ""
    both = [m for m in members if m.evidence.one_of_two and m.named != mine]
    more = [_NAMESAKE] if any(m.evidence.namesake for m in members) else []
    ask = " ".join((f"Is this the same person as {named}?", *map(_was_for_both, both[:1]), *more))
    return Question("match", ask, MATCH_ASKED)


_NAMESAKE = (
    "The names are alike but for a Sr, Jr or III: it may be a parent or a child. Ask which one filled out the form. If "
    "it is somebody new, answer enroll."
)


def _was_for_both(match: Match) -> str:
    """That a member's form named somebody else as well, who may be this one."""
    return (
        f"That member's form was for {_people((_first(match.person), *match.person.joint))}. If this is somebody else, answer enroll, also if they "
        "live in the same home: they get an account of their own."
    )


def _first(person: Person) -> str:
    """Whom a joint form names first; the last name is theirs, and the others may have one of their own."""
    return " ".join(part for part in (person.given, person.family) if part)


def _people(each: Sequence[str]) -> str:
    """Several people by name.

    >>> _people(["Pat Vale", "Kim", "Lou"])
    '3 people: Pat Vale, Kim and Lou'
    """
    return f"{len(each)} people: {', '.join(each[:-1])} and {each[-1]}"


def _ask_of_two(each: list[str], members: list[Match]) -> str:
    """What is asked about a form for several people, of whom some are or may be members."""
    are = {m.whom: shown(m) for m in members if m.whom}
    if not are:
        may_be = " or ".join(map(shown, members))
        return (
            f"The form is for {_people(each)}. Is one of them {may_be}? If so, and no account is missing, answer same. "
            "If one is, answer enroll, with the name of the one it is for."
        )
    left = " or ".join(one for one in each if one not in are)
    return (
        f"The form is for {_people(each)}. There is an account already for {' and '.join(are.values())}. If {left} "
        f"should have one too, answer enroll, with {left} as the name. If not, answer same."
    )


def has_one(applicant: Applicant, members: Sequence[Match]) -> Question:
    """What is asked where a form for several is answered with the name of one who is a member already."""
    mine = names.show(applicant.name.value) if applicant.name.value else ""
    ask = (
        f"There is an account already for {' and '.join(map(shown, members))}. If the form is for {mine}, answer same. "
        "If it is for the other one, answer enroll, with that one's name."
    )
    return Question("match", ask, MATCH_ASKED)


def all_members(applicant: Applicant, matches: tuple[Match, ...]) -> list[Match]:
    """The members whom a form for several people names, if it surely names nobody else."""
    name = applicant.name.value
    if name is None or not name.joint:
        return []
    are = {m.whom: m for m in matches if m.whom and is_member(m)}
    found = [are[one] for one in map(names.show, name.each) if one in are]
    owners = {m.person.owner for m in found}
    return found if len(owners) == len(name.each) else []


def shown(match: Match) -> str:
    """Who a match is, for a person to read."""
    person, owner = match.person, Owner(match.person.owner)
    name = match.named or person.shown or person.email or person.phone or "somebody with no name"
    return f"{name} ({owner.shown if owner.is_member else 'on hold'})"


def why(match: Match) -> str:
    """How sure it is, with the strongest evidence on either side; the roster keeps all of it."""
    evidence = match.evidence
    if evidence.verdict is Verdict.SAME and evidence.confidence < SURE:
        return "the form says the very same as one before: name, email, and phone or address"
    words = f"{evidence.sure}: {', '.join(part.words for part in evidence.agreeing[:4])}"
    against = ", ".join(part.words for part in evidence.opposing[:2])
    return words + (f"; against it: {against}" if against else "")

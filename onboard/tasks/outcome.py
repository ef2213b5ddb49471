"""What became of a row of a batch, and what it says of somebody who is a member already."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from onboard.clean import listed
from onboard.model import Decision, Hold, News, Owner, RawRow, SameAs, Signature
from onboard.roster import search
from onboard.tasks import from_list, later_news, said_dead
from onboard.tasks.later_news import Said


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a row."""

    decision: Decision
    owner: Owner
    on_hold_before: bool = False
    given_before: bool = False  # an earlier row said the same of the person; nothing was decided
    news: News | None = None  # what a member's form says that is not on file


def with_news(
    connection: Connection,
    outcomes: Sequence[Outcome],
    again: Mapping[str, RawRow],
    signature: Signature,
    *,
    hears: bool = True,
) -> Iterator[Outcome]:
    """The outcomes in their order, those of members' forms with their news; `again` are the rows that
    came first, by the keys of those that came again. What counts at once is recorded: see
    `later_news`, and `from_list` for a row of an old list. Unless it `hears`, nothing is recorded, and
    the outcomes have no news."""
    of_members = {}
    for at, one in enumerate(outcomes):
        first, number = again.get(one.decision.applicant.raw.key), one.owner.member_id
        if not (hears and number and isinstance(one.decision, SameAs)):
            continue
        if first or not one.given_before:
            of_members[at] = Said(number, one.decision.applicant, first)
    told: dict[int, News | None] = {}
    for is_listed, hear in ((False, later_news.hear), (True, from_list.take_along)):
        some = {
            at: said
            for at, said in of_members.items()
            if listed.is_skipped(said.applicant.raw) is is_listed
        }
        if some:
            told |= zip(some, hear(connection, list(some.values()), signature), strict=True)
    asked = _remarks(connection, outcomes)
    for at, one in enumerate(outcomes):
        if asked and isinstance(one.decision, Hold):
            yield replace(one, decision=_with_remarks(one.decision, asked))
        else:
            yield replace(one, news=told[at]) if told.get(at) else one


def _remarks(connection: Connection, outcomes: Sequence[Outcome]) -> Mapping[int, str]:
    """What to know of the members as whom somebody on hold may be the same, by number."""
    numbers = {number for one in outcomes for number in _members(one.decision)}
    members = search.members_by_number(connection, numbers)
    return said_dead.remarks(connection, list(members.values())) if members else {}


def _with_remarks(decision: Hold, remarks: Mapping[int, str]) -> Hold:
    """The decision with what to know of the members that its question is about."""
    more = [remarks[number] for number in _members(decision) if number in remarks]
    asked = [
        replace(one, ask=" ".join((one.ask, *more))) if one.field == "match" and more else one
        for one in decision.questions
    ]
    return replace(decision, questions=tuple(asked))


def _members(decision: Decision) -> list[int]:
    matches = decision.matches if isinstance(decision, Hold) else ()
    return [n for one in matches if (n := Owner(one.person.owner).member_id) is not None]

"""What became of a row of a batch, and what it says of somebody who is a member already."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from onboard.model import Decision, News, Owner, RawRow, SameAs, Signature
from onboard.tasks import later_news
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
) -> Iterator[Outcome]:
    """The outcomes in their order, those of members' forms with their news; `again` are the rows that
    came first, by the keys of those that came again. What counts at once is recorded: see
    `later_news`."""
    of_members = {}
    for at, one in enumerate(outcomes):
        first, number = again.get(one.decision.applicant.raw.key), one.owner.member_id
        if number and isinstance(one.decision, SameAs) and (first or not one.given_before):
            of_members[at] = Said(number, one.decision.applicant, first)
    news = later_news.hear(connection, list(of_members.values()), signature)
    told = dict(zip(of_members, news, strict=True))
    for at, one in enumerate(outcomes):
        yield replace(one, news=told[at]) if told.get(at) else one

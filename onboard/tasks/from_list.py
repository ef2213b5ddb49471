"""What an old list says of somebody who has become a member by a form meanwhile.

What the form did not say is taken along at once: since when they are a member, notes, a birth date, last
sign-ins. A no to email counts, and other contact info is proposed, as with any later form
(`later_news`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection

from onboard.model import Applicant, Change, Member, News, Signature
from onboard.roster import change, members, search
from onboard.roster.change import Occasion
from onboard.roster.journal import stamp
from onboard.roster.record import NOON
from onboard.tasks import later_news
from onboard.tasks.later_news import Said

WHAT = "taken along from a list"  # as the change log calls it
_NEWER = ("page_seen", "last_sign_in", "last_order")


def take_along(
    connection: Connection, said: Sequence[Said], signature: Signature
) -> list[News | None]:
    """The news of each row of the list, in their order, with what was taken along among the recorded."""
    heard = later_news.hear(connection, said, signature)
    found: list[News | None] = []
    for one, news in zip(said, heard, strict=True):
        if news is None:
            found.append(None)
            continue
        member = search.members_by_number(connection, [one.member_id])[one.member_id]
        taken = list(_missing(member, one.applicant))
        made = change.make(connection, enumerate(taken, start=1), Occasion(signature, WHAT)).made
        found.append(
            News(member, (*news.recorded, *(c for _, c in made)), news.proposed, news.remark)
        )
    return found


def _missing(member: Member, applicant: Applicant) -> Iterator[Change]:
    """What the list says of a member, and the roster does not."""
    why = f"the list says so ({applicant.raw.file}, row {applicant.raw.line})"
    for field, after in _said(member, applicant):
        yield Change(member.id, field, members.columns(member)[field], after, why)


def _said(member: Member, applicant: Applicant) -> Iterator[tuple[str, Any]]:
    days = {column: day.value for column, day in applicant.days.items() if day.value}
    joined = days.get("joined")
    if joined and (member.joined is None or joined < member.joined.date()):
        yield "joined", stamp(datetime.combine(joined, NOON, UTC))
    if member.born is None and (born := days.get("born")):
        yield "born", born.isoformat()
    for field in _NEWER:
        day, known = days.get(field), getattr(member, field)
        if day and (known is None or known < day):
            yield field, day.isoformat()
    notes = applicant.raw.fields.get("notes", "").strip()
    if notes and notes not in member.notes:
        yield "notes", "\n".join(filter(None, (member.notes, notes)))
    more = {head: text for head, text in applicant.extras.items() if text.strip()}
    if more.keys() - member.extras.keys():
        yield "extras", {**more, **member.extras}
    if applicant.consent.value and member.consent is None:
        yield "consent", True

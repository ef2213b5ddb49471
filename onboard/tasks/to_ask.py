"""What the forms of new members left in doubt, to be asked when somebody speaks to them: they have their accounts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection

from onboard.clean.email.doubts import is_doubted
from onboard.clean.phone import kinds as phones
from onboard.model import Finding, Member, Weight
from onboard.office import Act, Office
from onboard.roster import doubts, search

RECENT = timedelta(90)  # after that, an audit tells of it


@dataclass(frozen=True, slots=True)
class ToAsk:
    """A member, and what to ask them when you can."""

    member: Member
    findings: tuple[Finding, ...]


def to_ask(office: Office) -> list[ToAsk]:
    """Whom to ask about what their forms of the last 90 days left in doubt, by number; email addresses
    that packets wait for are not among it (`where_questions`).

    A correction, or that the member said that all is right, settles it. Raises `SettingsTrouble` where
    the settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        return recent(connection, office.now())


def recent(connection: Connection, now: datetime) -> list[ToAsk]:
    """The same, of the roster as the connection sees it."""
    numbers = doubts.new_members_since(connection, now - RECENT)
    members = search.members_by_number(connection, numbers) if numbers else {}
    stands = doubts.of_members(connection, members.values()) if members else {}
    found = [ToAsk(members[n], _asked(some)) for n, some in sorted(stands.items())]
    return [one for one in found if one.findings]


def _asked(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Each doubt once: a form that came again has it again."""
    return tuple(
        dict.fromkeys(
            one
            for one in findings
            if one.weight is Weight.DOUBTFUL
            and one.code != phones.FICTIONAL.code  # they gave none that anybody could be asked by
            and not (one.field == "email" and is_doubted(one))
        )
    )

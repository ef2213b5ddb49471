"""What the forms of new members left in doubt, to be asked when somebody speaks to them: they have their accounts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from sqlalchemy import Connection

from onboard.clean import sites
from onboard.clean.email.doubts import is_doubted
from onboard.clean.phone import kinds as phones
from onboard.model import Finding, Member, Weight
from onboard.office import Act, Office
from onboard.roster import doubts, search
from onboard.settings import Settings

RECENT = timedelta(90)  # after that, an audit tells of it


@dataclass(frozen=True, slots=True)
class ToAsk:
    """A member, and what to ask them when you can."""

    member: Member
    findings: tuple[Finding, ...]
    site: str = ""  # which one their form meant, as the settings know by now


def to_ask(office: Office) -> list[ToAsk]:
    """Whom to ask about what their forms of the last 90 days left in doubt, by number; email addresses
    that packets wait for are not among it (`where_questions`).

    A correction, or that the member said that all is right, settles it. Raises `SettingsTrouble` where
    the settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        return [_with_site(one, office.settings) for one in recent(connection, office.now())]


def _with_site(one: ToAsk, settings: Settings) -> ToAsk:
    """With the drop site that their form meant, where the settings say since then what people call it."""
    for finding in one.findings:
        if finding.code in (sites.UNKNOWN.code, sites.AMBIGUOUS.code):
            meant = sites.clean(finding.said, settings.sites).value
            if meant and not one.member.site:
                note = f"“{finding.said}” is {meant}, as the settings say now."
                rest = tuple(f._replace(note=note) if f is finding else f for f in one.findings)
                return replace(one, findings=rest, site=meant)
    return one


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

"""What proves that somebody is the member, and what has been changed too lately to prove it."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from onboard.model import Member, Way
from onboard.reports.dates import day
from onboard.roster import desk
from onboard.roster import members as members_of
from onboard.roster.desk import Changed
from onboard.settings import Settings

# The contact that each way of checking goes through.
THROUGH = {"call-back": "phone", "mail": "email"}


def changed_recently(
    connection: Connection, settings: Settings, member: Member, when: datetime
) -> dict[str, Changed]:
    """The contacts of a member that prove nothing by themselves: changed a short time ago."""
    days = settings.desk.second_check_days
    if not days:
        return {}
    found = desk.changed_contacts(connection, member, when - timedelta(days=days))
    if not found:
        return {}
    from onboard.clean import stored  # it brings all rules, and hardly any contact has changed

    now = members_of.columns(member)
    return {
        field: changed
        for field, changed in found.items()
        if not stored.is_same(field, changed.before, now[field], region=settings.region)
    }


def doubted_email(connection: Connection, member: Member) -> str:
    """Why an email to the address on file proves nothing of who answers it, and what to do; "" if it may."""
    if not member.email or member.packet_goes_by is not Way.EMAIL:
        return ""
    from onboard.tasks import email_doubts  # it brings all rules

    if member.bounced and member.bounced > (member.confirmed or date.min):
        return f"Email to the address on file came back on {day(member.bounced)}, so do not check by email."
    if email_doubts.of(connection, [member]):
        return "The email address on file may be wrong, so do not check by email."
    return ""

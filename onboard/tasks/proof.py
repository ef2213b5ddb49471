"""What proves that somebody is the member, and what has been changed too lately to prove it."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import Connection

from onboard.model import Member
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

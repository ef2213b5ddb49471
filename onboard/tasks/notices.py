"""A notice that is gone from the outbox, made again: unlike a packet, it holds nothing that is not on the roster."""

from __future__ import annotations

from datetime import timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from onboard.model import Member, Outgoing, Way
from onboard.office import Office
from onboard.roster import desk, members
from onboard.tasks import moved_windows, site_notices
from onboard.welcome.notice import PASSWORD, Notice, notice


def as_it_was(connection: Connection, office: Office, member: Member, line: Outgoing) -> Member:
    """The member as they could be reached before the change that a notice tells of."""
    if line.is_news:  # no contact was changed
        return member
    since = line.made
    if not desk.contacts_changed_at(connection, member, since):
        # It tells of a new password, to the contacts of before an earlier change.
        since -= timedelta(days=office.settings.desk.second_check_days)
    changed = desk.changed_contacts(connection, member, since)
    return members.with_columns(member, {field: one.before for field, one in changed.items()})


def made_again(
    connection: Connection, office: Office, member: Member, line: Outgoing
) -> Notice | None:
    """The notice as it was written; None where the roster does not say any more to whom it went.

    Raises `SettingsTrouble` when a template is broken.
    """
    if line.told_site is not None:
        return site_notices.made_again(connection, office, member, line)
    if line.told is not None:
        return moved_windows.made_again(connection, office, member, line)
    settings = office.settings
    today = line.made.astimezone(ZoneInfo(settings.timezone)).date()
    before = as_it_was(connection, office, member, line)
    changed = desk.contacts_changed_at(connection, member, line.made)
    if not changed and before.email in ("", member.email):
        return None
    told = changed or (PASSWORD,)
    if line.way is Way.EMAIL:
        return notice(before, told, settings, today, email=before.email) if before.email else None
    if not before.address:
        return None
    return notice(before, told, settings, today, address=before.address)

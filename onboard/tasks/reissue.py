"""A new first password for a caller who was checked; it goes to the contact on file, and only there.

After NIST SP 800-63B-4 (August 2025): what a caller knows is no proof, and security questions are
none (3.1.1.2); tries are counted and slowed down (3.2.2); a new secret goes to an address that
was on file before (4.2.1.2); whoever had that address before a change is told (4.2.3, 4.6).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from onboard.clean.email import doubts
from onboard.mail import outbox
from onboard.model import Deed, Member, PacketQuestion, Signature, Way
from onboard.office import Act, Office
from onboard.reports.dates import clock, day
from onboard.reports.sentences import reissue_line
from onboard.roster import desk, journal, outgoing
from onboard.roster.desk import Changed
from onboard.roster.journal import Entry
from onboard.settings import Settings
from onboard.tasks import meant as who
from onboard.tasks import said_dead, where_questions
from onboard.tasks.proof import THROUGH, changed_recently, doubted_email
from onboard.tasks.write_packets import PacketsReport, goes_to, write_packets
from onboard.welcome.notice import PASSWORD, notice

FAILED = {True: "The try was counted.", False: "To count the try, add --record."}
AN_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Reissued:
    """A new first password on its way, or why there is none."""

    member: Member
    to: str  # "email" or "address": the contact on file that the packet goes to
    refused: str = ""  # why not, and what to do
    packets: PacketsReport | None = None  # what was written; None after a look
    notices: tuple[str, ...] = field(default=())  # files that tell of it, in the outbox
    asked: tuple[PacketQuestion, ...] = ()  # the packet waits: where it would go is in doubt


def reissue(
    office: Office,
    meant: str,
    checks: Collection[str],
    *,
    failed: bool = False,
    keep: bool,
) -> Reissued:
    """A new first password for the member that `meant` (a handle or a number) means.

    `checks` are the ways in which the caller was checked: "call-back", "mail". With `failed` the
    check came to nothing: that is counted, and nothing is made. The old first password is dead
    as soon as this returns; the ordering page learns of it with the next export. Without `keep`
    it only says what would be. Raises `SettingsTrouble` where the settings let others do this, `FileTrouble` if nobody is meant or the outbox cannot be written, and
    `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.REISSUE)
    settings, signature = office.settings, office.signature()
    with office.work(keep=keep) as connection:
        member = who.member(connection, meant)
        to = goes_to(member)
        recent = changed_recently(connection, settings, member, signature.when)
        refused = _slowed(connection, settings, member, signature.when)
        if refused:  # not counted: else whoever keeps trying would lock the member out for good
            return Reissued(member, to, refused)
        refused = (
            f"The check failed, so no temporary password was made. {FAILED[keep]}"
            if failed
            else said_dead.refusal(connection, [member])
            or ("mail" in checks and doubted_email(connection, member))
            or refusal(member, to, checks, recent, _usable(connection, settings, member))
        )
        if not keep:
            asked = () if refused else where_questions.of(connection, member)
            return Reissued(member, to, refused, asked=asked)
        ended = "failed" if failed else "refused" if refused else "done"
        desk.count_try(connection, member.id, ended, signature)
        if refused:
            entry = Entry(f"first password {'not made' if failed else 'refused'}", member.owner)
            journal.write(connection, [entry], signature)
            return Reissued(member, to, refused)
        why = f"checked by {' and '.join(sorted(checks))}"
        journal.write(connection, [Entry("first password asked for", member.owner, why)], signature)
        desk.end_first_password(connection, member.id)
        outgoing.again(connection, {member.id: member.packet_goes_by}, signature)
        # An older packet must not go out in place of the new one, whatever happens from here on.
        outbox.take_away(settings.outbox, outbox.email_name(member.handle.text))
        told = _tell(connection, settings, member, recent, signature, office.today())
    written = write_packets(office, only=[member.id])
    return Reissued(member, to, "", written, told, tuple(written.asked))


def refusal(
    member: Member,
    to: str,
    checks: Collection[str],
    recent: Mapping[str, Changed],
    settings: Settings,
) -> str:
    """Why the member gets no new first password now, and what to do; "" if they may.

    `to` is the contact that it would go to, `recent` the contacts that were changed a short time
    ago. What was changed proves nothing by itself: then a second check is needed, and one of the
    two must go through a contact that was on file before.
    """
    rule = settings.desk
    if why := _whatever_the_check(member, to, settings):
        return why
    if not checks:
        enough, none_do = _enough(member, to, recent, settings)
        return none_do or (
            "First make sure who is calling: what a caller knows proves nothing. Then say how you "
            f"checked: --checked {' or --checked '.join(rule.checks)}. To do it: {reissue_line(member.handle.text, enough)}"
        )
    for check in checks:
        if check not in rule.checks:
            return (
                f"The settings do not allow “{check}” as a check. Use {' or '.join(rule.checks)}."
            )
        if not getattr(member, THROUGH[check]):
            return f"No {THROUGH[check]} is on file, so you cannot have checked by {check}."
    if "mail" in checks and member.consent is False:
        return "This member asked for no email. Call them back instead."
    sound = [check for check in checks if THROUGH[check] not in recent]
    if not sound:
        through = THROUGH[sorted(checks)[0]]
        return (
            f"The {through} on file changed on {day(recent[through].on)}, so it proves nothing before "
            f"{day(_until(recent[through], settings))}. Check the caller with contact info that was on file "
            "before that."
        )
    if to in recent and len(set(checks)) < 2:
        return (
            f"The {to} on file changed on {day(recent[to].on)}. Before {day(_until(recent[to], settings))}, check "
            "the caller in two ways: call back, and email. Then: --checked call-back --checked mail"
        )
    return ""


def _whatever_the_check(member: Member, to: str, settings: Settings) -> str:
    """Why no check whatever is enough, and what to do; "" if one may be."""
    if member.standing.forbids(Deed.PACKET):
        if member.merged_into:
            return f"This account was merged into member {member.merged_into}. Help them with that one."
        return f"The account is {member.standing}. A coordinator decides whether to open it again."
    if settings.password.set_by_member:
        return (
            "Members set their own password on the ordering page, so there is none to issue. "
            f"Have them go to {settings.ordering_page} and click “{settings.password.set_link}”."
        )
    if to == "address" and not member.address:
        return (
            "No email and no mailing address is on file, so there is nowhere to send a temporary "
            "password. Ask a coordinator."
        )
    if not settings.desk.checks:
        return "The settings allow no way to check a caller. A coordinator can add one to checks, under [desk]."
    return ""


def checks_enough(
    connection: Connection, settings: Settings, member: Member, when: datetime
) -> tuple[tuple[str, ...], str]:
    """The fewest checks after which the member may get a new first password now; else none, and why."""
    if why := said_dead.refusal(connection, [member]) or _slowed(
        connection, settings, member, when
    ):
        return (), why
    recent = changed_recently(connection, settings, member, when)
    return _enough(member, goes_to(member), recent, _usable(connection, settings, member))


def _usable(connection: Connection, settings: Settings, member: Member) -> Settings:
    """The settings without the check by email where the address on file proves nothing."""
    if not doubted_email(connection, member):
        return settings
    checks = tuple(check for check in settings.desk.checks if check != "mail")
    return replace(settings, desk=replace(settings.desk, checks=checks))


def _enough(
    member: Member, to: str, recent: Mapping[str, Changed], settings: Settings
) -> tuple[tuple[str, ...], str]:
    if why := _whatever_the_check(member, to, settings):
        return (), why
    usable = tuple(check for check in settings.desk.checks if getattr(member, THROUGH[check]))
    if not usable:
        return (), "No phone or email is on file to check a caller by. Ask a coordinator."
    reasons = {}
    for checks in (*((one,) for one in usable), usable):
        reasons[checks] = refusal(member, to, checks, recent, settings)
        if not reasons[checks]:
            return checks, ""
    return (), reasons[usable[:1]]


def _until(changed: Changed, settings: Settings) -> date:
    return changed.on + timedelta(days=settings.desk.second_check_days)


def _slowed(connection: Connection, settings: Settings, member: Member, when: datetime) -> str:
    """Why it is too soon to try again, if it is."""
    most = settings.desk.tries_per_hour
    tried = desk.tries(connection, member.id, when - AN_HOUR)
    if len(tried) < most:
        return ""
    again = datetime.fromisoformat(tried[-most]) + AN_HOUR
    return (
        f"That makes {len(tried)} tries within an hour, and the limit is {most}. Try again after "
        f"{clock(again, ZoneInfo(settings.timezone))}."
    )


def _tell(
    connection: Connection,
    settings: Settings,
    member: Member,
    recent: Mapping[str, Changed],
    signature: Signature,
    today: date,
) -> tuple[str, ...]:
    """The notice to the email address of before, if that was changed a short time ago."""
    before = recent["email"].before if "email" in recent else ""
    if not before or member.consent is False or doubts.doubt(before):
        return ()
    told = notice(member, (PASSWORD,), settings, today, email=before)
    name = outbox.notice_name(settings.outbox, member.id, signature.when, ".eml")
    outbox.write_file(settings.outbox, name, told.message)
    outgoing.add_notice(connection, member.id, Way.EMAIL, name, signature)
    return (name,)

"""An email to the coordinator when something new waits for a person; nobody is named in it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from email import policy
from email.message import EmailMessage
from email.utils import format_datetime, make_msgid

from onboard.errors import SendTrouble
from onboard.mail import post
from onboard.mail.line import Line
from onboard.model import Need, Owner, Waiting
from onboard.office import Office
from onboard.reports import today as report
from onboard.reports.counts import counted
from onboard.roster import journal
from onboard.roster.journal import Entry
from onboard.tasks.today import today
from onboard.welcome.message import mailbox

TOLD = "coordinator told"  # in the change log
NAMELESS = {Need.CAME_BACK: "today", Need.UNSURE_REMINDERS: "remind"}  # whose lines name a member


@dataclass(frozen=True, slots=True)
class Told:
    """What waits, and what the coordinator was told of it."""

    waiting: tuple[Waiting, ...]
    to: str = ""  # whom the email went to; "" if nothing was new
    why_not: str = ""  # why it did not go out


def tell_coordinator(
    office: Office, to_type: Callable[[str], str] = "onboard {}".format, line: Line | None = None
) -> Told:
    """Write to the coordinator if something waits for a person that the last such email did not tell.

    The email has counts and the lines to type, which `to_type` makes of commands, and names no member. It goes to `coordinator` under [mail] of the
    settings, or to the co-op's own address. Raises `SendTrouble` where no mail server can be used, `StoreTrouble` and
    `SettingsTrouble`.
    """
    settings = office.settings
    if not settings.mail.host:
        raise SendTrouble(f"No mail server is set in {settings.file}. Fill in host, under [mail].")
    waiting = tuple(map(without_names, today(office)))
    with office.reading() as connection:
        before = journal.last(connection, TOLD)
    if not is_news(waiting, before[1] if before else {}):
        return Told(waiting)
    to = settings.mail.coordinator or settings.sender
    mail = post.Mail(0, _message(office, to, waiting, to_type))
    (outcome,) = post.send([mail], line or Line(settings.mail))
    if not isinstance(outcome, post.Sent):
        return Told(waiting, why_not=getattr(outcome, "why", ""))
    with office.transaction() as connection:
        entry = Entry(TOLD, Owner.roster(), after=_marks(waiting))
        journal.write(connection, [entry], office.signature())
    return Told(waiting, to)


def without_names(one: Waiting) -> Waiting:
    """The same without a member's name: an email is read on many ways."""
    return replace(one, members=(), command=NAMELESS.get(one.need, one.command))


def is_news(waiting: Iterable[Waiting], told: Mapping[str, Sequence[object]]) -> bool:
    """Whether something waits for a person of which there is more, or something newer, than was told."""
    for one in waiting:
        count, newest = told.get(str(one.need), (0, ""))
        if one.needs_a_person and (one.count > int(str(count)) or one.newest > str(newest)):
            return True
    return False


def _marks(waiting: Iterable[Waiting]) -> dict[str, list[object]]:
    return {str(one.need): [one.count, one.newest] for one in waiting if one.needs_a_person}


def _message(
    office: Office, to: str, waiting: Sequence[Waiting], to_type: Callable[[str], str]
) -> bytes:
    settings, day = office.settings, office.today()
    sender, recipient = mailbox(settings.coop, settings.sender), mailbox("", to)
    if sender is None or recipient is None:
        raise SendTrouble(
            f"“{to}” is not an email address. Fix coordinator, under [mail], in {settings.file}."
        )
    things = sum(one.needs_a_person for one in waiting)
    mail = EmailMessage(policy.SMTP if (settings.sender + to).isascii() else policy.SMTPUTF8)
    mail["From"], mail["To"] = sender, recipient
    mail["Subject"] = f"{settings.coop}: {counted(things, 'thing')} to do"
    mail["Date"] = format_datetime(office.now())  # RFC 5322, 3.6.1
    mail["Message-ID"] = make_msgid(domain=sender.domain)
    mail["Auto-Submitted"] = "auto-generated"  # RFC 3834, 5
    said = [words for one in waiting for words in report.sentences(one, day, to_type)]
    end = f"Type the lines on the computer that sent this, in {settings.file.parent}."
    mail.set_content("\n".join([*said, "", end, ""]), cte="quoted-printable")
    return mail.as_bytes()

"""What waits for a person, in words: a line for each thing, with the command that does it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING, Any

from onboard.model import Need, Waiting
from onboard.reports.counts import counted
from onboard.reports.dates import clock, day
from onboard.reports.table import Piece, Words

if TYPE_CHECKING:
    from onboard.tasks.tell_coordinator import Told

NOTHING = "Nothing waits for you now."

# What there is one of, and several of; and what to do about it.
WORDS: dict[Need, tuple[str, str, str]] = {
    Need.CLOSES: ("window", "", "To see the ordering windows"),
    Need.OPENS: ("window", "", "To see the ordering windows"),
    Need.MOVED: ("ordering window moved", "ordering windows moved", "To make a notice for everybody who was told other days"),
    Need.REGROUPED: ("member has another ordering group or clock, and was told the old days", "members have another ordering group or clock, and were told the old days", "To make a notice for each"),
    Need.STOPS: ("request for no more email came in at the porch", "requests for no more email came in at the porch", "To take them in"),
    Need.REMIND: ("reminder to make", "reminders to make", "To make them"),
    Need.REMINDERS: ("reminder to send", "reminders to send", "To preview them"),
    Need.PORCH: ("sign-up waits at the porch", "sign-ups wait at the porch", "To preview them"),
    Need.FORMS: ("join form on hold", "join forms on hold", "To answer"),
    Need.EMAIL_DOUBTS: ("welcome packet waits, because the email address may be wrong", "welcome packets wait, because the email address may be wrong", "To answer"),
    Need.ADDRESS_DOUBTS: ("welcome packet waits, because the mailing address may be wrong", "welcome packets wait, because the mailing address may be wrong", "To answer"),
    Need.CALLER_CHECKS: ("welcome packet held until you have checked the caller", "welcome packets held until you have checked the callers", "To see whom to call back"),
    Need.CALLS: ("call open", "calls open", "To see who waits for an answer"),
    Need.CAME_BACK: ("member gets no email: it came back. Call or write", "members get no email: it came back. Call or write", "For the phone number"),
    Need.UNSURE_REMINDERS: ("reminder may not have arrived", "reminders may not have arrived", "Ask the member. If it did not arrive"),
    Need.UNSURE: ("message may not have arrived. Ask the member", "messages may not have arrived. Ask the members", "To see how packets stand"),
    Need.REFUSED: ("welcome packet was refused by a mail server, or came back", "welcome packets were refused by a mail server, or came back", "To see what to do"),
    Need.TELL_PAGE: ("account has news for the ordering page", "accounts have news for the ordering page", "To tell it before you send"),
    Need.MAKE: ("welcome packet to make", "welcome packets to make", "To make them"),
    Need.SEND: ("email in the outbox, not sent", "emails in the outbox, not sent", "To preview them"),
    Need.PRINT: ("letter to print and mail", "letters to print and mail", "To print them"),
    Need.AUDIT: ("audit is due", "audits are due", "To make it"),
    Need.TO_ASK: ("new member to ask when you can", "new members to ask when you can", "To see what"),
}  # fmt: skip

ROWS = ("row of an old list on hold", "rows of an old list on hold")


def pieces(waiting: Sequence[Waiting], today: date, line: Callable[[str], str]) -> Iterator[Piece]:
    """A sentence for each thing, most pressing first; `line` makes a line to type of a command."""
    if not waiting:
        yield Words(NOTHING, is_strong=True)
    for one in waiting:
        said, to_type = sentences(one, today, line)
        yield Words(said, is_strong=True)
        yield Words(to_type)


def sentences(one: Waiting, today: date, line: Callable[[str], str]) -> tuple[str, str]:
    """What waits, and what to type, a line each."""
    return f"{what(one, today)}.", f"  {WORDS[one.need][2]}: {line(one.command)}"


def what(one: Waiting, today: date) -> str:
    """What waits, without a full stop.

    >>> what(Waiting(Need.FORMS, 2, "answer", date(2026, 11, 9)), date(2026, 11, 25))
    '2 join forms on hold, the oldest since Nov 9, 2026'
    """
    if one.when:
        turn = "opens" if one.need is Need.OPENS else "closes"
        return f"The ordering window of {one.group} {turn} {_moment(one.when, today)}"
    if one.need is Need.AUDIT:
        return (
            f"An audit of the roster is due: the last was on {day(one.since)}"
            if one.since
            else "An audit is due"
        )
    said = " and ".join(counted(*some) for some in heaps(one))
    if one.members:
        more = " …" if one.count > len(one.members) else ""
        said += f": {', '.join(one.members)}{more}"
    if one.since and one.since < today:
        said += f", {'the oldest ' if one.count > 1 else ''}since {day(one.since)}"
    return said


def heaps(one: Waiting) -> list[tuple[int, str, str]]:
    """How many there are of what, and what one of it and several are called: rows of an old list are no forms."""
    found = [(one.count - one.rows, *WORDS[one.need][:2]), (one.rows, *ROWS)]
    return [some for some in found if some[0]]


def _moment(at: datetime, today: date) -> str:
    said = "today" if at.date() == today else f"on {at:%A}, {day(at)}"
    if at.time() == time(23, 59, 59):
        return f"{said}, at the end of the day"
    return said if at.time() == time() else f"{said}, at {clock(at, at.tzinfo or UTC)}"


def mailed(told: Told) -> str:
    """Whether the coordinator was written to, and why not."""
    if told.to:
        return f"Sent to {told.to}."
    if told.why_not:
        return f"The email was not sent. {told.why_not}"
    return "Nothing new waits for you, so no email was sent."


def as_json(waiting: Sequence[Waiting], line: Callable[[str], str]) -> Iterator[dict[str, Any]]:
    """A line for each thing, for a program."""
    for one in waiting:
        said: dict[str, Any] = {
            "kind": str(one.need), "count": one.count, "command": line(one.command),
        }  # fmt: skip
        if one.since:
            said["since"] = one.since.isoformat()
        if one.when:
            said |= {"when": one.when.isoformat(), "group": one.group}
        if one.members:
            said["members"] = list(one.members)
        yield said

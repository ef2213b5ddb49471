"""What mail that came to the co-op says: what to do about whom, most pressing first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from shlex import quote
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.clean.email import slips
from onboard.model import Member
from onboard.reports.counts import counted
from onboard.reports.dates import day
from onboard.reports.sentences import PREVIEW, saved
from onboard.reports.table import Piece, Words
from onboard.returned import Action, Kind
from onboard.spool import KNOWN_DAYS

if TYPE_CHECKING:
    from onboard.tasks.take_clicks import ClicksReport
    from onboard.tasks.take_returned import CameBack, ReturnedReport

# By what to do, in the order in which a person does it: the heading, and what is wrong with each.
TO_DO = {
    Action.STOP_AND_CALL: ("Call or write: email can't be delivered", "the mail server does not say why"),
    Action.CHECK_ADDRESS: ("Ask for the right email address", "there is no such mailbox"),
    Action.CHECK_DOMAIN: ("Check what follows the @", "nothing there takes email"),
    Action.ASK_NEW_ADDRESS: ("Ask for another email address", "the mailbox is not used any more"),
    Action.ASK_ASCII_ADDRESS: ("Ask for an email address without accents", "their mail server can't take accents"),
    Action.RETRY_THEN_CALL: ("Try once more in a few days, then call", "the mailbox is full, or nobody answered in time"),
    Action.FIX_OUR_SIDE: ("Look at our own mail: their server refused it, and the address may be fine", "refused"),
    Action.READ: ("Read these yourself", ""),
    Action.STOP_MAIL: ("They want no more email", ""),
    Action.RETRY: ("Not there yet, their server keeps trying. Nothing to do", "delayed"),
    Action.NONE: ("Nothing to do", ""),
}  # fmt: skip
KINDS = {
    Kind.REPORT: "email did not get through",
    Kind.PLAIN_REPORT: "email did not get through",
    Kind.AUTOMATIC_REPLY: "an automatic reply",
    Kind.COMPLAINT: "they marked our email as spam",
    Kind.RECEIPT: "a receipt",
    Kind.UNSUBSCRIBE: "they asked for no more email",
    Kind.REPLY: "a reply",
    Kind.UNREADABLE: "this is not an email, or it is damaged",
}
QUIET = (Action.NONE, Action.RETRY)  # counted, not listed
SHOWN = 60  # characters of what somebody wrote


def pieces(done: ReturnedReport, *, kept: bool, line: Callable[[str], str]) -> Iterator[Piece]:
    """What to do about whom, then the sums; `line` makes a line to type of a command."""
    for action, (heading, wrong) in TO_DO.items():
        mine = [one for one in done.mails if one.found.action is action and not one.before]
        if not mine:
            continue
        if action in QUIET and not any(one.needs_a_person for one in mine):
            yield Words(f"{heading}: {counted(len(mine), 'email')}.")
            continue
        yield Words(f"{heading} ({len(mine):,}):", is_strong=True)
        for one in mine:
            yield Words(f"- {_about(one, wrong)}")
            for told in _next(one, line):
                yield Words(f"  {told}")
    before = sum(one.before for one in done.mails)
    people = sum(one.needs_a_person for one in done.mails)
    yield Words(
        f"{counted(len(done.mails), 'email')} read: {people:,} for you"
        + (f", {before:,} taken in before" if before else "") + ".",
        is_strong=True,
    )  # fmt: skip
    changes = sum(len(one.changes) for one in done.mails)
    if not kept:
        yield Words(PREVIEW)
    elif done.number:
        yield Words(f"{counted(changes, 'change')} on file. {saved(done.number)}")


def clicks(done: ClicksReport, *, kept: bool) -> Iterator[Piece]:
    """Who asked for no more email by one click, and what else was in the file."""
    taken = done.taken
    for one in taken.mails:
        if not one.before:
            yield Words(f"- {_who(one.members) or 'a member whose account is merged'}: {KINDS[one.found.kind]}. [{one.file}]")  # fmt: skip
    before = sum(one.before for one in taken.mails)
    yield Words(
        f"{counted(len(taken.mails), 'request')} for no more email"
        + (f", {before:,} taken in before" if before else "") + ".",
        is_strong=True,
    )  # fmt: skip
    if done.opened:
        yield Words(
            f"{counted(done.opened, 'time')} the page was only opened. That asks for nothing."
        )
    if done.strangers:
        yield Words(_strangers(done))
    if not kept:
        yield Words(PREVIEW)
    elif taken.number:
        changes = sum(len(one.changes) for one in taken.mails)
        yield Words(f"{counted(changes, 'change')} on file. {saved(taken.number)}")


def _strangers(done: ClicksReport) -> str:
    """What is said of keys that are of no email on the roster."""
    keys = len(done.strangers)
    told = f"{counted(keys, 'key')} in it of no email of ours."
    takes = "It takes" if keys == 1 else "They take"
    if done.kept_in is None:
        return f"{told} {takes} nobody off."
    kept = "It stays" if keys == 1 else "They stay"
    return (
        f"{told} {takes} nobody off. {kept} in {done.kept_in} for {KNOWN_DAYS} days: each time you take in "
        "requests, the program looks again."
    )


def _about(one: CameBack, wrong: str) -> str:
    who = _who(one.members)
    addresses = ", ".join(one.found.permanent or one.found.temporary or one.found.readers)
    if one.found.kind not in (Kind.REPORT, Kind.PLAIN_REPORT):
        addresses = addresses or one.found.sender
        wrong = KINDS[one.found.kind]
    status = f" ({one.found.status})" if one.found.status else ""
    told = f"{who}, {addresses}" if who and addresses else who or addresses or one.file
    if not who and addresses:
        told += ", nobody's on the roster"
    text = f"{told}: {wrong or KINDS[one.found.kind]}{status}, {day(one.on)}"
    if one.found.said and one.found.action in (Action.READ, Action.FIX_OUR_SIDE):
        said = " ".join(one.found.said.split())
        text += f": “{said[:SHOWN]}{'…' if len(said) > SHOWN else ''}”"
    if one.old_address:
        text += ". They have another email address on file now"
    if one.times > 1:
        text += f". That is {one.times} times in two months"
    return f"{text}. [{one.file}]"


def _who(members: Iterable[Member]) -> str:
    return " and ".join(f"{names.show(one.name)} ({one.handle.text})" for one in members)


def _next(one: CameBack, line: Callable[[str], str]) -> Iterator[str]:
    """The line that puts it right, where one does."""
    if len(one.members) > 1 and any(change.field == "consent" for change in one.changes):
        yield "They share this mailbox. Ask who of them wants no email. For the other one:"
        for member in one.members:
            yield line(f"correct {quote(member.handle.text)} --consent yes --record")
    if one.old_address or not any(change.field == "bounced" for change in one.changes):
        return
    for member in one.members:
        new = "NEW-EMAIL"
        if one.found.action is Action.CHECK_DOMAIN:
            local, _, domain = member.email.rpartition("@")
            new = f"{local}@{slips.suggestion(domain)}" if slips.suggestion(domain) else new
        yield "Once you have asked: " + line(
            f"correct {quote(member.handle.text)} --email {quote(new)} --record"
        )


def as_json(done: ReturnedReport, *, kept: bool) -> Iterator[dict[str, Any]]:
    """One line a message, for a program."""
    for one in done.mails:
        yield {
            "file": one.file,
            "kind": str(one.found.kind),
            "permanent": list(one.found.permanent),
            "temporary": list(one.found.temporary),
            "status": one.found.status,
            "action": str(one.found.action),
            "day": one.on.isoformat(),
            "members": [member.owner for member in one.members],
            "changed": [change.field for change in one.changes],
            "given_before": one.before,
            "recorded": kept,
        }

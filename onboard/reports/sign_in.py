"""Why a sign-in failed, and the words to say. Nothing that was typed is told again: it may be a
password."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from shlex import quote
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.model import State, Way
from onboard.reports import card as cards
from onboard.reports.dates import day
from onboard.reports.sentences import reissue_line
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.settings import Settings
    from onboard.signin import Cause
    from onboard.tasks.card import Card
    from onboard.tasks.explain_sign_in import Explained

WORTH = 0.05  # a cause that is less likely gets no line to type
WHEN = {
    "window.closed": "It opens on {}.", "unexplained": "It closes after {}.", "password.unused": "It works through {}.",
    "password.replaced": "The newest works through {}.",
}  # fmt: skip
# Causes that a new temporary password ends.
REISSUED = frozenset(
    ("packet.barred", "packet.unsure", "password.expired", "password.replaced", "password.unused",
     "password.used", "password.page")
)  # fmt: skip

# How a packet stands, in the words that programs know.
PACKETS: dict[State | None, str] = {None: "none", State.WAITING: "barred"}

BELOW = " The line to type is below."
NOT_UNDERSTOOD = (
    "It is not clear what the page said, so that was not used. Ask them to read it out, word for word. Then give it "
    "again with --said."
)


def pieces(
    explained: Explained,
    script: str,
    settings: Settings,
    card: Card | None = None,
    *,
    may_reissue: bool,
) -> tuple[Piece, ...]:
    """Whose sign-in it is, what is at hand of them, the causes, the lines to type, and the words to say."""
    account, owner = explained.account, explained.owner
    who = account.handle.text if account.handle else "no sign-in name yet"
    whose = owner.shown if owner.is_member else f"form {(owner.row_key or '')[:6]}, on hold"
    site = explained.site or "no drop site"
    head = (
        *cards.first(card),
        Words(f"{names.show(explained.name)}: {who} ({whose}), {site}", is_strong=True),
        *cards.pieces(card),
    )
    if card and card.died:  # there may be nobody left to help with signing in
        return head
    causes = Table.of(
        ("cause", "sure", "what happened", "ask", "then"),
        [
            (
                cause.code,
                f"{cause.confidence:.0%}",
                _seen(cause),
                cause.ask,
                _do(cause, explained, may_reissue),
            )
            for cause in explained.causes
        ],
    )
    answer = [Words("Read as what the page said, not as what was typed.")]
    lines = list(dict.fromkeys(_lines(explained, settings, may_reissue=may_reissue)))
    return (
        *head,
        *(answer if explained.is_answer else []),
        causes,
        *([Words(NOT_UNDERSTOOD)] if explained.not_understood else []),
        *map(Words, lines),
        *([Words(f"\n{script}")] if script else []),
    )


def _do(cause: Cause, explained: Explained, may_reissue: bool) -> str:
    """What to do, without a line to type where there is none for whoever is at work."""
    if cause.code not in REISSUED or (may_reissue and explained.checks):
        return cause.do
    return cause.do.replace(BELOW, "" if may_reissue else " Pass the call on.")


def _seen(cause: Cause) -> str:
    """What happened, with the day that matters."""
    said = WHEN.get(cause.code, "") if cause.when else ""
    return f"{cause.seen} {said.format(day(cause.when))}" if said and cause.when else cause.seen


def _lines(explained: Explained, settings: Settings, *, may_reissue: bool) -> Iterator[str]:
    """The lines to type next, for the causes that are worth it."""
    account, member = explained.account, explained.member
    worth = [c.code for c in explained.causes if c.confidence >= WORTH] or [
        explained.causes[0].code
    ]
    if member is None:
        yield "To see the question about the form, and answer it: onboard answer"
        return
    handle = quote(member.handle.text)
    for code in worth:
        match code:
            case "account.closed":
                yield f"To open the account again, after the check: onboard reopen {handle} --record"
                return
            case "account.merged":
                yield f"To help with the account that stays: onboard why --member {quote(explained.stays)}"
                return
            case "packet.due":
                yield "To make the welcome packet: onboard packets --write"
                return
            case "packet.barred" if account.in_doubt:
                yield "To see the question about the address, and answer it: onboard packets"
                return
            case "packet.written" if settings.mail.host and member.packet_goes_by is Way.EMAIL:
                yield "To preview the emails in the outbox, then send them: onboard packets --send"
            case "packet.written" | "packet.returned":
                if code == "packet.returned":
                    yield f"To fix the email address, after the check: onboard correct {handle} --email ADDRESS --record"
                yield f"To print the letter: onboard packets --letters letters.pdf --only {handle}"
            case "site.none" | "site.closed":
                yield "To find a drop site near them: onboard sites --near ZIP"
                yield f"To save it, after the check: onboard correct {handle} --site SITE --record"
            case "site.unknown":
                yield "To see the drop sites: onboard sites"
                yield f"To save theirs, after the check: onboard correct {handle} --site SITE --record"
            case "password.set_by_member":
                link = settings.password.set_link
                yield f"They set a password at {settings.ordering_page}: “{link}”."
    if any(code in REISSUED for code in worth) and not account.set_by_member:
        yield _reissue(explained, settings, may_reissue)


def _reissue(explained: Explained, settings: Settings, may_reissue: bool) -> str:
    assert explained.member is not None
    if not explained.checks:
        return f"No new temporary password can be issued now. {explained.none_issued}"
    if may_reissue:
        return (
            "For a new temporary password, first check who is calling. Then: "
            f"{reissue_line(explained.member.handle.text, explained.checks)}"
        )
    may = ", ".join(settings.desk.may_reissue)
    if may:
        return f"For a new temporary password, pass the call on to: {may}."
    return (
        "Nobody may issue temporary passwords yet. A coordinator can name somebody: may_reissue, under [desk] "
        f"in {settings.file}."
    )


def as_json(explained: Explained, script: str) -> dict[str, Any]:
    """The answer for a program."""
    account = explained.account
    return {
        "owner": explained.owner,
        "handle": account.handle.text if account.handle else None,
        "site": explained.site,
        "standing": str(account.standing),
        "said_understood": not explained.not_understood,
        "packet": PACKETS.get(account.packet, account.packet),
        "causes": [
            asdict(cause) | {"when": str(cause.when) if cause.when else None}
            for cause in explained.causes
        ],
        "script": script,
    }

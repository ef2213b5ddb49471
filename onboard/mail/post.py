"""Sends packets by SMTP (RFC 5321), over TLS, and says of each what became of it.

No message goes out twice. Once its last line is sent, only the server's answer tells whether it
was taken; if the connection is lost in that gap (RFC 1047), the outcome is `Unsure` and nothing
is sent again: a person asks the member, or the server's log.
"""

from __future__ import annotations

import smtplib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime

from onboard.errors import SendTrouble
from onboard.mail.envelope import dated, ends, stuffed
from onboard.mail.line import Line, reply, why_of


@dataclass(frozen=True, slots=True)
class Mail:
    """One member's message, as the outbox holds it."""

    id: int  # of its line in the list of what goes out; each outcome has it too
    message: bytes = field(repr=False)  # it holds a first password
    consent: bool | None = None  # False: the member opted out of email, and gets none


@dataclass(frozen=True, slots=True)
class Sent:
    """The server took the message, and answers for it from here on (RFC 5321 4.2.5)."""

    id: int
    when: datetime  # UTC
    response: str


@dataclass(frozen=True, slots=True)
class NotSent:
    """The message was certainly not taken. If not `permanent`, it may be tried again later."""

    id: int
    code: int  # the server's reply code; 0 if there was none
    why: str
    permanent: bool


@dataclass(frozen=True, slots=True)
class Unsure:
    """The connection was lost after the whole message was sent and before the answer to it."""

    id: int
    why: str


@dataclass(frozen=True, slots=True)
class Ready:
    """Of a dry run: the message would be sent to this address."""

    id: int
    to: str


Outcome = Sent | NotSent | Unsure | Ready


class Claims:
    """Keeps two programs from sending one message; as it stands here, for whoever sends alone."""

    def claim(self, mail: Mail) -> bool:
        """Whether the message is ours to send: asked before each try."""
        return True

    def holds(self, mail: Mail) -> bool:
        """Whether it still is: asked just before it is handed to the server."""
        return True

    def put_off(self, mail: Mail) -> None:
        """It was certainly not taken; there is another try later."""


def send(
    mails: Iterable[Mail],
    line: Line,
    *,
    claims: Claims | None = None,
    dry_run: bool = False,
    now: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> Iterator[Outcome]:
    """One outcome for each message, as soon as it is known; what is put off comes last. A message
    that is not ours by the `claims` is not sent, and has none.

    A dry run does not connect. Raises `SendTrouble` when the server cannot be reached, is not
    who it says, or refuses us altogether: the messages that have no outcome were not sent.
    Where the caller stops in between, the last message taken from `mails` may have been sent.
    """
    claims = claims or Claims()
    with line:
        todo: Iterable[Mail] = mails
        for pause in (*line.waits, None):
            later: list[Mail] = []
            for mail in todo:
                outcome = _outcome(mail, None if dry_run else line, claims, now)
                if isinstance(outcome, NotSent) and not outcome.permanent and pause is not None:
                    claims.put_off(mail)
                    later.append(mail)
                elif outcome is not None:
                    yield outcome
            if not later or pause is None:
                return
            line.close()  # nobody likes a caller who is silent for minutes
            line.wait(pause)
            todo = later


def _outcome(
    mail: Mail, line: Line | None, claims: Claims, now: Callable[[], datetime]
) -> Outcome | None:
    """What becomes of a message on this try; without a line, what would. None: it is not ours."""
    if mail.consent is False:
        return NotSent(mail.id, 0, "This member opted out of email. Print the letter.", True)
    found = ends(mail.message)
    if found is None:
        why = "The message does not have one sender and one recipient. Make the packet again."
        return NotSent(mail.id, 0, why, True)
    return _send(mail, *found, line, claims, now()) if line else Ready(mail.id, found[1])


_ASK = "It may have arrived. Ask the member before you send it again."


def _send(
    mail: Mail, sender: str, to: str, line: Line, claims: Claims, when: datetime
) -> Outcome | None:
    client = line.open()
    options: tuple[str, ...] = ()
    if not (sender + to).isascii():
        if not client.has_extn("smtputf8"):
            why = f"The mail server can't send to “{to}” (RFC 6531). Print the letter."
            return NotSent(mail.id, 0, why, True)
        options = ("SMTPUTF8", "BODY=8BITMIME")
    if not claims.claim(mail):
        return None
    try:
        code, said = client.mail(sender, options)
        if code >= 500:
            raise SendTrouble(
                f"The mail server does not accept email from {sender} ({reply(code, said)}). "
                "Fix the sender, or the sign-in to the mail server, in the settings."
            )
        if code == 250:
            code, said = client.rcpt(to)
        if code in (250, 251):
            if not claims.holds(mail):
                line.reset()
                return None
            code, said = client.docmd("DATA")
        if code != 354:
            return _not_taken(mail, line, code, said)
        client.send(stuffed(dated(mail.message, when)))
    except (smtplib.SMTPException, OSError) as error:
        line.lost(error)
        return NotSent(mail.id, 0, f"The connection was lost ({why_of(error)}).", False)
    try:
        code, said = line.end(client)
    except (smtplib.SMTPException, OSError) as error:
        line.lost(error)
        return Unsure(
            mail.id,
            f"The connection was lost after the message was sent ({why_of(error)}). {_ASK}",
        )
    if 400 <= code < 600:
        return _not_taken(mail, line, code, said)
    line.failures = 0
    if code // 100 == 2:
        return Sent(mail.id, when, reply(code, said))
    why = f"The mail server gave an answer we can't read ({reply(code, said)})."
    return Unsure(mail.id, f"{why} {_ASK}")


def _not_taken(mail: Mail, line: Line, code: int, said: bytes) -> NotSent:
    """A refusal by the server: for good if it begins with 5 (RFC 5321 4.2.1)."""
    if code == 421:  # it closes the connection (3.8)
        line.lost(smtplib.SMTPResponseException(code, said))
    else:
        line.reset()
    return NotSent(mail.id, code, reply(code, said), code >= 500)

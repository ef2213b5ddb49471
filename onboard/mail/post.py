"""Sends packets by SMTP (RFC 5321), over TLS, and says of each what became of it.

No message goes out twice. Once its last line is sent, only the server's answer tells whether it
was taken; if the connection is lost in that gap (RFC 1047), the outcome is `Unsure` and nothing
is sent again: a person asks the member, or the server's log.
"""

from __future__ import annotations

import smtplib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime

from onboard.errors import SendTrouble
from onboard.mail import signing
from onboard.mail.envelope import dated, ends, on_the_wire, stuffed
from onboard.mail.line import Line, reply, why_of


@dataclass(frozen=True, slots=True)
class Mail:
    """One member's message, as the outbox holds it."""

    id: int  # of its line in the list of what goes out; each outcome has it too
    message: bytes = field(repr=False)  # it holds a first password
    consent: bool | None = None  # False: the member opted out of email, and gets none
    until: datetime | None = None  # UTC; what is put off is not tried after that


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
    too_late: bool = False  # it was put off until it was not worth sending any more


@dataclass(frozen=True, slots=True)
class Later:
    """The server put it off, and it is not time for the next try."""

    id: int
    when: datetime  # UTC, of that try
    why: str


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


Outcome = Sent | NotSent | Later | Unsure | Ready


class Claims:
    """Keeps two programs from sending one message; as it stands here, for whoever sends alone."""

    def claim(self, mail: Mail) -> bool:
        """Whether the message is ours to send: asked before each try."""
        return True

    def return_path(self, mail: Mail) -> str:
        """The address that reports about the message come back to; "" if that is the sender's."""
        return ""

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

    What is put off is tried again after the line's `waits`, but not after its `until`. A dry run does not
    connect. Raises `SendTrouble` when the server cannot be reached, is not
    who it says, or refuses us altogether: the messages that have no outcome were not sent.
    Where the caller stops in between, the last message taken from `mails` may have been sent.
    """
    claims = claims or Claims()
    sign = signing.signer(line.server)
    with line:
        todo: Iterable[Mail] = mails
        for pause in (*line.waits, None):
            later: list[Mail] = []
            for mail in todo:
                try_of_it = _Try(mail, line, claims, sign, now)
                outcome = try_of_it.preview() if dry_run else try_of_it.outcome()
                if isinstance(outcome, NotSent) and not outcome.permanent:
                    if mail.until and now() >= mail.until:
                        outcome = replace(
                            outcome, why=f"{outcome.why} {GIVEN_UP}", permanent=True, too_late=True
                        )
                    elif pause is not None:
                        claims.put_off(mail)
                        later.append(mail)
                        continue
                if outcome is not None:
                    yield outcome
            if not later or pause is None:
                return
            line.close()  # nobody likes a caller who is silent for minutes
            line.wait(pause)
            todo = later


_ASK = "It may have arrived. Ask the member before you send it again."
GIVEN_UP = "The program has stopped trying: it would come too late now."


@dataclass(frozen=True, slots=True)
class _Try:
    """One try to send a message."""

    mail: Mail
    line: Line
    claims: Claims
    sign: signing.Sign | None
    now: Callable[[], datetime]

    def preview(self) -> Outcome:
        """What would become of it."""
        if self.mail.consent is False:
            why = "This member opted out of email. Print the letter."
            return NotSent(self.mail.id, 0, why, True)
        found = ends(self.mail.message)
        if found is None:
            why = "The message does not have one sender and one recipient. Make the packet again."
            return NotSent(self.mail.id, 0, why, True)
        return Ready(self.mail.id, found[1])

    def outcome(self) -> Outcome | None:
        """What becomes of it. None: it is not ours to send."""
        barred = self.preview()
        found = ends(self.mail.message)
        if not isinstance(barred, Ready) or found is None:
            return barred
        self.line.pace()
        client = self.line.open()
        if not "".join(found).isascii() and not client.has_extn("smtputf8"):
            why = f"The mail server can't send to “{found[1]}” (RFC 6531). Print the letter."
            return NotSent(self.mail.id, 0, why, True)
        when = self.now()
        try:
            message = self._ready(when)
        except ValueError as wrong:
            return NotSent(self.mail.id, 0, str(wrong), True)
        if not self.claims.claim(self.mail):
            return None
        try:
            code, said = self._announced(*found)
            if code in (250, 251):
                if not self.claims.holds(self.mail):
                    self.line.reset()
                    return None
                code, said = self._client.docmd("DATA")
            if code != 354:
                return self._not_taken(code, said)
            self._client.send(message)
        except (smtplib.SMTPException, OSError) as error:
            self.line.lost(error)
            return NotSent(self.mail.id, 0, f"The connection was lost ({why_of(error)}).", False)
        return self._ended(when)

    def _ready(self, when: datetime) -> bytes:
        """The message as it goes over the wire. Raises ValueError where it can't be signed."""
        message = on_the_wire(dated(self.mail.message, when))
        return stuffed(self.sign(message) if self.sign else message)

    @property
    def _client(self) -> smtplib.SMTP:
        return self.line.open()

    def _announced(self, sender: str, to: str) -> tuple[int, bytes]:
        """The server's answer to who sends, and if it takes that, to who gets it."""
        path = self.claims.return_path(self.mail) or sender
        options = () if (path + to).isascii() else ("SMTPUTF8", "BODY=8BITMIME")
        code, said = self._from(path, options)
        if code >= 500:
            raise SendTrouble(
                f"The mail server does not accept email from {path} ({reply(code, said)}). "
                "Fix the sender, or the sign-in to the mail server, in the settings."
            )
        return self._client.rcpt(to) if code == 250 else (code, said)

    def _from(self, path: str, options: tuple[str, ...]) -> tuple[int, bytes]:
        """The server's answer to who sends. One that hangs up after some messages is called again at once."""
        used = self.line.served
        try:
            code, said = self._client.mail(path, options)
        except (smtplib.SMTPException, OSError):
            if not used:
                raise
            code, said = 421, b""
        if code == 421 and used:
            self.line.drop()
            code, said = self._client.mail(path, options)
        return code, said

    def _ended(self, when: datetime) -> Outcome:
        """What the server says to the whole message; only from here on can nobody know."""
        try:
            code, said = self.line.end(self._client)
        except (smtplib.SMTPException, OSError) as error:
            self.line.lost(error)
            why = f"The connection was lost after the message was sent ({why_of(error)}). {_ASK}"
            return Unsure(self.mail.id, why)
        if 400 <= code < 600:
            return self._not_taken(code, said)
        self.line.failures = 0
        self.line.served = True
        if code // 100 == 2:
            return Sent(self.mail.id, when, reply(code, said))
        why = f"The mail server gave an answer we can't read ({reply(code, said)})."
        return Unsure(self.mail.id, f"{why} {_ASK}")

    def _not_taken(self, code: int, said: bytes) -> NotSent:
        """A refusal by the server: for good if it begins with 5 (RFC 5321 4.2.1)."""
        if code == 421:  # it closes the connection (3.8)
            self.line.lost(smtplib.SMTPResponseException(code, said))
        else:
            self.line.reset()
        return NotSent(self.mail.id, code, reply(code, said), code >= 500)

"""Sends packets by SMTP (RFC 5321), over TLS, and says of each what became of it.

No message goes out twice. Once its last line is sent, only the server's answer tells whether it
was taken; if the connection is lost in that gap (RFC 1047), the outcome is `Unsure` and nothing
is sent again: a person asks the member, or the server's log.
"""

from __future__ import annotations

import contextlib
import ipaddress
import os
import re
import smtplib
import ssl
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from email import message_from_string, policy
from email.errors import MessageError
from email.utils import format_datetime

from onboard.errors import SendTrouble
from onboard.settings import MailServer

# Seconds to wait before each further try: of a message that was put off, and of a server that
# cannot be reached. After the last it is given up.
WAITS = (10.0, 60.0, 300.0)
# Seconds to wait for an answer: five minutes for the greeting and most commands, ten for the end
# of a message (RFC 5321 4.5.3.2).
PATIENCE, PATIENCE_AT_END = 300.0, 600.0


@dataclass(frozen=True, slots=True)
class Mail:
    """One member's message, as the outbox holds it."""

    handle: str
    message: bytes = field(repr=False)  # it holds a first password
    consent: bool | None = None  # False: the member said no to mail, and gets none


@dataclass(frozen=True, slots=True)
class Sent:
    """The server took the message, and answers for it from here on (RFC 5321 4.2.5)."""

    handle: str
    when: datetime  # UTC
    response: str


@dataclass(frozen=True, slots=True)
class NotSent:
    """The message was certainly not taken. If not `permanent`, it may be tried again later."""

    handle: str
    code: int  # the server's reply code; 0 if there was none
    why: str
    permanent: bool


@dataclass(frozen=True, slots=True)
class Unsure:
    """The connection was lost after the whole message was sent and before the answer to it."""

    handle: str
    why: str


@dataclass(frozen=True, slots=True)
class Ready:
    """Of a dry run: the message would be sent to this address."""

    handle: str
    to: str


Outcome = Sent | NotSent | Unsure | Ready


def send(
    mails: Iterable[Mail],
    server: MailServer,
    *,
    dry_run: bool = False,
    environ: Mapping[str, str] = os.environ,
    context: ssl.SSLContext | None = None,
    plain_on_loopback: bool = False,
    waits: Sequence[float] = WAITS,
    patience: float = PATIENCE,
    wait: Callable[[float], None] = time.sleep,
    now: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> Iterator[Outcome]:
    """One outcome for each message, as soon as it is known; what is put off comes last.

    `context` holds the authorities whose certificates are trusted, the system's unless given.
    `plain_on_loopback` allows `server.security` "plain" for a server on this machine, in tests.
    A dry run does not connect. Raises `SendTrouble` when the server cannot be reached, is not
    who it says, or refuses us altogether: the messages that have no outcome were not sent.
    Where the caller stops in between, the last message taken from `mails` may have been sent.
    """
    context = context or ssl.create_default_context()
    plain = plain_on_loopback and _loopback(server.host)
    with contextlib.closing(_Line(server, environ, context, plain, waits, patience, wait)) as line:
        todo: Iterable[Mail] = mails
        for pause in (*waits, None):
            later: list[Mail] = []
            for mail in todo:
                outcome = _outcome(mail, None if dry_run else line, now)
                if isinstance(outcome, NotSent) and not outcome.permanent and pause is not None:
                    later.append(mail)
                else:
                    yield outcome
            if not later or pause is None:
                return
            line.close()  # nobody likes a caller who is silent for minutes
            wait(pause)
            todo = later


def _outcome(mail: Mail, line: _Line | None, now: Callable[[], datetime]) -> Outcome:
    """What becomes of a message on this try; without a line, what would."""
    if mail.consent is False:
        return NotSent(mail.handle, 0, "This member opted out of email. Print the letter.", True)
    ends = _ends(mail.message)
    if ends is None:
        why = "The message does not have one sender and one recipient. Make the packet again."
        return NotSent(mail.handle, 0, why, True)
    return _send(mail, *ends, line, now()) if line else Ready(mail.handle, ends[1])


def recipient(message: bytes) -> str:
    """The address that a message is addressed to; "" if that is not one address."""
    ends = _ends(message)
    return ends[1] if ends else ""


def _ends(message: bytes) -> tuple[str, str] | None:
    """The sender's and the recipient's address, if there is one of each."""
    try:
        # As text, for the foreign letters that RFC 6532 allows in headers.
        head = message.partition(b"\r\n\r\n")[0].decode("utf-8", "replace")
        headers = message_from_string(head, policy=policy.default)
        (sender,), (to,) = headers["From"].addresses, headers["To"].addresses
    except (MessageError, AttributeError, ValueError, IndexError):
        return None
    return (sender.addr_spec, to.addr_spec) if sender.domain and to.domain else None


_ASK = "It may have arrived. Ask the member before you send it again."


def _send(mail: Mail, sender: str, to: str, line: _Line, when: datetime) -> Outcome:
    client = line.open()
    options: tuple[str, ...] = ()
    if not (sender + to).isascii():
        if not client.has_extn("smtputf8"):
            why = f"The mail server can't send to “{to}” (RFC 6531). Print the letter."
            return NotSent(mail.handle, 0, why, True)
        options = ("SMTPUTF8", "BODY=8BITMIME")
    try:
        code, said = client.mail(sender, options)
        if code >= 500:
            raise SendTrouble(
                f"The mail server does not accept email from {sender} ({_reply(code, said)}). "
                "Fix the sender, or the sign-in to the mail server, in the settings."
            )
        if code == 250:
            code, said = client.rcpt(to)
        if code in (250, 251):
            code, said = client.docmd("DATA")
        if code != 354:
            return _not_taken(mail, line, code, said)
        client.send(_stuffed(_dated(mail.message, when)))
    except (smtplib.SMTPException, OSError) as error:
        line.lost(error)
        return NotSent(mail.handle, 0, f"The connection was lost ({_why(error)}).", False)
    try:
        code, said = line.end(client)
    except (smtplib.SMTPException, OSError) as error:
        line.lost(error)
        return Unsure(
            mail.handle,
            f"The connection was lost after the message was sent ({_why(error)}). {_ASK}",
        )
    if 400 <= code < 600:
        return _not_taken(mail, line, code, said)
    line.failures = 0
    if code // 100 == 2:
        return Sent(mail.handle, when, _reply(code, said))
    why = f"The mail server gave an answer we can't read ({_reply(code, said)})."
    return Unsure(mail.handle, f"{why} {_ASK}")


def _not_taken(mail: Mail, line: _Line, code: int, said: bytes) -> NotSent:
    """A refusal by the server: for good if it begins with 5 (RFC 5321 4.2.1)."""
    if code == 421:  # it closes the connection (3.8)
        line.lost(smtplib.SMTPResponseException(code, said))
    else:
        line.reset()
    return NotSent(mail.handle, code, _reply(code, said), code >= 500)


# ---------------------------------------------------------------- the connection


@dataclass
class _Line:
    """The connection to the mail server: opened when needed, used for many messages.

    Each time it fails, the next opening waits longer, until it is given up.
    """

    server: MailServer
    environ: Mapping[str, str]
    context: ssl.SSLContext
    plain: bool
    waits: Sequence[float]
    patience: float
    wait: Callable[[float], None]
    client: smtplib.SMTP | None = None
    failures: int = 0  # since something last went well
    last: str = ""  # why it failed last

    def open(self) -> smtplib.SMTP:
        """The connection, made safe and signed in. Raises `SendTrouble`."""
        where = f"The mail server {self.server.host}, port {self.server.port},"
        while self.client is None:
            if self.failures > len(self.waits):
                raise SendTrouble(
                    f"{where} can't be used ({self.last}). Check the settings and your network, "
                    "or try again later."
                )
            if self.failures:
                self.wait(self.waits[self.failures - 1])
            try:
                self._connect()
                self._sign_in()
            except ssl.SSLCertVerificationError as error:
                self.drop()
                raise SendTrouble(
                    f"{where} does not prove who it is ({error.verify_message}). Nothing was sent to it. "
                    "Check host, port and security in the settings."
                ) from error
            except (smtplib.SMTPException, OSError) as error:
                self.lost(error)
                code = getattr(error, "smtp_code", 0)
                if code >= 500 or isinstance(error, smtplib.SMTPNotSupportedError):
                    self.failures = len(self.waits) + 1  # it will say the same again
        return self.client

    def _connect(self) -> None:
        host, port = self.server.host, self.server.port
        if not host:
            raise SendTrouble("No mail server is set. Name one in the settings, under [mail].")
        match self.server.security:
            case "tls":
                self.client = smtplib.SMTP_SSL(
                    host, port, timeout=self.patience, context=self.context
                )
            case "starttls":
                self.client = smtplib.SMTP(host, port, timeout=self.patience)
                self.client.starttls(context=self.context)  # raises if it is not offered
            case "plain" if self.plain:
                self.client = smtplib.SMTP(host, port, timeout=self.patience)
            case other:
                raise SendTrouble(
                    f"Email goes out over “starttls” or “tls”, not “{other}”: it has passwords in it. "
                    "Fix security in the settings, under [mail]."
                )

    def _sign_in(self) -> None:
        assert self.client is not None
        self.client.ehlo_or_helo_if_needed()
        if not self.server.user:
            return
        secret = self.environ.get(self.server.secret_from)
        if not secret:
            raise SendTrouble(
                "The password of the mail server is missing. Put it into the environment "
                f"variable {self.server.secret_from}."
            )
        try:
            self.client.login(self.server.user, secret)
        except smtplib.SMTPAuthenticationError as error:
            if error.smtp_code < 500:
                raise  # not now (RFC 4954 section 6)
            # The reply is left out, as a server may repeat in it what it was sent.
            raise SendTrouble(
                f"The mail server refused the sign-in of {self.server.user} "
                f"({error.smtp_code}). Check user and {self.server.secret_from}."
            ) from None

    def end(self, client: smtplib.SMTP) -> tuple[int, bytes]:
        """Ends the message and gives the server's answer to it."""
        if client.sock is not None:
            client.sock.settimeout(max(self.patience, PATIENCE_AT_END * self.patience / PATIENCE))
        client.send(b".\r\n")
        code, said = client.getreply()
        if client.sock is not None:
            client.sock.settimeout(self.patience)
        return code, said

    def reset(self) -> None:
        """Forgets the message that was refused."""
        self.failures = 0  # the server answers
        if self.client is not None:
            try:
                self.client.rset()
            except (smtplib.SMTPException, OSError) as error:
                self.lost(error)

    def lost(self, error: Exception) -> None:
        """Notes that the connection failed."""
        self.failures += 1
        self.last = _why(error)
        self.drop()

    def drop(self) -> None:
        """Ends the connection without a word."""
        if self.client is not None:
            self.client.close()
            self.client = None

    def close(self) -> None:
        """Ends the connection politely."""
        if self.client is not None:
            with contextlib.suppress(smtplib.SMTPException, OSError):
                self.client.quit()
            self.drop()


def _loopback(host: str) -> bool:
    try:
        return host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


# ---------------------------------------------------------------- the message on the wire


def _dated(message: bytes, when: datetime) -> bytes:
    """The message with the time at which it is sent (RFC 5322 3.6.1), not that of its writing:
    what waited in the outbox must not go under among old mail."""
    date = b"Date: " + format_datetime(when).encode() + b"\r\n"
    return re.sub(rb"^Date: [^\r\n]*\r\n", date, message, count=1, flags=re.MULTILINE)


def _stuffed(message: bytes) -> bytes:
    """The message with a further dot before each line that begins with one (RFC 5321 4.5.2)."""
    lines = re.sub(rb"\r\n|\r|\n", b"\r\n", message)
    lines = re.sub(rb"^\.", b"..", lines, flags=re.MULTILINE)
    return lines if lines.endswith(b"\r\n") else lines + b"\r\n"


def _reply(code: int, said: bytes) -> str:
    """A server's reply as one short line without control characters."""
    text = said.decode("utf-8", "replace")
    shown = "".join(sign if sign.isprintable() else " " for sign in text)
    return " ".join(f"{code} {shown}".split())[:300]


def _why(error: Exception) -> str:
    if isinstance(error, smtplib.SMTPResponseException):
        said = error.smtp_error
        return _reply(error.smtp_code, said if isinstance(said, bytes) else said.encode())
    return str(getattr(error, "strerror", None) or error) or type(error).__name__

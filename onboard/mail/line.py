"""The connection to the mail server, over TLS: opened when needed, and anew when it fails."""

from __future__ import annotations

import contextlib
import ipaddress
import os
import smtplib
import socket
import ssl
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from types import TracebackType

from onboard.errors import SendTrouble
from onboard.settings import MailServer

# Seconds to wait before each further try: of a message that was put off, and of a server that
# cannot be reached. After the last it is given up.
WAITS = (10.0, 60.0, 300.0)
# Seconds to wait for an answer: five minutes for the greeting and most commands, ten for the end
# of a message (RFC 5321 4.5.3.2).
PATIENCE, PATIENCE_AT_END = 300.0, 600.0
IDLE = 20.0  # seconds for which a connection is kept that nobody uses
PARTING = 5.0  # seconds to wait for the answer to QUIT


@dataclass
class Line:
    """The connection to the mail server: opened when needed, used for many messages.

    Each time it fails, the next opening waits longer, until it is given up.
    """

    server: MailServer
    # The authorities whose certificates are trusted; the system's unless given.
    context: ssl.SSLContext = field(default_factory=ssl.create_default_context)
    # Allows `server.security` "plain" for a server on this machine, in tests.
    plain_on_loopback: bool = False
    environ: Mapping[str, str] = field(default_factory=lambda: os.environ)  # has the secret
    waits: Sequence[float] = WAITS
    patience: float = field(default_factory=lambda: PATIENCE)  # seconds
    wait: Callable[[float], None] = time.sleep
    rest: Callable[[float], None] = time.sleep  # between two messages, where the server wants it
    clock: Callable[[], float] = time.monotonic
    began: float | None = None  # by the clock, the last message
    served: bool = False  # whether this connection has taken a message
    client: smtplib.SMTP | None = None
    was_open: bool = False  # at least once
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
                self.was_open = True
            except ssl.SSLCertVerificationError as error:
                self.drop()
                raise SendTrouble(
                    f"{where} does not prove who it is ({error.verify_message}). Nothing was sent to it. "
                    "Check host, port and security in the settings."
                ) from error
            except (ConnectionRefusedError, socket.gaierror) as error:
                self.lost(error)
                # Waiting does not make a server listen, or a name known; unless it did a moment ago.
                if not self.was_open and (words := _nobody_there(error)):
                    raise SendTrouble(
                        f"{where} can't be used ({self.last}). {words} Check host and port under [mail] in "
                        "the settings, or ask whoever runs the server. Nothing was sent."
                    ) from error
            except (smtplib.SMTPException, OSError) as error:
                self.lost(error)
                code = getattr(error, "smtp_code", 0)
                if code >= 500 or isinstance(error, smtplib.SMTPNotSupportedError):
                    self.failures = len(self.waits) + 1  # it will say the same again
        return self.client

    def pace(self) -> None:
        """Rest until the server may be given another message, so many a minute as the settings say."""
        if self.server.per_minute and self.began is not None:
            left = self.began + 60 / self.server.per_minute - self.clock()
            if left > IDLE:
                self.close()  # it would hang up on who is silent
            if left > 0:
                self.rest(left)
        self.began = self.clock()

    def _connect(self) -> None:
        host, port = self.server.host, self.server.port
        self.served = False
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
            case "plain" if self.plain_on_loopback and is_loopback(host):
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
        try:
            secret = self.server.secret(self.environ)
        except ValueError as wrong:
            raise SendTrouble(
                f"The file with the password of the mail server, {self.server.secret_file}, {wrong}"
            ) from wrong
        if not secret:
            raise SendTrouble(
                "The password of the mail server is missing. Put it into the environment "
                f"variable {self.server.secret_from}, or name a file that has it (secret_file, under [mail])."
            )
        try:
            self.client.login(self.server.user, secret)
        except smtplib.SMTPAuthenticationError as error:
            if error.smtp_code < 500:
                raise  # not now (RFC 4954 section 6)
            # The reply is left out, as a server may repeat in it what it was sent.
            raise SendTrouble(
                f"The mail server refused the sign-in of {self.server.user} "
                f"({error.smtp_code}). Check user and {self.server.secret_in}."
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
        self.last = why_of(error)
        self.drop()

    def drop(self) -> None:
        """Ends the connection without a word."""
        if self.client is not None:
            self.client.close()
            self.client = None

    def close(self) -> None:
        """Ends the connection politely; nobody waits long for a server to say good-bye."""
        if self.client is not None:
            with contextlib.suppress(smtplib.SMTPException, OSError):
                if self.client.sock is not None:
                    self.client.sock.settimeout(min(self.patience, PARTING))
                self.client.quit()
            self.drop()

    def __enter__(self) -> Line:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        # Broken off in the middle of a message, "QUIT" would be a line of it.
        if kind is None or kind is GeneratorExit:
            self.close()
        else:
            self.drop()


def _nobody_there(error: OSError) -> str:
    """Why there is no use in trying again, in words; "" if there may be."""
    if isinstance(error, ConnectionRefusedError):
        return "Nothing listens there: it is not running, or host or port is wrong."
    if error.errno == socket.EAI_NONAME:
        return "No computer has that name, or this one is not online."
    return ""


def is_loopback(host: str) -> bool:
    """Whether a host, by name or IP address, is this computer."""
    try:
        return host == "localhost" or ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def reply(code: int, said: bytes) -> str:
    """A server's reply as one short line without control characters."""
    text = said.decode("utf-8", "replace")
    shown = "".join(sign if sign.isprintable() else " " for sign in text)
    return " ".join(f"{code} {shown}".split())[:300]


def why_of(error: Exception) -> str:
    """What went wrong, in one short line: the server's reply if there is one."""
    if isinstance(error, smtplib.SMTPResponseException):
        said = error.smtp_error
        return reply(error.smtp_code, said if isinstance(said, bytes) else said.encode())
    return str(getattr(error, "strerror", None) or error) or type(error).__name__

"""A mail server on this machine: what it is told to do at each step, and what it took."""

from __future__ import annotations

import asyncio
import datetime as dt
import ipaddress
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult, Envelope, LoginPassword, Session
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from onboard.settings import MailServer

SECRET = "mail-server-secret"
USER = "hello@furrowandfen.example"


@dataclass(frozen=True)
class Proof:
    """A certificate that a server shows, and what a client needs to believe it."""

    server: ssl.SSLContext
    client: ssl.SSLContext
    file: Path  # the certificate


def proof_in(folder: Path, address: str = "127.0.0.1", ended: int = -1) -> Proof:
    """A certificate of our own for an address, made in the folder; it `ended` so many days ago."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, address)])
    now = dt.datetime.now(dt.UTC)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - dt.timedelta(days=9))
        .not_valid_after(now - dt.timedelta(days=ended))
        .add_extension(
            x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address(address))]), False
        )
        .add_extension(x509.BasicConstraints(ca=True, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    cert, private = folder / "cert.pem", folder / "key.pem"
    cert.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    private.write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    server = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    server.load_cert_chain(cert, private)
    return Proof(server, ssl.create_default_context(cafile=str(cert)), cert)


@dataclass
class Box:
    """What the server took, and what it does at each step: lists of replies, used up in turn."""

    mail: list[str] = field(default_factory=list)
    rcpt: dict[str, list[str]] = field(default_factory=dict)
    data: list[str] = field(default_factory=list)  # "drop" and "drop after" cut the line
    greeting: list[str] = field(default_factory=list)
    late: float = 0.0
    taken: list[Envelope] = field(default_factory=list)
    signed_in: list[str] = field(default_factory=list)
    connections: int = 0
    open: bool = False

    async def handle_MAIL(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        reply = self.mail.pop(0) if self.mail else "250 OK"
        if reply.startswith("250"):
            envelope.mail_from = address
            envelope.mail_options.extend(options)
        return reply

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        replies = self.rcpt.get(address, [])
        reply = replies.pop(0) if replies else "250 OK"
        if reply.startswith("250"):
            envelope.rcpt_tos.append(address)
        return reply

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        reply = self.data.pop(0) if self.data else "250 2.0.0 Taken"
        if reply.startswith("250") or reply == "drop after":
            self.taken.append(envelope)
        if reply.startswith("drop"):
            assert server.transport is not None
            server.transport.abort()
        return reply

    def sign_in(
        self, server: SMTP, session: Session, envelope: Envelope, mechanism: str, data: Any
    ) -> AuthResult:
        assert isinstance(data, LoginPassword)
        self.signed_in.append(data.login.decode())
        return AuthResult(success=data.password.decode() == SECRET, handled=False)


class Server(SMTP):
    box: Box

    async def _handle_client(self) -> None:
        if not self.box.open:
            return
        self.box.connections += 1
        await asyncio.sleep(self.box.late)
        if self.box.greeting:
            await self.push(self.box.greeting.pop(0))
            assert self.transport is not None
            self.transport.close()
            return
        await super()._handle_client()


class Listening(Controller):
    def __init__(self, box: Box, **how: Any) -> None:
        self.box = box
        self.how = how
        super().__init__(box, hostname="127.0.0.1", port=0, ready_timeout=10, **how)

    def factory(self) -> SMTP:
        server = Server(self.handler, **self.SMTP_kwargs)
        server.box = self.box
        return server

    def _trigger_server(self) -> None:
        """The port that it was given, before it is asked whether it is up."""
        assert self.server is not None
        self.port = self.server.sockets[0].getsockname()[1]
        super()._trigger_server()


@contextmanager
def listening(
    box: Box, proof: Proof | None, how: str = "starttls", **more: Any
) -> Iterator[MailServer]:
    options: dict[str, Any] = {}
    if proof and how == "starttls":
        options = {"tls_context": proof.server, "require_starttls": True}
    if proof and how == "tls":
        options = {"ssl_context": proof.server}
    if more.pop("auth", False):
        options |= {"authenticator": box.sign_in, "auth_required": True}
        if how == "tls":
            options["auth_require_tls"] = False  # the server does not see that it is inside TLS
    server = Listening(box, enable_SMTPUTF8=more.pop("utf8", False), **options)
    server.start()
    box.open = True
    try:
        user = USER if "authenticator" in options else ""
        yield MailServer("127.0.0.1", server.port, user, security=how)
    finally:
        server.stop()

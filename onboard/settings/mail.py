"""How email goes out, and where it comes back to, as [mail] and [mailbox] state it."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from onboard.secret_file import password_in
from onboard.settings.checks.contacts import any_email
from onboard.settings.checks.mail import (
    THEY_COULD,
    key_file,
    password_file,
    read_in_secret,
    return_path,
    selector,
)
from onboard.settings.checks.values import kept_secret, server_name
from onboard.settings.key import Key


def _server(if_empty: str) -> Key:
    return Key("the name of the server", f"if empty, {if_empty}", server_name, blank=True)


def _port(which: str) -> Key:
    return Key("its port", which, bounds=(1, 65535))


_FROM = Key("the environment variable that holds the password", "never put the password itself in this file", blank=True)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Account:
    """An account at a server. Its password is in the environment or in a file of its own, never in the settings."""

    host: Annotated[str, _server("it is not used")] = ""
    port: Annotated[int, _port("ask your provider")] = 0
    user: Annotated[str, Key("the account", blank=True)] = ""
    secret_from: Annotated[str, _FROM] = ""
    secret_file: Annotated[
        str,
        Key("or a file that holds the password", "on one line, for your eyes only; the environment variable goes first", password_file, blank=True),
    ] = ""  # fmt: skip

    def secret(self, environ: Mapping[str, str]) -> str:
        """The password; "" if it is nowhere. Raises ValueError, with words that follow what names the file."""
        said = environ.get(self.secret_from, "")
        if said or not self.secret_file:
            return said
        try:
            return password_in(Path(self.secret_file), THEY_COULD)
        except OSError as error:
            raise ValueError(f"can't be read ({error.strerror}).") from error

    @property
    def secret_in(self) -> str:
        """Where a person puts the password right."""
        return self.secret_file or self.secret_from


@dataclass(frozen=True, slots=True)
class MailServer(Account):
    """Where packets are sent through."""

    host: Annotated[
        str, _server("nothing is sent: you print the packets, or email them yourself")
    ] = ""
    port: Annotated[int, _port('587 with "starttls", 465 with "tls"')] = 587
    user: Annotated[
        str,
        Key(
            "the account that sends the email", "if empty, the program does not sign in", blank=True
        ),
    ] = ""
    secret_from: Annotated[str, _FROM] = "ONBOARD_MAIL_SECRET"
    security: Annotated[
        str,
        Key(
            "how the connection is encrypted",
            '"starttls" or "tls"; packets never go out unencrypted',
            kept_secret,
            choices=("starttls", "tls"),
        ),
    ] = "starttls"  # or "tls"
    coordinator: Annotated[
        str,
        Key(
            "whom `onboard today --mail` writes to", "an email address; if empty, the one that your emails come from",
            any_email, blank=True,
        ),
    ] = ""  # fmt: skip
    per_minute: Annotated[
        int,
        Key("how many emails it takes a minute at most", "ask your provider; with 0 they go out as fast as it takes them", bounds=(0, 10_000)),
    ] = 0  # fmt: skip
    bounces_to: Annotated[
        str,
        Key(
            "where reports come back to, another address for each email", 'with TOKEN in it, "bounce+TOKEN@our-coop.example.org", and your mail server must deliver all of them to one mailbox; if empty, they come back to your sender',
            return_path, blank=True,
        ),
    ] = ""  # fmt: skip
    dkim_selector: Annotated[
        str,
        Key("the name under which your domain publishes the key that your email is signed with (DKIM)", "if empty, the program does not sign; most mail providers do", selector, blank=True),
    ] = ""  # fmt: skip
    dkim_key: Annotated[
        str,
        Key("the file with the private key for it", "RSA or Ed25519, for your eyes only; needs onboard[dkim]", key_file, blank=True),
    ] = ""  # fmt: skip
    ask_name_servers: Annotated[
        bool,
        Key(
            "whether to ask the name servers if the part after the @ takes email at all",
            "it tells them which email providers your members use, and needs onboard[mx]",
        ),
    ] = False  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mailbox(Account):
    """Where email comes to the co-op (IMAP)."""

    host: Annotated[
        str, _server("save the emails as files, and name these: `onboard returned saved-mail/`")
    ] = ""
    port: Annotated[int, _port('993 with "tls", 143 with "starttls"')] = 993
    security: Annotated[
        str,
        Key(
            "how the connection is encrypted",
            '"tls" or "starttls"; email is never read unencrypted',
            read_in_secret,
            choices=("tls", "starttls"),
        ),
    ] = "tls"
    user: Annotated[str, Key("the account whose email is read", blank=True)] = ""
    secret_from: Annotated[str, _FROM] = "ONBOARD_MAILBOX_SECRET"
    folder: Annotated[str, Key("the folder that is read")] = "INBOX"

"""How email goes out, and where it comes back to, as [mail] and [mailbox] state it."""

from dataclasses import dataclass
from typing import Annotated

from onboard.settings.checks.contacts import any_email
from onboard.settings.checks.mail import key_file, read_in_secret, return_path, selector
from onboard.settings.checks.values import kept_secret, server_name
from onboard.settings.key import Key


@dataclass(frozen=True, slots=True)
class MailServer:
    """Where packets are sent through. The secret stays in the environment, never in the file."""

    host: Annotated[
        str,
        Key("the name of the server", "if empty, nothing is sent: you print the packets, or email them yourself", server_name, blank=True),
    ] = ""  # fmt: skip
    port: Annotated[
        int, Key("its port", '587 with "starttls", 465 with "tls"', bounds=(1, 65535))
    ] = 587
    user: Annotated[
        str,
        Key(
            "the account that sends the email", "if empty, the program does not sign in", blank=True
        ),
    ] = ""
    secret_from: Annotated[
        str,
        Key("the environment variable that holds the password", "never put the password itself in this file", blank=True),
    ] = "ONBOARD_MAIL_SECRET"  # fmt: skip
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
class Mailbox:
    """Where email comes to the co-op (IMAP). The secret stays in the environment, never in the file."""

    host: Annotated[
        str,
        Key("the name of the server", "if empty, save the emails as files, and name these: `onboard returned saved-mail/`", server_name, blank=True),
    ] = ""  # fmt: skip
    port: Annotated[
        int, Key("its port", '993 with "tls", 143 with "starttls"', bounds=(1, 65535))
    ] = 993
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
    secret_from: Annotated[
        str,
        Key("the environment variable that holds its password", "never put the password itself in this file", blank=True),
    ] = "ONBOARD_MAILBOX_SECRET"  # fmt: skip
    folder: Annotated[str, Key("the folder that is read")] = "INBOX"

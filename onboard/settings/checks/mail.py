"""What must hold of how email goes out: return paths, and the key that it is signed with."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from onboard import secret_file, signing_key
from onboard.settings.checks.contacts import bare_email
from onboard.settings.checks.values import path
from onboard.settings.words import Sentence, shown

if TYPE_CHECKING:
    from onboard.settings.checks import Info
    from onboard.settings.mail import MailServer

THEY_COULD = "read and send email as you"  # if they knew the password
TOKEN = "TOKEN"  # what stands for the part that is another one in each email
_LONGEST_LOCAL = 64 - 26 + len(TOKEN)  # RFC 5321, 4.5.3.1.1, less what takes its place
_LABEL = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9-]{0,61}[A-Za-z0-9])?")


def return_path(value: str, info: Info) -> str:
    """An email address with one TOKEN before its @, or none."""
    if not value:
        return value
    local, _, _ = value.partition("@")
    if value.count(TOKEN) != 1 or TOKEN not in local:
        raise ValueError(
            f'is "{shown(value)}": write {TOKEN} once, before the @, as in "bounce+{TOKEN}@our-coop.example.org".'
        )
    if len(local) > _LONGEST_LOCAL:
        raise ValueError(f"is too long before the @: use at most {_LONGEST_LOCAL} letters there.")
    try:
        bare_email(value, info)
    except ValueError as error:
        raise ValueError(
            f'is "{shown(value)}": give an email address, like "bounce+{TOKEN}@our-coop.example.org".'
        ) from error
    return value


def selector(value: str, _: Info) -> str:
    """A name as the name servers take it (RFC 6376, 3.1), or none."""
    if value and not all(_LABEL.fullmatch(part) for part in value.split(".")):
        raise ValueError(f'is "{shown(value)}": use letters, digits and hyphens, like "mail2026".')
    return value


def key_file(value: str, info: Info) -> str:
    """A file with a private key that nobody else can read, or none."""
    return _kept(value, info, signing_key.read)


def password_file(value: str, info: Info) -> str:
    """A file with a password that nobody else can read, or none."""
    return _kept(value, info, lambda file: secret_file.password_in(file, THEY_COULD))


def _kept(value: str, info: Info, read: Callable[[Path], object]) -> str:
    if not value:
        return value
    file = Path(info.context.folder, path(value, info))
    try:
        read(file)
    except PermissionError:
        pass  # whoever only looks members up need not be able to read it
    except OSError as error:
        raise ValueError(
            f'is "{shown(value)}", which can\'t be read ({error.strerror}). Check the name.'
        ) from error
    except ValueError as wrong:
        raise ValueError(f'is "{shown(value)}", which {wrong}') from wrong
    return value


def signs_with_both(value: MailServer, _: Info) -> MailServer:
    """A key and the name under which it is published go together."""
    if bool(value.dkim_key) != bool(value.dkim_selector):
        has, lacks = ("dkim_key", "dkim_selector")[:: 1 if value.dkim_key else -1]
        raise Sentence(f"[mail] has {has} and no {lacks}: fill in both, or leave both out.")
    return value


def read_in_secret(value: str, _: Info) -> str:
    """How the way to the mailbox is kept secret."""
    if value not in ("tls", "starttls"):
        raise ValueError(f'is "{shown(value)}": write "tls" (port 993) or "starttls" (port 143).')
    return value

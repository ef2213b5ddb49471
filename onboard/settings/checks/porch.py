"""What must hold of who may use the porch."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from onboard.settings.words import shown

if TYPE_CHECKING:
    from onboard.settings.checks import Info

_KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}:[0-9a-f]{64}")


def client_keys(value: tuple[str, ...], _: Info) -> tuple[str, ...]:
    """Names with the digests of their keys, each name once. What stands there instead is not repeated: it may be a key."""
    for number, text in enumerate(value, 1):
        if not _KEY.fullmatch(text):
            raise ValueError(
                f'has no digest in place {number}: write "name:digest", as `onboard porch --new-key NAME` shows it.'
            )
    names = [text.partition(":")[0] for text in value]
    if twice := next((name for name in names if names.count(name) > 1), ""):
        raise ValueError(f'has "{shown(twice)}" twice: give each program a name of its own.')
    return value


def web_origins(value: tuple[str, ...], _: Info) -> tuple[str, ...]:
    """Origins (RFC 6454): https, or http of this computer, and no path."""
    for text in value:
        try:
            parts = urlsplit(text)
            whole = f"{parts.scheme}://{parts.netloc}" == text.lower() and parts.port != 0
        except ValueError:
            whole = False
        is_safe = whole and (
            parts.scheme == "https" or parts.hostname in ("localhost", "127.0.0.1")
        )
        if (
            not is_safe
            or "@" in text
            or parts.scheme not in ("https", "http")
            or not parts.hostname
        ):
            raise ValueError(
                f'has "{shown(text)}": write it without a path, like "https://our-coop.example.org".'
            )
    return tuple(text.lower() for text in value)

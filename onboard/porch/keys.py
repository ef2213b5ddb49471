"""Who may use the porch from a program: each has a key, of which the settings keep a digest."""

from __future__ import annotations

from collections.abc import Sequence

from onboard import passwords

FROM = "ONBOARD_PORCH_KEYS"  # the environment variable with further ones, blanks between them


def client(key: str, known: Sequence[str]) -> str:
    """The name that the key belongs to, "" if it is nobody's; `known` are "name:digest".

    It takes as long whichever it is: all are compared, each in constant time.
    """
    digest, found = passwords.digest(key), ""
    for text in known:
        name, _, other = text.partition(":")
        if passwords.is_same(digest, other):
            found = name
    return found


def new(name: str) -> tuple[str, str]:
    """A key that nobody can guess, and the text that stands for it in the settings."""
    key = passwords.token()
    return key, f"{name}:{passwords.digest(key)}"

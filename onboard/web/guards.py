"""What each answer leaves with, and how much may come in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.exceptions import HTTPException

if TYPE_CHECKING:
    from starlette.datastructures import MutableHeaders
    from starlette.types import Message, Receive

SAFE = ("GET", "HEAD", "OPTIONS")
KIB = 1024
MIB = 1024 * KIB

POLICY = "; ".join(
    (
        "default-src 'none'", "script-src 'self'", "style-src 'self'", "img-src 'self' data:",
        "connect-src 'self'", "frame-src 'self'", "form-action 'self'", "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)  # fmt: skip
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    # Not "no-referrer": with that, browsers call the origin of our own forms "null".
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}
STRICT_TRANSPORT = "max-age=31536000"


def dress(headers: MutableHeaders, path: str, *, secure: bool) -> None:
    """Give an answer its careful headers; `secure` is reached over https."""
    for name, value in HEADERS.items():
        headers.setdefault(name, value)
    headers.setdefault("cache-control", "no-cache" if path.startswith("/static/") else "no-store")
    if secure:
        headers.setdefault("strict-transport-security", STRICT_TRANSPORT)


def is_too_large(declared: str, most: int) -> bool:
    """Whether a Content-Length says more, or nothing that a number is."""
    return not (declared.isascii() and declared.isdecimal()) or int(declared[:20]) > most


def limited(receive: Receive, most: int) -> Receive:
    """What comes in, up to so many bytes: a length need not be declared."""
    came = 0

    async def counted() -> Message:
        nonlocal came
        message = await receive()
        came += len(message.get("body", b""))
        if came > most:
            raise HTTPException(413)
        return message

    return counted

"""A message as its reader sees it: its words, and its page with the pictures in it."""

from __future__ import annotations

import base64
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage


@dataclass(frozen=True, slots=True)
class Shown:
    """What a reader sees. The words may hold a temporary password."""

    to: str
    subject: str
    text: str = field(repr=False)
    page: str = field(repr=False)  # HTML that fetches nothing; "" if there is none


def shown(message: bytes) -> Shown:
    """What the reader of a message (RFC 5322) sees."""
    read = message_from_bytes(message, policy=policy.default)
    text, page = (_said(read, kind) for kind in ("plain", "html"))
    for part in read.walk():
        name = str(part.get("content-id", "")).strip("<> ")  # RFC 2392
        if name and part.get_content_maintype() == "image":
            picture = base64.b64encode(part.get_payload(decode=True) or b"").decode()  # type: ignore[arg-type]
            page = page.replace(f"cid:{name}", f"data:{part.get_content_type()};base64,{picture}")
    return Shown(str(read["to"]), str(read["subject"]), text, page)


def _said(message: EmailMessage, kind: str) -> str:
    part = message.get_body((kind,))
    return str(part.get_content()).replace("\r\n", "\n") if part else ""

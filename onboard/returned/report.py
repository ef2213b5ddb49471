"""Reports of mail systems about one message of ours, in the form of RFC 3464 and RFC 6533.

Each recipient has a block of its own. What is missing in it is taken from what is there: an action
from the status, a status from what the server said (RFC 3464, 2.3).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from email import message_from_string
from email.message import Message

from onboard.returned import status, text
from onboard.returned.kinds import Action, Delivery, Kind, Returned

_TYPES = ("message/delivery-status", "message/global-delivery-status")
_XTEXT = re.compile(r"\+([0-9A-F]{2})")
_UNITEXT = re.compile(r"\\x\{([0-9A-Fa-f]{2,6})\}")
_STATUS = re.compile(r"[245]\.\d{1,3}\.\d{1,3}")
_ADDRESS = re.compile(r"[^\s<>@,;\"()]+@[^\s<>@,;\"()]+")
_WEIGHT = {Delivery.PERMANENT: 2, Delivery.TEMPORARY: 1}


@dataclass(frozen=True, slots=True)
class _Recipient:
    address: str  # "" if it is no internet address
    delivery: Delivery
    status: str
    action: Action
    said: str


def read(mail: Message) -> Returned | None:
    """The report that a message is, or None if it is none."""
    part = next((part for part in mail.walk() if part.get_content_type() in _TYPES), None)
    if part is None:
        return None
    found = [_recipient(block) for block in _blocks(part) if "final-recipient" in block
             or "original-recipient" in block or "action" in block]  # fmt: skip
    bad = sorted(
        (one for one in found if one.delivery in _WEIGHT), key=lambda one: -_WEIGHT[one.delivery]
    )
    if not found:
        return Returned(Kind.REPORT, action=Action.READ)
    first = bad[0] if bad else found[0]
    return Returned(
        Kind.REPORT,
        _addresses(bad, Delivery.PERMANENT),
        _addresses(bad, Delivery.TEMPORARY),
        status=first.status,
        action=max((one.action for one in bad), key=list(Action).index, default=Action.NONE),
        said=first.said,
    )


def _addresses(found: list[_Recipient], delivery: Delivery) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(one.address for one in found if one.delivery is delivery and one.address)
    )


def _blocks(part: Message) -> Iterator[dict[str, str]]:
    """The fields of the message, then those of each recipient (RFC 3464, 2.1)."""
    encoding = str(part.get("Content-Transfer-Encoding", "")).strip().lower()
    inner = part.get_payload()
    if isinstance(inner, list):
        raw = "\n\n".join(
            "\n".join(f"{name}: {value}" for name, value in one.raw_items()) + "\n\n" + _raw(one)
            for one in inner
            if isinstance(one, Message)
        )
    else:
        raw = _raw(part)
    if encoding in ("base64", "quoted-printable"):
        # RFC 6522 does not allow it here, and some mail systems do it
        bare = Message()
        bare["Content-Transfer-Encoding"] = encoding
        bare.set_payload(raw.strip())
        decoded = bare.get_payload(decode=True)
        if isinstance(decoded, bytes) and b":" in decoded:
            raw = decoded.decode("utf-8", "replace")
    raw = text.sound(raw)
    for block in re.split(r"\r?\n[ \t]*\r?\n", raw):
        fields = {
            name.casefold(): " ".join(str(value).split())
            for name, value in message_from_string(block.strip("\r\n")).items()
        }
        if fields:
            yield fields


def _raw(part: Message) -> str:
    """The bytes of a part as text, such that none is lost."""
    held = part.get_payload(decode=True)
    return held.decode("utf-8", "surrogateescape") if isinstance(held, bytes) else ""


def _recipient(block: dict[str, str]) -> _Recipient:
    said = block.get("diagnostic-code", "")
    given = _STATUS.search(block.get("status", ""))
    code = status.better(given[0] if given else "", said)
    delivery, action = status.meaning(code)
    word = re.split(r"[\s(;]", block.get("action", "").casefold() + " ")[0]
    if word == "failed":
        delivery = Delivery.PERMANENT
        action = Action.STOP_AND_CALL if not code else action
        if action is Action.RETRY:  # nobody tries any more
            action = Action.RETRY_THEN_CALL
    elif word == "delayed":
        delivery = Delivery.TEMPORARY
        if action not in (Action.RETRY, Action.RETRY_THEN_CALL, Action.FIX_OUR_SIDE):
            action = Action.RETRY
    elif word in ("delivered", "relayed", "expanded"):  # RFC 3464, 2.3.3: no bad news
        delivery, action = Delivery.SUCCESS, Action.NONE
    return _Recipient(_address(block), delivery, code, action, said.partition(";")[2].strip())


def _address(block: dict[str, str]) -> str:
    """The address that we wrote to, where the report says it, or else the last one it went to."""
    for name in ("original-recipient", "final-recipient"):
        kind, _, written = block.get(name, "").partition(";")
        if not written:
            kind, written = "rfc822", kind
        written = written.strip().strip("<>").strip()
        kind = kind.strip().casefold()
        if name == "original-recipient":
            written = _XTEXT.sub(lambda m: chr(int(m[1], 16)), written)  # RFC 3461, 4
        if kind == "utf-8":
            written = _UNITEXT.sub(_character, written)  # RFC 6533, 3
        if kind in ("rfc822", "utf-8", "smtp", "") and (found := _ADDRESS.search(written)):
            return found[0].strip(".'")
    return ""


def _character(code: re.Match[str]) -> str:
    number = int(code[1], 16)
    return chr(number) if number < 0x110000 and not 0xD800 <= number < 0xE000 else code[0]


def feedback(mail: Message) -> Returned | None:
    """The complaint of a reader (RFC 5965) or the receipt (RFC 8098) that a message is, or None."""
    for part in mail.walk():
        kind = part.get_content_type()
        if kind == "message/feedback-report":
            wanted = any(
                "not-spam" in block.get("feedback-type", "").casefold() for block in _blocks(part)
            )
            return Returned(Kind.COMPLAINT, action=Action.NONE if wanted else Action.STOP_MAIL)
        if kind in ("message/disposition-notification", "message/global-disposition-notification"):
            return Returned(Kind.RECEIPT)
    return None


def recipients_of(mail: Message) -> tuple[str, ...]:
    """Whom a complaint is about: the addresses that our message went to, if it tells them."""
    found: list[str] = []
    for part in mail.walk():
        if part.get_content_type() == "message/feedback-report":
            for block in _blocks(part):
                found += _ADDRESS.findall(block.get("original-rcpt-to", ""))
    return tuple(dict.fromkeys([*found, *sent_to(mail)]))  # the first is often blotted out


def sent_to(mail: Message) -> tuple[str, ...]:
    """Whom our own message that a report carries along was addressed to."""
    ours = original(mail)
    return tuple(_ADDRESS.findall(text.header(ours, "To"))) if ours is not None else ()


def paths(mail: Message) -> tuple[str, ...]:
    """The addresses that a message was sent to, and the return path of ours that a complaint names
    (Original-Mail-From: RFC 5965, 3.2) or that our message has which it carries along."""
    said = [
        value
        for name, value in mail.raw_items()
        if name.casefold() in ("to", "cc", "delivered-to", "x-original-to", "envelope-to")
    ]
    for part in mail.walk():
        if part.get_content_type() == "message/feedback-report":
            said += [block.get("original-mail-from", "") for block in _blocks(part)]
    if (ours := original(mail)) is not None:
        said.append(text.header(ours, "Return-Path"))
    found = [one.casefold() for value in said for one in _ADDRESS.findall(text.sound(str(value)))]
    return tuple(dict.fromkeys(found))


def original(mail: Message) -> Message | None:
    """Our own message, or its headers, that a report carries along."""
    for part in mail.walk():
        kind = part.get_content_type()
        inner = part.get_payload()
        if kind in ("message/rfc822", "message/global") and isinstance(inner, list) and inner:
            return inner[0] if isinstance(inner[0], Message) else None
        if kind in ("text/rfc822-headers", "message/global-headers"):
            headers = str(inner[0]) if isinstance(inner, list) else text.content(part)
            return message_from_string(headers.lstrip())
    return None

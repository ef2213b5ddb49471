"""What a mail server's status code means: RFC 3463 with the IANA registry, and RFC 5321, 4.2."""

from __future__ import annotations

import re
from functools import cache

from onboard.returned.kinds import Action, Delivery
from onboard.tables import rows

_CODE = re.compile(r"([245])(?:\.(\d{1,3})\.(\d{1,3})|\d\d)")
# "550 5.1.1 unknown user", "550-5.1.1 …", "#5.1.1", "(code: 550)"
_ENHANCED = re.compile(r"(?<![\d.])([245]\.\d{1,3}\.\d{1,3})(?![\d.]*\d)")
_REPLY = re.compile(r"(?<![\d.,:/-])([45]\d\d)(?=[ \-:;,)]|$)")
_OF_CLASS = {"2": Delivery.SUCCESS, "4": Delivery.TEMPORARY, "5": Delivery.PERMANENT}
# so general that a code beside it tells more (RFC 3463, 3.1)
_GENERAL = re.compile(r"[245]\.(?:0\.0|\d+\.0)")


def meaning(code: str) -> tuple[Delivery, Action]:
    """What an enhanced status code (`5.1.1`) or a reply code (`550`) says of a delivery, and what to do.

    Never raises: what is no code is `unknown`, for somebody to read.

    >>> meaning("5.1.1"), meaning("4.2.2")
    ((<Delivery.PERMANENT: 'permanent'>, <Action.CHECK_ADDRESS: 'check_address'>), (<Delivery.TEMPORARY: 'temporary'>, <Action.RETRY_THEN_CALL: 'retry_then_call'>))
    >>> [str(word) for word in meaning("250")]
    ['success', 'none']
    """
    code = code.strip()
    found = _CODE.fullmatch(code)
    if found is None:
        return Delivery.UNKNOWN, Action.READ
    first, subject, _ = found.groups()
    actions = _actions()
    known = (code, f"{first}.{subject}" if subject else "", first)
    action = next(actions[key] for key in known if key in actions)
    return _OF_CLASS[first], action


@cache
def _actions() -> dict[str, Action]:
    return {code: Action(action) for code, action in rows("mail_status")}


def in_text(text: str) -> str:
    """The status code that a text holds, the more telling one first; "" if there is none.

    >>> in_text("smtp; 550 5.1.1 unknown user"), in_text("mx said: 452 try later"), in_text("Room 550")
    ('5.1.1', '452', '550')
    """
    codes = [m[1] for m in _ENHANCED.finditer(text) if m[1][0] != "2"]
    telling = [code for code in codes if not _GENERAL.fullmatch(code)]
    reply = _REPLY.search(text)
    return next(iter([*telling, *codes]), reply[1] if reply else "")


def better(status: str, diagnostic: str) -> str:
    """The more telling of a report's status and what its server said; they agree in their class."""
    if status and not _GENERAL.fullmatch(status):
        return status
    told = in_text(diagnostic)
    return told if told and (not status or told[0] == status[0]) else status

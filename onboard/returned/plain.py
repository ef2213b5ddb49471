"""Reports of mail systems in free text, of which there are as many forms as systems."""

from __future__ import annotations

import re
from email.message import Message
from email.utils import getaddresses, parseaddr

from flufl.bounce import all_failures

from onboard.returned import status, text
from onboard.returned.kinds import Action, Delivery, Kind, Returned
from onboard.tables import words

_ADDRESS = re.compile(r"[\w.!#$%&'*+/=?^`{|}~-]+@[\w-]+(?:\.[\w-]+)+")


def read(mail: Message) -> Returned | None:
    """The report that a message in free text is, or None if no mail system wrote it."""
    if not _by_a_system(mail):
        return None
    said = text.body(mail)
    told = text.folded(f"{text.header(mail, 'Subject')} {text.own(said)}")
    failed = _failed(mail, said)
    if not failed and not text.has(told, "failed") and not text.has(told, "delayed"):
        return None
    code = status.in_text(text.own(said)) or status.in_text(said)
    delivery, action = status.meaning(code)
    if not code:
        delivery, action = _by_words(told)
    elif delivery is Delivery.PERMANENT and action is Action.STOP_AND_CALL:
        _, action = _by_words(told)
    if text.has(told, "delayed") and not (code.startswith("5") or text.has(told, "gone")):
        delivery, action = Delivery.TEMPORARY, Action.RETRY
    if not failed:
        action = Action.READ
    line = next((line for line in said.splitlines() if code and code in line), "")
    is_bad = delivery is Delivery.PERMANENT
    return Returned(
        Kind.PLAIN_REPORT, failed if is_bad else (), () if is_bad else failed, status=code, action=action,
        said=" ".join(line.split()),
    )  # fmt: skip


def _by_words(told: str) -> tuple[Delivery, Action]:
    if text.has(told, "full"):
        return Delivery.TEMPORARY, Action.RETRY_THEN_CALL
    if text.has(told, "gone"):
        return Delivery.PERMANENT, Action.CHECK_ADDRESS
    return Delivery.PERMANENT, Action.STOP_AND_CALL


def _by_a_system(mail: Message) -> bool:
    """Whether no person sent it: nobody may answer it, or a mail system's name stands there."""
    if text.header(mail, "Return-Path") == "<>" or mail.get("X-Failed-Recipients"):
        return True
    name, address = parseaddr(text.header(mail, "From"))
    systems = words("returned_words", "daemon")
    return (
        address.partition("@")[0].casefold() in systems
        or text.folded(name) in systems
        or text.folded(name).startswith(("mail delivery sub", "mail delivery system"))
    )


def _failed(mail: Message, said: str) -> tuple[str, ...]:
    """The addresses that it speaks of, ours left out."""
    ours = {
        address.casefold()
        for _, address in getaddresses(
            [text.header(mail, name) for name in ("To", "From", "Reply-To", "Return-Path", "Cc")]
        )
    }
    named = _ADDRESS.findall(text.header(mail, "X-Failed-Recipients"))
    if not named:
        temporary, permanent = _by_flufl(mail)
        named = [one.decode("utf-8", "replace") for one in sorted(permanent | temporary)]
        named = [found[0] for one in named if (found := _ADDRESS.search(one))]
    if not named:
        named = [one.strip(".'") for one in _ADDRESS.findall(text.own(said))]
    return tuple(dict.fromkeys(one for one in named if one.casefold() not in ours))


def _by_flufl(mail: Message) -> tuple[frozenset[bytes], frozenset[bytes]]:
    try:
        return all_failures(mail)
    except Exception:  # it lets through whatever one of its readers stumbles over
        return frozenset(), frozenset()

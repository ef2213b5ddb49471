"""What mail that came to the co-op can be, and what it asks of somebody."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """What a message is."""

    REPORT = "report"  # of a mail system about a message of ours, in the form of RFC 3464
    PLAIN_REPORT = "plain report"  # the same in free text
    AUTOMATIC_REPLY = "automatic reply"  # RFC 3834: nobody wrote it
    COMPLAINT = "complaint"  # RFC 5965: a reader called our mail spam
    RECEIPT = "receipt"  # RFC 8098: it was read, or deleted
    UNSUBSCRIBE = "unsubscribe"  # somebody wants no more email
    REPLY = "reply"  # somebody wrote it, and somebody must read it
    UNREADABLE = "unreadable"


class Delivery(StrEnum):
    """Whether a message arrived, as the class of a status code tells it (RFC 3463, 2)."""

    SUCCESS = "success"
    TEMPORARY = "temporary"
    PERMANENT = "permanent"
    UNKNOWN = "unknown"


class Action(StrEnum):
    """What to do about it; the mildest first."""

    NONE = "none"
    RETRY = "retry"  # the mail system goes on trying, or we may send again
    RETRY_THEN_CALL = "retry_then_call"  # once more later; then call or write
    READ = "read"  # somebody must read it
    FIX_OUR_SIDE = "fix_our_side"  # the address may be fine
    ASK_ASCII_ADDRESS = "ask_ascii_address"  # the way there takes no accents
    CHECK_DOMAIN = "check_domain"  # what follows the @
    CHECK_ADDRESS = "check_address"
    ASK_NEW_ADDRESS = "ask_new_address"
    STOP_AND_CALL = "stop_and_call"
    STOP_MAIL = "stop_mail"  # they want no more


@dataclass(frozen=True, slots=True)
class Returned:
    """One message that came to the co-op, as it was read."""

    kind: Kind
    permanent: tuple[str, ...] = ()  # addresses that did not get it and will not
    temporary: tuple[str, ...] = ()  # addresses that have not got it yet
    readers: tuple[str, ...] = ()  # of a complaint: addresses that our message went to
    status: str = ""  # RFC 3463, or a reply code of RFC 5321: of the gravest of these
    action: Action = Action.NONE
    paths: tuple[str, ...] = ()  # where it was sent to: one of them may be a return path of ours
    sent_to: tuple[str, ...] = ()  # whom our message was addressed to, if it carries that along
    about: str = ""  # Message-ID of ours, with its angle brackets, that it is about
    sender: str = ""  # who it is from, in small letters
    said: str = ""  # in the words of the mail system, or the beginning of what somebody wrote

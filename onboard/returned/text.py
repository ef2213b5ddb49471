"""The text that somebody, or a mail system, wrote, without what is quoted below it."""

from __future__ import annotations

import html
import re
import unicodedata
from email.header import decode_header, make_header
from email.message import Message
from functools import cache

from onboard.tables import words

LONGEST = 20_000  # characters read: the reason stands at the beginning
_TAG = re.compile(r"<(?:script|style)\b.*?</(?:script|style)>|<[^@<>]{0,500}>", re.S | re.I)
_BREAK = re.compile(r"<(?:br|/p|/div|/tr|/h\d)\b[^>]*>", re.I)
_WROTE = re.compile(
    r"(?:on|el|am|le) .{4,120}(?:wrote|escribio|<[^>]+@[^>]+>)\s*:?|(?:from|de): .*@.*"
)
_GAP = re.escape(" ... ")
_UP_TO_FOUR = r" (?:[^\s.!?]+ ){0,4}"
_LINES = re.compile(r"[-_=*]{5,}.*")


def folded(said: str) -> str:
    """Small letters, no accents, one space between words.

    >>> folded(" Respuesta  Automática ")
    'respuesta automatica'
    """
    plain = unicodedata.normalize("NFKD", said.replace("’", "'"))
    bare = "".join(c for c in plain if not unicodedata.combining(c))
    return " ".join(bare.casefold().split())


def has(said: str, kind: str) -> bool:
    """Whether the folded text has a phrase of this kind, as whole words; "..." in a phrase is up to four words of a sentence.

    >>> has("your mailbox is almost over its limit", "full"), has("the limit. your mailbox", "full")
    (True, False)
    """
    return _phrases(kind).search(said) is not None


@cache
def _phrases(kind: str) -> re.Pattern[str]:
    each = (
        re.escape(phrase).replace(_GAP, _UP_TO_FOUR) for phrase in words("returned_words", kind)
    )
    return re.compile(rf"(?<!\w)(?:{'|'.join(each)})(?!\w)")


def sound(said: str) -> str:
    """The text with the bytes that the standard library could not place read as UTF-8 (RFC 6532)."""
    try:
        raw = said.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:  # half a character
        raw = said.encode("utf-8", "replace")
    return raw.decode("utf-8", "replace")


def header(mail: Message, name: str) -> str:
    """A header as text, its encoded words read; "" if it is missing. Never raises."""
    given = (value for key, value in mail.raw_items() if key.casefold() == name.casefold())
    value = str(next(given, ""))
    value = sound(value)
    try:
        return " ".join(str(make_header(decode_header(value))).split())
    except (LookupError, UnicodeError, ValueError):
        return " ".join(value.split())


def body(mail: Message) -> str:
    """The first part that is text, plain rather than HTML; "" if there is none. Never raises."""
    plain = hyper = ""
    for part in mail.walk():
        if part.get_content_maintype() == "message" or part.is_multipart():
            continue
        if part.get_content_type() == "text/plain" and not plain:
            plain = content(part)
        elif part.get_content_type() == "text/html" and not hyper:
            hyper = content(part)
    if plain.strip() or not hyper:
        return plain[:LONGEST]
    return html.unescape(_TAG.sub(" ", _BREAK.sub("\n", hyper[: 5 * LONGEST])))[:LONGEST]


def content(part: Message) -> str:
    """What one part holds, as text, whatever it says of its encoding."""
    try:
        raw = part.get_payload(decode=True)
    except (ValueError, LookupError):
        raw = None
    if not isinstance(raw, bytes):
        return ""
    for charset in (part.get_content_charset(), "utf-8"):
        try:
            return raw.decode(charset or "utf-8")
        except (LookupError, UnicodeError):
            continue
    return raw.decode("cp1252", "replace")


def own(said: str) -> str:
    """What was written, without the older message that is quoted below it or between its lines.

    >>> own("Please stop.\\n\\nOn Monday the co-op <a@example.org> wrote:\\n> unsubscribe: write to us")
    'Please stop.'
    """
    kept: list[str] = []
    for line in said.splitlines():
        bare = folded(line)
        if bare.startswith((">", "|")):
            continue
        if _WROTE.fullmatch(bare) or (_LINES.match(bare) and has(bare, "quoted")):
            break
        if bare.startswith("--") and not bare.strip("- "):
            break  # a signature (RFC 3676, 4.3)
        kept.append(line)
    return "\n".join(kept).strip()


def words_of(kind: str) -> frozenset[str]:
    """The phrases of one kind."""
    return words("returned_words", kind)

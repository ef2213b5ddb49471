"""Reminders as text messages: 160 septets at most, so that each is one message.

Letters are counted as 3GPP TS 23.038 counts them (GSM 03.38): those of the default alphabet are one septet, those of its
extension table two. A single letter outside of both makes the whole message UCS-2, of which 70 fit.
"""

from __future__ import annotations

import re
import unicodedata
from datetime import date, time

from onboard.settings import Settings
from onboard.welcome import blocks, words
from onboard.welcome.packet import plain
from onboard.welcome.reminder import Says
from onboard.windows import say_time

MOST = 160  # septets in one message: TS 23.040, 9.2.3.16 (140 octets of 8 bits)

# TS 23.038, 6.2.1: the default alphabet, in the order of its table; \x1b leads to the extension table.
DEFAULT = frozenset(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
EXTENSION = frozenset("\f^{}\\[~]|€")  # 6.2.1.1: two septets each


def septets(text: str) -> int | None:
    """How many septets a text takes; None if it cannot be sent in them.

    >>> septets("Pedí mañana"), septets("Pedido {1}"), septets("mañana €")
    (None, 12, 9)
    """
    count = 0
    for sign in text:
        if sign not in DEFAULT and sign not in EXTENSION:
            return None
        count += 2 if sign in EXTENSION else 1
    return count


def sendable(text: str) -> str:
    """The text with letters that the alphabet lacks as the letters that look most like them.

    >>> sendable("Río Ñuñoa, “así”")
    'Rio Ñuñoa, "asi"'
    """
    return "".join(map(_alike, unicodedata.normalize("NFC", text).translate(_SIGNS)))


_TWICE = re.compile(r"(?<!\.)\.\.(?!\.)")
_SIGNS = str.maketrans({"“": '"', "”": '"', "‘": "'", "’": "'", "–": "-", "—": "-", "…": "...", "\xa0": " ", "\u202f": " "})  # fmt: skip


def _alike(sign: str) -> str:
    if sign in DEFAULT or sign in EXTENSION:
        return sign
    base = unicodedata.normalize("NFKD", sign)
    found = "".join(part for part in base if not unicodedata.combining(part))
    return found if found and all(part in DEFAULT or part in EXTENSION for part in found) else sign


def text(says: Says, settings: Settings) -> str:
    """The reminder as one text message; "" if it does not fit in one. Raises `SettingsTrouble` for a broken template."""
    name = f"{says.language}/{words.TEXT}"
    window = says.known.window
    language = says.language
    values = {
        "kind": str(says.kind),
        "hint": str(says.hint),
        "coop": plain(settings.coop),
        "opens": _day(window.opens, language, window.opens_at, settings),
        "closes": _day(window.closes, language, window.closes_at, settings),
        "next": _day(says.next.opens, language, says.next.opens_at, settings) if says.next else "",
        "page": blocks.bare(settings.ordering_page),
        "phone": settings.reply_phone,
    }
    for short in (False, True):
        said = sendable(" ".join(words.raw(name, settings, values | {"short": short}).split()))
        said = _TWICE.sub(".", said)  # after "p.m."
        length = septets(said)
        if length is not None and length <= MOST:
            return said
    return ""


def _day(day: date, language: str, at: time | None, settings: Settings) -> str:
    """A day in few letters, none of which has an accent."""
    from babel.dates import format_date

    spanish = language.partition("-")[0] == "es"
    said = str(format_date(day, "d MMM" if spanish else "MMM d", "es_US" if spanish else "en_US"))
    clock = say_time(at, language, settings.region) if at else ""
    return f"{said}, {clock}" if clock else said

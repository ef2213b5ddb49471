"""Digits as people and programs write them."""

from __future__ import annotations

import re
import unicodedata

_MARKS = str.maketrans({
    **dict.fromkeys("‐‑‒–—―−﹣－ー", "-"),
    **dict.fromkeys("•·‧∙●▪・⋅∗", "."),
    **dict.fromkeys("’‘`´′", "'"),
    "＋": "+", "（": "(", "）": ")", "［": "(", "］": ")", "．": ".", "／": "/", "＊": "*",
    "，": ",", "；": ";", "＃": "#", "[": "(", "]": ")",
})  # fmt: skip


def tidy(text: str) -> str:
    """`text` with digits of any script and full-width signs made plain, and nothing unseen.

    >>> tidy("３１２－234•5678\u202c")
    '312-234.5678'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_tidied(c) for c in text.translate(_MARKS))


def _tidied(c: str) -> str:
    if c in "\n\r":
        return "\n"
    if c == "\t" or unicodedata.category(c) in ("Zs", "Zl", "Zp"):
        return " "
    if not c.isprintable():
        return ""
    return str(value) if (value := unicodedata.decimal(c, None)) is not None else c


_UPS = "01234567890123456789"
_DOWNS = _UPS[::-1]


def placeholder(found: str) -> bool:
    """Whether a string of digits is one that fingers make up: all alike, or counting.

    >>> [placeholder(x) for x in ("5555555555", "1234567890", "4192345678")]
    [True, True, False]
    """
    if not found.isdigit() or len(found) < 7:
        return False
    counting = found in _UPS or found in _DOWNS
    return len(set(found)) == 1 or (counting and (len(found) > 8 or found[0] in "01"))


def card(text: str) -> bool:
    """Whether `text` looks like a payment card's number (ISO/IEC 7812-1, annex B: Luhn).

    >>> card("4111 1111 1111 1111"), card("4111 1111 1111 1112")
    (True, False)
    """
    if not re.fullmatch(r"[3-6]\d(?:[ \-]?\d){12,17}", text):
        return False
    found = [int(c) for c in text if c.isdigit()]
    if not 14 <= len(found) <= 19:
        return False
    doubled = (sum(divmod(2 * d, 10)) for d in found[-2::-2])
    return (sum(found[-1::-2]) + sum(doubled)) % 10 == 0

"""Characters in addresses that are not what they look like (Unicode UTS 39, UAX 15)."""

from __future__ import annotations

import unicodedata
from functools import cache

# Full-width forms of ASCII (U+FF01 to U+FF5E), and the other signs that stand for @ and dot
_WIDE = {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)} | {
    0x3000: 0x20, 0xFE6B: 0x40, 0x3002: 0x2E, 0xFF61: 0x2E, 0xFE52: 0x2E, 0x2024: 0x2E,
}  # fmt: skip


def tidy(text: str) -> str:
    """`text` with full-width ASCII made plain, and without characters that cannot be seen.

    Every kind of space and line end stays a plain space, tab or newline.

    >>> tidy("pat＠exam\u200bple．org")
    'pat@example.org'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_tidied(c) for c in text.translate(_WIDE))


def _tidied(c: str) -> str:
    if c in "\t\n\r" or c.isprintable():
        return c
    category = unicodedata.category(c)
    if category in ("Zs", "Zl", "Zp") or c in "\v\f\x85":
        return " "
    return ""  # controls, format marks, lone surrogates, private use, unassigned


def _script(c: str) -> str:
    """The alphabet of a letter; the scripts of Chinese, Japanese and Korean count as one."""
    name = unicodedata.name(c, "")
    first = name.partition(" ")[0]
    together = ("CJK", "HIRAGANA", "KATAKANA", "HANGUL", "BOPOMOFO", "IDEOGRAPHIC")
    return "EAST ASIAN" if first in together else first


@cache
def _latin_twin(c: str) -> str:
    """The ASCII letter that `c` can be taken for, or ""."""
    # its table takes a tenth of a second to load, and few addresses need it
    from confusable_homoglyphs import confusables

    found = confusables.is_confusable(c, greedy=True, preferred_aliases=[])
    twins = [twin["c"] for f in found or () for twin in f["homoglyphs"]]
    return next((t.lower() for t in twins if len(t) == 1 and t.isascii() and t.isalnum()), "")


def confusable(text: str) -> bool:
    """Whether `text` mixes alphabets, or is made of look-alikes of plain letters only.

    Mixing is judged as in UTS 39, 5.2 "Highly Restrictive": Latin may stand beside Chinese,
    Japanese and Korean, and nothing else beside anything else.

    >>> confusable("ex\u0430mple"), confusable("jeff葉"), confusable("екзампл")
    (True, False, False)
    """
    if text.isascii():
        return False
    if unicodedata.normalize("NFKC", text) != unicodedata.normalize("NFC", text):
        return True  # ligatures, superscripts and other compatibility forms
    scripts = {_script(c) for c in text if c.isalpha()}
    if len(scripts) > 1:
        return scripts != {"LATIN", "EAST ASIAN"}
    letters = [c for c in text if c.isalpha()]
    return (
        bool(letters)
        and scripts.isdisjoint({"LATIN", "EAST ASIAN"})
        and all(_latin_twin(c) for c in letters)
    )


def plain(text: str) -> str:
    """`text` in plain letters, as it was likely meant: look-alikes replaced, accents dropped.

    >>> plain("ﬁona"), plain("patlée"), plain("p\u0430t")
    ('fiona', 'patlee', 'pat')
    """
    folded = unicodedata.normalize("NFKD", text)
    bare = "".join(c for c in folded if not unicodedata.combining(c))
    return "".join(c if c.isascii() else _latin_twin(c) or c for c in bare)

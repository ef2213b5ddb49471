"""The characters of a name: wrong encodings, hidden characters, odd letters, quotes and dashes.

Unicode: normal forms UAX 15 (NFC kept; NFKC only for letters that are another form of a letter),
joiners RFC 5892 appendix A, stacked marks UTS 39 section 5.4, scripts UTS 39 section 5.1.
"""

from __future__ import annotations

import html
import re
import unicodedata
from functools import lru_cache
from itertools import pairwise

# What the wish to type ' or - gives on phones, word processors and foreign keyboards. The Hawaiian
# okina (U+02BB) is a letter and stays.
_ALIKE = {
    **dict.fromkeys("‘’‛ʼʹ´`′＇ˈ＇`", "'"),
    **dict.fromkeys("“”„‟«»″＂", '"'),
    **dict.fromkeys("‐‑‒–—―−﹣－", "-"),
    **dict.fromkeys("＆﹠", "&"),
    **dict.fromkeys("／⁄", "/"),
    **dict.fromkeys("，、", ","),
}
_PLAIN = re.compile(r"[A-Za-z' ,.\-]*")
_WRONG_ENCODING = re.compile(r"[^\x00-\x7f]{2}|Ã ")
# Letters by category that show nothing at all: Hangul fillers, Khmer inherent vowels.
_BLANK_LETTERS = frozenset("\u115f\u1160\u3164\uffa0\u17b4\u17b5")
_JOINERS = frozenset("\u200c\u200d")
LOST = "\ufffd"  # stands where a letter was lost


def mend(text: str) -> tuple[str, dict[str, str]]:
    """The text with its characters put right, and what was mended: code to a word about it.

    >>> mend("JosÃ©\\u200b  Garc\\u00eda")
    ('José García', {'name.encoding': '', 'name.hidden': 'ZERO WIDTH SPACE'})
    """
    if _PLAIN.fullmatch(text):
        return " ".join(text.split()), {}
    mended: dict[str, str] = {}
    if "&" in text and (text_ := html.unescape(text)) != text:
        text = text_
        mended["name.encoding"] = ""
    if not text.isascii() and _WRONG_ENCODING.search(text):
        import ftfy  # 57 ms to import, and rarely needed

        text_ = ftfy.fix_encoding(text)
        # A lost no-break space is the last step of "Ã " for "à"; nothing else may change here.
        if text_ != text:
            text = text_
            mended["name.encoding"] = ""
    text = unicodedata.normalize("NFC", _one_line(text))
    if text.isascii() and text.isprintable():
        return " ".join(text.split()), mended
    out: list[str] = []
    for char in text:
        out.append(_put_right(char, out[-1] if out else "", mended))
    text = _unstack(unicodedata.normalize("NFC", "".join(out)), mended)
    return " ".join(text.split()), mended


def _one_line(text: str) -> str:
    """Lines that are each a whole name stay apart ("; "); a name broken over lines is joined."""
    lines = [line for line in text.splitlines() if line.strip()]
    if len(lines) > 1 and all(" " in line.strip() for line in lines):
        return "; ".join(lines)
    return " ".join(lines)


def _put_right(char: str, before: str, mended: dict[str, str]) -> str:
    if char.isascii() and char.isprintable():
        return char
    if char in _ALIKE:
        mended.setdefault("name.punctuation", char)
        return _ALIKE[char]
    category = unicodedata.category(char)
    if category[0] == "Z" or char == "\t":
        return " "
    if category in ("Cc", "Cf", "Cs") or char in _BLANK_LETTERS or _selects(char):
        if char in _JOINERS and before and unicodedata.category(before[-1]) in ("Lo", "Mn", "Mc"):
            return char  # has a meaning between letters of Arabic and Indian scripts
        mended.setdefault("name.hidden", unicodedata.name(char, f"U+{ord(char):04X}"))
        return ""
    if category in ("Co", "Cn"):
        if ord(char) & 0xFFFE == 0xFFFE or 0xFDD0 <= ord(char) <= 0xFDEF:  # noncharacter
            mended.setdefault("name.hidden", f"U+{ord(char):04X}")
            return ""
        return LOST
    if char == LOST:
        return LOST
    plain = unicodedata.normalize("NFKC", char)
    if plain != char and char not in "™℠":
        mended.setdefault("name.letters", char)
        return plain
    if category in ("So", "Sk", "Sc") or (category[0] in "SP" and not char.isascii()):
        mended.setdefault("name.symbols", char)
        return " " if category[0] == "P" else "\x1a"  # a mark where a picture stood
    return char


def _selects(char: str) -> bool:
    return "\ufe00" <= char <= "\ufe0f" or "\U000e0000" <= char <= "\U000e0fff" or char == "\u034f"


def _unstack(text: str, mended: dict[str, str]) -> str:
    """The text without piles of marks: the same one twice in a row, or more than four (UTS 39)."""
    apart = unicodedata.normalize("NFD", text)
    if len(apart) == len(text):
        return text
    out: list[str] = []
    marks: list[str] = []
    for char in [*apart, ""]:
        if char and unicodedata.combining(char):
            marks.append(char)
            continue
        if len(marks) > 4 or any(a == b for a, b in pairwise(marks)):
            mended.setdefault("name.letters", (out[-1] if out else "") + "".join(marks)[:8])
            marks = []
        if out and (out[-1].isalpha() or not out[-1].isascii()):
            out.extend(marks)
        marks = []
        out.append(char)
    return unicodedata.normalize("NFC", "".join(out))


@lru_cache(maxsize=4096)
def script(char: str) -> str:
    """The script of a letter as its Unicode name begins, "LATIN"; "" for what is no letter."""
    if char.isascii():
        return "LATIN" if char.isalpha() else ""
    if unicodedata.category(char)[0] != "L":
        return ""
    word = unicodedata.name(char, "UNKNOWN").split(" ", 1)[0].split("-", 1)[0]
    return "" if word in ("MODIFIER", "FEMININE", "MASCULINE") else word


def scripts(text: str) -> set[str]:
    """The scripts of a text's letters."""
    return {name for char in text if (name := script(char))}


def is_misread(text: str) -> bool:
    """Whether the text looks like one that was read in a wrong encoding."""
    return not text.isascii() and bool(_WRONG_ENCODING.search(text))

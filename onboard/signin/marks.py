"""What stands in a typed text that no handle has: capitals, blanks, marks, invisible characters."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from anyascii import anyascii

from onboard.handles import skeleton

READ = 300  # characters of a typed text that are looked at; no handle or address is longer

_APOSTROPHES = frozenset("'’‘`´ʼʻ′＇")
_BLANKS = {" ": "a space", "\t": "a tab", "\n": "a line break", "\r": "a line break"}
_DASHES = frozenset("-‐‑‒–—―−﹣－")


@dataclass(frozen=True, slots=True)
class Bare:
    """A typed text without its marks, and what they were: cause to what was seen."""

    text: str  # letters a to z and digits
    cased: str  # the same before capitals became small letters
    marks: dict[str, str]


@lru_cache(maxsize=4096)
def letters(text: str) -> str:
    """The text as letters a to z and digits, the way a handle is written.

    >>> letters("Núñez-O'Brien")
    'nunezobrien'
    """
    if not text.isascii():
        kept = unicodedata.normalize("NFKC", text)
        text = anyascii("".join(c for c in kept if not unicodedata.combining(c)))
    return "".join(c for c in text if c.isalnum()).lower()


def unmark(typed: str) -> Bare:
    """The typed text without its marks. Never raises.

    >>> bare = unmark(" Seán O'Brien")
    >>> bare.text, sorted(bare.marks)
    ('seanobrien', ['accents', 'apostrophe', 'capitals', 'invisible', 'spaces'])
    """
    typed = typed[:READ]
    inside = typed.strip(_around(typed))
    marks: dict[str, str] = {}
    if inside != typed:
        before = typed.index(inside) if inside else 0
        place, odd = ("before", typed[0]) if before else ("after", typed[-1])
        marks["invisible"] = f"There is {_named(odd)} {place} what they typed."
    kept: list[str] = []
    last = len(inside) - 1
    for at, char in enumerate(inside):
        if char.isascii():
            if char.isalnum():
                if char.isupper():
                    marks.setdefault("capitals", f"“{char}” is a capital.")
                kept.append(char)
            elif char == " ":
                marks.setdefault("spaces", "There is a space in what they typed.")
            elif char in _APOSTROPHES and 0 < at < last:
                marks.setdefault("apostrophe", f"“{char}” was typed.")
            elif char in _DASHES and 0 < at < last:
                marks.setdefault("hyphen", f"“{char}” was typed.")
            elif char.isspace() or not char.isprintable():
                marks.setdefault("invisible", f"There is {_named(char)} in what they typed.")
            else:
                marks.setdefault("signs", f"“{char}” was typed.")
            continue
        category = unicodedata.category(char)
        if char in _APOSTROPHES:
            marks.setdefault("apostrophe", f"“{char}” was typed.")
        elif char in _DASHES:
            marks.setdefault("hyphen", f"“{char}” was typed.")
        elif category == "Zs":
            marks.setdefault("spaces", f"There is {_named(char)} in what they typed.")
        elif category in ("Cf", "Cc", "Zl", "Zp"):
            marks.setdefault("invisible", f"There is {_named(char)} in what they typed.")
        elif category[0] == "L" and not _is_latin(char):
            marks.setdefault("look_alike", f"“{char}” is a letter from another alphabet.")
            alike = skeleton(char)
            kept.append(alike if alike.isascii() else letters(char))
        elif plain := "".join(c for c in _plain(char) if c.isalnum()):
            marks.setdefault("accents", f"“{char}” was typed. The sign-in name has plain letters.")
            if char.isupper():
                marks.setdefault("capitals", f"“{char}” is a capital.")
            kept.append(plain)
        elif category[0] == "M":
            marks.setdefault("accents", "A letter was typed with an accent.")
        else:
            shown = f"“{char}”" if char.isprintable() else "A character that can't be shown"
            marks.setdefault("signs", f"{shown} was typed.")
    cased = "".join(kept)
    return Bare(cased.lower(), cased, marks)


@lru_cache(maxsize=4096)
def _plain(char: str) -> str:
    kept = unicodedata.normalize("NFKC", char)
    return str(anyascii("".join(c for c in kept if not unicodedata.combining(c))))


def _is_latin(char: str) -> bool:
    return unicodedata.name(char, "").startswith(("LATIN", "FULLWIDTH LATIN", "MODIFIER"))


def _around(typed: str) -> str:
    """The characters at either end of the text that nobody sees."""
    ends = set(typed[:20] + typed[-20:])
    return "".join(c for c in ends if c.isspace() or unicodedata.category(c) in ("Cf", "Cc", "Zs"))


def _named(char: str) -> str:
    if char in _BLANKS:
        return _BLANKS[char]
    name = unicodedata.name(char, "a control character").lower()
    return f"a hidden character (U+{ord(char):04X}, {name})"

"""What the page needs to make a sign-in name of a name by the rule of `handles`.

scripts/sign-in.js has the steps; whatever is a table or a setting comes from here. A test holds 10,000 names made there
against those of `handles`.
"""

from __future__ import annotations

import unicodedata
from functools import cache

from anyascii import anyascii

from onboard.clean.name import words
from onboard.handles import STEPS, skeleton
from onboard.settings import HandleRule
from onboard.tables import rows

_LATIN = (
    *range(0xAA, 0x250),
    *range(0x1E00, 0x1F00),
    *range(0x2C60, 0x2C80),
    *range(0xA720, 0xA800),
)


def known(rule: HandleRule, language: str) -> dict[str, object]:
    """Tables and settings for the page in one language."""
    spelling = {sign: (english, spanish) for sign, english, _, spanish in rows("spelling")}
    reserved = {skeleton(word) for word, _ in rows("reserved_handles")}
    return {
        "longest": rule.longest,
        "last": rule.last_names,
        "reserved": sorted(reserved),
        "ours": [word.lower() for word in rule.reserved],
        "letters": _letters(),
        "titles": _titles(),
        "suffixes": words.of("suffix"),
        "sons": words.of("spanish suffix"),
        "credentials": [word for word, how in words.of("credential").items() if not how],
        "particles": sorted(words.of("particle")),
        "steps": {what: said.get(language, said["en"]) for what, said in STEPS.items() if what != "number"},
        "spelling": {sign: both[language == "es"] for sign, both in spelling.items()},
    }  # fmt: skip


@cache
def _letters() -> str:
    """The Latin letters that are written otherwise than without their marks, as "ßss øo"."""
    found = []
    for number in _LATIN:
        letter = unicodedata.normalize("NFKC", chr(number))
        if len(letter) != 1 or not letter.isalpha() or letter.isascii():
            continue
        if not unicodedata.name(letter, "").startswith("LATIN"):
            continue
        bare = "".join(
            c for c in unicodedata.normalize("NFD", letter) if not unicodedata.combining(c)
        )
        if (written := anyascii(letter)) != bare:
            found.append(letter + written)
    return " ".join(dict.fromkeys(found))


@cache
def _titles() -> dict[str, tuple[str, int]]:
    """The titles as they are written; with 1 for a word that is a name as well, and a title only with a period or before
    two more words."""
    return {
        word: (written, int(bool(words.given(word) or words.family(word))))
        for word, written in words.of("title").items()
    }

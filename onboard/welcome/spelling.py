"""How a handle is told letter by letter, where a letter can be taken for another.

The alphabets are in `tables/spelling.tsv`: ICAO's for English, letter names and places for
Spanish. Which signs are taken for each other is common practice (what printers, hand-writing and
many typefaces confuse); UTS 39 lists l, 1, I and o, 0, O, rn and m, vv and w among its confusables.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from onboard.tables import rows

# What it is taken for. A pair of letters that look like one comes before its letters.
TAKEN_FOR = {
    "rn": "m", "vv": "w", "cl": "d",
    "l": "1", "o": "0", "1": "l", "0": "o",
    "2": "z", "5": "s", "6": "b", "8": "b",
}  # fmt: skip

# What handles hold that were made elsewhere, in English and in Spanish: signs, and marks on letters.
_SIGNS = {
    ".": ("a dot", "un punto"), "-": ("a hyphen", "un guion"),
    "_": ("an underscore", "un guion bajo"), "@": ("an at sign", "una arroba"),
    "ñ": ("ñ: n as in November, with a wavy line on top", "ñ (eñe) como en España"),
    "'": ("an apostrophe", "un apóstrofo"), "+": ("a plus sign", "un signo de más"),
}  # fmt: skip
_MARKS = {
    "\u0301": ("with an accent", "con acento"),
    "\u0300": ("with an accent that slants down to the right", "con acento grave"),
    "\u0302": ("with a little roof on top", "con acento circunflejo"),
    "\u0303": ("with a wavy line on top", "con tilde encima"),
    "\u0308": ("with two dots on top", "con dos puntos encima"),
    "\u030a": ("with a ring on top", "con un aro encima"),
    "\u0327": ("with a tail", "con cedilla"),
    "": ("with a mark", "con un signo"),
}


@dataclass(frozen=True, slots=True)
class Trap:
    """A place in a handle that can be misread."""

    text: str  # the sign or signs, "l" or "rn"
    taken_for: str
    told: str  # how to say it: "l as in Lima", "r as in Romeo, then n as in November"
    digit: bool


def traps(handle: str, language: str = "en") -> tuple[Trap, ...]:
    """The places of a handle that can be misread, each kind once, in order.

    >>> [(trap.text, trap.taken_for, trap.told) for trap in traps("bernlo")]
    [('rn', 'm', 'r as in Romeo, then n as in November'), ('l', '1', 'l as in Lima'), ('o', '0', 'o as in Oscar')]
    """
    found: dict[str, Trap] = {}
    place = 0
    while place < len(handle):
        pair, sign = handle[place : place + 2], handle[place]
        text = pair if pair in TAKEN_FOR else sign
        if text in TAKEN_FOR:
            told = say(text, language)
            found.setdefault(text, Trap(text, TAKEN_FOR[text], told, text.isdigit()))
        place += len(text)
    return tuple(found.values())


def say(text: str, language: str = "en") -> str:
    """Signs of a handle as they are said on the phone, in a language by its ISO 639 code.

    >>> say("l7"), say("l7", "es")
    ('l as in Lima, then the number seven', 'l (ele) de Lima, luego el número siete')
    >>> say("é"), say("ñ", "es"), say("."), say("-", "es")
    ('é: e as in Echo, with an accent', 'ñ (eñe) como en España', 'a dot', 'un guion')
    """
    spanish = language.partition("-")[0] == "es"
    signs = _alphabet()
    said = []
    for sign in text:
        letter, *marks = list(unicodedata.normalize("NFD", sign))
        english, name, word = signs.get(letter, ("", "", ""))
        if sign in _SIGNS:
            one = _SIGNS[sign][spanish]
        elif not english:  # of an alphabet that nobody has told us how to spell
            one = sign
        elif letter.isdigit():
            one = f"el número {name}" if spanish else f"the number {english}"
        else:
            one = f"{letter} ({name}) de {word}" if spanish else f"{letter} as in {english}"
        if marks and english and sign not in _SIGNS:
            marked = (_MARKS.get(mark, _MARKS[""])[spanish] for mark in marks)
            one = f"{sign}: {', '.join((one, *marked))}"
        said.append(one)
    return (", luego " if spanish else ", then ").join(said)


@cache
def _alphabet() -> Mapping[str, tuple[str, ...]]:
    """By sign: its word in English, its name in Spanish, and its word there."""
    return {sign: (*rest, "", "", "")[:3] for sign, *rest in rows("spelling")}

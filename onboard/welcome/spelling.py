"""How a handle is told letter by letter, where a letter can be taken for another.

The alphabets are in `tables/spelling.tsv`: ICAO's for English, letter names and places for
Spanish. Which signs are taken for each other is common practice (what printers, hand-writing and
many typefaces confuse); UTS 39 lists l, 1, I and o, 0, O, rn and m, vv and w among its confusables.
"""

from __future__ import annotations

from dataclasses import dataclass

from onboard.tables import rows

# What it is taken for. A pair of letters that look like one comes before its letters.
TAKEN_FOR = {
    "rn": "m", "vv": "w", "cl": "d",
    "l": "1", "o": "0", "1": "l", "0": "o",
    "2": "z", "5": "s", "6": "b", "8": "b",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Trap:
    """A place in a handle that can be misread."""

    text: str  # the sign or signs, "l" or "rn"
    taken_for: str
    told: str  # how to say it: "l as in Lima", "r as in Romeo, then n as in November"
    digit: bool


def spell(text: str) -> str:
    """The signs of a handle one by one.

    >>> spell("patlee2")
    'p, a, t, l, e, e, 2'
    """
    return ", ".join(text)


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
    """Signs of a handle as they are said on the phone.

    >>> say("l7"), say("l7", "es")
    ('l as in Lima, then the number seven', 'l (ele) de Lima, luego el número siete')
    """
    spanish = language.partition("-")[0] == "es"
    signs = {sign: (english, name, word) for sign, english, name, word in _alphabet()}
    said = []
    for sign in text:
        english, name, word = signs.get(sign, (sign, sign, ""))
        if sign.isdigit():
            said.append(f"el número {name}" if spanish else f"the number {english}")
        else:
            said.append(f"{sign} ({name}) de {word}" if spanish else f"{sign} as in {english}")
    return (", luego " if spanish else ", then ").join(said)


def _alphabet() -> tuple[tuple[str, str, str, str], ...]:
    return tuple((*row, "", "", "")[:4] for row in rows("spelling"))  # type: ignore[misc]

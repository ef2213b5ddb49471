"""What is new in a text beside an older one, so that a reader sees it at a glance."""

from __future__ import annotations

import re
from difflib import SequenceMatcher
from typing import NamedTuple


class Stretch(NamedTuple):
    """A part of a text, and whether the other text has it otherwise."""

    text: str
    differs: bool


_WORDS = re.compile(r"\w+|\s+|.", re.DOTALL)


def differences(old: str, new: str) -> tuple[list[Stretch], list[Stretch]]:
    """Both texts in parts, by words: those that the other does not have are marked.

    >>> differences("12 Oat St", "12 OAT ST")[1]
    [Stretch(text='12 ', differs=False), Stretch(text='OAT ST', differs=True)]
    >>> differences("", "Lima")
    ([], [Stretch(text='Lima', differs=True)])
    """
    one, other = _WORDS.findall(old), _WORDS.findall(new)
    was: list[Stretch] = []
    now: list[Stretch] = []
    for what, a, b, c, d in SequenceMatcher(None, one, other, autojunk=False).get_opcodes():
        for told, words in ((was, one[a:b]), (now, other[c:d])):
            if words:
                told.append(Stretch("".join(words), what != "equal"))
    return _joined(was), _joined(now)


def _joined(parts: list[Stretch]) -> list[Stretch]:
    """The parts, without a blank alone between two that differ: one mark is easier to read."""
    told: list[Stretch] = []
    for at, part in enumerate(parts):
        after = parts[at + 1] if at + 1 < len(parts) else None
        if part.text.isspace() and told and told[-1].differs and after and after.differs:
            part = Stretch(part.text, True)
        if told and told[-1].differs == part.differs:
            part = Stretch(told.pop().text + part.text, part.differs)
        told.append(part)
    return told

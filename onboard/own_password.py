"""Passwords that people choose for the desk: what is wrong with one (NIST SP 800-63B-4, 3.1.1.2).

Long enough, not one that others use or that the place and the name give away; no rule about capitals, digits or
signs, and none ever runs out.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import cache

ALONE, WITH_CODE = 15, 8  # letters at least: by itself, and with a second step
LONGEST = 1000
HARD = 8.0  # powers of ten of guesses: what eight letters by chance take
HARD_REST = 6.0  # what is left of it without the names of the place
_READ = 72  # letters that are judged: one that is hard to guess by then is so with more
_SHORTEST = 6  # letters of a listed one in the middle of others; shorter ones are parts of words
_AROUND = 8  # digits and signs around a listed one that make it no better
_OF_THE_PLACE = ("onboard", "desk", "password", "coop", "co-op")

KNOWN = "This password is on the list of those that were stolen most often. Choose another one."
EASY = "This password is easy to guess. Leave out words and rows of keys that many people use, repeats, your name, and the name of the co-op."
SHORT = "Choose a password of at least {least} characters: a few words that only you would put together."
LONG = "Choose a password of at most {most} characters."


def trouble(password: str, *, has_code: bool, names: Iterable[str]) -> str:
    """What is wrong with it, and what to do: `SHORT`, `LONG`, `KNOWN` or `EASY`; "" if nothing is. `names` are those of the
    co-op and of the person.

    >>> trouble("tomatoes on sunday morning", has_code=False, names=["Test Growers", "Sam Moor"])
    ''
    >>> trouble("Growers2026Growers2026", has_code=False, names=["Test Growers", "Sam Moor"]) == EASY
    True
    >>> trouble("xk3#9fLq", has_code=True, names=()), trouble("xk3#9fLq", has_code=False, names=()) == SHORT
    ('', True)
    """
    letters = len(unicodedata.normalize("NFKC", password))
    least = WITH_CODE if has_code else ALONE
    if letters < least:
        return SHORT
    if letters > LONGEST:
        return LONG
    if _is_known(password):
        return KNOWN
    return EASY if _is_easy(password, names) else ""


def _is_known(password: str) -> bool:
    """Whether it is one of the 30,000 that were most often in what was stolen elsewhere, also twice over, backward, or with
    digits and signs around it. The list is in this program: nobody is asked."""
    text = unicodedata.normalize("NFKC", password).casefold()
    bare = re.sub(r"^[\W\d_]+|[\W\d_]+$", "", text)
    half = text[: len(text) // 2]
    tried = {text, text[::-1], half if text == half * 2 else ""}
    if len(text) - len(bare) <= _AROUND:
        tried.add(bare)
    return any(one in _stolen() for one in tried if len(one) >= _SHORTEST)


@cache
def _stolen() -> frozenset[str]:
    from zxcvbn.frequency_lists import FREQUENCY_LISTS  # only whoever chooses a password needs it

    return frozenset(FREQUENCY_LISTS["passwords"])


def _is_easy(password: str, names: Iterable[str]) -> bool:
    names = list(names)
    words = {word for name in names for word in re.findall(r"\w{3,}", name.casefold())}
    words |= {re.sub(r"\W", "", name.casefold()) for name in names} - {""}
    words.update(_OF_THE_PLACE)
    text = password.casefold()
    rest = text
    for word in sorted(words, key=len, reverse=True):
        rest = rest.replace(word, "")
    return _hard(text, words) < HARD or (rest != text and _hard(rest, words) < HARD_REST)


def _hard(text: str, words: Iterable[str]) -> float:
    from zxcvbn import zxcvbn  # knows what many people use; nobody else needs it

    if not text:
        return 0.0
    return float(zxcvbn(text[:_READ], user_inputs=list(words))["guesses_log10"])


__all__ = ["ALONE", "EASY", "KNOWN", "LONG", "LONGEST", "SHORT", "WITH_CODE", "trouble"]

"""Under what sounds a name is found, read as the languages that names come from read their letters.

"Siobhan" sounds as "Shivon" is written, though no rule of letters brings the two together. So a name
that is known has the sounds of every language that reads it otherwise than English does; what a
caller's name was written as is read in English. Names meet where the consonants are the same.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache

from onboard import tables

MOST = 6  # ways in which one language reads a name


@cache
def _rules() -> dict[str, dict[str, tuple[str, ...]]]:
    """By language: letters ("^" where the name begins, "$" where it ends), and what they may sound as."""
    found: dict[str, dict[str, tuple[str, ...]]] = {}
    for language, letters, sounds in tables.rows("sounding"):
        ways = tuple("" if way == "-" else way for way in sounds.split("|"))
        found.setdefault(language, {})[letters] = ways
    return found


@lru_cache(maxsize=100_000)
def of_known(name: str) -> frozenset[str]:
    """The sounds that a name on file may have, in any of the languages.

    >>> sorted(of_known("niamh") & as_heard("neve"))
    ['NF']
    """
    return frozenset().union(*map(_ways, {_sounds(name, language) for language in _rules()}))


@lru_cache(maxsize=10_000)
def as_heard(name: str) -> frozenset[str]:
    """The sounds of a name as somebody wrote it who heard it.

    >>> sorted(as_heard("shivon"))
    ['XFN']
    """
    return _read(name, "heard")


def meet(said: str, known: str) -> frozenset[str]:
    """The sounds that both have: the one as it was heard, the other on file."""
    heard = as_heard(said)
    if not any(_may_sound(sound, known) for sound in heard):
        return frozenset()  # most do, and to read a name in every language takes a while
    return heard & of_known(known)


# The letters that are read as each sound, in any of the languages.
_LETTERS = {
    "P": "bp", "T": "dt", "K": "ckgqhxj", "F": "fvwbmp", "S": "szcxtd", "X": "scjxqzgtrdkh", "M": "m", "N": "ngmaeo",
    "L": "l", "R": "r", "W": "wughomblq", "Y": "yjlgdiv", "H": "hjxgstfcv", "A": "aeiouyhjw",
}  # fmt: skip


def _may_sound(sound: str, known: str) -> bool:
    """Whether the name has letters for the sounds, one after the other."""
    if sound[0] not in _beginnings(known[:1]):
        return False
    at = 0
    for one in sound:
        there = _letters(one).search(known, at)
        if not there:
            return False
        at = there.start()  # one letter may be two sounds: "x"
    return True


@cache
def _letters(sound: str) -> re.Pattern[str]:
    return re.compile(f"[{_LETTERS[sound]}]")


@cache
def _beginnings(letter: str) -> frozenset[str]:
    """The sounds with which a name may begin that begins with the letter."""
    found: set[str] = set()
    for rules in _rules().values():
        for letters, ways in rules.items():
            inside = letters.endswith("$") or "^" + letters in rules
            if letters.lstrip("^")[:1] == letter and not inside:
                found.update(way[:1] or "." for way in ways)
    if letter == "h":  # it may be silent, before any vowel
        found.add(".")
    return frozenset("A" if sound == "." else sound for sound in found)


def _read(name: str, language: str) -> frozenset[str]:
    """Every way in which a language reads a name: its consonants by class, and whether a vowel begins it."""
    return _ways(_sounds(name, language))


def _sounds(name: str, language: str) -> tuple[tuple[str, ...], ...]:
    """What the letters of a name may sound as, one after the other."""
    rules = _rules()[language]
    letters = _reading(language).findall(name)
    sounds = [rules.get(some, _VOWEL) for some in letters]
    if letters:
        first, last = letters[0], letters[-1]
        sounds[-1] = rules.get(f"{last}$", sounds[-1])
        sounds[0] = rules.get(f"^{first}", sounds[0])
    return tuple(sounds)


_VOWEL = (".",)  # as which letters are read that no rule speaks of


@lru_cache(maxsize=10_000)
def _ways(sounds: tuple[tuple[str, ...], ...]) -> frozenset[str]:
    """What a name may sound as whose letters may sound so. Languages read most names much alike."""
    ways = [""]
    for some in sounds:
        ways = [way + sound for sound in some for way in ways][:MOST]
    return frozenset(sound for way in ways if (sound := _plain(way)))


@cache
def _reading(language: str) -> re.Pattern[str]:
    """Cuts a name into the letters that one rule reads, the longest that there is from each place on."""
    rules = sorted(_rules()[language], key=lambda rule: len(rule.strip("^$")), reverse=True)
    read = (rule.replace("^", r"\A").replace("$", r"\Z") for rule in rules)
    return re.compile("|".join([*read, "."]), re.DOTALL)


@lru_cache(maxsize=10_000)
def _plain(way: str) -> str:
    """The sounds without the vowels (".") that only stand between them, and each once."""
    out = ""
    for at, one in enumerate(way):
        if one == "." or (one in "WYH" and out and way[at - 1 : at] != ""):
            continue
        if at and way[at - 1] == one:
            continue
        out += one
    first = way[:1]
    return "A" + out if first == "." else out

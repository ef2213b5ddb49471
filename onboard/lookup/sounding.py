"""Under what sounds a name is found, read as the languages that names come from read their letters.

"Siobhan" sounds as "Shivon" is written, though no rule of letters brings the two together. So a name
that is known has the sounds of every language that reads it otherwise than English does; what a
caller's name was written as is read in English. Names meet where the consonants are the same.
"""

from __future__ import annotations

from functools import cache, lru_cache

from onboard import tables

MOST = 6  # ways in which one language reads a name
LONGEST = 5  # letters that one rule reads


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
    return frozenset().union(*(_read(name, language) for language in _rules()))


@lru_cache(maxsize=10_000)
def as_heard(name: str) -> frozenset[str]:
    """The sounds of a name as somebody wrote it who heard it.

    >>> sorted(as_heard("shivon"))
    ['XFN']
    """
    return frozenset(_read(name, "heard"))


def meet(said: str, known: str) -> frozenset[str]:
    """The sounds that both have: the one as it was heard, the other on file."""
    heard = as_heard(said)
    if not any(_may_sound(sound, known) for sound in heard):
        return frozenset()  # most do, and to read a name in every language takes a while
    return heard & of_known(known)


# The letters that are read as each sound, in any of the languages.
_LETTERS = {
    sound: frozenset(letters)
    for sound, letters in (
        ("P", "bp"), ("T", "dt"), ("K", "ckgqhxj"), ("F", "fvwbmp"), ("S", "szcxtd"), ("X", "scjxqzgtrdkh"), ("M", "m"),
        ("N", "ngmaeo"), ("L", "l"), ("R", "r"), ("W", "wughomblq"), ("Y", "yjlgdiv"), ("H", "hjxgstfcv"), ("A", "aeiouyhjw"),
    )
}  # fmt: skip


def _may_sound(sound: str, known: str) -> bool:
    return sound[0] in _beginnings(known[:1]) and not any(
        _LETTERS[one].isdisjoint(known) for one in sound
    )


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


def _read(name: str, language: str) -> set[str]:
    """Every way in which a language reads a name: its consonants by class, and whether a vowel begins it."""
    rules = _rules()[language]
    text = f"^{name}$"
    ways = [""]
    at = 1
    while at < len(text) - 1:
        size, sounds = _longest(text, at, rules)
        ways = [way + sound for sound in sounds for way in ways][:MOST]
        at += size
    return {sound for way in ways if (sound := _plain(way))}


def _longest(text: str, at: int, rules: dict[str, tuple[str, ...]]) -> tuple[int, tuple[str, ...]]:
    """How many letters from here the longest rule reads, and as what."""
    last = len(text) - 1
    for size in range(min(LONGEST, last - at), 0, -1):
        end = at + size
        if at == 1 and (found := rules.get(text[0:end])):
            return size, found
        if end == last and (found := rules.get(text[at:])):
            return size, found
        if found := rules.get(text[at:end]):
            return size, found
    return 1, (".",)


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

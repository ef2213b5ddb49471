"""The given names that somebody may have who says a short, fond or other spelling of one."""

from __future__ import annotations

from functools import cache, lru_cache

from rapidfuzz.distance import OSA

from onboard import tables
from onboard.lookup.costs import SELDOM, SHORT_FORM, SHORT_FORMS
from onboard.lookup.keys import sounds
from onboard.match.given_names import is_seldom, is_short_for, kin, of_two_sexes, sex

_FOND = ("ito", "ita", "ie", "ey", "ee", "y", "i")


@lru_cache(maxsize=20_000)
def fond_stem(said: str) -> str:
    """What a name that is said fondly begins with in full; "" if it is none (common practice).

    >>> fond_stem("robbie"), fond_stem("dolly"), fond_stem("benji"), fond_stem("robert")
    ('rob', 'dol', 'benj', '')
    """
    stem = next((said.removesuffix(end) for end in _FOND if said.endswith(end)), "")
    stem = stem[:-1] if stem[-1:] == stem[-2:-1] else stem
    return stem if len(stem) > 2 else ""


@lru_cache(maxsize=20_000)
def fond_forms(said: str) -> tuple[str, ...]:
    """The other spellings of a name that is said fondly: Jacky, Jackie, Jacki.

    >>> fond_forms("jacky")
    ('jackie', 'jackey', 'jacki')
    """
    for end in _FOND[2:]:
        if said.endswith(end) and len(said) > len(end) + 1:
            stem = said.removesuffix(end)
            return tuple(form for new in ("ie", "ey", "y", "i") if (form := stem + new) != said)
    return ()


@lru_cache(maxsize=20_000)
def short_forms(said: str) -> tuple[dict[str, float], dict[str, set[str]]]:
    """The bits of saying it for each name of which it is a short form, or that is one of it.

    And, by their sound, those that are so as it is spelt: other spellings of these cost a bit more.
    """
    whole = {name for name in kin(said) if is_short_for(said, name)}
    fond = {name for one in fond_forms(said) for name in kin(one) if is_short_for(one, name)}
    bits = dict.fromkeys(kin(said), SHORT_FORMS)
    bits |= dict.fromkeys(_short_of_alike(said), SHORT_FORM + 1)
    bits |= dict.fromkeys(fond, SHORT_FORM + 1)
    bits |= {name: SHORT_FORM + SELDOM * is_seldom(said, name) for name in whole}
    of_sound: dict[str, set[str]] = {}
    for name in whole:
        of_sound.setdefault(sounds(name), set()).add(name)
    of_sound.pop("", None)
    return bits, of_sound


@lru_cache(maxsize=20_000)
def likely(said: str) -> frozenset[str]:
    """The given names that somebody who said this may have, beside itself."""
    found = kin(said).union(*map(kin, fond_forms(said)))
    return found.union(_short_of_alike(said), *map(spelt, found))


@lru_cache(maxsize=20_000)
def _short_of_alike(said: str) -> frozenset[str]:
    """The short forms that a full name has as it is spelt elsewhere, and that full name where only its first vowel is left off.

    Of names on the list of given names only: who misspells their own name as well is rare, and it costs time.

    >>> "beth" in _short_of_alike("elisabeth"), sorted(_short_of_alike("lisbeth") & {"elizabeth", "beth"})
    (True, ['beth', 'elizabeth'])
    """
    if not sex(said):
        return frozenset()
    begun = {
        name
        for name in _without_first_vowel().get(sounds(said), ())
        if OSA.distance(said, name[1:]) <= 2
    }
    alike = begun.union(spelt(said), *map(spelt, begun))
    short = {
        one
        for name in alike
        for one in kin(name)
        if is_short_for(one, name) and len(one) < len(name)
    }
    return frozenset(begun | short) - {said}


@cache
def _without_first_vowel() -> dict[str, tuple[str, ...]]:
    """By the sound of what is left: given names whose first letter is a vowel."""
    found: dict[str, list[str]] = {}
    for name, *_ in tables.rows("given_names"):
        if name[0] in "aeiou" and (sound := sounds(name[1:])):
            found.setdefault(sound, []).append(name)
    return {sound: tuple(names) for sound, names in found.items()}


@cache
def _given_by_sound() -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for name, *_ in tables.rows("given_names"):
        if sound := sounds(name):
            found.setdefault(sound, []).append(name)
    return {sound: tuple(names) for sound, names in found.items()}


@lru_cache(maxsize=20_000)
def spelt(name: str) -> tuple[str, ...]:
    """The other spellings of a given name, which have its pet forms too: Elisabeth, Elizabeth.

    >>> "elizabeth" in spelt("elisabeth"), "katherine" in spelt("catherine"), spelt("ann")
    (True, True, ())
    """
    alike = _given_by_sound().get(sounds(name), ())
    return tuple(
        one
        for one in alike
        if one != name and OSA.distance(one, name) <= 2 and not of_two_sexes(one, name)
    )

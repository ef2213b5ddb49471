"""Drop sites: which one a form means, and which is nearest.

Distances are between the middles of ZIP areas, as the crow flies: a hint for a person, no more.
A river, a mountain or a wide ZIP area can make the nearer site the longer drive.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from rapidfuzz.distance import OSA

from onboard.clean import place as places
from onboard.model import Cleaned, Kind, Place, Weight
from onboard.settings import Site

MUCH_NEARER = 15.0  # miles
LONGEST = 200  # characters read: more is not the name of a place

# Words that people put around the name of a site. They count where a site's own name has them.
_AROUND = frozenset(
    ("a", "an", "the", "at", "in", "on", "by", "of", "near", "my", "our", "site", "drop", "dropsite",
     "location", "pickup", "pick", "up", "group", "one", "please", "st", "rd", "ave", "el", "la",
     "en", "de", "sitio", "entrega", "grupo", "cerca")
)  # fmt: skip
# Answers that name no site.
_NO_ANSWER = frozenset(
    ("none", "na", "n a", "no", "not sure", "unsure", "unknown", "idk", "dont know", "don t know",
     "i don t know", "any", "either", "whichever", "whatever", "closest", "nearest", "nearest one",
     "the nearest", "the closest", "closest one", "the closest one", "the nearest one", "no se",
     "ninguno", "cualquiera", "el mas cercano", "tbd")
)  # fmt: skip

MISSPELT = Kind(
    "site.misspelt",
    Weight.MENDED,
    "The drop site is spelt otherwise than in the settings, and can only be this one.",
    wrong="lima grange hal",
    right="Lima Grange Hall",
)
MISSING = Kind(
    "site.missing",
    Weight.DOUBTFUL,
    "The form names no drop site.",
    wrong="",
    right="Lima Grange Hall",
)
UNKNOWN = Kind(
    "site.unknown",
    Weight.DOUBTFUL,
    "The form names a drop site that is not in the settings.",
    wrong="the old mill",
    right="Lima Grange Hall",
)
AMBIGUOUS = Kind(
    "site.ambiguous",
    Weight.DOUBTFUL,
    "The form names something that could be more than one drop site.",
    wrong="Lake",
    right="Lima Grange Hall",
)
CLOSED = Kind(
    "site.closed",
    Weight.DOUBTFUL,
    "The form names a drop site that is closed.",
    wrong="Troy Church Lot",
    right="Lima Grange Hall",
)
FAR = Kind(
    "site.far",
    Weight.DOUBTFUL,
    "Another drop site is much nearer to the member's ZIP than the one they chose.",
    wrong="Athens Feed Barn",
    right="Lima Grange Hall",
    context={"zip5": "45801"},
)
# The sites that the examples above are about.
EXAMPLES = (
    Site("Lima Grange Hall", "12 Elm St, Lima, OH", "45801", "Lake", "Robin Vale"),
    Site("Wapakoneta Depot", "3 Rail St, Wapakoneta, OH", "45895", "Lake", "Kim Oster"),
    Site("Troy Church Lot", "40 Oak St, Troy, OH", "45373", "Lake", "Lee Darby", closed=True),
    Site("Athens Feed Barn", "9 Ash St, Athens, OH", "45701", "Hill", "Sam Moor"),
)
KINDS = (MISSPELT, MISSING, UNKNOWN, AMBIGUOUS, CLOSED, FAR)


def clean(said: str, sites: Sequence[Site], place: Place | None = None) -> Cleaned[str]:
    """The name of the drop site that was meant, as the settings write it.

    `place` is where the member lives, if known. None where no open site, or more than one, could
    be meant: then the finding names the nearest.

    >>> lima = Site("Lima Grange Hall", "12 Elm St, Lima, OH", "45801", "Lake", "Robin Vale")
    >>> clean("lima grange", [lima]).value
    'Lima Grange Hall'
    """
    words = _fold(said[:LONGEST])
    if not words or words in _NO_ANSWER:
        return Cleaned(
            said, None, (MISSING.found(said, f"No drop site is named. {_ask(sites, place)}"),)
        )
    found = _meant(words, tuple(sites))
    if not found:
        note = f"We have no drop site {_short(said)!r}. {_ask(sites, place)}"
        return Cleaned(said, None, (UNKNOWN.found(said, note),))
    if len(found) > 1:  # nobody can mean to collect where nobody can
        found = [site for site in found if not site.closed] or found
    if len(found) > 1:
        names = " or ".join(site.name for site in found)
        note = f"{_short(said)!r} could be {names}. Ask which one."
        return Cleaned(said, None, (AMBIGUOUS.found(said, note),))
    (site,) = found
    if site.closed:
        note = f"{site.name} is closed. {_ask(sites, place)}"
        return Cleaned(said, None, (CLOSED.found(said, note),))
    findings = []
    if words != _fold(site.name):
        findings.append(MISSPELT.found(said, f"Read as {site.name}."))
    if far := _much_nearer(site, sites, place):
        findings.append(FAR.found(said, far))
    return Cleaned(said, site.name, tuple(findings))


def show(name: str) -> str:
    """The site's name, as people read it."""
    return name


def nearest(sites: Sequence[Site], place: Place) -> list[tuple[Site, float]]:
    """The open sites with their distance in miles, the nearest first.

    Sites whose ZIP has no known middle are left out.
    """
    found = [
        (site, places.miles(place, there))
        for site in sites
        if not site.closed and (there := _where(site.zip5)) is not None
    ]
    return sorted(found, key=lambda pair: (pair[1], pair[0].name))


def _meant(words: str, sites: tuple[Site, ...]) -> list[Site]:
    """The sites that the words could mean: one, several, or none.

    First the whole text as something a site goes by; then every word of it as some word of a
    site; then, where the words point at several sites or carry something strange, the sites that
    the most telling word stands for. So a part, a slip and an abbreviation are all understood,
    and nothing is preferred that the words do not single out.
    """
    exact = [site for site in sites if _fold(site.name) == words]
    if exact:
        return exact
    called = [site for site in sites if words in _called(site)]
    if called:
        return called
    joined = words.replace(" ", "")
    slips = len(joined) // 6
    close = [
        (OSA.distance(joined, name, score_cutoff=slips), site)
        for site in sites
        for name in (_fold(site.name).replace(" ", ""),)
        if slips and OSA.distance(joined, name, score_cutoff=slips) <= slips
    ]
    if close:
        least = min(far for far, _ in close)
        return [site for far, site in close if far == least]
    return _by_words(words.split(), sites)


def _by_words(said: list[str], sites: tuple[Site, ...]) -> list[Site]:
    known = {word for site in sites for word in _fold(site.name).split()}
    telling = [word for word in said if word not in _AROUND or word in known][:20]
    fits = [
        [site for site in sites if word in _words(site)]
        or [site for site in sites if any(_is_word(word, other) for other in _words(site))]
        for word in telling
    ]
    fits = [found for found in fits if found]
    all_fit = [site for site in sites if fits and all(site in found for found in fits)]
    strange = len(telling) - len(fits)
    if all_fit and strange <= len(fits):
        return all_fit
    # Two sites named in one cell, or a site and a story: those that a word singles out.
    single = [found[0] for found in fits if len(found) == 1]
    return list(dict.fromkeys(single))


@lru_cache(maxsize=4096)
def _called(site: Site) -> frozenset[str]:
    """What people call a site beside its name: its town, its ZIP, its host, its group, its street."""
    town = _town(site.zip5)
    state = _fold(there.state) if (there := _where(site.zip5)) else ""
    street = _fold(re.split("[,\n]", site.address)[0])
    names = (
        town, f"{town} {state}", site.zip5, _fold(site.host), street, street.lstrip("0123456789 "), _fold(site.address),
        f"{_fold(site.name)} {town}", f"{_fold(site.name)} {town} {state}", _fold(site.group),
        f"{_fold(site.group)} group",
    )  # fmt: skip
    return frozenset(filter(None, names))


@lru_cache(maxsize=4096)
def _words(site: Site) -> frozenset[str]:
    """The words that a site can be known by."""
    there = _where(site.zip5)
    names = (
        _fold(site.name),
        _town(site.zip5),
        _fold(site.host),
        _fold(there.state if there else ""),
    )
    return frozenset(word for name in names for word in name.split())


def _town(zip5: str) -> str:
    there = _where(zip5)
    return _fold(there.city) if there else ""


def _is_word(said: str, word: str) -> bool:
    """Whether what was said is the word, with a slip or abbreviated."""
    if said == word:
        return True
    if len(said) >= 5 and OSA.distance(said, word) <= (1 if len(said) < 8 else 2):
        return True
    if len(said) == 4 and len(word) >= 4 and said[0] == word[0] and OSA.distance(said, word) <= 1:
        return True
    if len(said) >= 3 and word.startswith(said):
        return True
    # "ctr", "mtg", "grng": the first letter, then consonants of the word in their order
    if len(said) < 2 or said[0] != word[0] or len(word) < len(said) + 2:
        return False
    rest = iter(word[1:])
    return all(c not in "aeiou" and c in rest for c in said[1:])


def _much_nearer(site: Site, sites: Sequence[Site], place: Place | None) -> str:
    if place is None or place.latitude is None:
        return ""
    miles = {s.name: far for s, far in nearest(sites, place)}
    if site.name not in miles:
        return ""
    first, least = min(miles.items(), key=lambda item: item[1])
    nearer = miles[site.name] - least
    if nearer < MUCH_NEARER:
        return ""
    return (
        f"{first} is some {nearer:.0f} miles nearer to {place.zip5} than {site.name}, by the middles "
        "of the ZIP areas (roads may differ). Ask whether that is meant."
    )


def _ask(sites: Sequence[Site], place: Place | None) -> str:
    if place is None or place.latitude is None or not (close := nearest(sites, place)):
        return "Ask which one."
    site, far = close[0]
    if far < 1:
        return f"The nearest open one is {site.name}, in the same ZIP area. Ask which one."
    return (
        f"The nearest open one is {site.name}, some {far:.0f} miles from {place.zip5} by the middles "
        "of the ZIP areas (roads may differ). Ask which one."
    )


@lru_cache(maxsize=4096)
def _where(zip5: str) -> Place | None:
    there = places.find(zip5)
    return there if there is not None and there.latitude is not None else None


@lru_cache(maxsize=65536)
def _fold(text: str) -> str:
    """Small letters without accents, one blank between words."""
    plain = unicodedata.normalize("NFKD", text)
    return " ".join(
        re.findall(r"[^\W_]+", "".join(c for c in plain if not unicodedata.combining(c)).casefold())
    )


def _short(said: str) -> str:
    text = " ".join(said.split())
    return text if len(text) <= 40 else text[:39] + "…"

"""Drop sites: which one a form means, and which is nearest.

Distances are between the middles of ZIP areas, as the crow flies: a hint for a person, no more.
A river, a mountain or a wide ZIP area can make the nearer site the longer drive.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from rapidfuzz import fuzz, process

from onboard.clean import place as places
from onboard.model import Cleaned, Kind, Place, Weight
from onboard.settings import Site

MUCH_NEARER = 15.0  # miles
SURE, LEAD = 84.0, 6.0  # likeness of names, 0 to 100; the next one must be this far behind

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
KINDS = (MISSPELT, MISSING, UNKNOWN, AMBIGUOUS, CLOSED, FAR)


def clean(said: str, sites: Sequence[Site], place: Place | None = None) -> Cleaned[str]:
    """The name of the drop site that was meant, as the settings write it.

    `place` is where the member lives, if known. None where no open site, or more than one, could
    be meant: then the finding names the nearest.

    >>> lima = Site("Lima Grange Hall", "12 Elm St, Lima, OH", "45801", "Lake", "Robin Vale")
    >>> clean("lima grange", [lima]).value
    'Lima Grange Hall'
    """
    words = _fold(said[:200])
    if not words:
        return Cleaned(
            said, None, (MISSING.found(said, f"No drop site is named. {_ask(sites, place)}"),)
        )
    found = _meant(words, tuple(sites))
    if not found:
        note = f"We have no drop site {_short(said)!r}. {_ask(sites, place)}"
        return Cleaned(said, None, (UNKNOWN.found(said, note),))
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
    """The sites that the words could mean: one, several, or none."""
    exact = [site for site in sites if _fold(site.name) == words]
    if exact:
        return exact
    names = [_fold(site.name) for site in sites]
    close = process.extract(words, names, scorer=fuzz.WRatio, score_cutoff=SURE, limit=None)
    if close:
        best = close[0][1]
        return [sites[at] for _, score, at in close if score > best - LEAD]
    by_town = [site for site in sites if f" {words} " in f" {_fold(site.address)} "]
    return by_town or [site for site in sites if _fold(site.group) == words]


def _much_nearer(site: Site, sites: Sequence[Site], place: Place | None) -> str:
    if place is None or place.latitude is None:
        return ""
    miles = dict((s.name, far) for s, far in nearest(sites, place))
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
    return (
        f"The nearest open one is {site.name}, some {far:.0f} miles from {place.zip5} by the middles "
        "of the ZIP areas. Ask which one."
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

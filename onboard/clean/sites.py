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
     "en", "de", "sitio", "entrega", "grupo", "cerca", "or", "and", "o", "y")
)  # fmt: skip
_EITHER = frozenset(("or", "and", "o", "y"))  # between two sites
# Words that many towns begin with: the rest of its name tells the town.
_BEFORE_TOWNS = frozenset(
    ("saint", "st", "fort", "ft", "mount", "mt", "new", "old", "north", "south", "east", "west",
     "san", "santa", "the")
)  # fmt: skip
# What a place is: one that is none of a site's own is another place, though it is in the same town.
_PLACES = frozenset(
    ("library", "church", "chapel", "cathedral", "temple", "synagogue", "mosque", "school", "schoolhouse", "college",
     "hall", "barn", "grange", "depot", "station", "store", "shop", "market", "mart", "park", "center", "centre", "museum",
     "cafe", "diner", "restaurant", "tavern", "bakery", "brewery", "creamery", "mill", "farm", "orchard", "garage", "lot",
     "armory", "legion", "vfw", "elks", "lodge", "firehouse", "hospital", "clinic", "bank", "office", "courthouse", "gym",
     "arena", "pavilion", "fairground", "fairgrounds", "marina", "pier", "landing", "airport", "hotel", "motel", "mall",
     "plaza", "shed", "warehouse", "theater", "nursery", "cemetery", "ymca", "coop", "biblioteca", "iglesia", "capilla",
     "templo", "parroquia", "escuela", "colegio", "salon", "granero", "tienda", "mercado", "parque", "centro", "museo",
     "molino", "granja", "rancho", "bodega", "panaderia", "clinica", "estacion", "taller", "teatro")
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
    "The drop site is spelled differently in the settings, and can only be this one.",
    wrong="lima grange hal",
    right="Lima Grange Hall",
)
MISSING = Kind(
    "site.missing",
    Weight.DOUBTFUL,
    "The form does not name a drop site.",
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
    "Another drop site is much closer to the member's ZIP code than the one they chose.",
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
    words, book = _fold(said[:LONGEST]), _book(sites)
    if not words or words in _NO_ANSWER:
        return Cleaned(
            said,
            None,
            (MISSING.found(said, f"The form does not name a drop site. {_ask(book, place)}"),),
        )
    found = book.meant(words)
    if not found:
        note = f"We have no drop site {_short(said)!r}. {_ask(book, place)}"
        return Cleaned(said, None, (UNKNOWN.found(said, note),))
    if len(found) > 1 and _EITHER.isdisjoint(words.split()):
        # Nobody can mean to collect where nobody can; of two that are named, each is meant.
        found = [site for site in found if not site.closed] or found
    if len(found) > 1:
        names = " or ".join(f"{site.name} (closed)" if site.closed else site.name for site in found)
        note = f"{_short(said)!r} could be {names}. Ask which one."
        return Cleaned(said, None, (AMBIGUOUS.found(said, note),))
    (site,) = found
    if site.closed:
        note = f"{site.name} is closed. {_ask(book, place)}"
        return Cleaned(said, None, (CLOSED.found(said, note),))
    findings = []
    if words != _fold(site.name):
        findings.append(MISSPELT.found(said, f"Read as {site.name}."))
    if far := _much_nearer(site, book, place):
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
        if not site.closed and (there := places.find(site.zip5)) is not None
    ]
    found = [(site, miles) for site, miles in found if miles < float("inf")]
    return sorted(found, key=lambda pair: (pair[1], pair[0].name))


# ---------------------------------------------------------------- recognising


class _Book:
    """What the sites of a co-op go by; made once for all the forms of a batch."""

    def __init__(self, sites: Sequence[Site]) -> None:
        self.sites = sites
        self.names: dict[str, list[Site]] = {}
        self.others: dict[str, list[Site]] = {}  # town, ZIP, host, street, group, as in `also`
        self.words: dict[str, list[Site]] = {}
        for site in sites:
            name = _fold(site.name)
            self.names.setdefault(name, []).append(site)
            for other in _called(site, name):
                self.others.setdefault(other, []).append(site)
            there = places.find(site.zip5)
            town = f"{there.city} {there.state}" if there else ""
            others = " ".join(map(_fold, (town, site.host, *site.also)))
            for word in dict.fromkeys(f"{name} {others}".split()):
                self.words.setdefault(word, []).append(site)
        self.own = {word for name in self.names for word in name.split()}
        self.meant = lru_cache(maxsize=4096)(self._meant)
        self.nearest = lru_cache(maxsize=4096)(self._nearest)

    def _nearest(self, place: Place) -> list[tuple[Site, float]]:
        return nearest(self.sites, place)

    def _meant(self, said: str) -> list[Site]:
        """The sites that the words could mean: one, several, or none.

        First the whole text as something a site goes by, then with a slip in it; then every word
        of it as some word of a site. So a part, a slip and an abbreviation are all understood,
        and nothing is preferred that the words do not single out. One word that a site shares with
        another place tells no site.
        """
        if whole := self.names.get(said) or self.others.get(said):
            return whole
        joined = said.replace(" ", "")
        slips = len(joined) // 6
        far = {
            name: OSA.distance(joined, name.replace(" ", ""), score_cutoff=slips)
            for name in self.names
        }
        if slips and min(far.values(), default=slips + 1) <= slips:
            least = min(far.values())
            return [
                site for name, found in self.names.items() if far[name] == least for site in found
            ]
        return self._by_words(said.split())

    def _by_words(self, said: list[str]) -> list[Site]:
        telling = [word for word in said if word not in _AROUND or word in self.own][:20]
        found_by = {word: found for word in telling if (found := self._with_word(word))}
        fits = [found_by[word] for word in telling if word in found_by]
        if not fits:
            return []
        all_fit = [site for site in fits[0] if all(site in found for found in fits)]
        if not all_fit or len(telling) > 2 * len(fits):
            # Two sites named in one cell, or a site and a story: those that a word singles out.
            all_fit = list(dict.fromkeys(found[0] for found in fits if len(found) == 1))
        if len(all_fit) == 1 and len(fits) < len(telling):
            fitting = [word for word, found in found_by.items() if all_fit[0] in found]
            if not _is_told(all_fit[0], fitting, telling):
                return []
        return all_fit

    def _with_word(self, said: str) -> list[Site]:
        """The sites that have the word; failing that, those that have one it could stand for."""
        return self.words.get(said) or list(
            dict.fromkeys(
                site for word, found in self.words.items() if _is_word(said, word) for site in found
            )
        )


_last = _Book(())


def _book(sites: Sequence[Site]) -> _Book:
    """The book of these sites; that of the form before if they are the same ones."""
    global _last
    if _last.sites is not sites or not isinstance(sites, tuple):
        _last = _Book(sites)
    return _last


def _called(site: Site, name: str) -> set[str]:
    """What people call a site besides its name: its town, ZIP, host, street, group, and what the settings say."""
    there = places.find(site.zip5)
    town, state = (_fold(there.city), _fold(there.state)) if there else ("", "")
    street, group = _fold(re.split("[,\n]", site.address)[0]), _fold(site.group)
    called = {
        town, f"{town} {state}", f"{name} {town}", f"{name} {town} {state}", site.zip5,
        _fold(site.host), street, street.lstrip("0123456789 "), _fold(site.address),
        group, f"{group} group", *map(_fold, site.also),
    }  # fmt: skip
    return {other for other in called if other.strip()}


def _is_told(site: Site, fitting: Sequence[str], telling: Sequence[str]) -> bool:
    """Whether words that fit a site tell it, where others of the `telling` words do not: "Old Mill Corner" and
    "Nowhere Hall" are places that we do not have, and so is "Lima Library". The town tells it, or the host, or two
    words of it that are half of all."""
    if _PLACES.isdisjoint(fitting) and not _PLACES.isdisjoint(set(telling) - set(fitting)):
        return False
    if len(fitting) > 1 and 2 * len(fitting) >= len(telling):
        return True
    there = places.find(site.zip5)
    town, host = _fold(there.city).split() if there else [], _fold(site.host).split()
    rest = [word for word in town if word not in _BEFORE_TOWNS] or town
    return any(
        wanted and all(any(_is_word(said, word) for said in fitting) for word in wanted)
        for wanted in (rest, host[:1])
    )


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


# ---------------------------------------------------------------- distances


def _much_nearer(site: Site, book: _Book, place: Place | None) -> str:
    if place is None or place.latitude is None:
        return ""
    close = book.nearest(place)
    if close and close[0][0] is site:
        return ""
    mine = next((far for other, far in close if other == site), None)
    if mine is None or mine - close[0][1] < MUCH_NEARER:
        return ""
    first, least = close[0]
    return (
        f"{first.name} is about {mine - least:,.0f} miles closer to {_place_called(place)} than {site.name}, "
        "in a straight line. Ask if they really mean it."
    )


def _ask(book: _Book, place: Place | None) -> str:
    if place is None or place.latitude is None or not (close := book.nearest(place)):
        return "Ask which one."
    site, far = close[0]
    if far < 1 and place.zip5:
        return f"The closest open one is {site.name}, in the same ZIP code. Ask which one."
    distance = "1 mile" if far < 1.5 else f"{far:,.0f} miles"
    return (
        f"The closest open one is {site.name}, about {distance} from {_place_called(place)} in a "
        "straight line. Ask which one."
    )


def _place_called(place: Place) -> str:
    """A place as whoever lives there would know it: by the ZIP code that they gave, or by the town."""
    return f"ZIP {place.zip5}" if place.zip5 else place.city.title()


def _fold(text: str) -> str:
    """Small letters without accents, one blank between words."""
    return _folded(text) if len(text) <= 100 else _folded.__wrapped__(text)


@lru_cache(maxsize=1000)  # a batch names few sites, and each of them often
def _folded(text: str) -> str:
    plain = unicodedata.normalize("NFKD", text)
    return " ".join(
        re.findall(r"[^\W_]+", "".join(c for c in plain if not unicodedata.combining(c)).casefold())
    )


def _short(said: str) -> str:
    text = " ".join(said.split())
    return text if len(text) <= 40 else text[:39] + "…"

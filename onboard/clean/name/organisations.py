"""Texts in a name box that name several people: an organisation, or a home."""

from __future__ import annotations

import re
from functools import lru_cache

from onboard.clean.name import words
from onboard.late import late

_ABOUT = frozenset(("the", "of", "for", "our"))
# "Lee & Sons", "Ortiz e Hijos"
_FIRM = late(
    r"(?:&|\band\b|\+)\s*(?:sons?|daughters?|bros\.?|brothers|sisters|associates|partners|co\.?|company|friends)\s*$"
    r"|\b[ey]\s+(?:hijos?|hermanos|asociados|c[ií]a\.?)\s*$",
    re.IGNORECASE,
)
# "Knights of Columbus", "Town of Lima"
_ORDER = late(
    r"(?:the\s+)?(?:friends|knights|daughters|sons|sisters|brothers|order|league|city|town|village|county|parents|"
    r"women|men|ladies|department|church|school|house|hijas|hermanas|amigos|caballeros)\s+(?:of|for|de)\s|casa\s+hogar\s",
    re.IGNORECASE,
)
# "Troop 41", "Carpenters Local 563", "Grade 2 Room 4"; a number behind a person's name is a slip.
_NUMBERED = late(
    r"(?:[^\W\d][\w.'’&\-]*\s+){0,4}(?:troop|pack|den|unit|local|post|lodge|chapter|room|grade|council|crew|squad|ward|station|engine|district|school|camp|aerie|"
    r"legion|company|battalion|platoon|section|precinct|team|club|circle|cabin|cottage|suite|route|league|patrol|co|ps|no|nr|num|"
    r"tropa|escuadr[oó]n|grupo|escuela|sal[oó]n|estaci[oó]n|distrito|grado)\.?\s*(?:#\s*|no\.?\s*|number\s+)?\d{1,5}(?:\s+[^\W\d][\w.'’&\-]*){0,3}"
    r"|\d{1,2}(?:st|nd|rd|th)\s+(?:grade|ward|street|ave|precinct|battalion|company|infantry|floor|church)\b.*",
    re.IGNORECASE,
)
# "Meals on Wheels", "Buddhist Temple of Ohio"
_WHAT_FOR = frozenset(("of", "for", "on", "at"))
_OF_WHOM = ("de", "del", "san", "santa", "santo", "st", "saint")
# What stands before a name of its own: "Camp Whippoorwill", "Casa Quetzal".
_LEADS = frozenset(
    ("camp", "casa", "hotel", "team", "club", "project", "banda", "liga", "equipo", "coro")
)
_SIBLINGS = ("brothers", "bros", "sisters")
_APART = late(r"[^\w'.\-]+")


@lru_cache(maxsize=4_096)
def is_organisation(text: str, *, surely: bool = False) -> bool:
    """Whether a text reads as an organisation's name: "Sunrise Bakery LLC".

    Words that are last names too (Church, Temple) count by what stands around them; with `surely`
    only where no person could be called so.

    >>> is_organisation("Church of the Valley"), is_organisation("Frank Church")
    (True, False)
    >>> is_organisation("Smith, Charity"), is_organisation("Lima Charity")
    (False, True)
    >>> is_organisation("Sunny Acres Farm", surely=True), is_organisation("Dr. Robin Farm")
    (True, False)
    """
    found = [words.bare(word) for word in _APART.split(text) if word and not word.isdigit()]
    if len(found) > 2 and found[0] in words.of("title") and words.given(found[1]):
        found = found[1:]  # "Dr. Robin Garden"
    kinds = [_kind(word) for word in found]
    if is_numbered(text) or (len(found) > 1 and _is_told_by_its_form(text, found, kinds)):
        return True
    if len(found) < 2 or (len(found) == 2 and found[1] in _SIBLINGS):
        return False  # "Amy Brothers"
    if not any(kind is not None for kind in kinds):
        return False
    if "" in kinds:
        return True
    first, last = found[0], found[-1]
    if first in _LEADS and not _is_last_first(text, found) and _are_nobodys(found):
        return True  # "Camp Whippoorwill"
    if "," in text and len(found) == 2 and words.given(last):
        return False  # "Smith, Charity", "Iglesia, Harland"
    is_trade = kinds[-1] is not None or words.is_several(last)
    if _is_nobodys(found, kinds) or (
        kinds[0] == "place" and is_trade and _is_nobody(first) and not words.is_last(first)
    ):  # "Country Clovers"; but "Cub Scott"
        return True
    if surely:
        return False
    if not _ABOUT.isdisjoint(found) or any(word.endswith("'s") for word in found):
        return True
    return kinds[-1] is not None and not (
        words.given(first)
        or first in words.of("title")
        or first in words.of("spanish first name")
        or (
            _is_last_of_many(last, kinds[-1]) and _is_new_name(first)
        )  # "Jayden Hall", "Bishop Kitchen"
    )


def _is_told_by_its_form(text: str, found: list[str], kinds: list[str | None]) -> bool:
    """Whether several words are so put together as no person's are, whatever kind of organisation they name."""
    first, last = found[0], found[-1]
    if _FIRM.search(text) or _ORDER.match(text) or _is_in_letters(text):
        return True
    if len(found) == 2 and last in _SIBLINGS:
        return not words.given(first)
    is_led = len(found) > 2 and first in ("the", "our")
    if is_led and not is_household(text) and not words.family(last):
        return True  # "The Rusty Spoon"
    if found[:2] == ["our", "lady"] or _says_what_for(found):
        return True
    if len(found) == 2 and first in ("los", "las") and not words.is_last(last):
        return True  # "Los Jardineros"
    is_of = kinds[0] is not None and found[1] in _OF_WHOM
    if is_of and not (words.is_first(first) or words.is_last(first)):
        return True  # "Liga de Fútbol Winona"
    if _is_nobody(first) and "the" in found[1:-1]:
        return True  # "Pie in the Sky"
    if words.is_trade(first) or (_is_talk(found) and not _is_last_first(text, found)):
        return True
    # "Delta Tau Delta"
    return len(found) > 2 and all(map(words.of("organisation helper").__contains__, found))


def _is_nobody(first: str) -> bool:
    """Whether a word is neither a first name nor a title."""
    return not (words.is_first(first) or first in words.of("title"))


def _are_nobodys(found: list[str]) -> bool:
    """Whether the first word is no first name, and the last no name at all."""
    last = found[-1]
    return not (words.bearers(found[0]) > 20 or words.bearers(last) > 20 or words.is_last(last))


def is_numbered(text: str) -> bool:
    """Whether a text is one of many that are numbered, "Troop 41"; not a person with a number behind the name.

    >>> is_numbered("Troop 41"), is_numbered("Carpenters Local 563"), is_numbered("Walter Camp 2")
    (True, True, False)
    """
    if not any(map(str.isdigit, text)) or not _NUMBERED.fullmatch(text):
        return False
    found = [words.bare(word) for word in text.split() if not word[0].isdigit()]
    return not (len(found) == 2 and words.is_first(found[0]) and words.is_last(found[1]))


def _is_last_first(text: str, found: list[str]) -> bool:
    """Whether these are a last name and a first: "Liner, Alpha", "Two Bears, Delbert"."""
    if "," not in text:
        return False
    is_last = len(found) == 2 or (len(found) == 3 and words.are_halves(*found[:2]))
    return is_last and words.is_first(found[-1])


def _is_last_of_many(word: str, kind: str | None) -> bool:
    """Whether a word such as "hall" is a last name too, as the table says, or of many people by the Census."""
    return kind == "maybe" or words.last_bearers(word) > words.FEW


def _is_new_name(word: str) -> bool:
    """Whether a word is a first name of many people, though of few in 1990, and nothing else: not "Zion"."""
    is_more = words.is_said(word) or word in words.of("organisation helper")
    return words.bearers(word) > words.FEW // 2 and not is_more


# "Bethany AME", "Elmwood HOA": in capitals behind a name that is written otherwise.
_LETTERS = late(
    r"(?=.*[a-z]).*\w\s+(?:AME|CME|UMC|UCC|ELCA|LDS|HOA|ISD|USD|PTA|PTO|VFW|FFA|CSA|YMCA|YWCA)\W*"
)


def _is_in_letters(text: str) -> bool:
    """Whether a text ends in letters that stand for an organisation; Hoa in capitals may be a person's."""
    first = words.unaccented(words.bare(text.split()[0]))
    return bool(_LETTERS.fullmatch(text)) and first not in words.of("family name first")


def _kind(word: str) -> str | None:
    known = words.of("organisation")
    kind = known.get(word, known.get(words.unaccented(word)))
    return "place" if kind is None and words.is_built(word) else kind


def _says_what_for(found: list[str]) -> bool:
    """Whether it is said what something is of, for or on: "Habitat for Humanity"."""
    between = found[1:-1]
    if _WHAT_FOR.isdisjoint(between) or found[0] in words.of("title"):
        return False
    if words.given(found[0]):
        return words.is_talk(found[-1]) or found[-1] in words.of(
            "organisation helper"
        )  # "Art of Yoga"
    return "on" not in between or not (words.given(found[-1]) or words.family(found[-1]))


def _is_talk(found: list[str]) -> bool:
    """Whether one of several words is one that nobody bears: "Camp Whispering Pines"."""
    if found and found[-1] in words.of("suffix"):
        found = found[:-1]
    if len(found) < 2 or found[0] in words.of("title"):
        return False
    if words.is_first(found[0]):  # "Mercy Food Closet"
        rest = found[1:]
        is_borne = any(words.is_first(word) or words.is_last(word) for word in rest)
        is_said = all(words.is_said(word) or words.is_doing(word) for word in rest)
        is_borne |= words.are_halves(rest[0], rest[-1].removesuffix("s"))  # "Winona Two Hearts"
        return len(rest) > 1 and is_said and not is_borne
    if any(
        word in words.of("particle") or word in words.of("mac") or len(word) < 2 for word in found
    ):
        return False  # "César de la Torre"
    if len(found) == 2:  # "Community Cupboard", "Salvation Army"
        last = found[1]
        is_said = words.is_said(last) or words.is_doing_what_is_said(last)
        is_said &= any(map(words.is_talk, found))
        first = found[0]
        is_said &= words.is_said(first) or words.is_only_town(first)
        if words.is_several(first):
            return True  # "Warriors Lacrosse"
        return words.is_several(last) or (is_said and not words.is_last(last))
    return any(map(words.is_talk, found))


def _is_nobodys(found: list[str], kinds: list[str | None]) -> bool:
    """Whether nobody is called so: "Grace Parish School", "Hilltop Orchard", "Iglesia Bautista"."""
    if kinds[0] == "head":
        return True
    helpers = words.of("organisation helper")
    marks = sum(
        kind is not None or word in helpers for word, kind in zip(found, kinds, strict=True)
    )
    if marks > 1 and (len(found) > 2 or not (words.given(found[0]) or words.family(found[0]))):
        return True
    if any(word.endswith("'s") for word in found[:-1]):
        return True  # "Kim's Kitchen"
    others = [word for word in found[:-1] if len(word) > 1]
    if kinds[-1] is None or len(others) < len(found) - 1:
        return False
    if words.given(found[0]):  # "Rocky Top Ranch"
        between = [
            word
            for word in others[1:]
            if not (words.given(word) or words.family(word) or word in words.of("particle"))
        ]
        # "Windy Mesa Farm": no last name that anybody bears, and the first is a word of talk.
        is_borne = words.is_last(found[-1]) or not (len(found) > 2 and words.is_said(found[0]))
        return kinds[-1] == "place" and (bool(between) or not is_borne)
    nameless = sum(not words.given(word) and not words.family(word) for word in others)
    return nameless > 1 or (kinds[-1] == "place" and (nameless > 0 or len(found) > 2))


def is_household(text: str) -> bool:
    """Whether a text names a home: "Lee Household", "The Lee Family", "The Lees"."""
    found = [words.bare(word) for word in text.split()]
    return len(found) > 1 and (
        (
            found[-1] in words.of("household")
            and found[-2] not in ("and", "&", "+", "y", "his", "her")
        )
        or found[0] in words.of("household head")
        or (len(found) == 2 and found[0] == "the")
    )

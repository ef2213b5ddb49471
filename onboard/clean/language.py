"""The language that somebody wants to be written to in, of those that we have words in."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from onboard.model import Cleaned, Kind, Weight

# As a form says it, in small letters and without accents; with the region ("es-MX") cut off.
NAMES = {
    "english": "en", "ingles": "en", "eng": "en", "en": "en", "anglais": "en", "engl": "en",
    "spanish": "es", "espanol": "es", "espanola": "es", "castellano": "es", "spa": "es", "es": "es",
    "esp": "es", "sp": "es", "span": "es", "hispano": "es",
}  # fmt: skip
# "Both are fine" asks for neither: the co-op's first language it is, and nothing is amiss.
_EITHER = frozenset(("both", "either", "any", "bilingual", "ambos", "cualquiera", "bilingue", "igual",
                     "dos", "none", "na", "no"))  # fmt: skip
# Not these, whatever else is named with them: "no English", "not Spanish", "no hablo inglés".
_NOT = frozenset(("no", "not", "little", "poco", "sin", "without", "don", "never"))

UNKNOWN = Kind(
    "language.unknown",
    Weight.MENDED,
    "We have no words in the language on the form. The co-op's first language is used.",
    wrong="Klingon",
    right="Español",
)
KINDS = (UNKNOWN,)


@lru_cache(maxsize=1000)
def clean(said: str) -> Cleaned[str]:
    """The ISO 639 code of the language that a form asks for; None where it says nothing.

    The first that is named counts, but for one that they say they do not speak.

    >>> clean("Español").value, clean("Prefer Spanish, some English").value, clean("es-MX").value
    ('es', 'es', 'es')
    """
    words = _words(said)
    if not words:
        return Cleaned(said, None)
    named = [code for at, word in enumerate(words) if (code := _named(words, at, word))]
    if named:
        return Cleaned(said, named[0])
    if _EITHER.intersection(words):
        return Cleaned(said, None)
    note = f"We have no words in {_short(said)}. The co-op's first language is used."
    return Cleaned(said, None, (UNKNOWN.found(said, note),))


def is_spanish_or_portuguese(said: str) -> bool:
    """Whether a form asks for a language whose speakers have two last names.

    >>> is_spanish_or_portuguese("Español"), is_spanish_or_portuguese("Português"), is_spanish_or_portuguese("")
    (True, True, False)
    """
    return clean(said).value == "es" or any(word.startswith("portug") for word in _words(said))


def is_language(said: str) -> bool:
    """Whether a text names one of our languages, or says that either will do.

    >>> is_language("inglés"), is_language("Lima Grange")
    (True, False)
    """
    words = _words(said)
    return (len(words) <= 4 and any(w in NAMES for w in words)) or bool(_EITHER & {*words[:1]})


def _named(words: list[str], at: int, word: str) -> str:
    code = NAMES.get(word, "")
    before = words[max(0, at - 3) : at]
    while NAMES.keys() & before:  # "no English, Spanish"
        before = before[1:]
    # "es" and "en" are words of Spanish too: "lo que es mejor", "en español".
    if len(word) == 2 and len(words) > 2:
        return ""
    return "" if _NOT.intersection(before) else code


def _words(said: str) -> list[str]:
    plain = unicodedata.normalize("NFKD", said[:200])
    plain = "".join(c for c in plain if not unicodedata.combining(c)).casefold()
    return re.findall(r"[^\W_]+", plain)


def _short(said: str) -> str:
    text = " ".join(said.split())
    return text if len(text) <= 40 else text[:39] + "…"

"""That somebody has died, as lists of members say it: beside the name, or in another column.

English and Spanish. Whoever it is said of is asked about; no packet is made of such a row.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from onboard.model import Cleaned, Finding, Kind, Weight

BY_NAME = Kind(
    "name.deceased",
    Weight.BLOCKING,
    "Next to the name it says that the person has died.",
    wrong="Pat Lee (deceased)",
    right="Pat Lee",
)
ASIDE = Kind(
    "notes.deceased",
    Weight.DOUBTFUL,
    "A note says that somebody has died.",
    wrong="passed away in May",
    right="gave away two hens",
)
KINDS = (BY_NAME, ASIDE)

_WHEN = r"(?:\s*(?:on|in|en|el)?\s*[\d/.\-]{2,10}|\s+[A-Z]?[a-z]{2,8}\.?,?\s+\d{4})?"
_SAID = r"(?:deceased|dec(?:ea)?'?s?d|passed\s+away|has\s+passed|died|fallecid[oa]|falleci[oó]|difunt[oa]|finad[oa]|muri[oó])"
_SHORT = r"(?:dec|dcd|d|dead|r\.?i\.?p|q\.?e\.?p\.?d|muert[oa]|passed|†|✝|‡)"
_BESIDE = re.compile(
    rf"[\s,;:\-–—*/]*[(\[]\s*(?:{_SAID}|{_SHORT}\.?){_WHEN}\s*[)\]]"
    rf"|[\s,;:\-–—*/]*\b{_SAID}\b{_WHEN}|[\s,;\-–—]*(?<!\w)(?:†|✝|q\.\s?e\.\s?p\.\s?d\.?|r\.i\.p\.?){_WHEN}"
    r"|^\s*(?:the\s+late|(?:the\s+)?estate\s+of|el\s+finado|la\s+finada)\s+",
    re.IGNORECASE,
)
_IN_NOTE = re.compile(
    rf"\b(?:{_SAID}|dead|rip|q\.?e\.?p\.?d|estate\s+of|muert[oa])\b|†|✝", re.IGNORECASE
)
# One of these is in every text that says so, in small letters: looked for first, as few texts have one.
_MARKS = (
    "dec", "died", "passe", "late ", "estate", "dead", "finad", "fallec", "difunt", "muri", "muert",
    "rip", "r.i", "q.e", "q. e", "qep", "(d", "[d", "( d", "†", "✝", "‡",
)  # fmt: skip
LONGEST = 5_000  # characters read of a note


def may_say_so(texts: Iterable[str]) -> bool:
    """Whether one of the texts is worth a closer look."""
    text = "\n".join(texts).lower()
    return any(mark in text for mark in _MARKS)


def beside(said: str) -> tuple[str, str]:
    """The name without the words beside it that say so, and these words; "" if there are none.

    >>> beside("Obie Marsh (deceased 2019)"), beside("Pat Lee")
    (('Obie Marsh', '(deceased 2019)'), ('Pat Lee', ''))
    """
    found = _BESIDE.search(said)
    if not found:
        return said, ""
    rest = f"{said[: found.start()]} {said[found.end() :]}"
    return " ".join(rest.split()), found[0].strip(" ,;:-–—*/")


def by_name(said: str, words: str) -> Finding:
    """The finding about a name beside which these words were."""
    note = (
        f"Next to the name it says “{_short(words)}”. Ask the family or the host, gently. Send nothing "
        "until you know."
    )
    return BY_NAME.found(said, note)


def in_notes(notes: Iterable[str]) -> tuple[Finding, ...]:
    """A finding for each note that says so.

    >>> [f.said for f in in_notes(["Has a truck.", "Passed away 5/2020"])]
    ['Passed away 5/2020']
    """
    return tuple(
        ASIDE.found(
            text, f"A note says “{_short(text)}”. Ask who has died before you send anything."
        )
        for text in notes
        if _IN_NOTE.search(text[:LONGEST])
    )


def clean(said: str) -> Cleaned[str]:
    """A text that may be a name or a note, without the words that say that somebody died."""
    rest, words = beside(said)
    named = (by_name(said, words),) if words else ()
    return Cleaned(said, rest, named + in_notes([said]))


def _short(text: str) -> str:
    text = "".join(c if c.isprintable() else "·" for c in " ".join(text.split()))
    return text if len(text) <= 60 else text[:59] + "…"

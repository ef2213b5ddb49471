"""What it costs to say one word, or one unbroken text, for another."""

from __future__ import annotations

from functools import cache, lru_cache

from rapidfuzz.distance import OSA

from onboard import tables
from onboard.lookup.costs import (
    CUT,
    DOUBLE,
    FIRST,
    FOND,
    INITIAL,
    NOT_A_NAME,
    NOT_THEIR_MAILBOX,
    OF_A_FINGER,
    OF_ANOTHER,
    ONE_SLIP,
    SAME_LETTER,
    SHORT,
    SHORT_FORM,
    SOUND,
    THREE_SLIPS,
    TWO_SLIPS,
)
from onboard.lookup.keys import sounds
from onboard.lookup.pet_forms import fond_stem, short_forms, spelt


def word(said: str, known: str) -> tuple[float, str]:
    """The bits of saying one word of a name for another, and how they are alike.

    >>> word("bob", "robert"), word("jeaanne", "jeanne"), word("j", "jeanne")
    ((3.0, 'short form'), (5.5, 'slip'), (3.0, 'initial'))
    """
    return (0.0, "same") if said == known else _word(f"{said}|{known}")


@lru_cache(maxsize=200_000)
def _word(both: str) -> tuple[float, str]:
    """As `word`; by one text, as in `by_ear`."""
    said, _, known = both.partition("|")
    if not said or not known:
        return NOT_A_NAME, "other"
    if len(said) == 1 or len(known) == 1:
        return (INITIAL, "initial") if said[0] == known[0] else (NOT_A_NAME, "other")
    best = (SAME_LETTER if said[0] == known[0] else NOT_A_NAME), "other"
    longer = max(len(said), len(known))
    slips = OSA.distance(said, known)
    if slips == 1:
        best = one_slip(said, known) + (0.0 if longer > 3 else SHORT), "slip"
    elif slips == 2 and longer > 4:
        best = (TWO_SLIPS if longer > 5 else TWO_SLIPS + 2.0), "slips"
    elif slips == 3 and longer > 8:
        best = THREE_SLIPS, "slips"
    short, of_sound = short_forms(said)
    alike = slips <= 0.4 * longer  # Metaphone knows no vowels
    sound = sounds(known) if alike or of_sound else ""
    bits = short.get(known, best[0])
    if bits > SHORT_FORM + 1 and sound in of_sound and not of_sound[sound].isdisjoint(spelt(known)):
        bits = SHORT_FORM + 1
    if bits < best[0]:
        best = bits, "short form"
    if best[0] > CUT and 2 < len(said) < len(known) - 1 and known.startswith(said):
        best = CUT, "cut"
    if best[0] > FOND and (stem := fond_stem(said)) and known.startswith(stem):
        best = FOND, "short form"
    if best[0] > SOUND and alike and sound and sound == sounds(said):
        best = SOUND, "sound"
    return best


@cache
def _beside() -> frozenset[tuple[str, str]]:
    """Every two keys that touch."""
    return frozenset(
        (key, other) for key, touches, *_ in tables.rows("keyboard") for other in touches
    )


def one_slip(said: str, known: str) -> float:
    """The bits of one slip, which is all that the two texts differ by.

    >>> one_slip("bemack", "benack"), one_slip("bexack", "benack"), one_slip("benacck", "benack")
    (5.5, 7.0, 5.5)
    >>> one_slip("mccan", "mccann"), one_slip("mccan", "mccain")
    (5.0, 5.5)
    """
    at = next((i for i, (a, b) in enumerate(zip(said, known, strict=False)) if a != b), -1)
    at = min(len(said), len(known)) if at < 0 else at
    more = FIRST if at == 0 else 0.0
    if len(said) < len(known):
        finger = True
        more += DOUBLE if known[at] in (known[at - 1 : at], known[at + 1 : at + 2]) else 0.0
    elif len(said) > len(known):
        extra, near = said[at], said[at - 1 : at] + said[at + 1 : at + 2]
        finger = extra in near or any((extra, key) in _beside() for key in near)
    else:
        finger = said[at + 1 : at + 2] == known[at] or (said[at], known[at]) in _beside()
    return ONE_SLIP + more + (OF_A_FINGER if finger else OF_ANOTHER)


@lru_cache(maxsize=10_000)
def one_text(said: str, known: str) -> tuple[float, str]:
    """The bits of typing one unbroken text for another."""
    if said == known:
        return 0.0, "same"
    slips = OSA.distance(said, known, score_cutoff=3)
    shorter = min(len(said), len(known))
    if slips == 1:
        return (one_slip(said, known) if shorter > 3 else TWO_SLIPS), "slip"
    if slips == 2 and shorter > 5:
        return TWO_SLIPS, "slips"
    if slips == 3 and shorter > 8:
        return THREE_SLIPS + 2.0, "slips"
    return NOT_THEIR_MAILBOX, "other"

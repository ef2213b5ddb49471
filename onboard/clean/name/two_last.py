"""Whether the word before a last name is a last name too: "Ana Soto Feliciano", "Mary Walsh Keller".

In Spanish and Portuguese, people have two last names, and both are their last name. In English, the
same place holds a middle name, which may be a last name from before a marriage; in the Philippines,
it holds the mother's last name. The words alone seldom settle which it is, so most is asked.
"""

from __future__ import annotations

from enum import Enum
from functools import lru_cache

from onboard.clean.name import words
from onboard.clean.name.kinds import Hints

_BEGIN = frozenset(("o", "st", "saint", "ste", "san", "santa", "mac", "mc"))  # of one last name
_SURELY = 90  # percent of bearers: so far apart are names of women and names of men
_MUCH = 3  # times as many who bear a word as a last name: then it hardly is a first name
_FAR = 8  # times as many who bear it as a first name: more, as a last name must not be lost


class Reads(Enum):
    """How the word before the last one is read, and whether it is asked about."""

    LAST = "a last name too"
    LAST_ASK = "a last name too; ask"
    MIDDLE_ASK = "a middle name; ask"
    MIDDLE = "a middle name"


class _Use(Enum):
    """What Hispanic and Portuguese people bear a word as."""

    LAST = 1
    EITHER = 2
    FIRST = 3
    NEITHER = 4


def reads(first: str, inner: str, outer: str, hints: Hints, *, two_first: bool = False) -> Reads:
    """How `inner` is read between the first name and the word (or words) that end the name.

    `two_first`: the first name is a pair such as "José Luis", so another one is unlikely.
    """
    if words.is_initial(inner):
        return Reads.MIDDLE
    first, inner, outer = (words.unaccented(words.bare(word)) for word in (first, inner, outer))
    use = _use(inner)
    first_is, outer_is = is_spanish_first(first), is_spanish_last(outer)
    spanish = first_is or outer_is or hints.spanish
    if use is _Use.LAST and spanish:
        sure = hints.spanish or _in_mailbox(inner, outer, hints.mailbox)
        return Reads.LAST if sure else Reads.LAST_ASK
    if use is _Use.EITHER and spanish:
        known = words.of_spain(inner)
        return Reads.LAST_ASK if known.family > known.given else Reads.MIDDLE_ASK
    if use is _Use.FIRST or _is_first_name(inner):
        # "Mary Santiago Moore": a last name of Spain says so between two names that are not.
        beside = outer_is or use in (_Use.LAST, _Use.EITHER)
        may_be_last = _differ(first, inner) or _is_last_too(first, inner, hints.spanish, beside)
        return Reads.MIDDLE_ASK if may_be_last else Reads.MIDDLE
    if use is not _Use.NEITHER:
        return Reads.MIDDLE_ASK
    # A last name from elsewhere, "José Schmidt Ruiz", or a word that no list has.
    if hints.spanish or (first_is and (two_first or outer_is)):
        return Reads.LAST_ASK
    if (
        words.of_spain(outer).family
        or outer_is
        or words.of_spain(first).given
        or _in_mailbox(inner, outer, hints.mailbox)
    ):
        return Reads.MIDDLE_ASK
    return Reads.MIDDLE


def _differ(first: str, inner: str) -> bool:
    """Whether one is a woman's name and the other a man's: then the other may be a last name.

    Not where María is one of them: José María, María Jesús.
    """
    one, other = words.of_spain(first), words.of_spain(inner)
    return bool(
        one.given
        and other.given
        and "maria" not in (first, inner)
        and abs(one.men - other.men) > _SURELY
    )


def _is_last_too(first: str, inner: str, told: bool, outer_is: bool) -> bool:
    """Whether a first name that is a last name, too, may be one: "Laura Martin Gomez", "Edgar Arnold Ruiz"."""
    borne = words.family(inner) or words.of_spain(inner).family
    if not borne or not (told or outer_is):
        return False
    if told or is_spanish_first(first) or {words.sex(first), words.sex(inner)} == {"m", "w"}:
        return f"{first} {inner}" not in words.of("double first name")
    return _MUCH * words.family(inner) >= words.given(inner)


@lru_cache(maxsize=4096)
def _use(word: str) -> _Use:
    given, family, _ = words.of_spain(word)
    if word in words.of("portuguese last name"):
        return _Use.LAST if family >= given else _Use.EITHER
    if not given and not family:
        return _Use.NEITHER
    if family >= _MUCH * given:
        return _Use.LAST
    return _Use.FIRST if given >= _FAR * family else _Use.EITHER


def is_spanish_last(word: str) -> bool:
    """Whether Hispanic or Portuguese people bear a word as a last name; `word` without accents."""
    return _use(word) in (_Use.LAST, _Use.EITHER)


def is_spanish_first(word: str) -> bool:
    """Whether Hispanic or Portuguese people bear a word as a first name; `word` without accents."""
    return (
        _use(word) in (_Use.FIRST, _Use.EITHER)
        or word in words.of("spanish first name")
        or word in words.of("portuguese first name")
    )


def _is_first_name(word: str) -> bool:
    return (
        words.given(word) > words.family(word)
        or word in words.of("spanish first name")
        or word in words.of("portuguese first name")
    )


def _in_mailbox(inner: str, outer: str, mailbox: str) -> bool:
    """Whether an email address shows that the word is used as a last name: asotofeliciano, asoto."""
    if len(inner) < 3 or not mailbox:
        return False
    text = "".join(filter(str.isalpha, mailbox.lower()))
    return inner + outer in text or (text.endswith(inner) and outer not in text)


def apart(family: str) -> tuple[str, ...]:
    """The last names in a last name, each with the small words that belong to it.

    >>> apart("Soto de la Cruz"), apart("Ortega y Gasset"), apart("Soto-Feliciano"), apart("St Clair")
    (('Soto', 'de la Cruz'), ('Ortega', 'Gasset'), ('Soto-Feliciano',), ('St Clair',))
    """
    found: list[str] = []
    before: list[str] = []
    for word in family.split():
        low = words.bare(word)
        if found and low in ("y", "e", "i"):
            continue
        before.append(word)
        if low not in words.of("particle") and low not in _BEGIN:
            found.append(" ".join(before))
            before = []
    return (*found, " ".join(before)) if before else tuple(found)

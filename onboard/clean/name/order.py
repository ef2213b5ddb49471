"""Where the first name ends and the last name begins, and which is which."""

from __future__ import annotations

from onboard.clean.name import two_last, words
from onboard.clean.name.kinds import Noticed
from onboard.clean.name.two_last import Reads
from onboard.model import PersonName

_TOGETHER = frozenset(("dela", "delos", "delas"))  # as they are written in the Philippines
_OF_SPAIN = _TOGETHER | {"de", "del", "da", "do", "dos", "das", "la", "las", "los"}

_SAINTS = frozenset(
    [
        "carmen",
        "angeles",
        "ángeles",
        "jesus",
        "jesús",
        "pilar",
        "lourdes",
        "rosario",
        "mar",
        "luz",
        "guadalupe",
        "socorro",
        "consuelo",
        "refugio",
        "rocio",
        "rocío",
        "paz",
        "fatima",
        "fátima",
        "concepcion",
        "concepción",
        "conceicao",
        "conceição",
        "nieves",
        "milagros",
        "asuncion",
        "asunción",
    ]
)


# First names that go with a saint's: "María de Jesús", "José de la Paz".
# The first of two first names as people write it short.
_WRITTEN_SHORT = {"ma": "maria", "fco": "francisco", "jse": "jose", "gpe": "guadalupe"}
_WITH_SAINTS = frozenset(("maria", "ma", "jose", "juan"))


def given_count(tokens: list[str], noticed: Noticed) -> int:
    """How many words at the front are the first name."""
    low = [words.bare(word) for word in tokens]
    if len(low) < 3:
        return 1
    if low[0] in ("st", "saint", "ste"):
        return 2
    if words.is_initial(tokens[0]):
        count = 1
        while count < len(tokens) - 1 and words.is_initial(tokens[count]):
            count += 1
        return count
    plain = [words.unaccented(word) for word in low]
    if plain[1] in ("de", "del", "da", "do") and two_last.is_spanish_first(plain[0]):
        for at in range(2, min(4, len(plain) - 1)):  # "María de los Ángeles Ruiz"
            if plain[at] in _SAINTS or plain[: at + 1] == ["juan", "de", "dios"]:
                saint = tokens[1 : at + 1]
                if plain[0] not in _WITH_SAINTS and words.family("".join(plain[1 : at + 1])):
                    noticed["name.last_or_middle"] = " ".join(saint)  # "Luis De Jesús Ortiz"
                return at + 1
    first = _WRITTEN_SHORT.get(plain[0], plain[0])
    is_short = first != plain[0] and two_last.is_spanish_first(
        plain[1]
    )  # "Ma. Guadalupe", "Fco. Javier"
    if is_short or f"{first} {plain[1]}" in words.of("double first name"):
        noticed["name.two_first_names"] = f"{tokens[0]} {tokens[1]}"
        return 2
    return 1


def family_start(tokens: list[str], count: int, noticed: Noticed) -> int:
    """Where the last name begins."""
    low = [words.bare(word) for word in tokens]
    last = len(tokens) - 1
    particles = words.of("particle")
    vietnamese = {words.unaccented(low[0]), words.unaccented(low[last])} & words.of(
        "vietnamese last name"
    ).keys()
    if not vietnamese:
        for at in range(count, last):
            if "-" in low[at] and low[at].rpartition("-")[2] in _OF_SPAIN:
                return at  # "Luz García-de la Torre"
            alone = low[at + 1] not in particles and at < last - 1
            may_be_first = alone and words.given(low[at]) and not _is_of_spain(tokens, at, noticed)
            if low[at] in particles and not may_be_first:  # Pat Ben Amos Lee
                if low[at] in _TOGETHER and at < last - 1:  # "dela Cruz Santos"
                    noticed["name.two_last_names"] = " ".join(tokens[at:])
                if (
                    at - 1 >= count
                    and low[at] in _OF_SPAIN
                    and _is_last_too(tokens, at - 1, count, noticed)
                ):
                    return at - 1  # "José López de la Torre"
                return at
    if low[last - 1] == "o" and low[last] in words.of("after o") and last - 1 >= count:
        return last - 1
    if last - 2 >= max(count - 1, 1) and _is_and(tokens, last - 1):
        return last - 2  # "José Ortega y Gasset"
    if last - 1 >= count and words.are_halves(*low[last - 1 :]):
        noticed["name.two_last_names"] = " ".join(tokens[last - 1 :])  # "Delbert Two Bears"
        return last - 1
    if last - 1 >= count and _is_last_too(tokens, last - 1, count, noticed):
        return last - 1
    return last


def _is_and(tokens: list[str], at: int) -> bool:
    """Whether a word stands for "and" between two last names; in capitals it may be an initial."""
    if tokens[at] != "Y":
        return tokens[at] == "y"
    return "".join(tokens).isupper() and all(
        two_last.is_spanish_last(words.unaccented(words.bare(tokens[beside])))
        for beside in (at - 1, at + 1)
    )


def _is_of_spain(tokens: list[str], at: int, noticed: Noticed) -> bool:
    """Whether "Del" is a small word of a Spanish last name, "Sofía Del Valle Arroyo", and not Delbert."""
    plain = [words.unaccented(words.bare(word)) for word in tokens]
    behind = (*plain[at + 1 : at + 2], plain[-1])
    return words.bare(tokens[at]) in _OF_SPAIN and (
        noticed.hints.spanish
        or two_last.is_spanish_first(plain[0])
        or any(map(two_last.is_spanish_last, behind))
    )


def _is_last_too(tokens: list[str], at: int, count: int, noticed: Noticed) -> bool:
    """Whether the word before what ends the name is a last name too; a doubt about it is noticed."""
    two_first = count == 2 and at == count
    how = two_last.reads(tokens[0], tokens[at], tokens[-1], noticed.hints, two_first=two_first)
    if how is Reads.LAST_ASK:
        noticed["name.two_last_names"] = " ".join(tokens[at:])
    elif how is Reads.MIDDLE_ASK:
        noticed["name.last_or_middle"] = tokens[at]
    return how in (Reads.LAST, Reads.LAST_ASK)


def middle_or_last(name: PersonName, noticed: Noticed) -> PersonName:
    """A name from boxes of its own, of which the one for the middle name may hold a last name."""
    *before, inner = name.middle.split()
    if name.given and words.bare(inner) in _OF_SPAIN:
        whole = [*name.given.split(), *name.middle.split(), *name.family.split()]
        if _is_of_spain(whole, len(name.given.split()) + len(before), noticed):
            at = len(before)
            while at and words.bare(before[at - 1]) in _OF_SPAIN:
                at -= 1
            small = " ".join((*before[at:], inner))  # "Del" in the box before "Toro Lugo"
            return name._replace(middle=" ".join(before[:at]), family=f"{small} {name.family}")
    if not name.given or len(two_last.apart(name.family)) != 1:
        return name
    how = two_last.reads(name.given.split()[0], inner, name.family.split()[-1], noticed.hints)
    family = f"{inner} {name.family}"
    if how in (Reads.LAST, Reads.LAST_ASK):
        if how is Reads.LAST_ASK:
            noticed["name.two_last_names"] = family
        return name._replace(middle=" ".join(before), family=family)
    if how is Reads.MIDDLE_ASK:
        noticed["name.last_or_middle"] = inner
    return name


def put_right(
    given: list[str], middle: list[str], family: list[str], noticed: Noticed
) -> tuple[list[str], list[str]]:
    """First and last name, exchanged where lists of names, or these and the mailbox, leave no doubt that they were."""
    if len(given) > 1 or len(family) > 1:
        return given, family
    first, last = words.bare(given[0]), words.bare(family[0])
    if not middle and words.family(first) and words.given(last) > max(9, words.family(last)):
        surely = not words.given(first) and not words.family(last)
        loud = given[0].isupper() and len(first) > 1 and not family[0].isupper()  # LEE Pat
        if surely or loud:
            noticed["name.order_unsure"] = f"{family[0]} {given[0]}"
            return family, given
    first, last = words.unaccented(first), words.unaccented(last)
    is_rare = words.bearers(first) <= words.FEW
    if not middle and is_rare and _likelier_exchanged(first, last) > _MUCH_LIKELIER:
        if "".join(filter(str.isalpha, noticed.hints.mailbox.lower())).startswith(last + first):
            given, family = family, given  # "Archuleta | Fabiola" of fabiola.archuleta@example.org
        noticed["name.order_unsure"] = f"{given[0]} {family[0]}"
    elif (
        first in words.of("family name first")
        and (words.given(first) < 5 or middle)
        and last not in words.of("family name first")
        and not words.family(last)
        and words.given(last) < 10
    ):
        noticed["name.order_unsure"] = f"{given[0]} {family[0]}"
    return given, family


_MUCH_LIKELIER = 300  # of a hundred thousand people with these names in order, a few are asked


def _likelier_exchanged(first: str, last: str) -> float:
    """How much more people bear the last name as a first name, and the first name as a last name."""
    one, other = words.bearers(first) + 1, words.bearers(last) + 1
    one_last, other_last = words.last_bearers(first) + 1, words.last_bearers(last) + 1
    return other * one_last / (one * other_last)

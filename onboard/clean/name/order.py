"""Where the first name ends and the last name begins, and which is which."""

from __future__ import annotations

from onboard.clean.name import words
from onboard.clean.name.kinds import Noticed

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
    ]
)


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
    if plain[1] in ("de", "del") and plain[0] in words.of("spanish first name"):
        for at in range(2, min(4, len(plain) - 1)):  # "María de los Ángeles Ruiz"
            if plain[at] in _SAINTS:
                return at + 1
    if f"{plain[0]} {plain[1]}" in words.of("double first name"):
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
            alone = low[at + 1] not in particles and at < last - 1
            if low[at] in particles and not (alone and words.given(low[at])):  # Pat Ben Amos Lee
                if at - 1 >= count and words.unaccented(low[at - 1]) in words.of(
                    "spanish last name"
                ):
                    noticed["name.two_last_names"] = " ".join(tokens[at - 1 :])
                    return at - 1  # "José López de la Torre"
                return at
    if low[last - 1] == "o" and low[last] in words.of("after o") and last - 1 >= count:
        return last - 1
    if last - 2 >= count - 1 and tokens[last - 1] == "y" and last - 2 >= 1:
        return last - 2  # "José Ortega y Gasset"
    if last - 1 >= count and not words.is_initial(tokens[last - 1]):
        spanish = words.of("spanish last name")
        first, inner, outer = (words.unaccented(low[at]) for at in (0, last - 1, last))
        of_spain = first in words.of("spanish first name")
        is_first_name = words.given(inner) > words.family(inner) or inner in words.of(
            "spanish first name"
        )
        if (inner in spanish and (of_spain or outer in spanish) and not is_first_name) or (
            of_spain and count == 2 and last - 1 == count and not is_first_name
        ):
            noticed["name.two_last_names"] = f"{tokens[last - 1]} {tokens[last]}"
            return last - 1
    return last


def put_right(
    given: list[str], middle: list[str], family: list[str], noticed: Noticed
) -> tuple[list[str], list[str]]:
    """First and last name, exchanged where lists of names leave no doubt that they were."""
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
    if (
        first in words.of("family name first")
        and (words.given(first) < 5 or middle)
        and last not in words.of("family name first")
        and not words.family(last)
        and words.given(last) < 10
    ):
        noticed["name.order_unsure"] = f"{given[0]} {family[0]}"
    return given, family

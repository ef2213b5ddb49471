"""How alike two people are in each field, in levels that have names.

A level is a place in its field's list, from "not known", over "differs", to the rarest agreement.
What each is worth is learned (`onboard.match.weights`); which there are is decided here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import partial
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from rapidfuzz.distance import OSA, JaroWinkler
from rapidfuzz.process import cpdist

from onboard.match import given_names
from onboard.match.columns import (
    Column,
    Columns,
    Index,
    Pairs,
    Texts,
    as_objects,
    below_each_other,
    pairs,
)
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms

Levels: TypeAlias = NDArray[np.int8]

# Field by field: (level, words for it). The order of fields is the order in which evidence is
# told, and in which a part says what it adds to those before it (see `weights`).
FIELDS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "place": (
        ("unknown", "ZIP not known for both"),
        ("differs", "different ZIP"),
        ("region", "ZIP in the same region"),
        ("city", "same city"),
        ("near", "ZIP one typo apart"),
        ("same", "same ZIP"),
    ),
    "address": (
        ("unknown", "street not known for both"),
        ("differs", "different address"),
        ("street", "same street, different number"),
        ("number", "same number, a street with a similar name"),
        ("slip", "same street, number one typo apart"),
        ("units", "same building, different unit"),
        ("building", "same number and street, one without a unit"),
        ("same", "same address"),
        ("unit", "same address and unit"),
    ),
    "phone": (
        ("unknown", "phone not known for both"),
        ("differs", "different phone"),
        ("near", "phone one typo apart"),
        ("same", "same phone"),
    ),
    "email": (
        ("unknown", "email not known for both"),
        ("differs", "different email"),
        ("letters", "different email (with the same letters)"),
        ("near", "email one or two typos apart"),
        ("domain", "same email name at a different provider"),
        ("one", "same email (the name of only one is in it)"),
        ("family", "same email (the last name is in it)"),
        ("same", "same email"),
        ("both", "same email (both names are in it)"),
    ),
    "number": (
        ("unknown", "no year in both emails"),
        ("differs", "emails end in different two-digit numbers"),
        ("same", "emails end in the same number"),
    ),
    "born": (
        ("unknown", "birth date not known for both"),
        ("differs", "different birth date"),
        ("part", "part of the birth date the same"),
        ("near", "birth date one typo apart"),
        ("same", "same birth date"),
    ),
    "personal": (
        ("unknown", "personal number not known for both"),
        ("differs", "different personal number"),
        ("near", "personal number one typo apart"),
        ("same", "same personal number"),
    ),
    "family": (
        ("unknown", "last name not known for both"),
        ("differs", "different last name"),
        ("man", "different last name (and a man, who rarely takes one)"),
        ("mailbox", "different last name (but the other's email has it)"),
        ("alike", "similar last names"),
        ("part", "one part of the last name the same"),
        ("near", "last name one typo apart"),
        ("common", "same last name, very common"),
        ("usual", "same last name, common"),
        ("uncommon", "same last name, uncommon"),
        ("rare", "same last name, rare"),
    ),
    "given": (
        ("unknown", "first name not known for both"),
        ("differs", "different first name"),
        ("initial", "first names start with the same letter only"),
        ("mailbox", "different first name (but the other's email has it)"),
        ("alike", "similar first names"),
        ("sexes", "similar first names (a man's and a woman's)"),
        ("shorts", "two short forms of one first name"),
        ("letter", "first name and its initial"),
        ("joint", "first name of one person on a joint form"),
        ("nickname", "short form of the first name"),
        ("near", "first name one typo apart"),
        ("common", "same first name, very common"),
        ("usual", "same first name, common"),
        ("uncommon", "same first name, uncommon"),
        ("rare", "same first name, rare"),
    ),
    "middle": (
        ("unknown", "middle name not known for both"),
        ("differs", "different middle initial"),
        ("initial", "middle names start with the same letter only"),
        ("letter", "same middle initial"),
        ("near", "middle name one typo apart"),
        ("same", "same middle name"),
    ),
    "suffix": (
        ("unknown", "no suffix"),
        ("untold", "no suffix (a father and a son can share a name)"),
        ("differs", "different generation"),
        ("one", "only one has a suffix"),
        ("same", "same suffix"),
    ),
}

LEVEL: Mapping[str, Mapping[str, int]] = {
    field: {name: at for at, (name, _) in enumerate(levels)} for field, levels in FIELDS.items()
}

DIGITS = "0123456789"
NO_LETTER = re.compile("[0-9._-]+")

# Shares of bearers that divide "common", "usual", "uncommon" and "rare".
GIVEN_SHARES = (0.01, 0.0025, 0.0005)
FAMILY_SHARES = (0.003, 0.0005, 0.00006)


def compare(
    people: Columns, here: Index, there: Index, shares: Frequencies, shorts: ShortForms
) -> dict[str, Levels]:
    """For each field of `FIELDS` the level of each pair `here[n]`, `there[n]`."""
    email, number = _email(people, here, there)
    given = partial(_given, shorts=shorts)
    found = {
        "place": _place(people, here, there),
        "address": _address(people, here, there),
        "phone": _digits("phone", people, here, there),
        "email": email,
        "number": number,
        "born": _born(people["born"], here, there),
        "personal": _digits("personal", people, here, there),
        "family": _best(people, ("family", "former"), here, there, _family, shares.family),
        "given": _best(people, ("given", "called"), here, there, given, shares.given),
        "middle": _middle(people["middle"], here, there),
        "suffix": _suffix(people["suffix"], here, there),
    }
    _swapped(people, here, there, found)
    _joint(people, here, there, found["given"])
    _in_mailbox(people, here, there, found)
    _men(people["given"], here, there, found)
    return found


def _levels(field: str, found: Pairs) -> Levels:
    """All unknown or the same; what is neither, differs until it is looked at."""
    names = LEVEL[field]
    into = np.full(len(found.same), names["differs"], np.int8)
    into[found.unknown] = names["unknown"]
    into[found.same] = names.get("same", 0)
    return into


def _slips(left: Texts, right: Texts, most: int) -> NDArray[np.int32]:
    """Slips of the finger (a letter more, less, other, or two turned) between each pair."""
    return cpdist(
        left, right, scorer=OSA.distance, score_cutoff=most, dtype=np.int32, workers=_workers(left)
    )


def _likeness(left: Texts, right: Texts) -> NDArray[np.float32]:
    """How alike each pair is, 0 to 1, beginnings counting for more."""
    return cpdist(
        left, right, scorer=JaroWinkler.similarity, dtype=np.float32, workers=_workers(left)
    )


def _workers(texts: Texts) -> int:
    """All processors for many texts; for a few, starting threads takes longer than the work."""
    return -1 if len(texts) > 10_000 else 1


def _flags(test: Callable[[str, str], bool], left: Texts, right: Texts) -> NDArray[np.bool_]:
    return np.fromiter(map(test, left, right), np.bool_, len(left))


def _lengths(texts: Texts) -> NDArray[np.int32]:
    return np.fromiter(map(len, texts), np.int32, len(texts))


def _raised(levels: Levels, where: NDArray[np.bool_], to: int) -> None:
    """Lift what is lower; levels run from the least to the most alike."""
    levels[where & (levels < to)] = to


# ------------------------------------------------------------------------------------ names


def _given(
    field: Column, here: Index, there: Index, shares: Mapping[str, float], shorts: ShortForms
) -> Levels:
    names = LEVEL["given"]
    found = pairs(field, here, there)
    levels = _levels("given", found)
    left, right = found.left, found.right
    if len(left):
        judged = np.full(len(left), names["differs"], np.int8)
        short = np.minimum(_lengths(left), _lengths(right))
        first = _flags(lambda a, b: a[0] == b[0], left, right)
        likeness = _likeness(left, right)
        _raised(judged, first, names["initial"])
        _raised(judged, likeness >= 0.84, names["alike"])
        _raised(judged, first & (short == 1), names["letter"])
        _raised(judged, _flags(shorts.have_one_full, left, right), names["shorts"])
        _raised(judged, _flags(shorts.join, left, right), names["nickname"])
        slip = (_slips(left, right, 1) <= 1) & (short >= 4)
        turned = _flags(lambda a, b: a[:2] == b[1::-1], left, right)
        _raised(judged, (slip & (first | turned)) | (likeness >= 0.94), names["near"])
        judged[first & (short == 1)] = names["letter"]
        two = _flags(given_names.of_two_sexes, left, right)
        judged[two & ((judged == names["alike"]) | (judged == names["near"]))] = names["sexes"]
        found.spread(judged, levels)
    _rarity(levels, found, field, here, shares, GIVEN_SHARES, names["common"])
    return levels


def _family(field: Column, here: Index, there: Index, shares: Mapping[str, float]) -> Levels:
    names = LEVEL["family"]
    found = pairs(field, here, there)
    levels = _levels("family", found)
    left, right = found.left, found.right
    if len(left):
        judged = np.full(len(left), names["differs"], np.int8)
        short = np.minimum(_lengths(left), _lengths(right))
        likeness = _likeness(left, right)
        _raised(judged, likeness >= 0.86, names["alike"])
        _raised(judged, _flags(_shares_part, left, right), names["part"])
        slip = (_slips(left, right, 1) <= 1) & (short >= 4)
        _raised(judged, slip | (likeness >= 0.95), names["near"])
        _raised(judged, _flags(_written_together, left, right), names["near"])
        found.spread(judged, levels)
    _rarity(levels, found, field, here, shares, FAMILY_SHARES, names["common"])
    return levels


def _shares_part(one: str, other: str) -> bool:
    if " " not in one and " " not in other:
        return False
    return not set(one.split(" ")).isdisjoint(other.split(" "))


def _written_together(one: str, other: str) -> bool:
    return one.replace(" ", "") == other.replace(" ", "")


def _rarity(
    levels: Levels,
    found: Pairs,
    field: Column,
    here: Index,
    shares: Mapping[str, float],
    steps: tuple[float, ...],
    common: int,
) -> None:
    """Say of those who agree how rare that is."""
    at = np.flatnonzero(found.same)
    codes, which = np.unique(field.codes[here[at]], return_inverse=True)
    share = [shares.get(text, 0.0) for text in field.texts[codes]]
    rare = common + len(steps) - np.searchsorted(steps[::-1], share)
    levels[at] = rare.astype(np.int8)[which]


def _best(
    people: Columns,
    fields: tuple[str, str],
    here: Index,
    there: Index,
    judge: Callable[[Column, Index, Index, Mapping[str, float]], Levels],
    shares: Mapping[str, float],
) -> Levels:
    """The best level over a person's present name and the other name they are known by."""
    name, other = (people[field] for field in fields)
    levels = judge(name, here, there, shares)
    has = other.codes > 0
    at = np.flatnonzero(has[here] | has[there]).astype(np.int32)
    if len(at):
        both = below_each_other((name, other))
        size = len(name.codes)
        for shift_here, shift_there in ((size, 0), (0, size), (size, size)):
            more = judge(both, here[at] + shift_here, there[at] + shift_there, shares)
            levels[at] = np.maximum(levels[at], more)
    return levels


def _joint(people: Columns, here: Index, there: Index, levels: Levels) -> None:
    """One form for several people: any of them may come again alone, or all in another order."""
    if not people.joint:
        return
    names = LEVEL["given"]
    given = people["given"]
    signed = np.fromiter(map(len, people.joint), np.int32, people.size) > 0
    at = np.flatnonzero((signed[here] | signed[there]) & (levels > 0) & (levels < names["joint"]))
    for pair in at.tolist():
        a, b = (
            {given.texts[given.codes[who[pair]]], *people.joint[who[pair]]} for who in (here, there)
        )
        if a == b:
            levels[pair] = names["common"]
        elif not a.isdisjoint(b):
            levels[pair] = names["joint"]


def _middle(field: Column, here: Index, there: Index) -> Levels:
    names = LEVEL["middle"]
    found = pairs(field, here, there)
    levels = _levels("middle", found)
    left, right = found.left, found.right
    if len(left):
        judged = np.full(len(left), names["differs"], np.int8)
        short = np.minimum(_lengths(left), _lengths(right))
        first = _flags(lambda a, b: a[0] == b[0], left, right)
        judged[first] = names["initial"]
        judged[(_slips(left, right, 1) <= 1) & (short >= 4)] = names["near"]
        judged[first & (short == 1)] = names["letter"]
        found.spread(judged, levels)
    one_letter = np.fromiter((len(t) == 1 for t in field.texts), np.bool_, len(field.texts))
    levels[found.same & one_letter[field.codes[here]]] = names["letter"]
    return levels


def _suffix(field: Column, here: Index, there: Index) -> Levels:
    names = LEVEL["suffix"]
    a, b = field.codes[here], field.codes[there]
    levels = np.full(len(here), names["differs"], np.int8)
    levels[a == b] = names["same"]
    levels[(a == 0) != (b == 0)] = names["one"]
    levels[(a == 0) & (b == 0)] = names["unknown"]
    return levels


def _men(given: Column, here: Index, there: Index, found: dict[str, Levels]) -> None:
    """What is otherwise with men: they keep their family name, and a son may bear the whole name.

    Common practice: a son may be given his father's whole name with a suffix, which daughters
    hardly are; and it is mostly women who take another family name.
    """
    sexes = [given_names.sex(text) for text in given.texts]
    may_be = np.fromiter(("m" in sex for sex in sexes), np.bool_, len(sexes))
    surely = np.fromiter((sex == "m" for sex in sexes), np.bool_, len(sexes))
    alike = found["given"] >= LEVEL["given"]["shorts"]
    family, names = found["family"], LEVEL["family"]
    man = may_be[given.codes[here]] | may_be[given.codes[there]]
    none = found["suffix"] == LEVEL["suffix"]["unknown"]
    found["suffix"][alike & (family >= names["part"]) & man & none] = LEVEL["suffix"]["untold"]
    both = surely[given.codes[here]] & surely[given.codes[there]]
    family[alike & both & (family == names["differs"])] = names["man"]


def _swapped(people: Columns, here: Index, there: Index, found: dict[str, Levels]) -> None:
    """Given and family name in each other's place: as near as one slip in either."""
    given, family = people["given"], people["family"]
    a, b = given.texts[given.codes[here]], family.texts[family.codes[there]]
    c, d = given.texts[given.codes[there]], family.texts[family.codes[here]]
    one, other = ((x == y).astype(np.bool_) for x, y in ((a, b), (c, d)))
    at = np.flatnonzero((one & (a != "")) | (other & (c != "")))
    crossed = [_likeness(x[at], y[at]) for x, y in ((a, b), (c, d))]
    at = at[(np.minimum(*crossed) >= 0.84) & (a[at] != c[at])]
    found["given"][at] = LEVEL["given"]["near"]
    found["family"][at] = LEVEL["family"]["near"]


# --------------------------------------------------------------------------------- contacts


def _digits(field: str, people: Columns, here: Index, there: Index) -> Levels:
    """The level of a number that is the same, one slip apart, or another."""
    names = LEVEL[field]
    if len(people[field].texts) == 1:  # known of nobody
        return np.full(len(here), names["unknown"], np.int8)
    found = pairs(people[field], here, there)
    levels = _levels(field, found)
    if len(found.left):
        slip = _slips(found.left, found.right, 1) <= 1
        found.spread(np.where(slip, names["near"], names["differs"]).astype(np.int8), levels)
    return levels


def _email(people: Columns, here: Index, there: Index) -> tuple[Levels, Levels]:
    """The levels of the mailbox, and of the number at its end if the mailboxes are two."""
    names = LEVEL["email"]
    field = people["email"]
    found = pairs(field, here, there)
    levels = _levels("email", found)
    numbers = np.full(len(here), LEVEL["number"]["unknown"], np.int8)
    if len(found.left):
        left, right = (_split_mailboxes(texts) for texts in (found.left, found.right))
        found.spread(np.fromiter(map(_numbers, left[0], right[0]), np.int8, len(left[0])), numbers)
        judged = np.full(len(found.left), names["differs"], np.int8)
        short = np.minimum(_lengths(left[0]), _lengths(right[0]))
        slips = _slips(left[0], right[0], 2)
        near = ((slips <= 1) & (short >= 5)) | ((slips <= 2) & (short >= 9))
        _raised(judged, _flags(_same_letters, left[0], right[0]), names["letters"])
        same_domain = (left[1] == right[1]).astype(np.bool_)
        _raised(judged, near & same_domain, names["near"])
        _raised(judged, slips == 0, names["domain"])
        found.spread(judged, levels)
    at = np.flatnonzero(found.same)
    if len(at):
        given, family = people["given"], people["family"]
        a, b = (
            np.fromiter(
                map(
                    _whose,
                    field.texts[field.codes[who[at]]],
                    given.texts[given.codes[who[at]]],
                    family.texts[family.codes[who[at]]],
                ),
                np.int8,
                len(at),
            )
            for who in (here, there)
        )
        levels[at] = np.select(
            [(a == 2) & (b == 2), (a == 2) | (b == 2), (a == 1) | (b == 1)],
            [names["both"], names["one"], names["family"]],
            names["same"],
        )
    return levels, numbers


def _split_mailboxes(texts: Texts) -> tuple[Texts, Texts]:
    parts = [text.rpartition("@") for text in texts]
    local, domain = np.empty(len(parts), object), np.empty(len(parts), object)
    local[:] = [part[0] for part in parts]
    domain[:] = [part[2] for part in parts]
    return local, domain


def _numbers(one: str, other: str) -> int:
    """The level of the numbers that two local parts end in; of two digits they are often years."""
    if not (one[-2:].isdigit() and other[-2:].isdigit()):
        return 0
    a, b = (local[len(local.rstrip(DIGITS)) :] for local in (one, other))
    if a == b:
        return LEVEL["number"]["same"]
    return LEVEL["number"]["differs"] if len(a) == len(b) == 2 else 0


def _same_letters(one: str, other: str) -> bool:
    if one[0] != other[0]:
        return False
    letters = NO_LETTER.sub("", one)
    return len(letters) >= 5 and letters == NO_LETTER.sub("", other)


def _whose(mailbox: str, given: str, family: str) -> int:
    """2 if the mailbox is named after the person, 1 if after the family only, else 0."""
    local = mailbox.rpartition("@")[0]
    if len(given) >= 2 and given in local:
        return 2
    if len(family) < 3:
        return 0
    family = family.replace(" ", "")
    if given and local.startswith(given[0] + family[:4]):
        return 2
    return int(family[:6] in local)


def _in_mailbox(people: Columns, here: Index, there: Index, found: dict[str, Levels]) -> None:
    """A name that differs, but stands in the other's email address."""
    email = people["email"]
    for field in ("given", "family"):
        names = LEVEL[field]
        at = np.flatnonzero((found[field] > 0) & (found[field] < names["mailbox"]))
        name = people[field]
        bears = np.zeros(len(at), np.bool_)
        for one, other in ((here, there), (there, here)):
            bears |= _flags(
                _bears, email.texts[email.codes[one[at]]], name.texts[name.codes[other[at]]]
            )
        found[field][at[bears]] = names["mailbox"]


def _bears(mailbox: str, name: str) -> bool:
    return len(name) >= 4 and name.replace(" ", "") in mailbox.rpartition("@")[0]


# ----------------------------------------------------------------------------------- places


def _place(people: Columns, here: Index, there: Index) -> Levels:
    names = LEVEL["place"]
    found = pairs(people["zip5"], here, there)
    levels = _levels("place", found)
    if len(found.left):
        judged = np.full(len(found.left), names["differs"], np.int8)
        judged[_flags(lambda a, b: a[:3] == b[:3], found.left, found.right)] = names["region"]
        judged[_slips(found.left, found.right, 1) <= 1] = names["near"]
        found.spread(judged, levels)
    city = people["city"].codes
    same_city = (city[here] == city[there]) & (city[here] > 0)
    levels[same_city & (levels < names["city"])] = names["city"]
    return levels


def _address(people: Columns, here: Index, there: Index) -> Levels:
    names = LEVEL["address"]
    street, number = (pairs(people[field], here, there) for field in ("street", "number"))
    levels = np.full(len(here), names["differs"], np.int8)
    alike = street.same.copy()
    close = np.zeros(len(here), np.bool_)
    if len(street.left):
        likeness = _likeness(street.left, street.right)
        slips = _slips(street.left, street.right, 2)
        street.spread((slips <= 1) | (likeness >= 0.93), alike)
        street.spread(likeness >= 0.82, close)
    slip = np.zeros(len(here), np.bool_)
    if len(number.left):
        number.spread(_slips(number.left, number.right, 1) <= 1, slip)
    levels[alike] = names["street"]
    levels[number.same & close] = names["number"]
    levels[alike & slip] = names["slip"]
    unit = people["unit"].codes
    a, b = unit[here], unit[there]
    there_too = alike & number.same
    levels[there_too] = np.select(
        [(a == 0) & (b == 0), a == b, (a == 0) | (b == 0)],
        [names["same"], names["unit"], names["building"]],
        names["units"],
    )[there_too]
    levels[street.unknown] = names["unknown"]
    return levels


def _born(field: Column, here: Index, there: Index) -> Levels:
    names = LEVEL["born"]
    if len(field.texts) == 1:
        return np.full(len(here), names["unknown"], np.int8)
    found = pairs(field, here, there)
    levels = _levels("born", found)
    if len(found.left):
        judged = np.full(len(found.left), names["differs"], np.int8)
        judged[_flags(_part_of_date, found.left, found.right)] = names["part"]
        judged[_slips(found.left, found.right, 1) <= 1] = names["near"]
        # Typed without hyphens, two digits may be turned across one.
        left, right = (
            as_objects([text.replace("-", "") for text in side])
            for side in (found.left, found.right)
        )
        judged[_slips(left, right, 1) <= 1] = names["near"]
        judged[_flags(_day_month_turned, found.left, found.right)] = names["near"]
        found.spread(judged, levels)
    return levels


def _part_of_date(one: str, other: str) -> bool:
    """Two of year, month and day agree."""
    return sum(a == b for a, b in zip(one.split("-"), other.split("-"), strict=False)) >= 2


def _day_month_turned(one: str, other: str) -> bool:
    return one[:5] == other[:5] and one[5:7] == other[8:] and one[8:] == other[5:7]

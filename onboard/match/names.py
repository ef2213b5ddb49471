"""How alike two people's names are."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from onboard.match import given_names, measures
from onboard.match.columns import (
    Column,
    Columns,
    Flags,
    Index,
    Pairs,
    Texts,
    below_each_other,
    pairs,
)
from onboard.match.given_names import ShortForms
from onboard.match.levels import LEVEL, Levels

# Shares of bearers that divide "common", "usual", "uncommon" and "rare".
SHARES = {"given": (0.01, 0.0025, 0.0005), "family": (0.003, 0.0005, 0.00006)}


def given(
    field: Column, here: Index, there: Index, shares: Mapping[str, float], shorts: ShortForms
) -> Levels:
    """The level of each pair of given names; `shares` are how common each name is, 0 to 1."""
    names = LEVEL["given"]
    found = pairs(field, here, there)
    levels = measures.at_first("given", found)
    left, right = found.left, found.right
    if len(left):
        judged = np.full(len(left), names["differs"], np.int8)
        short = np.minimum(measures.lengths(left), measures.lengths(right))
        first = measures.flags(lambda a, b: a[0] == b[0], left, right)
        likeness = measures.likeness(left, right)
        measures.lift(judged, first, names["initial"])
        measures.lift(judged, likeness >= 0.84, names["alike"])
        measures.lift(judged, first & (short == 1), names["letter"])
        one_full = measures.flags(shorts.have_one_full, left, right)
        joined = measures.flags(shorts.join, left, right)
        apart = measures.flags(given_names.are_two, left, right) & ~one_full & ~joined
        measures.lift(judged, one_full, names["shorts"])
        measures.lift(judged, joined, names["nickname"])
        measures.lift(
            judged, measures.flags(given_names.slip_of_kin, left, right), names["nickname"]
        )
        slips = measures.slips(left, right, 2)
        slip = (slips <= 1) & (short >= 4)
        _short_slips(left, right, slips, short, judged, slip)
        turned = measures.flags(lambda a, b: a[:2] == b[1::-1], left, right)
        near = (slip & (first | turned | ~apart)) | (likeness >= 0.94)
        measures.lift(judged, near, names["near"])
        judged[first & (short == 1)] = names["letter"]
        two = measures.flags(given_names.of_two_sexes, left, right)
        begins = (judged == names["alike"]) | (judged == names["near"])
        judged[begins & apart] = names["own"]
        judged[begins & two] = names["sexes"]
        found.spread(judged, levels)
    _rarity("given", levels, found, field, here, shares)
    return levels


def _short_slips(
    left: Texts, right: Texts, slips: Index, short: Index, judged: Levels, slip: Flags
) -> None:
    """Where a name is on no list, less is enough for a slip: three letters turned, or two slips.

    Roy and Ory, Dan and Dna are one; Anm may be Ann; of Amnda and Maanda neither is a name.
    """
    names = LEVEL["given"]
    at = np.flatnonzero((slips <= 1) & (short == 3))
    at = at[measures.flags(given_names.one_is_listed, left[at], right[at])]
    slip[at] = measures.flags(_turned, left[at], right[at])
    judged[at] = np.maximum(judged[at], names["alike"])
    at = np.flatnonzero((slips == 2) & (short >= 5))
    at = at[measures.flags(given_names.none_is_listed, left[at], right[at])]
    judged[at] = np.maximum(judged[at], names["alike"])


def _turned(one: str, other: str) -> bool:
    """Whether both have the same letters, in another order."""
    return sorted(one) == sorted(other)


def _twice(one: str, other: str) -> bool:
    """Whether one has a letter twice that the other has once, and is the same otherwise."""
    few, many = sorted((one, other), key=len)
    return 3 <= len(few) == len(many) - 1 and any(
        many[at] == many[at - 1] and many[:at] + many[at + 1 :] == few for at in range(1, len(many))
    )


def family(field: Column, here: Index, there: Index, shares: Mapping[str, float]) -> Levels:
    """The level of each pair of family names; `shares` are how common each name is, 0 to 1."""
    names = LEVEL["family"]
    found = pairs(field, here, there)
    levels = measures.at_first("family", found)
    left, right = found.left, found.right
    if len(left):
        judged = np.full(len(left), names["differs"], np.int8)
        short = np.minimum(measures.lengths(left), measures.lengths(right))
        likeness = measures.likeness(left, right)
        measures.lift(judged, likeness >= 0.86, names["alike"])
        measures.lift(judged, measures.flags(_shares_part, left, right), names["part"])
        slip = measures.slips(left, right, 1) <= 1
        # A letter more or less makes another name of a short one; turned or doubled letters do not.
        at = np.flatnonzero(slip & (short < 4))
        slip[at] = measures.flags(_turned, left[at], right[at])
        slip[at] |= measures.flags(_twice, left[at], right[at])
        measures.lift(judged, slip | (likeness >= 0.95), names["near"])
        measures.lift(judged, measures.flags(_written_together, left, right), names["near"])
        found.spread(judged, levels)
    _rarity("family", levels, found, field, here, shares)
    return levels


def _shares_part(one: str, other: str) -> bool:
    if " " not in one and " " not in other:
        return False
    return not set(one.split(" ")).isdisjoint(other.split(" "))


def _written_together(one: str, other: str) -> bool:
    return one.replace(" ", "") == other.replace(" ", "")


def _rarity(
    name: str,
    levels: Levels,
    found: Pairs,
    field: Column,
    here: Index,
    shares: Mapping[str, float],
) -> None:
    """Say of those who agree how rare that is; `name` is "given" or "family"."""
    steps, common = SHARES[name], LEVEL[name]["common"]
    at = np.flatnonzero(found.same)
    codes, which = np.unique(field.codes[here[at]], return_inverse=True)
    share = [shares.get(text, 0.0) for text in field.texts[codes]]
    rare = common + len(steps) - np.searchsorted(steps[::-1], share)
    levels[at] = rare.astype(np.int8)[which]


def best(
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


def joint(people: Columns, here: Index, there: Index, levels: Levels) -> None:
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


def by_middle(people: Columns, here: Index, there: Index, found: dict[str, Levels]) -> None:
    """Where somebody goes by their middle name: it is the other's first name, who says no other middle name.

    A daughter may have her mother's first name as her middle name, so a person is asked.
    """
    given, middle = people["given"], people["middle"]
    differs = (found["given"] > 0) & (found["given"] < LEVEL["given"]["shorts"])
    has = (middle.codes[here] > 0) | (middle.codes[there] > 0)
    for pair in np.flatnonzero(differs & has).tolist():
        one, other = (
            (given.texts[given.codes[who[pair]]], middle.texts[middle.codes[who[pair]]])
            for who in (here, there)
        )
        if _goes_by_middle(one, other) or _goes_by_middle(other, one):
            found["given"][pair] = LEVEL["given"]["middle"]
            found["middle"][pair] = LEVEL["middle"]["unknown"]


def _goes_by_middle(whole: tuple[str, str], said: tuple[str, str]) -> bool:
    """Whether the first name said is the middle name of the other, and the middle name said, if any, can be theirs."""
    given, middle = whole
    return len(middle) > 2 and said[0] == middle and said[1] in ("", given, given[:1])


def one_of_two(people: Columns, here: Index, there: Index) -> Flags:
    """Where one side is a joint sign-up, and the other does not name the same people."""
    found = np.zeros(len(here), np.bool_)
    if not people.joint:
        return found
    given = people["given"]
    signed = np.fromiter(map(len, people.joint), np.int32, people.size) > 0
    for pair in np.flatnonzero(signed[here] | signed[there]).tolist():
        a, b = (
            {given.texts[given.codes[who[pair]]], *people.joint[who[pair]]} for who in (here, there)
        )
        found[pair] = a != b
    return found


def middle(field: Column, here: Index, there: Index) -> Levels:
    """The level of each pair of middle names or initials."""
    names = LEVEL["middle"]
    found = pairs(field, here, there)
    levels = measures.at_first("middle", found)
    left, right = found.left, found.right
    if len(left):
        judged = np.full(len(left), names["differs"], np.int8)
        short = np.minimum(measures.lengths(left), measures.lengths(right))
        first = measures.flags(lambda a, b: a[0] == b[0], left, right)
        judged[first] = names["initial"]
        judged[(measures.slips(left, right, 1) <= 1) & (short >= 4)] = names["near"]
        judged[first & (short == 1)] = names["letter"]
        found.spread(judged, levels)
    one_letter = np.fromiter((len(t) == 1 for t in field.texts), np.bool_, len(field.texts))
    levels[found.same & one_letter[field.codes[here]]] = names["letter"]
    return levels


def suffix(field: Column, here: Index, there: Index) -> Levels:
    """The level of each pair of suffixes; one without a suffix beside one with it is a level too."""
    names = LEVEL["suffix"]
    a, b = field.codes[here], field.codes[there]
    levels = np.full(len(here), names["differs"], np.int8)
    levels[a == b] = names["same"]
    levels[(a == 0) != (b == 0)] = names["one"]
    levels[(a == 0) & (b == 0)] = names["unknown"]
    return levels


def men(given: Column, here: Index, there: Index, found: dict[str, Levels]) -> None:
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


def swapped(people: Columns, here: Index, there: Index, found: dict[str, Levels]) -> None:
    """Given and family name in each other's place: as near as one slip in either."""
    given, family = people["given"], people["family"]
    a, b = given.texts[given.codes[here]], family.texts[family.codes[there]]
    c, d = given.texts[given.codes[there]], family.texts[family.codes[here]]
    one, other = ((x == y).astype(np.bool_) for x, y in ((a, b), (c, d)))
    at = np.flatnonzero((one & (a != "")) | (other & (c != "")))
    crossed = [measures.likeness(x[at], y[at]) for x, y in ((a, b), (c, d))]
    at = at[(np.minimum(*crossed) >= 0.84) & (a[at] != c[at])]
    found["given"][at] = LEVEL["given"]["near"]
    found["family"][at] = LEVEL["family"]["near"]


def in_mailbox(people: Columns, here: Index, there: Index, found: dict[str, Levels]) -> None:
    """A name that differs, but stands in the other's email address.

    Not where the mailbox is one: whose name it bears is part of the evidence on the mailbox already.
    """
    email = people["email"]
    two = found["email"] < LEVEL["email"]["near"]
    for field in ("given", "family"):
        names = LEVEL[field]
        at = np.flatnonzero((found[field] > 0) & (found[field] < names["mailbox"]) & two)
        name = people[field]
        bears = np.zeros(len(at), np.bool_)
        for one, other in ((here, there), (there, here)):
            bears |= measures.flags(
                _bears, email.texts[email.codes[one[at]]], name.texts[name.codes[other[at]]]
            )
        found[field][at[bears]] = names["mailbox"]


def _bears(mailbox: str, name: str) -> bool:
    return len(name) >= 4 and name.replace(" ", "") in mailbox.rpartition("@")[0]

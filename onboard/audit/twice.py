"""Twice: accounts that are, or may be, one person's. People of one home are told apart from them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from onboard.audit.observation import Observation
from onboard.audit.record import Brief
from onboard.match import folds
from onboard.match.columns import Index
from onboard.match.groups import TIED
from onboard.match.levels import FIELDS, LEVEL
from onboard.match.many import Everybody
from onboard.model import Change, Kind, Weight

_PAT = "given: Patricia; family: Quillfeather; phone: (419) 234-5678; email: pquill@example.org"
CERTAIN = Kind(
    "twice.certain", Weight.BLOCKING,
    "These two accounts very likely belong to one person.",
    f"{_PAT}; last_sign_in: 2026-02-01| {_PAT}; street: 9 Ash St", f"{_PAT}| given: Kim; family: Voss",
)  # fmt: skip
LIKELY = Kind(
    "twice.likely", Weight.DOUBTFUL,
    "These two accounts probably belong to one person.",
    "given: Robin; family: Quillfeather; street: 77 Elm St; email: ; phone: ; last_sign_in: 2026-02-01"
    "| given: Robin; family: Quillfeathers; street: 77 Elm St; email: rq@example.org",
    f"{_PAT}| given: Kim; family: Voss",
)  # fmt: skip
POSSIBLE = Kind(
    "twice.possible", Weight.DOUBTFUL,
    "These two accounts may belong to one person.",
    "given: Robin; family: Voss; email: rq@example.org; phone: | given: Robin; family: Voss; email: rv@example.com",
    f"{_PAT}| given: Kim; family: Voss",
)  # fmt: skip
KINDS = (CERTAIN, LIKELY, POSSIBLE)


# Less sure pairs are not told: of two sign-ups a question costs little, of a whole roster there would
# be thousands about people who only have a name in common.
WORTH_ASKING = 0.12
# Nor, one by one, those who have nothing in common but their names, where there are more of them than
# these, and than one for so many accounts: among very many members many are called alike.
FEW, ONE_IN = 20, 1_000
NAMES = ("family", "given", "middle", "suffix")
BEYOND_NAMES = [at for at, field in enumerate(FIELDS) if field not in NAMES]
NOBODYS: Mapping[str, Sequence[str]] = {}
_FOLDS = {"email": folds.mailbox, "phone": folds.telephone}
SPEAKS = 0.05  # bits from which on a part is told
# One person has hardly two accounts that they use at once.
AT_ONCE = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two accounts, by their places, that are or may be one person's."""

    one: int
    other: int
    confidence: float
    same: bool  # may be decided alone, and have a phone or a mailbox in common
    words: str
    names_only: bool = False  # nothing else speaks for it
    against: bool = False  # something speaks hard against it: another birth date, Sr and Jr


@dataclass(frozen=True, slots=True)
class Pairs:
    """What comparing all accounts came to."""

    pairs: tuple[Pair, ...]  # the surest first
    compared: int
    households: int  # pairs that share a home, a phone or a mailbox, and are two people


def pairs(
    everybody: Everybody,
    account: Index,
    helpers: Mapping[str, Sequence[str]] = NOBODYS,
    least: float = WORTH_ASKING,
) -> Pairs:
    """The pairs of accounts that may be one person's. `helpers` are the emails and phones, by field, of those who
    help many: that two accounts have one says nothing of them.

    `account` says, for each spelling of `everybody`, at which place (from 0) its account is; `least`
    is the confidence, 0 to 1, from which a pair is worth asking about.
    """
    for field, values in helpers.items():
        everybody = everybody.without(field, map(_FOLDS[field], values))
    here, there = everybody.alike()
    two = account[here] != account[there]
    here, there = here[two], there[two]
    best: dict[tuple[int, int], Pair] = {}
    hard = [np.empty((0, 2), np.int32)]  # pairs of accounts that something speaks hard against
    start = households = 0
    for judged in everybody.judge(here, there):
        more = np.any(judged.parts[:, BEYOND_NAMES] >= SPEAKS, axis=1)
        # Worked out for all pairs of the block, each time that they are asked for.
        same, against = judged.same, judged.against
        for at in np.flatnonzero(judged.confidence >= least).tolist():
            one, other = sorted((int(account[here[start + at]]), int(account[there[start + at]])))
            confidence = float(judged.confidence[at])
            known = best.get((one, other))
            if known is None or confidence > known.confidence:
                one_contact = (
                    judged.levels["phone"][at] == LEVEL["phone"]["same"]
                    or judged.levels["email"][at] >= LEVEL["email"]["one"]
                )
                best[one, other] = Pair(
                    one, other, confidence, bool(same[at] and one_contact),
                    _words([int(judged.levels[f][at]) for f in FIELDS], judged.parts[at].tolist()),
                    not more[at], bool(against[at]),
                )  # fmt: skip
        some = start + np.flatnonzero(against)
        hard.append(np.sort(np.stack([account[here[some]], account[there[some]]], axis=1)))
        households += int(judged.household.sum())
        start += len(judged.confidence)
    _leave_open(best, np.concatenate(hard))
    found = sorted(best.values(), key=lambda pair: (-pair.confidence, pair.one, pair.other))
    return Pairs(tuple(found), len(here), households)


def _leave_open(best: dict[tuple[int, int], Pair], hard: Index) -> None:
    """Decide no pair alone that hangs together with two accounts which something speaks hard against:
    a form without a suffix is as much like the father's as the son's."""
    top = _tops((one, other) for (one, other), pair in best.items() if pair.same)
    torn = {
        top[one]
        for one, other in hard[np.isin(hard, list(top)).all(axis=1)].tolist()
        if top[one] == top[other]
    }
    for where, pair in best.items():
        if pair.same and top[pair.one] in torn:
            best[where] = replace(pair, same=False)


def _tops(ties: Iterable[tuple[int, int]]) -> dict[int, int]:
    """By place, the first place of all that hang together with it by these ties."""
    head: dict[int, int] = {}

    def top(place: int) -> int:
        while head.setdefault(place, place) != place:
            place = head[place]
        return place

    for one, other in ties:
        first, last = sorted((top(one), top(other)))
        head[last] = first
    return {place: top(place) for place in list(head)}


def _words(levels: Sequence[int], parts: Sequence[float]) -> str:
    """What agrees and what does not, the strongest first."""
    told = [
        (bits, names[level][1])
        for names, level, bits in zip(FIELDS.values(), levels, parts, strict=True)
        if level and abs(bits) >= SPEAKS and names[level][0] != "untold"
    ]
    told.sort(key=lambda part: -abs(part[0]))
    speaks = "; ".join(words for bits, words in told if bits > 0)
    # What is the same can weigh less than nothing beside the rest; that is no reason against.
    against = "; ".join(words for bits, words in told if bits < 0 and words[:4] != "same")
    return f"For it: {speaks}." + (f" Against it: {against}." if against else "")


def among(
    found: Iterable[Pair],
    briefs: Sequence[Brief],
    apart: Collection[frozenset[str]] = (),
) -> Iterator[Observation]:
    """The findings about the pairs of open accounts that no ruling has told apart.

    Pairs that have only their names in common are told as a count where they are very many.
    """
    pairs_left = [
        pair
        for pair in found
        if briefs[pair.one].is_open
        and briefs[pair.other].is_open
        and frozenset((briefs[pair.one].owner, briefs[pair.other].owner)) not in apart
    ]
    by_name = sum(pair.names_only for pair in pairs_left)
    if by_name > max(FEW, len(briefs) // ONE_IN):
        pairs_left = [pair for pair in pairs_left if not pair.names_only]
        note = (
            f"{by_name:,} pairs of accounts have nothing in common but their names. Nearly all of them are "
            "two people, so you don't need to ask. To list them: `onboard duplicates`."
        )
        yield Observation("roster", POSSIBLE.found(f"{by_name:,} pairs", note))
    merges = _merges(pairs_left, briefs)
    for pair in pairs_left:
        one, other = briefs[pair.one], briefs[pair.other]
        at_once = _used_at_once(one, other)
        kind = (
            POSSIBLE if pair.against or at_once or pair.confidence < TIED
            else CERTAIN if pair.same else LIKELY
        )  # fmt: skip
        sure = "over 99%" if pair.confidence > 0.99 else f"{pair.confidence:.0%}"
        what = {
            "twice.certain": "Ask the member, then merge them.",
            "twice.likely": "Ask the member which account they use, then merge them.",
            "twice.possible": "Ask before you do anything: two people can have a lot in common.",
        }[kind.code]
        words = f"{pair.words}{' Both accounts were used within a week.' if at_once else ''}"
        used = f"{_use_of(one)}. {_use_of(other)}."
        note = (
            f"{one.name} and {other.name}: {sure} sure they are one person. {words} {used} {what}"
        )
        yield Observation(
            one.owner,
            kind.found(f"{one.handle or one.name}, {other.handle or other.name}"[:200], note),
            change=merges.get((pair.one, pair.other)),
            others=(other.owner,),
        )


def _use_of(brief: Brief) -> str:
    """When an account was last used, and how old it is.

    >>> from onboard.audit.record import Brief
    >>> _use_of(Brief("", 7, "Pat Lee", "patlee", True, "", "", "", "lee", "", ""))
    'patlee: no sign-in or order known, nobody knows when they joined'
    """
    said = [
        f"last sign-in {brief.signed_in}" if brief.signed_in else "",
        f"last order {brief.ordered}" if brief.ordered else "",
    ]
    never = "never signed in" if brief.on_page else "no sign-in or order known"
    joined = f"joined {brief.joined}" if brief.joined else "nobody knows when they joined"
    return f"{brief.handle or brief.name}: {', '.join([*(filter(None, said)), joined] if any(said) else [never, joined])}"


def _used_at_once(one: Brief, other: Brief) -> bool:
    if one.used is None or other.used is None:
        return False
    return abs(one.used - other.used) < AT_ONCE


def _merges(found: Sequence[Pair], briefs: Sequence[Brief]) -> dict[tuple[int, int], Change]:
    """The merges to propose: of pairs that may be decided alone, each account into one other.

    The account used last stays, else the older one, as `onboard merge` has it. Nobody is merged into
    an account that is itself to be merged.
    """
    certain = [
        pair
        for pair in found
        if pair.same
        and briefs[pair.one].owner.is_member
        and not _used_at_once(briefs[pair.one], briefs[pair.other])
    ]
    head = one_person(certain, briefs)
    stays: dict[int, int] = {}
    for place in sorted({place for pair in certain for place in (pair.one, pair.other)}):
        group = head[briefs[place].owner]
        best = stays.setdefault(group, place)
        if (briefs[place].used or date.min) > (briefs[best].used or date.min):
            stays[group] = place
    merges: dict[tuple[int, int], Change] = {}
    for pair in certain:
        stay = stays[head[briefs[pair.one].owner]]
        if stay in (pair.one, pair.other):
            goes = pair.other if stay == pair.one else pair.one
            why = f"One person, over 95% sure. {pair.words}"
            merges[pair.one, pair.other] = Change(
                briefs[goes].number, "merged_into", None, briefs[stay].number, why
            )
    return merges


def one_person(found: Iterable[Pair], briefs: Sequence[Brief]) -> Mapping[str, int]:
    """By owner, one number for all accounts that are probably one person's."""
    top = _tops(
        (pair.one, pair.other)
        for pair in found
        if pair.same or (pair.confidence >= TIED and not pair.against)
    )
    return {briefs[place].owner: first for place, first in top.items()}

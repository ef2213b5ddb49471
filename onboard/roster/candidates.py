"""Who could be meant by what a caller said: asked of the look-up index, the likeliest first.

Every way that finds somebody is tried, each bounded; the ways are those of `onboard.lookup.keys`.
What is gathered is then weighed by `onboard.lookup`; nothing here decides.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import combinations, product

from rapidfuzz.distance import OSA
from sqlalchemy import Connection

from onboard.lookup import keys, weigh
from onboard.lookup.facts import Facts, bare
from onboard.lookup.said import Said
from onboard.roster import index

MOST = 300  # owners that are weighed
MOST_PAIRS = 4000  # pairs of names that are asked for
MOST_TEXTS = 4000  # mailboxes, handles and phones that are read at a time
FAR = weigh.TWO_SLIPS + 1.5  # bits: up to here a word is taken for another
ALPHABET = "abcdefghijklmnopqrstuvwxyz0123456789"


@dataclass(slots=True)
class Gathered:
    """Owners by number, and whether there are more of the kind who were not read."""

    facts: dict[int, Facts]
    cut_short: bool = False


@dataclass(slots=True)
class _Found:
    """Rough bits by owner, the least of all ways that found them."""

    cost: dict[int, float] = field(default_factory=dict)
    cut_short: bool = False

    def take(self, docs: Iterable[int], cost: float) -> None:
        for doc in docs:
            if cost < self.cost.get(doc, 1e9):
                self.cost[doc] = cost


def gather(connection: Connection, readings: Sequence[Said]) -> Gathered:
    """The owners whom one of the readings could mean, at most `MOST` of them."""
    found = _Found()
    plain = readings[0]
    for local, _ in plain.emails:
        _texts(connection, bare(local), found)
    for digits in plain.phones:
        _phone(connection, digits, found)
    for tail in (*plain.tails, *plain.zips):
        _ends(connection, tail, found)
    seen: set[tuple[tuple[str, ...], str]] = set()
    for said in readings:
        if said.words and (said.words, said.site) not in seen:
            seen.add((said.words, said.site))
            _names(connection, said, found)
        if said.whole and said.whole not in {one.whole for one in readings[: readings.index(said)]}:
            _whole(connection, said, found)
    for raw in {r for said in readings for r in said.raws if len(said.raws) > 2}:
        if any(c.isdigit() for c in raw) or len(raw) > 9:
            _texts(connection, bare(raw), found, far=False)
            _split(connection, bare(raw), found)
    nearest = heapq.nsmallest(MOST, found.cost, key=found.cost.__getitem__)
    return Gathered(
        index.facts(connection, nearest), found.cut_short or len(found.cost) > len(nearest)
    )


# ---------------------------------------------------------------- names


def _variants(connection: Connection, words: Iterable[str]) -> dict[str, dict[int, float]]:
    """For each word that was said: the numbers of the words that it may stand for, with bits."""
    said = list(dict.fromkeys(words))
    known = dict(index.near(connection, said))
    kin = {one for word in said for one in weigh.likely(word)}
    ids = {word: number for number, word in known.items()}
    ids |= index.words(connection, [one for one in kin if one not in ids])
    stems = {stem for word in said if (stem := weigh.fond_stem(word))}
    begun = index.words_beginning(connection, stems, MOST)
    ids |= begun
    found: dict[str, dict[int, float]] = {}
    for word in said:
        near: dict[int, float] = {}
        for text, number in ids.items():
            bits, _ = weigh.word(word, text)
            if bits <= FAR:
                near[number] = bits
        found[word] = near
    return found


def _names(connection: Connection, said: Said, found: _Found) -> None:
    words = [word for word in said.words if len(word) > 1][:6]
    variants = _variants(connection, words)
    if said.site:
        _at_site(connection, said.site, words, variants, found)
    pairs: dict[int, float] = {}
    for one, other in combinations(words, 2):
        for (a, x), (b, y) in product(variants[one].items(), variants[other].items()):
            if x + y <= FAR:
                for pair in (index.pair_of(a, b), index.pair_of(b, a)):
                    if x + y < pairs.get(pair, 1e9):
                        pairs[pair] = x + y
    likely = heapq.nsmallest(MOST_PAIRS, pairs, key=pairs.__getitem__)
    lines = index.pair(connection, likely, 2 * MOST)
    found.cut_short |= len(lines) == 2 * MOST
    for pair, doc in lines:
        found.take((doc,), pairs[pair])
    alone = len(said.words) == 1 or not found.cost
    if alone and words and not said.site and not (said.phones or said.tails or said.emails):
        _by_one_word(connection, said, variants, found)


def _at_site(
    connection: Connection, site: str, words: Sequence[str],
    variants: dict[str, dict[int, float]], found: _Found,
) -> None:  # fmt: skip
    """Everybody of the site who has one of the words, the better the more of them."""
    number = index.sites(connection, [site]).get(site)
    if number is None:
        return
    bits: dict[int, dict[str, float]] = {}
    for word in words:
        places = {index.place(n, number): cost for n, cost in variants[word].items()}
        for place, doc in index.at(connection, places, 10 * MOST):
            had = bits.setdefault(doc, {})
            had[word] = min(places[place], had.get(word, 1e9))
    for doc, had in bits.items():
        found.take((doc,), sum(had.values()) + weigh.NOT_A_NAME * (len(words) - len(had)))


def _by_one_word(
    connection: Connection, said: Said, variants: dict[str, dict[int, float]], found: _Found
) -> None:
    """Who has one of the words, in the order of how near it is; who has the ZIP or street too, if said."""
    lived = index.words(connection, [*said.zips, *said.street])
    there = set(index.anywhere(connection, lived.values(), 50 * MOST)) if lived else None
    most = MOST if there is None else 50 * MOST
    for near in variants.values():
        for_word = sorted(near, key=near.__getitem__)
        docs = index.anywhere(connection, for_word, most)
        found.cut_short |= len(docs) == most
        found.take(
            docs if there is None else there.intersection(docs), near[for_word[0]] if near else 0.0
        )


# ---------------------------------------------------------------- things written as one


def _whole(connection: Connection, said: Said, found: _Found) -> None:
    text = bare(said.whole)
    if not said.as_one and text.isalpha():
        found.take((doc for _, doc in index.written(connection, [text])), 0.0)
        return  # the pairs of its words find the rest
    if len(text) < 4 or (len(text) < 7 and (said.phones or said.tails or said.site)):
        return
    _texts(connection, text, found)
    _split(connection, text, found)


def _texts(connection: Connection, text: str, found: _Found, *, far: bool = True) -> None:
    """Whose mailbox or handle is the text, with one slip, or (`far`) with two."""
    if not text or len(text) > 40:
        return
    lines = index.written(connection, [text, *_one_slip(text)])
    for one, doc in lines:
        found.take((doc,), 0.0 if one == text else weigh.ONE_SLIP)
    if not far or len(text) < 6:
        return
    front, back = (len(text)) // 2, (len(text) - 1) // 2
    halves = ((False, text[:front]), (True, text[: -back - 1 : -1]))
    for turned, half in halves:
        _beginning(connection, [half], turned, text, found)
    if not lines:
        for turned, half in halves:
            if len(half) > 3:
                _beginning(connection, _one_slip(half), turned, text, found)


def _beginning(
    connection: Connection, starts: Sequence[str], turned: bool, text: str, found: _Found
) -> None:
    """Whose mailbox, handle or phone begins (turned: ends) so, and is at most two slips away."""
    whole = keys.turned(text) if turned else text
    for one, doc in index.beginning(connection, starts, turned, MOST_TEXTS):
        slips = OSA.distance(whole, one, score_cutoff=2)
        if slips < 3:
            found.take((doc,), 6.0 * slips)


def _split(connection: Connection, text: str, found: _Found) -> None:
    """Whose given and family name the text is made of, with up to two slips in it."""
    letters = "".join(filter(str.isalpha, text))
    if not 4 <= len(letters) <= 30:
        return
    cuts = [(letters[:at], letters[at:]) for at in range(2, len(letters) - 1)]
    known = index.near(connection, {part for cut in cuts for part in cut})
    near: dict[str, list[tuple[int, int]]] = {}
    by_length: dict[int, list[tuple[int, str]]] = {}
    for number, word in known:
        by_length.setdefault(len(word), []).append((number, word))
    pairs: dict[int, float] = {}
    for part in {part for cut in cuts for part in cut}:
        most = 2 if len(part) > 4 else 1
        near[part] = [
            (slips, number)
            for length in range(len(part) - most, len(part) + most + 1)
            for number, word in by_length.get(length, ())
            if (slips := OSA.distance(part, word, score_cutoff=most)) <= most
        ]
    for one, other in cuts:
        for (x, a), (y, b) in product(near[one], near[other]):
            if x + y <= 2:
                for pair in (index.pair_of(a, b), index.pair_of(b, a)):
                    if 6.0 * (x + y) < pairs.get(pair, 1e9):
                        pairs[pair] = 6.0 * (x + y)
    likely = heapq.nsmallest(MOST_PAIRS, pairs, key=pairs.__getitem__)
    lines = index.pair(connection, likely, 2 * MOST)
    found.cut_short |= len(lines) == 2 * MOST
    for pair, doc in lines:
        found.take((doc,), pairs[pair] + weigh.AS_ONE)


def _phone(connection: Connection, digits: str, found: _Found) -> None:
    text = keys.phone(digits)
    if len(digits) == 7:
        _ends(connection, digits, found)
        _ends(connection, digits[-4:], found, text=digits)
        return
    front, back = text[:7], keys.turned(text)[:5]
    _beginning(connection, [front], False, text, found)
    _beginning(connection, [back], True, text, found)
    if min(found.cost.values(), default=9.0) > 0.0:
        starts = ["+" + start for start in _one_slip(front[1:]) if start.isdigit()]
        _beginning(connection, starts, False, text, found)


def _ends(connection: Connection, digits: str, found: _Found, text: str = "") -> None:
    """Whose phone ends so; and, beside the seven digits in `text`, nearly so."""
    lines = index.beginning(connection, ["+" + digits[::-1]], True, MOST_TEXTS)
    found.cut_short |= len(lines) == MOST_TEXTS
    for one, doc in lines:
        end = one[1 : len(text) + 1][::-1]
        slips = OSA.distance(text, end, score_cutoff=2) if text else 0
        if slips < 3:
            found.take((doc,), 7.0 * slips + (0.0 if text or len(digits) > 5 else 1.0))


def _one_slip(text: str) -> list[str]:
    """Every text that is one slip away: a letter out, in, for another, or two in the wrong order."""
    found = {text[:at] + text[at + 1 :] for at in range(len(text))}
    found.update(text[:at] + c + text[at + 1 :] for at in range(len(text)) for c in ALPHABET)
    found.update(text[:at] + c + text[at:] for at in range(len(text) + 1) for c in ALPHABET)
    found.update(
        text[:at] + text[at + 1] + text[at] + text[at + 2 :] for at in range(len(text) - 1)
    )
    found -= {text, ""}
    return list(found)

"""Who could be meant by what a caller said: asked of the look-up index, the likeliest first.

Every way that finds somebody is tried, each bounded; the ways are those of `onboard.lookup.keys`.
What is gathered is then weighed by `onboard.lookup`; nothing here decides.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from rapidfuzz import process
from rapidfuzz.distance import OSA
from sqlalchemy import Connection

from onboard.lookup import costs, keys, pet_forms
from onboard.lookup.by_ear import SOUNDS_SO
from onboard.lookup.facts import Facts, bare, of_text, site_of
from onboard.lookup.said import Said
from onboard.lookup.slips import word as word_cost
from onboard.roster import index_asked, near_texts
from onboard.roster.near_texts import Found

MOST = 200  # owners that are weighed
RARE, FEW = 60, 100  # owners whom a rare word points to, and any word alone
MOST_PAIRS = 2500  # pairs of names that are asked for
MOST_SOUNDING = 80  # words that sound like one that was said
FAR = costs.TWO_SLIPS + 2.0  # bits: up to here a word is taken for another
BEHIND = 16.0  # bits behind the nearest, roughly: who is further is not weighed
LONG_NAME = 11  # letters: what is longer may be a first and a last name in one


@dataclass(slots=True)
class Gathered:
    """Owners by number, and whether there are more of the kind who were not read."""

    facts: dict[int, Facts]
    cut_short: bool = False


def gather(connection: Connection, readings: Sequence[Said]) -> Gathered:
    """The owners whom one of the readings could mean, at most `MOST` of them."""
    found = Found()
    for local in dict.fromkeys(bare(local) for said in readings for local, _ in said.emails):
        near_texts.written(connection, local, found)
    for digits in dict.fromkeys(digits for said in readings for digits in said.phones):
        near_texts.phone(connection, digits, found)
    for tail in dict.fromkeys(end for said in readings for end in (*said.tails, *said.zips)):
        near_texts.phone_end(connection, tail, found)
    seen: set[tuple[tuple[str, ...], str]] = set()
    for said in readings:
        if said.words and (said.words, said.site) not in seen:
            seen.add((said.words, said.site))
            _names(connection, said, found)
        if said.whole and said.whole not in {one.whole for one in readings[: readings.index(said)]}:
            _whole(connection, said, found)
    for raw in {r for said in readings for r in said.raws if len(said.raws) > 2}:
        if any(c.isdigit() for c in raw) or len(raw) > 9:
            near_texts.written(connection, bare(raw), found, far=False)
            _split(connection, bare(raw), found)
    for said in readings:
        if not found.cost and (said.street or said.zips) and not said.words:
            _home(connection, said, found)
    most = min(found.cost.values(), default=0.0) + BEHIND
    near = [doc for doc, bits in found.cost.items() if bits <= most]
    near.sort()  # of those who are as near, the same are weighed every time
    nearest = heapq.nsmallest(MOST, near, key=found.cost.__getitem__)
    kept = index_asked.kept(connection, nearest)
    if elsewhere := _elsewhere(readings, kept, found):
        kept = {doc: text for doc, text in kept.items() if doc not in elsewhere}
    return Gathered(
        {doc: of_text(text) for doc, text in kept.items()},
        found.cut_short or len(near) > len(nearest),
    )


def _elsewhere(readings: Sequence[Said], kept: Mapping[int, str], found: Found) -> set[int]:
    """Of those whose phone ends as was said: who are at another drop site and have none of the words, where
    somebody at the drop site has one. There are a hundred for each end, and they come far behind."""
    sites = {said.site for said in readings}
    if not found.named or "" in sites:
        return set()
    words = {word for said in readings for word in said.words}
    return {
        doc
        for doc in found.ended - found.named
        if (text := kept.get(doc)) is not None
        and site_of(text) not in sites
        and not any(word in text for word in words)
    }


# ---------------------------------------------------------------- names


# For each word that was said: (bits, number) of the words it may stand for, the nearest first.
_Near = list[tuple[float, int]]
_Variants = dict[str, _Near]


def _variants(connection: Connection, words: Sequence[str]) -> _Variants:
    said = list(dict.fromkeys(words))
    known = index_asked.near(connection, said)
    numbers = {text: number for number, text in known}
    other = {one for word in said for one in pet_forms.likely(word)} - numbers.keys()
    numbers |= index_asked.words(connection, other)
    stems = {stem for word in said if (stem := pet_forms.fond_stem(word))}
    begun = index_asked.words_beginning(connection, stems, MOST)
    numbers |= begun
    texts = list(numbers)
    found: _Variants = {}
    for word in said:
        by_sound = 0.4 * max(8, len(word) + 2)  # slips of a word that sounds the same
        slips = _slips(word, texts, int(by_sound))
        likely, stem, sound = pet_forms.likely(word), pet_forms.fond_stem(word), keys.sounds(word)
        close = {text for text, count in slips.items() if count <= 2}
        close |= likely & numbers.keys()
        if stem:
            close |= {text for text in begun if text.startswith(stem)}
        if sound:
            close |= {t for t, count in slips.items() if count > 2 and keys.sounds(t) == sound}
        near = ((word_cost(word, text)[0], numbers[text]) for text in close)
        found[word] = sorted(one for one in near if one[0] <= FAR)
    return found


def _slips(word: str, texts: Sequence[str], most: int) -> dict[str, int]:
    """Those of the texts with at most so many slips, and how many."""
    near = process.extract(word, texts, scorer=OSA.distance, score_cutoff=most, limit=None)
    return {text: int(count) for text, count, _ in near}


def _likely_pairs(
    connection: Connection, both: Sequence[tuple[_Near, _Near]], most: float
) -> dict[int, float]:
    """Rough bits by pair, the likeliest first: every two of the words, at most so far together, of which one is a
    given name. No more than `MOST_PAIRS` are made."""
    given = index_asked.given(connection, {n for two in both for near in two for _, n in near})
    together: dict[float, list[tuple[list[int], list[int]]]] = {}
    for one, other in both:
        ones, others = _by_bits(one), _by_bits(other)
        for firsts, lasts in ((ones, others), (others, ones)):
            for x, numbers in firsts.items():
                if names := [number for number in numbers if number in given]:
                    for y in lasts:
                        if x + y <= most:
                            together.setdefault(x + y, []).append((names, lasts[y]))
    found: dict[int, float] = {}
    for bits in sorted(together):
        pairs = {
            index_asked.pair_of(a, b)
            for firsts, lasts in together[bits] for a in firsts for b in lasts
        }  # fmt: skip
        for pair in sorted(pairs - found.keys())[: MOST_PAIRS - len(found)]:
            found[pair] = bits
        if len(found) == MOST_PAIRS:
            break
    return found


def _by_bits(near: _Near) -> dict[float, list[int]]:
    found: dict[float, list[int]] = {}
    for bits, number in near:
        found.setdefault(bits, []).append(number)
    return found


def _pairs(connection: Connection, costs: dict[int, float], more: float, found: Found) -> None:
    """Who has one of the pairs of names, the likeliest asked for first."""
    lines = index_asked.pair(connection, sorted(costs), 2 * MOST)  # in their order: read faster
    if len(lines) == 2 * MOST:
        found.cut_short = True
        lines = index_asked.pair(connection, costs, 2 * MOST)
    for pair, doc in lines:
        found.take((doc,), costs[pair] + more)


def _names(connection: Connection, said: Said, found: Found) -> None:
    words = [*[word for word in said.words if len(word) > 1][:6], *said.joined]
    if not words or (len(words) == 1 and not said.site and _points_elsewhere(said)):
        return
    variants = _variants(connection, words)
    if said.site:
        _at_site(connection, said.site, words, variants, found)
    both = [(variants[one], variants[other]) for one, other in combinations(words, 2)]
    _pairs(connection, _likely_pairs(connection, both, FAR), 0.0, found)
    if not said.site and len(words) > 1 and min(found.cost.values(), default=99.0) > costs.CUT:
        _by_rare_word(connection, words, found)
    alike = variants
    if min(found.cost.values(), default=99.0) > costs.TWO_SLIPS:
        alike = _by_sound(connection, said, words, variants, found)
    if said.site or _points_elsewhere(said):
        return
    if len(said.words) == 1 or not found.cost:
        _by_one_word(connection, said, variants, found)
    elif min(found.cost.values()) >= costs.OTHER_GIVEN:  # nobody has two of the words
        _by_rare_likeness(connection, alike, found)


def _by_sound(
    connection: Connection, said: Said, words: Sequence[str], spelled: _Variants, found: Found
) -> _Variants:  # fmt: skip
    """Who has names that sound like two of the words, or like one of them beside a pet form or a typo of
    the other, or like one at the drop site. Returns what each word may stand for, by its sound too."""
    variants = {
        word: sorted([*_sounding(connection, word), *spelled[word]])
        for word in words
        if len(word) > 2
    }
    if said.site:
        _at_site(connection, said.site, list(variants), variants, found)
    both = [(variants[one], variants[other]) for one, other in combinations(variants, 2)]
    _pairs(connection, _likely_pairs(connection, both, 2 * FAR), 0.0, found)
    return spelled | variants


def _sounding(connection: Connection, word: str) -> _Near:
    """The words that one who wrote what they heard may mean, the nearest first."""
    numbers = {text: number for number, text in index_asked.heard(connection, word)}
    if len(numbers) > MOST_SOUNDING:  # many names have so few sounds
        likest = process.extract(word, sorted(numbers), scorer=OSA.distance, limit=MOST_SOUNDING)
        numbers = {text: numbers[text] for text, *_ in likest}
    return sorted((min(SOUNDS_SO, word_cost(word, text)[0]), n) for text, n in numbers.items())


def _points_elsewhere(said: Said) -> bool:
    """Whether something was said that finds few people by itself."""
    return bool(said.phones or said.tails or said.emails)


def _at_site(
    connection: Connection, site: str, words: Sequence[str], variants: _Variants, found: Found
) -> None:  # fmt: skip
    """Everybody of the site who has one of the words, the better the more of them."""
    number = index_asked.sites(connection, [site]).get(site)
    if number is None:
        return
    bits: dict[int, dict[str, float]] = {}
    for word in words:
        places = {index_asked.place(n, number): cost for cost, n in variants[word]}
        for place, doc in index_asked.at(connection, places, 10 * MOST):
            had = bits.setdefault(doc, {})
            had[word] = min(places[place], had.get(word, 1e9))
    for doc, had in bits.items():
        found.take((doc,), sum(had.values()) + costs.OTHER_GIVEN_LETTERS * (len(words) - len(had)))


def _by_rare_word(connection: Connection, words: Sequence[str], found: Found) -> None:
    """Who has one of the words just as it was said, if that are few: the other may be a pet name."""
    for number in index_asked.words(connection, words).values():
        docs = index_asked.anywhere(connection, [number], RARE + 1)
        if len(docs) <= RARE:
            found.take(docs, costs.OTHER_GIVEN)


def _by_rare_likeness(connection: Connection, variants: _Variants, found: Found) -> None:
    """Who has a word that one of those said may stand for, if that are few: the others may be no names."""
    for near in variants.values():
        docs = index_asked.anywhere(connection, [number for _, number in near], RARE + 1)
        if near and len(docs) <= RARE:
            found.take(docs, 1.0 + near[0][0])


def _by_one_word(connection: Connection, said: Said, variants: _Variants, found: Found) -> None:
    """Who has one of the words, in the order of how near it is; who has the ZIP or street too, if said."""
    lived = index_asked.words(connection, [*said.zips, *said.street])
    there = set(index_asked.anywhere(connection, lived.values(), 50 * MOST)) if lived else None
    most = FEW if there is None else 50 * MOST
    for near in variants.values():
        docs = index_asked.anywhere(connection, [number for _, number in near], most)
        found.cut_short |= len(docs) == most
        # A mailbox or handle that is the word itself comes before these, were they cut short.
        cost = 1.0 + (near[0][0] if near else 0.0)
        found.take(docs if there is None else there.intersection(docs), cost)


def _home(connection: Connection, said: Said, found: Found) -> None:
    """Who lives at the street, in the ZIP code, or both, where no name was said."""
    words = index_asked.words(connection, [*said.zips, *said.street])
    if len(words) < len({*said.zips, *said.street}):
        return
    there = [set(index_asked.anywhere(connection, [n], 50 * MOST)) for n in words.values()]
    docs = set.intersection(*there)
    found.cut_short |= any(len(some) == 50 * MOST for some in there) or len(docs) > MOST
    found.take(docs, 0.0)


# ---------------------------------------------------------------- things written as one


def _whole(connection: Connection, said: Said, found: Found) -> None:
    text = bare(said.whole)
    if not said.as_one and text.isalpha():
        found.take((doc for _, doc in index_asked.written(connection, [text])), 0.0)
        if min(found.cost.values(), default=99.0) > costs.CUT:
            _exact_split(connection, text, found)
        return  # the pairs of its words find the rest
    short = LONG_NAME if said.phones or said.tails else 7 if said.site else 4
    if len(text) < 4 or (text.isalpha() and len(text) < short):
        return  # a name, beside what tells more
    near_texts.written(connection, text, found)
    _split(connection, text, found)


def _split(connection: Connection, text: str, found: Found) -> None:
    """Whose given and family name the text is made of, with up to two slips in it."""
    letters = "".join(filter(str.isalpha, text))
    if not 4 <= len(letters) <= 30:
        return
    cuts = [(letters[:at], letters[at:]) for at in range(2, len(letters) - 1)]
    near = _near_parts(connection, {part for cut in cuts for part in cut}, 1)
    # With two slips in one part there is none in the other.
    whole = {part for part, some in near.items() if some and some[0][0] == 0.0}
    far = {a for a, b in cuts if b in whole} | {b for a, b in cuts if a in whole}
    most = costs.ONE_SLIP if any(a in whole and b in whole for a, b in cuts) else 2 * costs.ONE_SLIP
    if most > costs.ONE_SLIP:
        near |= _near_parts(connection, {part for part in far if len(part) >= keys.FAR - 1}, 2)
    both = [(near[one], near[other]) for one, other in cuts if near[one] and near[other]]
    _pairs(connection, _likely_pairs(connection, both, most), costs.AS_ONE, found)


def _exact_split(connection: Connection, text: str, found: Found) -> None:
    """Whose given and family name the text is made of, without a slip: its blank is elsewhere."""
    if not 4 <= len(text) <= 30:
        return
    cuts = [(text[:at], text[at:]) for at in range(2, len(text) - 1)]
    known = index_asked.words(connection, {part for cut in cuts for part in cut})
    both = [([(0.0, known[one])], [(0.0, known[other])])
            for one, other in cuts if one in known and other in known]  # fmt: skip
    _pairs(connection, _likely_pairs(connection, both, 0.0), costs.AS_ONE, found)


def _near_parts(connection: Connection, parts: set[str], most: int) -> _Variants:
    """For each part of a text: the words with at most so many slips, the nearest first."""
    said = sorted(parts)
    known = index_asked.near(connection, said, most)
    if not said or not known:
        return {part: [] for part in said}
    numbers = {word: number for number, word in known}
    words = list(numbers)
    found: _Variants = {
        part: [(costs.ONE_SLIP * n, numbers[word]) for word, n in _slips(part, words, most).items()]
        for part in said
    }
    for near in found.values():
        near.sort()
    return found

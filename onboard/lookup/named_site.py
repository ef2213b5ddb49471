"""The drop site in what a caller said: by its name, with slips or in part; or the town they are from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from functools import lru_cache, partial
from itertools import pairwise
from math import log2

from rapidfuzz import process
from rapidfuzz.distance import OSA

from onboard.lookup.facts import bare
from onboard.tables import words as words_of

call_words = partial(words_of, "call_words")

# bits: a site by its name, by a part of it; words that could be a site's name and are none
LIKELY, PARTLY, POSSIBLE = 0.0, 1.0, 3.0
ELSEWHERE = 3.0  # the words after "from" are a place that we do not know
MOST_ALIKE = 3  # sites that are tried, where what was said is a part of the name of several
PLACE_WORDS = 3  # the longest name of a place that we do not know


def site_readings(
    chunks: list[str], sites: Collection[str], names: Collection[str] = ()
) -> Iterator[tuple[list[str], str, float]]:
    """(pieces left, site named, bits): first with the site that is named, then without one.

    `names` are words that stand where a last name does, and are of no site: "Viola Hall".
    """
    words = _in_full([bare(chunk) for chunk in chunks], sites)
    named = _named_site(words, sites) if sites else None
    if named:
        start, end, site, slips = named
        around = call_words("at") | call_words("of") | call_words("filler")
        around -= set(names)
        while start and len(words) > 3 and words[start - 1] in around:
            start -= 1
        left = chunks[:start] + chunks[end:]
        yield left, site, LIKELY + slips
        if slips == 0 and end - start > 1 and any(map(bare, left)):
            return  # "prairie hall", word for word: nobody is called that as well
    else:
        some = _partly_named(words, sites)
        for site in some if len(some) <= MOST_ALIKE else ():
            yield _without_site(chunks, words, site, names), site, PARTLY + log2(len(some))
        if left := _without_place(chunks, words):
            yield left, "", ELSEWHERE
    yield chunks, "", POSSIBLE if named else 0.0


def told_in_part(chunks: Sequence[str], sites: Collection[str]) -> list[tuple[str, float]]:
    """The sites of which two words or more were said, with the bits that each costs: "the church lot"."""
    words = _in_full([bare(chunk) for chunk in chunks], sites)
    some = [
        site
        for site in _partly_named(words, sites)
        if len(set(site.split()).intersection(words)) > 1
    ]
    return [(site, log2(len(some))) for site in some[:MOST_ALIKE]]


# What is written short in the name of a place, and in full on another list: Publication 28, Appendix C.
_SHORT = {"st": "saint", "saint": "st", "mt": "mount", "mount": "mt", "ft": "fort", "fort": "ft"}


def _in_full(words: list[str], sites: Collection[str]) -> list[str]:
    """The words as the drop sites are written: "st" is "saint" where the next word is of such a site, and
    so is "brigid" of "brigids"."""
    with_word = _sites_by_word(frozenset(sites))
    found = list(words)
    for at, (word, after) in enumerate(pairwise(words)):
        other = _SHORT.get(word, word)
        for behind in (after, f"{after}s"):
            site = next(iter(with_word.get(behind, ())), "")
            if word in _SHORT and (f"{word} {behind}" in site or f"{other} {behind}" in site):
                found[at : at + 2] = site[: site.index(behind)].split()[-1], behind
    return found


def _partly_named(words: Sequence[str], sites: Collection[str]) -> list[str]:
    """The sites of whose names most words were said: two, one behind "at", or one and nothing else; none
    if too few."""
    at = call_words("at") | call_words("of")
    with_word = _sites_by_word(frozenset(sites))
    telling = [word for word in words if word and word not in call_words("filler") | at]
    if len(telling) == 1:  # "Creekside", of Creekside Barn
        return with_word.get(telling[0], [])
    said = {word for word in words if word in with_word} - call_words("filler") - at
    behind = {word for before, word in pairwise(words) if before in at and word in said}
    counts = Counter(site for word in said for site in with_word[word])
    best = {
        site: count
        for site, count in counts.items()
        if count > 1 or not behind.isdisjoint(site.split())
    }
    most = max(best.values(), default=0)
    return sorted(site for site, count in best.items() if count == most)


@lru_cache(maxsize=4)
def _sites_by_word(sites: frozenset[str]) -> dict[str, list[str]]:
    """By each word of their names, the sites that have it."""
    found: dict[str, list[str]] = {}
    for site in sites:
        for word in set(site.split()):
            found.setdefault(word, []).append(site)
    return found


def _without_site(
    chunks: Sequence[str], words: Sequence[str], site: str, names: Collection[str]
) -> list[str]:
    """The pieces without the words of the site's name, and without those that lead to them."""
    parts, before = set(site.split()).difference(names), call_words("at") | call_words("of")
    left: list[str] = []
    gone = False
    for chunk, word in zip(reversed(chunks), reversed(words), strict=True):
        gone = word in parts or (gone and word in before)
        if not gone:
            left.append(chunk)
    return left[::-1]


def _without_place(chunks: Sequence[str], words: Sequence[str]) -> list[str]:
    """The pieces without the place that somebody is "from"; none if there is no such word."""
    at, idle = call_words("at"), call_words("filler") | call_words("and") | {""}
    for start in range(1, len(words)):
        if words[start] in at:
            end = start + 1
            while end < len(words) and end - start <= PLACE_WORDS and words[end] not in idle:
                end += 1
            return [*chunks[:start], *chunks[end:]] if end > start + 1 else []
    return []


@lru_cache(maxsize=4)
def _site_book(sites: frozenset[str]) -> tuple[dict[str, str], int]:
    """The sites by their names without blanks, and the words of the longest."""
    longest = max((site.count(" ") + 1 for site in sites), default=0)
    return {site.replace(" ", ""): site for site in sites}, longest


def named_exactly(chunks: Sequence[str], sites: Collection[str]) -> tuple[int, int, str] | None:
    """(start, end, site) of the pieces that name a site of two words or more, word for word."""
    words = _in_full([bare(chunk) for chunk in chunks], sites)
    named = _exactly(words, sites) if sites else None
    return named if named and named[1] - named[0] > 1 else None


def _named_site(words: Sequence[str], sites: Collection[str]) -> tuple[int, int, str, float] | None:
    """(start, end, site, bits) of the words that name a site, with no slip or with a few."""
    if exactly := _exactly(words, sites):
        return (*exactly, 0.0)
    whole, longest = _site_book(frozenset(sites))
    spans = _spans(words, longest)
    best: tuple[float, int, int, str] | None = None
    for start, end in spans:
        joined = "".join(words[start:end])
        slips = len(joined) // (4 if end - start > 1 else 6)
        if not slips or (end - start == 1 and start == 0):
            continue
        found = process.extractOne(
            joined, whole.keys(), scorer=OSA.distance, score_cutoff=min(slips, 2)
        )
        if found and (best is None or found[1] < best[0]):
            best = (found[1], start, end, whole[found[0]])
    if best:
        return best[1], best[2], best[3], best[0]
    return None


def _exactly(words: Sequence[str], sites: Collection[str]) -> tuple[int, int, str] | None:
    whole, longest = _site_book(frozenset(sites))
    for start, end in _spans(words, longest):
        if site := whole.get("".join(words[start:end])):
            return start, end, site
    return None


def _spans(words: Sequence[str], longest: int) -> list[tuple[int, int]]:
    """The places of up to so many words that stand together, the longest first."""
    return [
        (start, start + length)
        for length in range(min(longest, len(words)), 0, -1)
        for start in range(len(words) - length + 1)
        if words[start] and words[start + length - 1]
    ]

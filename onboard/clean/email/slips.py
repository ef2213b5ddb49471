"""Likely slips of well-known mail domains: told from the fingers, not from a list of slips."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from rapidfuzz import process
from rapidfuzz.distance import OSA

from onboard.clean.email.providers import Provider, endings, honest, providers
from onboard.tables import rows


@cache
def _touching() -> frozenset[tuple[str, str]]:
    """Pairs of keys that touch on a US keyboard."""
    return frozenset((key, other) for key, touches in rows("keyboard") for other in touches)


# look alike or sound alike
_ALIKE = frozenset(
    pair
    for a, b in ("il", "l1", "i1", "o0", "sz", "ck", "cs", "vb", "iy", "uv", "nm", "fv", "gq")
    for pair in ((a, b), (b, a))
)
_VOWELS = frozenset("aeiou")

_SWAP = 0.7  # two neighbours swapped, or a key beside the one meant
_DROP = 0.8  # a letter left out, a stray letter, a vowel for a vowel
_DOUBLE = 0.5  # a letter doubled that is single, or the other way
_OTHER = 1.2  # any other letter


def _substituted(typed: str, meant: str) -> float:
    if typed == meant:
        return 0.0
    if (typed, meant) in _ALIKE or (typed, meant) in _touching():
        return _SWAP
    if typed in _VOWELS and meant in _VOWELS:
        return _DROP
    return _OTHER


def slip_cost(typed: str, meant: str) -> float:
    """How unlikely it is that fingers write `typed` when they mean `meant`; 0 if equal.

    An optimal-string-alignment distance in which a slip costs the less the commoner it is:
    a doubled letter, a key beside the one meant, two letters swapped, a letter dropped.

    >>> slip_cost("gmial", "gmail") < slip_cost("gmaxl", "gmail")
    True
    """
    before: list[float] = []
    row = [0.0]
    for j, letter in enumerate(meant):
        row.append(row[j] + (_DOUBLE if j and letter == meant[j - 1] else _DROP))
    for i, key in enumerate(typed, 1):
        doubled = i > 1 and key == typed[i - 2]
        now = [row[0] + (_DOUBLE if doubled else _DROP)]
        for j, letter in enumerate(meant, 1):
            missed = _DOUBLE if j > 1 and letter == meant[j - 2] else _DROP
            best = min(
                # the key before struck again in place of the next, "yahho", is a dropped letter
                row[j - 1] + min(_substituted(key, letter), _DROP if doubled else _OTHER),
                row[j] + (_DOUBLE if doubled else _DROP),
                now[j - 1] + missed,
            )
            if i > 1 and j > 1 and key == meant[j - 2] and typed[i - 2] == letter:
                best = min(best, before[j - 2] + _SWAP)
            now.append(best)
        before, row = row, now
    return row[-1]


# the endings that people take for one another, whatever the name before them
_MIXED_UP = frozenset(
    {
        "com",
        "net",
        "org",
        "co",
        "cm",
        "om",
        "us",
        "info",
        "biz",
        "edu",
        "gov",
        "cc",
        "tv",
        "me",
        "io",
    }
)
# what a web page's address begins with; no provider gives out mailboxes below these
_WEB_START = re.compile(r"w{1,4}|https?|e?mail|m|mobile|login")
# a country behind a great provider's name: those that give out such mailboxes are known
_ABROAD = re.compile(r"com?\.[a-z]{2}")
# the endings that most members' own domains have; a slip in one of these can be told
COMMON = ("com", "net", "org", "edu", "gov")


@cache
def targets() -> dict[str, Provider]:
    """The domains that slips are aimed at."""
    return {p.domain: p for p in providers().values() if p.reach >= 2}


@cache
def _by_name() -> dict[str, Provider]:
    """The provider that a bare name most likely means."""
    best: dict[str, Provider] = {}
    for provider in targets().values():
        known = best.get(provider.name)
        if known is None or known.reach < provider.reach:
            best[provider.name] = provider
    return best


def _wrong_ending(name: str, ending: str) -> str:
    """The domain meant by a provider's name under another ending, or ""."""
    provider = _by_name().get(name)
    if provider is None or ending not in _MIXED_UP:
        twice = provider and provider.reach >= 3 and ending in ("co.com", "com.com", "com.co")
        abroad = provider and provider.reach == 4 and _ABROAD.fullmatch(ending)
        return provider.domain if provider and (twice or abroad) else ""
    if {ending, provider.ending} == {"com", "net"}:
        return provider.domain if provider.reach >= 3 else ""
    distinct = not provider.word and len(name) >= 4
    return provider.domain if distinct and provider.reach >= 3 else ""


def _allowed(provider: Provider, typed: str, exists: bool) -> float:
    """The cost up to which `typed` counts as a slip for that provider's domain.

    Short names and plain words are near too many honest domains, so there only slips in the
    ending count. Where the ending typed does not exist at all, nobody can be wronged and
    more is allowed.
    """
    name = provider.name
    if typed.startswith(name + "."):
        if (
            exists
            and len(name) < (7 if provider.word else 3)
            and not typed.endswith((".cm", ".om"))
        ):
            return 0.0  # Cameroon and Oman are met as slips of com only
        return _OTHER if exists else 1.7
    slipped = (".cm", ".om", ".co") if provider.reach == 4 else (".cm", ".om")
    more = 0.0 if exists and not typed.endswith(slipped) else 0.9
    if len(name) <= 2 or (provider.word and len(name) <= 5):
        return 0.0
    if len(name) <= 4:
        return _allowed_of_short(provider, typed.partition(".")[0]) + more
    if provider.word and len(name) <= 6:
        return _DROP + more
    if len(name) <= 7:  # any one letter, whichever it is: "gmaxl.com"
        return _OTHER + more
    return 1.5 + more


def _allowed_of_short(provider: Provider, typed: str) -> float:
    """The same for a name of three or four letters. Nearly every name of three letters is
    somebody's, so of those only what fingers do: a key beside, a letter too many. Any one letter for
    the great providers, as whoever writes from such a name is much rarer than one of theirs, and is only asked."""
    name = provider.name
    if provider.reach >= 3 and len(name) == 3 and len(typed) in (2, 3):
        return _OTHER if len(typed) == 3 else _DROP
    if provider.reach == 4 and name.startswith(typed):
        return _DROP  # cut short
    if provider.reach >= 3 and len(typed) > len(name):
        return _DROP
    if set(typed) - set(provider.domain) and provider.reach < 3:
        return 0.0  # no other letters
    return _SWAP


def _nearest(domain: str, exists: bool) -> str:
    """The target that fingers most likely missed, or "" if none is near enough."""
    best = (9.0, 0, "")
    for target, _, _ in process.extract(
        domain, list(targets()), scorer=OSA.distance, score_cutoff=3, limit=None
    ):
        provider = targets()[target]
        cost = slip_cost(domain, target)
        if sorted(domain) == sorted(target) and domain[0] == target[0]:
            cost = min(cost, 0.9)  # the right letters in another order: "icould.com"
        if cost <= _allowed(provider, domain, exists):
            best = min(best, (cost, -provider.reach, target))
    return best[2]


def _nearest_elsewhere(name: str, ending: str) -> str:
    """The .net provider meant by a mistyped name under .com, "belsouth.com", or ""."""
    meant = _nearest(f"{name}.net", exists=True) if ending == "com" else ""
    provider = targets().get(meant)
    sure = provider and provider.reach >= 3 and not provider.word and len(provider.name) >= 7
    return meant if sure and slip_cost(name, meant.partition(".")[0]) <= _DROP else ""


def _after_www(domain: str) -> str:
    """The provider's domain after the start of a web page's, "www.gmail.com", or ""."""
    start, dot, rest = domain.partition(".")
    if not dot or "." not in rest or not _WEB_START.fullmatch(start):
        return ""
    return rest if rest in providers() else _nearest(rest, rest.rpartition(".")[2] in endings())


@lru_cache(maxsize=8_192)
def suggestion(domain: str) -> str:
    """The well-known domain that `domain` is likely a slip of, or "".

    `domain` in small letters. Domains of known providers and reserved domains are never
    taken for slips; a suggestion is to be asked about, never acted on, as the domain typed
    may well exist.

    >>> suggestion("gmial.com"), suggestion("verizon.com"), suggestion("ymail.com")
    ('gmail.com', 'verizon.net', '')
    >>> suggestion("parish.ogr")
    'parish.org'
    """
    if domain in providers() or not domain.isascii() or len(domain) > 40:
        return ""
    name, _, ending = domain.partition(".")
    last = domain.rpartition(".")[2]
    exists = last in endings() and "." in domain
    if exists and name in honest():
        return ""
    for meant in (
        _after_www(domain),
        _nearest(domain, exists),
        _wrong_ending(name, ending),
        _nearest_elsewhere(name, ending),
    ):
        if meant:
            return meant
    if "." in domain and not exists:
        costs = [(slip_cost(last, common), common) for common in COMMON]
        cost, common = min(costs)
        if cost <= _DROP and len(last) >= 2:
            return f"{domain.rpartition('.')[0]}.{common}"
    return ""

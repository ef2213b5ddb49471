"""What a caller said, read: names, mailboxes, phones, a drop site, a ZIP, in whatever order.

A text can often be read in more than one way ("Mary Hill" is a person, or Mary at the site named
Hill). `read` gives every reading that is worth a try; whoever weighs candidates takes for each
the reading that suits it best, at the price of its `unsure`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import pairwise
from math import log2

from anyascii import anyascii
from rapidfuzz import process
from rapidfuzz.distance import OSA

from onboard import tables
from onboard.lookup.facts import bare
from onboard.match import folds

LONGEST = 400  # characters that are read; nobody says more of who they are
MOST_WORDS = 8


@dataclass(frozen=True, slots=True)
class Said:
    """One reading of what a caller said; all texts are folded."""

    words: tuple[str, ...] = ()  # of names, in their order; may be one letter
    together: bool = False  # two people are named: "Ana and Ben Ruiz"
    family_first: bool = False  # "Ruiz, Ana"
    raws: tuple[str, ...] = ()  # the words as they were typed, digits and signs and all
    whole: str = ""  # all of it, if it could be a handle or the local part of a mailbox
    as_one: bool = False  # and was written without a blank
    emails: tuple[tuple[str, str], ...] = ()  # local part, domain
    phones: tuple[str, ...] = ()  # digits, seven or more
    tails: tuple[str, ...] = ()  # four digits: the end of a phone, mostly
    zips: tuple[str, ...] = ()
    number: str = ""  # of a house
    street: tuple[str, ...] = ()
    site: str = ""  # folded
    unsure: float = 0.0  # bits that this reading costs beside the plainest one


def read(text: str, sites: Collection[str] = (), *, site: str = "") -> tuple[Said, ...]:
    """The readings of a text, the plainest first; never none, and never raises.

    `sites` are the folded names of all drop sites, `site` is the one that is known already.

    >>> read("Hi this is Jeaanne Benack from Prairie Hall", {"prairie hall"})[0]
    ... # doctest: +ELLIPSIS
    Said(words=('jeaanne', 'benack'), ... site='prairie hall', unsure=0.0)
    >>> read("Cutten 7629")[0].tails
    ('7629',)
    """
    rest = " " + " ".join(anyascii(_visible(text[:LONGEST])).lower().split())[:LONGEST] + " "
    rest = _provider_apart(_without_sign().sub(r" \1@\2", _with_one_sign(rest)))
    rest, emails = _take_emails(rest)
    rest = _ZIP4.sub(r"\1 ", rest)
    rest, phones = _take_phones(rest)
    contact = Said(emails=emails, phones=phones, site=site)
    named = _street().search(rest)
    readings = _readings(contact, rest, named, sites)
    if not named and (maybe := _street_alone().search(rest)):
        readings += [
            replace(one, unsure=one.unsure + NO_WAY)
            for one in _readings(contact, rest, maybe, sites)
        ]
    joined = [one for one in map(_particles_joined, readings) if one]
    return tuple(dict.fromkeys(readings + joined))


def _readings(
    contact: Said, rest: str, home: re.Match[str] | None, sites: Collection[str]
) -> list[Said]:
    """The readings of what is left beside mailboxes and phones, if `home` is the street."""
    street = ""
    if home:
        street = home[2]
        rest = rest.replace(home[0], " ", 1)
    tails, zips, rest = _take_numbers(rest)
    plain = replace(
        contact, family_first=bool(_FAMILY_FIRST.match(rest)), tails=tails, zips=zips,
        number=home[1] if home else "",
        street=tuple(word for word in street.split() if word not in _ways()),
    )  # fmt: skip
    readings: list[Said] = []
    for left, named, unsure in _site_readings(_chunks(rest), sites):
        site = plain.site or named
        reading = _with_words(plain, left)
        readings.append(replace(reading, site=site, unsure=unsure))
        if not named or unsure == 0.0:  # not for each of several sites
            for run in _runs(left) if len(reading.words) > 2 else ():
                alone = replace(_with_words(plain, run), site=site)
                if all(one.words != alone.words for one in readings):
                    readings.append(replace(alone, unsure=unsure + IN_TALK))
    return readings


def _visible(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)


# ---------------------------------------------------------------- mailboxes, phones, numbers

_LOCAL = r"[a-z0-9][a-z0-9._%+'-]*"
_EMAIL = re.compile(rf"({_LOCAL})\s?@\s?([a-z0-9][a-z0-9.-]*)")


@cache
def _spoken() -> re.Pattern[str]:
    """ "pat dot lee at example dot org", as far as its end is sure to be a domain."""
    dot = "|".join(_words("dot"))
    sign = "|".join(_words("sign"))
    return re.compile(
        rf" ((?:{_LOCAL} (?:{dot}) )*{_LOCAL}) [(\[]?(?:{sign})[)\]]? "
        rf"([a-z0-9-]+(?:(?:\.| (?:{dot}) )[a-z0-9-]+)+)(?=[ ,;.!?])"
    )


def _take_emails(text: str) -> tuple[str, tuple[tuple[str, str], ...]]:
    found: list[tuple[str, str]] = []
    dots = re.compile(rf" (?:{'|'.join(_words('dot'))}) ")
    for spoken in _spoken().finditer(text):
        local, domain = (dots.sub(".", part) for part in spoken.groups())
        if "." in domain.strip("."):
            found.append((local, domain.strip(".-")))
    if found:
        text = _spoken().sub(" ", text)
    found += [(local.strip(".'"), domain.strip(".-")) for local, domain in _EMAIL.findall(text)]
    return _EMAIL.sub(" ", text), tuple(dict.fromkeys(found))


_CHUNK_OF_SIGNS = re.compile(r"\S*@\S*@\S*")


def _with_one_sign(text: str) -> str:
    """The text with the last "@" of a mailbox only: of "pat@lee@example.org" the other is a slip."""

    def last(one: re.Match[str]) -> str:
        local, _, domain = one[0].strip("@").rpartition("@")
        return f"{local.replace('@', '')}@{domain}" if local else domain

    return _CHUNK_OF_SIGNS.sub(last, text)


_PROVIDER_WORDS = frozenset(["gmail", "yahoo", "hotmail", "outlook", "icloud"])  # no other words


@cache
def _large_providers() -> dict[str, str]:
    """The domains of large providers by the word that people say for them: "gmail" for gmail.com."""
    large = [domain for domain, reach, *_ in tables.rows("mail_providers") if int(reach) > 2]
    return {domain.partition(".")[0]: domain for domain in large}


@cache
def _apart() -> re.Pattern[str]:
    """ "patlee7 gmail.com", "patlee at gmail", "patlee7 gmail com": a large provider behind a blank."""
    sign, dot = "|".join(_words("sign")), "|".join(_words("dot"))
    ends = "|".join({domain.partition(".")[2] for domain in _large_providers().values()})
    names = "|".join(_large_providers())
    return re.compile(
        rf" ((?:{_LOCAL} (?:{dot}) )*{_LOCAL}),?(?: ({sign}))? ({names})((?:\.| | (?:{dot}) )(?:{ends}))?(?=[.,;!?]* )"
    )


def _provider_apart(text: str) -> str:
    """The text with an "@" before a large provider that stands by itself, if a mailbox is before it.

    What is before it may be a name as well ("Pat Lee, gmail.com"): it is taken for a mailbox where
    it holds what few names hold, or where nothing else is said. "Charter" and the like are words
    too: without their end they stay.
    """

    def joined(one: re.Match[str]) -> str:
        local, sign, provider, end = one.groups()
        idle = _words("filler") | _words("at") | _words("of")
        if not end and provider not in _PROVIDER_WORDS:
            return one[0]
        if local in idle:  # "my mail is gmail.com"
            return f" {local}" if end else one[0]
        alone = not set(text.replace(one[0], " ", 1).split()) - idle
        if not local.isalpha() or (sign and end) or (alone and (sign or end)):
            local = re.sub(rf" (?:{'|'.join(_words('dot'))}) ", ".", local)
            return f" {local}@{_large_providers()[provider]}"
        return f" {local}" if sign or end else one[0]

    return _apart().sub(joined, text)


@cache
def _without_sign() -> re.Pattern[str]:
    """ "patlee7gmail.com", "pat.lee.gmail.com": what ends in the domain of a large provider is a mailbox."""
    domain = "|".join(map(re.escape, _large_providers().values()))
    return re.compile(
        rf" (?!(?:www\.)?(?:{domain})[ ,;.!?])([a-z0-9][a-z0-9._%+'-]*?)\.?({domain})(?=[.,;!?]* )"
    )


_PHONE = re.compile(
    r"(?<![a-z0-9._@-])"
    r"(?:\+?1[ .-]*)?(?:\(\d{3}\)|\d{3})[ ./-]*\d{3}[ .-]*\d{4}(?![0-9])"  # NANP
    r"|(?<![a-z0-9._@-])\d{3}[ .-]?\d{4}(?![0-9])"  # its last seven
    r"|(?<![a-z0-9._@-])\+?\d(?:[ ().-]?\d){6,14}(?![0-9])"  # a digit too few or too many, or abroad
)
_EXTENSION = re.compile(r"\b(?:ext|extension|x)\.? ?\d{1,5}\b")
_FAMILY_FIRST = re.compile(r" [a-z' -]+, ?[a-z][a-z.' -]* $")


def _take_phones(text: str) -> tuple[str, tuple[str, ...]]:
    found = []

    def take(one: re.Match[str]) -> str:
        digits = "".join(filter(str.isdigit, one[0]))
        found.append(digits[1:] if len(digits) == 11 and digits[0] == "1" else digits)
        return " "

    rest = _PHONE.sub(take, text)
    return (_EXTENSION.sub(" ", rest) if found else rest), tuple(dict.fromkeys(found))


@cache
def _ways() -> frozenset[str]:
    return frozenset(folds.STREET_WORDS) | frozenset(folds.STREET_WORDS.values())


@cache
def _street() -> re.Pattern[str]:
    """ "12 n main st": a number, up to four words, and a word for what a street is."""
    way = "|".join(
        sorted(_ways() - {"n", "s", "e", "w", "ne", "nw", "se", "sw"}, key=len, reverse=True)
    )
    return re.compile(rf" (\d{{1,5}}[a-z]?) ((?:[a-z0-9']+ ){{1,4}}?(?:{way}))\b")


NO_WAY = 2.0  # bits: a street is named without a word for what it is


@cache
def _street_alone() -> re.Pattern[str]:
    """ "12 thistledown", "2423 e furrow": a number and one word that says something."""
    way, idle = ("|".join(sorted(some)) for some in (_ways(), _words("filler") | _words("at")))
    return re.compile(
        rf" ([1-9]\d{{0,4}}) ((?:(?:{way}) )?(?!(?:{way}|{idle})\b)[a-z']{{3,}})(?= )"
    )


_NUMBER = re.compile(r"(?<![a-z0-9._-])(\d{4,6})(?![a-z0-9._-]*[a-z0-9])")
_ZIP4 = re.compile(r"(?<![0-9-])(\d{5})-\d{4}(?![0-9-])")


def _take_numbers(text: str) -> tuple[tuple[str, ...], tuple[str, ...], str]:
    tails: list[str] = []
    zips: list[str] = []
    for digits in _NUMBER.findall(text):
        (zips if len(digits) == 5 else tails).append(digits)
    return tuple(tails), tuple(zips), _NUMBER.sub(" ", text)


# ---------------------------------------------------------------- words


@cache
def _words(kind: str) -> frozenset[str]:
    return frozenset(word for of, word, *_ in tables.rows("call_words") if of == kind)


_SIGNS = re.compile(r"['’`´]")
_WORD = re.compile(r"[a-z0-9]+|[,&+/]")


def _chunks(text: str) -> list[str]:
    """The text in pieces without blanks; a sign between two people stands alone."""
    text = _SIGNS.sub("", text)
    for sign in ",&/;":
        text = text.replace(sign, f" {sign} ")
    return [chunk.strip('"()[]<>!?:*#') for chunk in text.split()]


def _with_words(plain: Said, chunks: Sequence[str]) -> Said:
    """The reading with these pieces as its words."""
    fillers, joins = _words("filler"), _words("and")
    together = False
    kept: list[str] = []
    telling = [chunk for chunk in chunks if bare(chunk)]
    more = bool(plain.emails or plain.phones or plain.zips or plain.street)
    idle = fillers | _words("at") if len(telling) > 2 or more else frozenset()
    for chunk, after in zip(chunks, [*chunks, ""][1:], strict=True):
        if chunk in ("&", "/") or (chunk in joins and len(telling) > 2):
            together = together or bool(kept and after and after not in idle)
        elif bare(chunk) and chunk not in idle:
            kept.append(chunk)
    while len(kept) > 1 and kept[-1] in joins | _words("of"):
        kept.pop()  # "Ana Ruiz del sitio …"
    if not kept and not more:
        kept = telling
    pairs = [
        (word, chunk)
        for chunk in kept
        for part in _WORD.findall(chunk)
        if (word := _letters(part)[: folds.LONGEST // 3])
    ][:MOST_WORDS]
    as_one = len(kept) == 1
    whole = kept[0].strip(".@_-") if as_one else "".join(map(bare, kept)) if len(kept) < 4 else ""
    return replace(
        plain, words=tuple(word for word, _ in pairs), raws=tuple(raw for _, raw in pairs),
        together=together, as_one=as_one,
        whole="" if together else whole[: folds.LONGEST // 2],
    )  # fmt: skip


IN_TALK = 4.0  # bits: all words of a sentence but these two or three are no names
MOST_RUNS = 2


def _runs(chunks: Sequence[str]) -> list[list[str]]:
    """Two to four pieces that stand together between words that say nothing, in a sentence."""
    idle = _words("filler") | _words("at")
    if idle.isdisjoint(chunks):
        return []
    runs: list[list[str]] = [[]]
    for chunk in chunks:
        if (bare(chunk) and chunk not in idle) or chunk in ("&", "/"):
            runs[-1].append(chunk)
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if 2 <= len(run) <= 4][:MOST_RUNS]


def _letters(word: str) -> str:
    """The word without a number behind it, as handles have."""
    return word.rstrip("0123456789")


def _particles_joined(said: Said) -> Said | None:
    """The reading in which "de la Cruz" is one word, if there is anything of the kind."""
    if len(said.words) < 2 or not any(word in folds.PARTICLES for word in said.words[:-1]):
        return None
    given = () if said.words[0] in folds.PARTICLES else said.words[:1]
    words = (*given, *folds.family_name(" ".join(said.words[len(given) :]))[0].split())
    if words == said.words:
        return None
    return replace(said, words=words, raws=words, unsure=said.unsure + 0.5)


# ---------------------------------------------------------------- drop sites

# bits: a site by its name, by a part of it; words that could be a site's name and are none
LIKELY, PARTLY, POSSIBLE = 0.0, 1.0, 3.0
ELSEWHERE = 3.0  # the words after "from" are a place that we do not know
MOST_ALIKE = 3  # sites that are tried, where what was said is a part of the name of several
PLACE_WORDS = 3  # the longest name of a place that we do not know


def _site_readings(
    chunks: list[str], sites: Collection[str]
) -> Iterator[tuple[list[str], str, float]]:
    """(pieces left, site named, bits): first with the site that is named, then without one."""
    words = [bare(chunk) for chunk in chunks]
    named = _named_site(words, sites) if sites else None
    if named:
        start, end, site, slips = named
        around = _words("at") | _words("of") | _words("filler")
        while start and len(words) > 3 and words[start - 1] in around:
            start -= 1
        left = chunks[:start] + chunks[end:]
        yield left, site, LIKELY + slips
        if slips == 0 and end - start > 1 and any(map(bare, left)):
            return  # "prairie hall", word for word: nobody is called that as well
    else:
        some = _partly_named(words, sites)
        for site in some if len(some) <= MOST_ALIKE else ():
            yield _without_site(chunks, words, site), site, PARTLY + log2(len(some))
        if left := _without_place(chunks, words):
            yield left, "", ELSEWHERE
    yield chunks, "", POSSIBLE if named else 0.0


def _partly_named(words: Sequence[str], sites: Collection[str]) -> list[str]:
    """The sites of whose names most words were said: two, or one behind "at"; none if too few."""
    at = _words("at") | _words("of")
    with_word = _sites_by_word(frozenset(sites))
    said = {word for word in words if word in with_word} - _words("filler") - at
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


def _without_site(chunks: Sequence[str], words: Sequence[str], site: str) -> list[str]:
    """The pieces without the words of the site's name, and without those that lead to them."""
    parts, before = set(site.split()), _words("at") | _words("of")
    left: list[str] = []
    gone = False
    for chunk, word in zip(reversed(chunks), reversed(words), strict=True):
        gone = word in parts or (gone and word in before)
        if not gone:
            left.append(chunk)
    return left[::-1]


def _without_place(chunks: Sequence[str], words: Sequence[str]) -> list[str]:
    """The pieces without the place that somebody is "from"; none if there is no such word."""
    at, idle = _words("at"), _words("filler") | _words("and") | {""}
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


def _named_site(words: Sequence[str], sites: Collection[str]) -> tuple[int, int, str, float] | None:
    """(start, end, site, bits) of the words that name a site, with no slip or with a few."""
    whole, longest = _site_book(frozenset(sites))
    spans = [
        (start, start + length)
        for length in range(min(longest, len(words)), 0, -1)
        for start in range(len(words) - length + 1)
        if words[start] and words[start + length - 1]
    ]
    for start, end in spans:
        if site := whole.get("".join(words[start:end])):
            return start, end, site, 0.0
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

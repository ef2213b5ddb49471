"""What a caller said, read: names, mailboxes, phones, a drop site, a ZIP, in whatever order.

A text can often be read in more than one way ("Mary Hill" is a person, or Mary at the site named
Hill). `read` gives every reading that is worth a try; whoever weighs candidates takes for each
the reading that suits it best, at the price of its `unsure`.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import partial

from anyascii import anyascii

from onboard.lookup import contacts
from onboard.lookup.facts import bare
from onboard.lookup.named_site import site_readings
from onboard.match import folds
from onboard.tables import words as words_of

call_words = partial(words_of, "call_words")

LONGEST = 400  # characters that are read; nobody says more of who they are
MOST_WORDS = 8
MOST_RUNS = 2
IN_TALK = 4.0  # bits: all words of a sentence but these two or three are no names
NO_WAY = 2.0  # bits: a street is named without a word for what it is
_FAMILY_FIRST = re.compile(r" [a-z' -]+, ?[a-z][a-z.' -]* $")


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
    talk: tuple[str, ...] = ()  # further words, taken for no names: they could be somebody else's


def read(text: str, sites: Collection[str] = (), *, site: str = "") -> tuple[Said, ...]:
    """The readings of a text, the plainest first; never none, and never raises.

    `sites` are the folded names of all drop sites, `site` is the one that is known already.

    >>> read("Hi this is Jeaanne Benack from Prairie Hall", {"prairie hall"})[0]
    ... # doctest: +ELLIPSIS
    Said(words=('jeaanne', 'benack'), ... site='prairie hall', unsure=0.0, talk=())
    >>> read("Cutten 7629")[0].tails
    ('7629',)
    """
    rest = " " + " ".join(anyascii(_visible(text[:LONGEST])).lower().split())[:LONGEST] + " "
    rest, emails = contacts.take_emails(rest)
    rest, phones = contacts.take_phones(rest)
    contact = Said(emails=emails, phones=phones, site=site)
    named = contacts.street().search(rest)
    readings = _readings(contact, rest, named, sites)
    if not named and (maybe := contacts.street_alone().search(rest)):
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
    rest, tails, zips = contacts.take_numbers(rest)
    plain = replace(
        contact, family_first=bool(_FAMILY_FIRST.match(rest)), tails=tails, zips=zips,
        number=home[1] if home else "",
        street=tuple(word for word in street.split() if word not in contacts.ways()),
    )  # fmt: skip
    readings: list[Said] = []
    for left, named, unsure in site_readings(_chunks(rest), sites):
        site = plain.site or named
        reading = _with_words(plain, left)
        readings.append(replace(reading, site=site, unsure=unsure))
        if not named or unsure == 0.0:  # not for each of several sites
            for run in _runs(left) if len(reading.words) > 2 else ():
                alone = replace(_with_words(plain, run), site=site)
                if all(one.words != alone.words for one in readings):
                    talk = tuple(word for word in reading.words if word not in alone.words)
                    readings.append(replace(alone, unsure=unsure + IN_TALK, talk=talk))
    return readings


def _visible(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)


# ---------------------------------------------------------------- words


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
    fillers, joins = call_words("filler"), call_words("and")
    together = False
    kept: list[str] = []
    telling = [chunk for chunk in chunks if bare(chunk)]
    more = bool(plain.emails or plain.phones or plain.zips or plain.street)
    idle = fillers | call_words("at") if len(telling) > 2 or more else frozenset()
    for chunk, after in zip(chunks, [*chunks, ""][1:], strict=True):
        if chunk in ("&", "/") or (chunk in joins and len(telling) > 2):
            together = together or bool(kept and after and after not in idle)
        elif bare(chunk) and chunk not in idle:
            kept.append(chunk)
    while len(kept) > 1 and kept[-1] in joins | call_words("of"):
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


def _runs(chunks: Sequence[str]) -> list[list[str]]:
    """Two to four pieces that stand together between words that say nothing, in a sentence."""
    idle = call_words("filler") | call_words("at")
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

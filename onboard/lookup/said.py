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
from itertools import pairwise

from anyascii import anyascii

from onboard.lookup import aloud, contacts, sentence
from onboard.lookup import speaker as speaker_of
from onboard.lookup.facts import bare
from onboard.lookup.generation import generation
from onboard.lookup.named_site import named_exactly, site_readings, told_in_part
from onboard.lookup.relative import by_title
from onboard.lookup.sentence import Token
from onboard.lookup.speaker import speaker
from onboard.match import folds
from onboard.tables import words as words_of

call_words = partial(words_of, "call_words")

LONGEST = 1200  # characters that are read; nobody says more of who they are
MOST_WORDS = 8
MOST_JOINED = 4
TWO_NAMES = 2  # words, beside which nothing else was said
NO_SITE_MEANT = 3.0  # bits: two words of a drop site's name are said by the way
THEIR_OWN = 3.0  # bits: a mailbox or phone is that of who speaks for another
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
    told: tuple[Token, ...] = ()  # the words of a sentence, each with what it weighs as a name
    joined: tuple[str, ...] = ()  # words of it that may be one name, as one: "rod key"
    generation: str = ""  # "jr", "sr"
    for_another: bool = False  # who speaks is not who is meant
    says_own_name: bool = True  # who speaks says that they are who is meant
    relative: str = ""  # "wife": who is meant is that of the one who gives their own name
    called: tuple[str, ...] = ()  # the relative's first name
    of_their_need: bool = False  # what a third person needs, or what is theirs, is spoken of


def read(text: str, sites: Collection[str] = (), *, site: str = "") -> tuple[Said, ...]:
    """The readings of a text, the plainest first; never none, and never raises.

    `sites` are the folded names of all drop sites, `site` is the one that is known already.

    >>> read("Hi this is Jeaanne Benack from Prairie Hall", {"prairie hall"})[0]
    ... # doctest: +ELLIPSIS
    Said(words=('jeaanne', 'benack'), ... site='prairie hall', unsure=0.0, ...)
    >>> read("Cutten 7629")[0].tails
    ('7629',)
    """
    written, spelled = aloud.with_words(aloud.with_digits(_visible(anyascii(text[:LONGEST]))))
    plain = " " + " ".join(written.lower().split())[:LONGEST] + " "
    # Two names are no sentence; and to know what is everyday talk takes a while.
    is_more = len(plain.split()) > TWO_NAMES
    found = sentence.tokens(written[:LONGEST], spelled) if is_more else ()
    fillers = call_words("filler")
    names = {one.word for one in found if one.is_last or (one.is_name and one.word in fillers)}
    readings: list[Said] = []
    for rest, emails in contacts.mailboxes(plain):
        rest, phones = contacts.take_phones(rest)
        contact = Said(emails=emails, phones=phones, site=site)
        told = _sentences(contact, rest, found, sites)
        if len(found) <= sentence.SHORT or not told:
            who = told[0] if told else speaker(found) if by_title(found) else contact
            contact = replace(
                contact, for_another=who.for_another, says_own_name=who.says_own_name,
                relative=who.relative, called=who.called, of_their_need=who.of_their_need,
                generation=generation(found),
            )  # fmt: skip
            readings += _lists(contact, rest, sites, names)
        readings += told
    return tuple(dict.fromkeys(readings))


def _lists(contact: Said, rest: str, sites: Collection[str], names: Collection[str]) -> list[Said]:
    """The readings of a text that is hardly more than names, numbers and a place; `names` are
    words that stand where a name does, whatever else they mean."""
    named = contacts.street().search(rest)
    readings = _readings(contact, rest, named, sites, names)
    if not named and (maybe := contacts.street_alone().search(rest)):
        readings += [
            replace(one, unsure=one.unsure + NO_WAY)
            for one in _readings(contact, rest, maybe, sites, names)
        ]
    readings += [one for one in map(_particles_joined, readings) if one]
    return [one for one in map(_with_generation, readings) if one] + readings


def _sentences(
    contact: Said, rest: str, found: Sequence[Token], sites: Collection[str]
) -> list[Said]:
    """The text as a sentence; none if it is two names at most."""
    ends = contacts.short_ends(rest)
    rest, tails, zips = contacts.take_numbers(rest)
    chunks = _chunks(rest)
    named = named_exactly(chunks, sites)
    left = chunks[: named[0]] + chunks[named[1] :] if named else chunks
    told = _left(found, [word for chunk in left for word in _LETTERS_OR_DIGITS.findall(chunk)])
    if (
        sum(one.is_name or one.word not in call_words("filler") for one in told) <= TWO_NAMES
        and len(told) <= TWO_NAMES + 1
    ):
        return []
    who = speaker(told)
    told = speaker_of.weighed(told, who)
    words = _telling(told)
    reading = replace(
        contact, words=words, raws=words, told=told, joined=_joined(told), tails=(*tails, *ends), zips=zips,
        site=contact.site or (named[2] if named else ""), generation=generation(told),
        for_another=who.for_another, says_own_name=who.says_own_name,
        relative=who.relative, called=who.called, of_their_need=who.of_their_need,
    )  # fmt: skip
    readings = [reading]
    if not reading.site and (in_part := told_in_part(chunks, sites)):
        readings = [
            *(replace(reading, site=site, unsure=bits) for site, bits in in_part),
            replace(reading, unsure=NO_SITE_MEANT),
        ]
    if who.for_another and (contact.emails or contact.phones):
        # The mailbox and the phone may be those of who speaks.
        readings += [
            replace(one, emails=(), phones=(), unsure=one.unsure + THEIR_OWN) for one in readings
        ]
    return readings


def _left(found: Sequence[Token], left: Sequence[str]) -> tuple[Token, ...]:
    """The words of a sentence that are left once mailboxes, phones and a drop site are taken out."""
    words = [token.whole for token in found]
    if words == list(left):
        return tuple(found)
    from difflib import SequenceMatcher  # only for who says a mailbox or a phone in a sentence

    blocks = SequenceMatcher(None, words, left, autojunk=False).get_matching_blocks()
    return tuple(token for start, _, size in blocks for token in found[start : start + size])


def _joined(told: Sequence[Token]) -> tuple[str, ...]:
    """Two words in small letters that may be one name, if one of them seems a name: "rod key"; and a name that may
    have the "s" that says whose something is: "St. Brendan's"."""
    found = [one.whole for one in told if one.is_owned and one.is_name]
    for one, other in pairwise(told):
        if one.word in ("saint", "st") and not other.gap:
            found.append("st" + other.whole)
        is_name = max(one.weight, other.weight) >= sentence.LIKELY
        small = not one.is_capital and not other.is_capital and not other.gap
        joined = one.word + other.word
        if is_name and small and joined.isalpha() and min(len(one.word), len(other.word)) > 1:
            found.append(joined)
    found += _within(told)
    return tuple(found[:MOST_JOINED])


def _within(told: Sequence[Token]) -> list[str]:
    """The words that hyphens part into more than two, as one: somebody wrote what they heard, "Tay-o-jen"."""
    found: list[str] = []
    parts = 0
    for token in told:
        if token.gap == "-" and parts:
            found[-1] += token.word
            parts += 1
        else:
            if parts < 3:
                del found[-1:]
            found.append(token.word)
            parts = 1
    return found if parts > 2 else found[:-1]


def _telling(told: Sequence[Token]) -> tuple[str, ...]:
    """The words by which somebody is found, those that are likeliest names, in their order."""
    likely = sorted(
        (at for at, token in enumerate(told) if token.weight >= sentence.PERHAPS and token.word.isalpha()),
        key=lambda at: -told[at].weight,
    )[:MOST_WORDS]  # fmt: skip
    words = [told[at].word for at in sorted(likely)]
    return tuple(dict.fromkeys(words))


def _readings(
    contact: Said,
    rest: str,
    home: re.Match[str] | None,
    sites: Collection[str],
    names: Collection[str],
) -> list[Said]:
    """The readings of what is left beside mailboxes and phones, if `home` is the street."""
    street = ""
    if home:
        street = home[2]
        rest = rest.replace(home[0], " ", 1)
    ends = contacts.short_ends(rest)
    rest, tails, zips = contacts.take_numbers(rest)
    plain = replace(
        contact, family_first=bool(_FAMILY_FIRST.match(rest)), tails=(*tails, *ends), zips=zips,
        number=home[1] if home else "",
        street=tuple(word for word in street.split() if word not in contacts.ways()),
    )  # fmt: skip
    readings: list[Said] = []
    for left, named, unsure in site_readings(_chunks(rest), sites, names):
        site = plain.site or named
        reading = _with_words(plain, left, names)
        readings.append(replace(reading, site=site, unsure=unsure))
    return readings


def _visible(text: str) -> str:
    return "".join(c if c.isprintable() or c == "\n" else " " for c in text)


# ---------------------------------------------------------------- words


_SIGNS = re.compile(r"['’`´]")
_WORD = re.compile(r"[a-z0-9]+|[,&+/]")
_LETTERS_OR_DIGITS = re.compile(r"[a-z]+|[0-9]+")


def _chunks(text: str) -> list[str]:
    """The text in pieces without blanks; a sign between two people stands alone."""
    text = _SIGNS.sub("", text)
    for sign in ",&/;":
        text = text.replace(sign, f" {sign} ")
    return [chunk.strip('"()[]<>!?:*#') for chunk in text.split()]


def _with_words(plain: Said, chunks: Sequence[str], names: Collection[str]) -> Said:
    """The reading with these pieces as its words: all that are `names`, and others that are no mere talk."""
    fillers, joins = call_words("filler"), call_words("and")
    together = False
    kept: list[str] = []
    if list(chunks[-3:]) == ["de", "la", "o"]:  # a last name: "Anselmo de la O"
        chunks = [*chunks[:-3], "delao"]
    telling = [chunk for chunk in chunks if bare(chunk)]
    more = bool(plain.emails or plain.phones or plain.zips or plain.street)
    idle = fillers | call_words("at") if len(telling) > 2 or more else folds.TITLES
    idle = idle.difference(names)
    for chunk, after in zip(chunks, [*chunks, ""][1:], strict=True):
        if chunk in ("&", "/") or (chunk in joins and len(telling) > 2):
            together = together or bool(kept and after and after not in idle)
        elif bare(chunk) and chunk not in idle and bare(chunk) not in folds.TITLES:
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


def _letters(word: str) -> str:
    """The word without a number behind it, as handles have."""
    return word.rstrip("0123456789")


_GENERATIONS = {"jr": "jr", "jnr": "jr", "junior": "jr", "sr": "sr", "snr": "sr", "senior": "sr"}


def _with_generation(said: Said) -> Said | None:
    """The reading in which a "junior" or "Sr." behind a name tells father and son apart, if there is one."""
    *words, last = said.words or ("",)
    if not words or last not in _GENERATIONS or len(said.raws) != len(said.words):
        return None
    return replace(
        said, words=tuple(words), raws=said.raws[:-1], generation=_GENERATIONS[last],
        whole="", as_one=len(words) == 1,
    )  # fmt: skip


def _particles_joined(said: Said) -> Said | None:
    """The reading in which "de la Cruz" is one word, if there is anything of the kind."""
    if len(said.words) < 2 or not any(word in folds.PARTICLES for word in said.words[:-1]):
        return None
    given = () if said.words[0] in folds.PARTICLES else said.words[:1]
    words = (*given, *folds.family_name(" ".join(said.words[len(given) :]))[0].split())
    if words == said.words:
        return None
    return replace(said, words=words, raws=words, unsure=said.unsure + 0.5)

"""Who speaks: a member for themselves, or somebody for another, or about another.

Whoever is meant can be told in all three. But only who clearly speaks for themselves is ever safe
to open: what a wife may do for her husband is a matter of what he agreed to, not of what she knows.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

from onboard.lookup.for_themselves import is_likely
from onboard.lookup.name_places import names_before, runs
from onboard.lookup.need import OF_CALLER, is_third_person, needs, speaks_of_their_need
from onboard.lookup.own_name import (
    does_something,
    helps_caller,
    is_bare,
    is_whole,
    own_name,
    says_own_name,
    whole_name,
)
from onboard.lookup.relative import (
    Mention,
    at_home,
    by_title,
    for_somebody,
    is_shared_with,
    mentions,
)
from onboard.lookup.sentence import OTHERS, Token, phrase_at
from onboard.lookup.somebody import somebody_needs
from onboard.lookup.widow import late_spouse
from onboard.match.given_names import sex
from onboard.tables import words as words_of

speaker_words = partial(words_of, "speaker_words")

_IF = frozenset(("if", "si"))
_OURS = frozenset(("your", "this"))
NEAR = 5  # words behind "she" in which her town is


@dataclass(frozen=True, slots=True)
class Speaker:
    """What a sentence tells of who speaks."""

    for_another: bool = False  # somebody else is meant, or asked about
    says_own_name: bool = False  # and tells it: "this is Pat Lee"
    aside: frozenset[int] = frozenset()  # places of names that are not of who is meant
    relative: str = ""  # "wife": who is meant is that of the one who gives their own name
    called: tuple[str, ...] = ()  # the relative's first name, if that is all that is said of it
    of_their_need: bool = False  # and what they need, or what is theirs, is spoken of


def speaker(found: Sequence[Token]) -> Speaker:
    """Who speaks in the sentence.

    >>> from onboard.lookup.sentence import tokens
    >>> speaker(tokens("I'm calling for my wife, Ana Ruiz")).for_another
    True
    >>> both = tokens("my sister Alice and I joined together, I'm Winifred")
    >>> told = speaker(both)
    >>> told.for_another, [both[at].word for at in told.aside], told.says_own_name
    (False, ['alice'], True)
    >>> speaker(tokens("my wife can't get in, this is Hugo Haas")).relative
    'wife'
    """
    related = mentions(found)
    theirs: frozenset[int] = frozenset().union(*(one.names for one in related))
    own = own_name(found) - theirs
    says_own = says_own_name(found, own)
    by_the_way = says_own and _is_by_the_way(found, related)
    acts = _acts_for(found, by_the_way) or any(one.names and one.is_in_need for one in related)
    aside = _companions(found) - own
    if aside.issuperset(at for at, token in enumerate(found) if token.is_name):
        aside = set()  # nobody else is named
    if theirs:
        whole = own if is_whole(found, own) else whole_name(found, theirs)
        # Who gives a whole name beside a relative's first name is the one to be found.
        is_one = len(theirs) == 1 and not _named_later(found, theirs, whole)
        aside |= theirs if (whole and is_one) or (own and not acts) else own
    elif not acts and is_whole(found, own):
        aside |= _others(found, own)
    if aside & theirs:
        aside |= _their_places(found)
    if not own:  # who calls for a widow does not call for whom she lost
        aside = aside.union(*(late_spouse(found, at) for at in range(len(found))))
    asks = any(_asks_at(found, at) for at in range(len(found)))
    married = by_title(found)
    may_be = (bool(related) and not by_the_way) or acts or asks or married is not None
    for_another = may_be and (asks or married is not None or not is_likely(found, related))
    relative = _relative(found, related, theirs) if for_another and not asks else None
    relative = relative or married
    called = sorted(relative.names) if relative else ()
    return Speaker(
        for_another, says_own and (for_another or not may_be), frozenset(aside | _ruled_out(found)),
        relative.kin if relative else "", tuple(found[at].word for at in called),
        speaks_of_their_need(found),
    )  # fmt: skip


def weighed(found: Sequence[Token], told: Speaker) -> tuple[Token, ...]:
    """The words, those that are another's name with little weight."""
    return tuple(
        replace(token, weight=min(token.weight, OTHERS)) if at in told.aside else token
        for at, token in enumerate(found)
    )


def _asks_at(found: Sequence[Token], at: int) -> bool:
    """Whether it is asked here for what is known of somebody else."""
    size = phrase_at(found, at, "asks")
    if not size:
        return False
    if found[at].word == "gave" and at + size < len(found) and found[at + size].word in _OURS:
        return False  # "somebody gave me your number"
    # "My son who's", "my friend at work gave me your number", "my address for mail"
    is_kins = any(phrase_at(found, place, "kin") for place in range(max(at - 3, 0), at))
    return not is_kins and not (at and found[at - 1].word in OF_CALLER)


# ---------------------------------------------------------------- relatives


def _is_by_the_way(found: Sequence[Token], related: Sequence[Mention]) -> bool:
    """Whether all relatives come up by the way, and the caller's own name cannot be one of theirs:
    it comes first, or with "I'm" before it."""
    if not related or not all(one.is_by_the_way for one in related):
        return False
    first = min(one.start for one in related)
    own = own_name(found) - frozenset().union(*(one.names for one in related))
    clear = any(at < first for at in own) or bool(own & own_name(found, is_clear=True))
    return clear or any(run[0] < first and is_bare(found, run) for run in runs(found))


def _relative(
    found: Sequence[Token], related: Sequence[Mention], theirs: frozenset[int]
) -> Mention | None:
    """The relative who is meant and is not named in full, if the caller gives their own whole name."""
    meant = [one for one in related if not one.is_by_the_way]
    kin = {one.kin for one in meant}
    if len(kin) != 1 or len(theirs) > 1:
        return None
    # "It's about Armand's password"; but "if it's Armand's account you see, that's the wrong one"
    before = [token.word for token in found[max(meant[0].start - 3, 0) : meant[0].start]]
    called = not meant[0].kin and len(theirs) == 1 and _IF.isdisjoint(before)
    if not at_home(meant[0].kin) and not called:
        return None
    named = (
        one.word in ("her", "his", "su") and behind.word in ("name", "nombre")
        for one, behind in pairwise(found)
    )
    if any(named):
        return None
    first = min(one.start for one in meant)
    for run in runs(found):
        is_told = set(run) <= own_name(found, is_clear=True) or (
            run[0] < first and is_bare(found, run)
        )
        if len(run) > 1 and not theirs.intersection(run) and is_told:
            return meant[0]
    return None


def _ruled_out(found: Sequence[Token]) -> set[int]:
    """The places and names that are said to be another's: "not the Montpelier one", "Ana Ruiz, not Ana Soto"."""
    places: set[int] = set()
    for at in (at for at in range(len(found) - 1) if _denies(found, at)):
        has_article = found[at + 1].word == "the"
        start = end = at + 1 + has_article
        if [one.word for one in found[start : start + 2]] in (["one", "in"], ["one", "from"]):
            start = end = start + 2  # "not the one in Montpelier"
            has_article = False
        while end < len(found) and found[end].is_name and (end == start or not found[end].gap):
            end += 1
        if has_article:
            is_meant = end < len(found) and found[end].word == "one" and not found[end].gap
        else:
            begins = found[at - 1].gap if found[at].word == "soy" else found[at].gap
            is_meant = bool(begins) and any(one.is_name for one in found[:at])
        if is_meant:
            places.update(range(start, end))
    return places


def _denies(found: Sequence[Token], at: int) -> bool:
    """Whether a name that comes next is said not to be meant: "not Ana", "no soy Ana"."""
    if found[at].word == "soy":
        return at > 0 and found[at - 1].word == "no" and not found[at].gap
    return found[at].word == "not"


def _their_places(found: Sequence[Token]) -> set[int]:
    """The places that are said of a third person: "she's in Walpole"."""
    places: set[int] = set()
    for at in range(len(found)):
        if not is_third_person(found, at):
            continue
        for behind in range(at + 1, min(at + 1 + NEAR, len(found))):
            if found[behind].gap:
                break
            if found[behind].is_name:
                places.add(behind)
    return places


# ---------------------------------------------------------------- the caller


def _named_later(found: Sequence[Token], theirs: Set[int], own: Set[int]) -> bool:
    """Whether the relative's first name comes again with a last name: "Henry … Henry Miller"."""
    words = {found[at].word for at in theirs}
    return any(
        token.word in words and at not in theirs and at not in own for at, token in enumerate(found)
    )


def _companions(found: Sequence[Token]) -> set[int]:
    """The places of who did something together with the caller: "Ana and I", "me and Ana",
    and of who helped them, told by first name alone: "Ana showed me"."""
    places: set[int] = set()
    for at in range(len(found) - 2):
        first, joins, last = found[at : at + 3]
        if joins.word not in ("and", "y") or joins.gap:
            continue
        if last.word in ("i", "me", "myself", "yo") and first.is_name:
            places |= names_before(found, at + 1)
        elif first.word in ("i", "me", "yo") and last.is_name:
            places.add(at + 2)
    named = [run for run in runs(found) if len(run) > 1]
    for (at,) in (run for run in runs(found) if len(run) == 1 and sex(found[run[0]].word)):
        is_with = at > 0 and not found[at].gap and found[at - 1].word in ("with", "con")
        if named and (is_with or _has_the_same(found, at) or helps_caller(found, at)):
            places.add(at)
    for (at,) in (run for run in runs(found) if len(run) == 1 and named):
        if is_shared_with(found, at):
            places.add(at)
    return places


def _has_the_same(found: Sequence[Token], at: int) -> bool:
    """Whether the caller has the same of something as whose name is here: "the same mail as Ana"."""
    before = [token.word for token in found[max(at - 5, 0) : at]]
    is_like = before[-1:] in (["as"], ["que"]) and not found[at].gap
    return is_like and not {"same", "mismo", "misma"}.isdisjoint(before)


def _others(found: Sequence[Token], own: set[int]) -> set[int]:
    """The places of whole names that are not the caller's, and of the town that is said behind."""
    given = {found[at].word for at in own}
    places: set[int] = set()
    for run in runs(found):
        if len(run) > 1 and not own.intersection(run) and found[run[0]].word not in given:
            places.update(run)
            for at in range(run[-1] + 1, min(run[-1] + 4, len(found))):
                if found[at].gap:
                    break
                if found[at].is_name:
                    places.add(at)
    return places


# ---------------------------------------------------------------- for somebody else


def _acts_for(found: Sequence[Token], by_the_way: bool = False) -> bool:
    """Whether the caller acts for a third person: "he lost it", "on behalf of".

    With `by_the_way` a relative was spoken of who is not meant: that "she" is away tells nothing.
    """
    for at, token in enumerate(found):
        if (
            for_somebody(found, at)
            or phrase_at(found, at, "away")
            or phrase_at(found, at, "points")
        ):
            return True
        behind_name = at > 0 and found[at - 1].is_name and not token.gap  # "Priya her"
        if is_third_person(found, at) and not behind_name and not by_the_way:
            return True
        if token.is_name and not _is_introduced(found, at) and does_something(found, at):
            return True
        is_somebody = phrase_at(found, at, "person") and not token.is_name
        if is_somebody and needs(found, at + 1) and "me" not in _next_words(found, at):
            return True  # "the lad lost it"; but "my little boy locked me out"
    if by_the_way:
        return speaks_of_their_need(found)
    if any(somebody_needs(found, at) for at in range(len(found))):
        return True
    return not own_name(found) and any(
        _is_spoken_of(found, run) for run in runs(found) if not _is_anothers(found, run)
    )


def _next_words(found: Sequence[Token], at: int) -> list[str]:
    return [token.word for token in found[at + 1 : at + 4]]


def _is_anothers(found: Sequence[Token], run: Sequence[int]) -> bool:
    """Whether another whole name comes first, by itself: "Pat Lee. I have Ana Ruiz's box"."""
    return any(
        len(one) > 1 and one[0] < run[0] and bool(sex(found[one[0]].word)) and is_bare(found, one)
        for one in runs(found)
    )


def _is_spoken_of(found: Sequence[Token], run: Sequence[int]) -> bool:
    """Whether a name is of somebody whom a sentence is about: "I'm with Pat Lee", "does Pat Lee …"."""
    first = found[run[0]]
    start = run[0]
    while start and not found[start].gap and _is_title(found[start - 1]):
        start -= 1  # "cuido a la señora Ana Ruiz"
    before = found[start - 1].word if start and not found[start].gap else ""
    return len(run) > 1 and bool(sex(first.word)) and before in speaker_words("of whom")


def _is_title(token: Token) -> bool:
    titles = speaker_words("mr") | speaker_words("mrs") | {"la", "el", "don", "dona"}
    return token.word in titles


def _is_introduced(found: Sequence[Token], at: int) -> bool:
    """Whether the name that ends here is the caller's own: "this is Pat Lee"."""
    start = min(names_before(found, at + 1), default=at)
    return any(
        phrase_at(found, start - size, "before") == size for size in (1, 2, 3, 4) if start >= size
    )

"""Who speaks: a member for themselves, or somebody for another, or about another.

Whoever is meant can be told in all three. But only who clearly speaks for themselves is ever safe
to open: what a wife may do for her husband is a matter of what he agreed to, not of what she knows.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass, replace
from functools import partial
from itertools import pairwise

from onboard.lookup.relative import (
    Mention,
    at_home,
    by_title,
    for_somebody,
    mentions,
    names_before,
    runs,
    speaks_of_their_need,
)
from onboard.lookup.sentence import LIKELY, OTHERS, Token, phrase_at
from onboard.tables import words as words_of

speaker_words = partial(words_of, "speaker_words")

NEAR = 5  # words behind "she" in which her town is
_VAGUE = frozenset(("it", "its", "the", "name", "names"))  # "it's", "the name is"
_INTRODUCES = frozenset(("is", "the", "mr", "mrs", "miss", "ms", "dr", "it", "still"))


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
    own = _own(found) - theirs
    says_own = _says_own_name(found, own)
    by_the_way = says_own and _is_by_the_way(found, related)
    acts = _acts_for(found, by_the_way)
    aside = _companions(found) - own
    if theirs:
        whole = own if _is_whole(found, own) else _whole_name(found, theirs)
        # Who gives a whole name beside a relative's first name is the one to be found.
        is_one = len(theirs) == 1 and not _named_later(found, theirs, whole)
        aside |= theirs if (whole and is_one) or (own and not acts) else own
    elif not acts and _is_whole(found, own):
        aside |= _others(found, own)
    if aside & theirs:
        aside |= _their_places(found)
    asks = any(
        phrase_at(found, at, "asks")
        and not (at and phrase_at(found, at - 1, "kin"))  # "my son who's"
        for at in range(len(found))
    )
    married = by_title(found)
    for_another = (bool(related) and not by_the_way) or acts or asks or married is not None
    relative = _relative(found, related, theirs) if for_another and not asks else None
    relative = relative or married
    called = sorted(relative.names) if relative else ()
    return Speaker(
        for_another, says_own, frozenset(aside | _elsewhere(found)),
        relative.kin if relative else "", tuple(found[at].word for at in called),
        speaks_of_their_need(found),
    )  # fmt: skip


def weighed(found: Sequence[Token], told: Speaker) -> tuple[Token, ...]:
    """The words, those that are another's name with little weight."""
    return tuple(
        replace(token, weight=min(token.weight, OTHERS)) if at in told.aside else token
        for at, token in enumerate(found)
    )


# ---------------------------------------------------------------- relatives


def _is_by_the_way(found: Sequence[Token], related: Sequence[Mention]) -> bool:
    """Whether all relatives come up by the way, and the caller's own name cannot be one of theirs:
    it comes first, or with "I'm" before it."""
    if not related or not all(one.is_by_the_way for one in related):
        return False
    first = min(one.start for one in related)
    own = _own(found) - frozenset().union(*(one.names for one in related))
    clear = any(at < first for at in own) or bool(own & _own(found, is_clear=True))
    return clear or any(run[0] < first and _is_bare(found, run) for run in runs(found))


def _relative(
    found: Sequence[Token], related: Sequence[Mention], theirs: frozenset[int]
) -> Mention | None:
    """The relative who is meant and is not named in full, if the caller gives their own whole name."""
    meant = [one for one in related if not one.is_by_the_way]
    kin = {one.kin for one in meant}
    if len(kin) != 1 or not at_home(meant[0].kin) or len(theirs) > 1:
        return None
    named = (
        one.word in ("her", "his", "su") and behind.word in ("name", "nombre")
        for one, behind in pairwise(found)
    )
    if any(named):
        return None
    first = min(one.start for one in meant)
    for run in runs(found):
        is_told = set(run) <= _own(found, is_clear=True) or (
            run[0] < first and _is_bare(found, run)
        )
        if len(run) > 1 and not theirs.intersection(run) and is_told:
            return meant[0]
    return None


def _elsewhere(found: Sequence[Token]) -> set[int]:
    """The places that somebody says to be another's: "not the Montpelier one"."""
    places: set[int] = set()
    for at in range(len(found) - 3):
        if found[at].word == "not" and found[at + 1].word == "the" and found[at + 2].is_name:
            end = at + 3
            while end < len(found) - 1 and found[end].is_name and not found[end].gap:
                end += 1
            if found[end].word == "one" and not found[end].gap:
                places.update(range(at + 2, end))
    return places


def _their_places(found: Sequence[Token]) -> set[int]:
    """The places that are said of a third person: "she's in Walpole"."""
    places: set[int] = set()
    for at, token in enumerate(found):
        if token.word not in speaker_words("they"):
            continue
        for behind in range(at + 1, min(at + 1 + NEAR, len(found))):
            if found[behind].gap:
                break
            if found[behind].is_name:
                places.add(behind)
    return places


# ---------------------------------------------------------------- the caller


def _own(found: Sequence[Token], is_clear: bool = False) -> set[int]:
    """The places of the name that the caller says is theirs; with `is_clear` not where it may be the
    name of whoever was just spoken of: "my dad is locked out, it's Pat Lee"."""
    own: set[int] = set()
    for at, token in enumerate(found):
        size = phrase_at(found, at, "before")
        if size and not (is_clear and token.word in _VAGUE):
            at += size
            while at < len(found) and found[at].word in _INTRODUCES:
                at += 1
            while at < len(found) and found[at].weight > 0 and not found[at].is_owned:
                if found[at].gap == "." and at - 1 not in own:
                    break
                own.add(at)
                at += 1
        elif phrase_at(found, at, "after") and at and found[at - 1].is_name and not token.gap:
            name = names_before(found, at)
            first = found[min(name)]
            before = found[min(name) - 1].word if min(name) and not first.gap else ""
            if not before or before in speaker_words("greeting"):  # not "I have Pat Lee here"
                own |= name
    return {at for at in own if found[at].weight >= LIKELY or _has_name_beside(found, at)}


def _has_name_beside(found: Sequence[Token], at: int) -> bool:
    return any(0 <= n < len(found) and found[n].is_name for n in (at - 1, at + 1))


def _is_whole(found: Sequence[Token], own: set[int]) -> bool:
    return sum(found[at].is_name for at in own) > 1


def _whole_name(found: Sequence[Token], theirs: frozenset[int]) -> set[int]:
    """The places of a first and a last name that stand together and are not a relative's."""
    words = {found[at].word for at in theirs}
    for run in runs(found):
        if len(run) > 1 and not theirs.intersection(run) and found[run[0]].word not in words:
            return set(run)
    return set()


def _named_later(found: Sequence[Token], theirs: Set[int], own: Set[int]) -> bool:
    """Whether the relative's first name comes again with a last name: "Henry … Henry Miller"."""
    words = {found[at].word for at in theirs}
    return any(
        token.word in words and at not in theirs and at not in own for at, token in enumerate(found)
    )


def _companions(found: Sequence[Token]) -> set[int]:
    """The places of who did something together with the caller: "Ana and I", "me and Ana"."""
    places: set[int] = set()
    for at in range(len(found) - 2):
        first, joins, last = found[at : at + 3]
        if joins.word not in ("and", "y") or joins.gap:
            continue
        if last.word in ("i", "me", "myself", "yo") and first.is_name:
            places |= names_before(found, at + 1)
        elif first.word in ("i", "me", "yo") and last.is_name:
            places.add(at + 2)
    return places


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


def _says_own_name(found: Sequence[Token], own: set[int]) -> bool:
    """Whether a name is clearly that of who speaks: introduced, or by itself where a sentence begins.

    Where no name is said at all, whether what is said is theirs.
    """
    names = [token for token in found if token.is_name]
    if any(token.is_owned for token in names):  # "Pat's"
        return False
    if own:
        return True
    if not names:
        return any(token.word in _SELF for token in found) or all(t.weight == 0 for t in found)
    return any(_is_bare(found, run) for run in runs(found))


_SELF = frozenset(("i", "im", "me", "my", "we", "us", "our", "mi", "yo", "mis", "nuestro"))


def _is_bare(found: Sequence[Token], run: Sequence[int]) -> bool:
    """Whether nothing but a greeting comes before a name in its sentence, and nothing is said of it."""
    start, end = run[0], run[-1] + 1
    while start > 0 and found[start].gap != ".":
        start -= 1
        if found[start].weight == 0 and not (
            found[start].word in speaker_words("greeting") or found[start].word.isdigit()
        ):
            return False
    behind = found[end:]
    for at, token in enumerate(behind):
        if token.gap == ".":
            return True
        if token.word in speaker_words("does"):
            return False
        if token.gap and at and token.weight == 0:
            return True
        if (
            token.weight == 0
            and token.word not in speaker_words("where")
            and not token.word.isdigit()
        ):
            # "Pat Lee from Lima gave me this"; but "Pat Lee, Lima, I can't sign in"
            return bool(token.gap) or token.word in _SELF or bool(phrase_at(behind, at, "after"))
    return True


# ---------------------------------------------------------------- for somebody else


def _acts_for(found: Sequence[Token], by_the_way: bool = False) -> bool:
    """Whether the caller acts for a third person: "he lost it", "on behalf of".

    With `by_the_way` a relative was spoken of who is not meant: that "she" is away tells nothing.
    """
    for at, token in enumerate(found):
        if for_somebody(found, at) or phrase_at(found, at, "away"):
            return True
        behind_name = at > 0 and found[at - 1].is_name and not token.gap  # "Priya Her"
        if token.word in speaker_words("they") and not behind_name and not by_the_way:
            return True
        if token.is_name and not _is_introduced(found, at) and _does_something(found, at):
            return True
    return by_the_way and speaks_of_their_need(found)


def _does_something(found: Sequence[Token], at: int) -> bool:
    """Whether it is said what the one with the name that ends here does: "Pat Lee can't …"."""
    if at + 1 == len(found) or found[at + 1].gap:
        return False
    after = found[at + 1].word
    if found[at + 1].is_name:  # "Rachel May"
        return False
    return after in speaker_words("does") or (found[at].is_owned and after == "not")


def _is_introduced(found: Sequence[Token], at: int) -> bool:
    """Whether the name that ends here is the caller's own: "this is Pat Lee"."""
    start = min(names_before(found, at + 1), default=at)
    return any(
        phrase_at(found, start - size, "before") == size for size in (1, 2, 3, 4) if start >= size
    )

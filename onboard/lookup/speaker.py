"""Who speaks: a member for themselves, or somebody for another, or about another.

Whoever is meant can be told in all three. But only who clearly speaks for themselves is ever safe
to open: what a wife may do for her husband is a matter of what he agreed to, not of what she knows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from onboard.lookup.sentence import LIKELY, OTHERS, Token, phrase_at
from onboard.tables import words as words_of

speaker_words = partial(words_of, "speaker_words")

REACH = 7  # words behind "my wife" in which her name is looked for
NEAR = 5  # words behind "she" in which her town is
_OF_CALLER = frozenset(("my", "our", "mi", "mis", "nuestra", "nuestro"))
_OF_SOMEBODY = frozenset(("the", "la", "el", "her", "his", "a", "un", "una"))
_INTRODUCES = frozenset(("is", "the", "mr", "mrs", "miss", "ms", "dr", "it", "still"))


@dataclass(frozen=True, slots=True)
class Speaker:
    """What a sentence tells of who speaks."""

    for_another: bool = False  # somebody else is meant, or asked about
    says_own_name: bool = False  # and tells it: "this is Pat Lee"
    aside: frozenset[int] = frozenset()  # places of names that are not of who is meant


def speaker(found: Sequence[Token]) -> Speaker:
    """Who speaks in the sentence.

    >>> from onboard.lookup.sentence import tokens
    >>> speaker(tokens("I'm calling for my wife, Ana Ruiz")).for_another
    True
    >>> both = tokens("my sister Alice and I joined together, I'm Winifred")
    >>> told = speaker(both)
    >>> told.for_another, [both[at].word for at in told.aside], told.says_own_name
    (True, ['alice'], True)
    """
    kin, theirs = _of_kin(found)
    own = _own(found) - theirs
    acts = _acts_for(found)
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
    for_another = kin or acts or any(phrase_at(found, at, "asks") for at in range(len(found)))
    return Speaker(for_another, _says_own_name(found, own), frozenset(aside))


def weighed(found: Sequence[Token], told: Speaker) -> tuple[Token, ...]:
    """The words, those that are another's name with little weight."""
    return tuple(
        replace(token, weight=min(token.weight, OTHERS)) if at in told.aside else token
        for at, token in enumerate(found)
    )


# ---------------------------------------------------------------- relatives


def _of_kin(found: Sequence[Token]) -> tuple[bool, set[int]]:
    """Whether somebody is spoken of as what they are to the caller, and the places of their names."""
    kin = False
    theirs: set[int] = set()
    for at in range(len(found)):
        for places in (_kin_at(found, at), _belongs_at(found, at)):
            if places is not None:
                kin = True
                theirs |= places
    return kin, theirs


def _kin_at(found: Sequence[Token], at: int) -> set[int] | None:
    """The places of a relative's name, if the word here says what somebody is to the caller."""
    before = found[at - 1] if at else None
    said_before = before.word if before else ""
    if phrase_at(found, at, "called") and said_before not in _OF_SOMEBODY:  # "Grandma"
        return _names_behind(found, at + 1)
    size = phrase_at(found, at, "kin")
    if not size:
        return None
    if before and before.is_owned:  # "Gwen's husband"
        return _names_before(found, at)
    if said_before in _OF_CALLER:
        return _names_behind(found, at + size)
    behind = _names_behind(found, at + size, is_far=False)
    of_somebody = at + size < len(found) and found[at + size].word in ("of", "de")
    return behind if behind and (of_somebody or said_before in _OF_SOMEBODY) else None


def _belongs_at(found: Sequence[Token], at: int) -> set[int] | None:
    """The places of a name, if something of theirs, or where they are, is said: "Pat's account"."""
    if size := phrase_at(found, at, "for"):
        return _names_behind(found, at + size)
    before = found[at - 1] if at else None
    if before is None or not before.is_owned or not before.is_name or found[at].gap:
        return None
    is_told = found[at].word in speaker_words("thing") or found[at].word == "not"
    return _names_before(found, at) if is_told else None


def _names_before(found: Sequence[Token], at: int) -> set[int]:
    """The places of the name that ends right before."""
    start = at - 1
    while start > 0 and found[start - 1].is_name and not found[start].gap:
        start -= 1
    return {place for place in range(start, at) if found[place].is_name}


def _names_behind(found: Sequence[Token], at: int, is_far: bool = True) -> set[int]:
    """The places of the first name behind; none if the caller's own comes first, or, unless
    `is_far`, the sentence ends."""
    for place in range(at, min(at + REACH, len(found))):
        if phrase_at(found, place, "before") and not found[place].word.startswith("name"):
            return set()
        if found[place].gap == "." and not is_far:
            return set()
        if found[place].is_name:
            return next(set(run) for run in _runs(found) if place in run)
    return set()


def _runs(found: Sequence[Token]) -> list[list[int]]:
    """The names that stand together with nothing between."""
    runs: list[list[int]] = []
    for at, token in enumerate(found):
        if not token.is_name:
            continue
        if runs and runs[-1][-1] == at - 1 and not token.gap and not found[at - 1].is_owned:
            runs[-1].append(at)
        else:
            runs.append([at])
    return runs


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


def _own(found: Sequence[Token]) -> set[int]:
    """The places of the name that the caller says is theirs."""
    own: set[int] = set()
    for at, token in enumerate(found):
        if size := phrase_at(found, at, "before"):
            at += size
            while at < len(found) and found[at].word in _INTRODUCES:
                at += 1
            while at < len(found) and found[at].weight > 0 and not found[at].is_owned:
                if found[at].gap == "." and at - 1 not in own:
                    break
                own.add(at)
                at += 1
        elif phrase_at(found, at, "after") and at and found[at - 1].is_name and not token.gap:
            name = _names_before(found, at)
            first = found[min(name)]
            before = found[min(name) - 1].word if min(name) and not first.gap else ""
            if not before or before in speaker_words("greeting"):  # not "I have Pat Lee here"
                own |= name
    return {at for at in own if found[at].weight >= LIKELY or _has_name_beside(found, at)}


def _has_name_beside(found: Sequence[Token], at: int) -> bool:
    return any(0 <= n < len(found) and found[n].is_name for n in (at - 1, at + 1))


def _is_whole(found: Sequence[Token], own: set[int]) -> bool:
    return sum(found[at].is_name for at in own) > 1


def _whole_name(found: Sequence[Token], theirs: set[int]) -> set[int]:
    """The places of a first and a last name that stand together and are not a relative's."""
    words = {found[at].word for at in theirs}
    for run in _runs(found):
        if len(run) > 1 and not theirs.intersection(run) and found[run[0]].word not in words:
            return set(run)
    return set()


def _named_later(found: Sequence[Token], theirs: set[int], own: set[int]) -> bool:
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
            places |= _names_before(found, at + 1)
        elif first.word in ("i", "me", "yo") and last.is_name:
            places.add(at + 2)
    return places


def _others(found: Sequence[Token], own: set[int]) -> set[int]:
    """The places of whole names that are not the caller's, and of the town that is said behind."""
    given = {found[at].word for at in own}
    places: set[int] = set()
    for run in _runs(found):
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
    return any(_is_bare(found, run) for run in _runs(found))


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


def _acts_for(found: Sequence[Token]) -> bool:
    """Whether the caller acts for a third person: "he lost it", "on behalf of"."""
    for at, token in enumerate(found):
        if phrase_at(found, at, "for") or phrase_at(found, at, "away"):
            return True
        behind_name = at > 0 and found[at - 1].is_name and not token.gap  # "Priya Her"
        if token.word in speaker_words("they") and not behind_name:
            return True
        if token.is_name and not _is_introduced(found, at) and _does_something(found, at):
            return True
    return False


def _does_something(found: Sequence[Token], at: int) -> bool:
    """Whether it is said what the one with the name that ends here does: "Pat Lee can't …"."""
    if at + 1 == len(found) or found[at + 1].gap:
        return False
    after = found[at + 1].word
    return after in speaker_words("does") or (found[at].is_owned and after == "not")


def _is_introduced(found: Sequence[Token], at: int) -> bool:
    """Whether the name that ends here is the caller's own: "this is Pat Lee"."""
    start = min(_names_before(found, at + 1), default=at)
    return any(
        phrase_at(found, start - size, "before") == size for size in (1, 2, 3, 4) if start >= size
    )

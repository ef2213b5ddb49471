"""Whether somebody who speaks of others calls for themselves all the same.

A guess: it says how the answer is worded and what is asked next. It makes nobody safe to open.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from functools import partial

from onboard.lookup.name_places import runs
from onboard.lookup.need import is_third_person, speaks_of_caller_need, speaks_of_their_need
from onboard.lookup.own_name import does_something, is_bare, own_name
from onboard.lookup.relative import Mention, for_somebody, is_of_other_sex
from onboard.lookup.sentence import Token, phrase_at
from onboard.lookup.somebody import somebody_needs
from onboard.match.given_names import sex
from onboard.tables import words as words_of

speaker_words = partial(words_of, "speaker_words")

_SHE = frozenset(("she", "shes", "her", "hers", "ella"))


def is_likely(found: Sequence[Token], related: Sequence[Mention]) -> bool:
    """Whether who speaks most likely calls for themselves: they tell their own name, or the relatives
    of whom they speak only come up by the way; and what the others need is not spoken of.

    >>> from onboard.lookup.relative import mentions
    >>> from onboard.lookup.sentence import tokens
    >>> both = map(tokens, ("Ana Ruiz. My son burned it.", "Ana Ruiz. My son lost it."))
    >>> [is_likely(found, mentions(found)) for found in both]
    [True, False]
    """
    if any(one.is_in_need for one in related) or speaks_of_their_need(found):
        return False
    if any(_says_who_is_meant(found, at) for at in range(len(found))):
        return False
    told = _told(found, related)
    if not told and not (related and all(one.is_by_the_way or one.is_spoken_to for one in related)):
        return False
    introduced = own_name(found, is_clear=True)
    return not any(
        _speaks_of(found, at, introduced, told) or _tells_of(found, at, told)
        for at in range(len(found))
    )


def _says_who_is_meant(found: Sequence[Token], at: int) -> bool:
    return bool(
        phrase_at(found, at, "away")
        or phrase_at(found, at, "points")
        or for_somebody(found, at)
        or somebody_needs(found, at)
    )


def _told(found: Sequence[Token], related: Sequence[Mention]) -> list[list[int]]:
    """The names that are the caller's own: those that are introduced, and those that nothing
    introduces and that cannot be a relative's."""
    introduced, vaguely = own_name(found, is_clear=True), own_name(found)
    in_need = speaks_of_caller_need(found)
    told = []
    for run in runs(found):
        if len(run) == 1 and not sex(found[run[0]].word):
            continue
        by_itself = is_bare(found, run) or (
            vaguely.issuperset(run) and run[0] > 0 and bool(found[run[0] - 1].gap)
        )
        if introduced.issuperset(run) or (by_itself and (in_need or _is_free(found, run, related))):
            told.append(run)
    return told


def _is_free(found: Sequence[Token], run: Sequence[int], related: Sequence[Mention]) -> bool:
    """Whether a name cannot be that of a relative: it comes before them all, or each has another name,
    or is of the other sex, or is several people."""
    return all(
        run[0] < one.start
        or (one.names and one.names.isdisjoint(run))
        or one.kin in speaker_words("several")
        or is_of_other_sex(one.kin, found[run[0]].word)
        for one in related
    )


def _speaks_of(
    found: Sequence[Token], at: int, introduced: Set[int], told: Sequence[Sequence[int]]
) -> bool:
    """Whether "he" or "she" here is somebody whose name is told: "Pat Lee. She can't see it", "she's
    Pat Lee"."""
    if not is_third_person(found, at):
        return False
    if at and found[at - 1].is_name and not found[at].gap:  # "Priya Her"
        return False
    if at + 1 < len(found) and found[at + 1].is_name and not found[at + 1].gap:
        return True
    if introduced:
        return False
    for before in reversed(range(at)):
        if any(phrase_at(found, before, kind) for kind in ("kin", "called", "person")):
            return False
        if found[before].is_name and sex(found[before].word):
            run = next(run for run in runs(found) if before in run)
            return is_bare(found, run) and not _differs(found[at].word, found[run[0]].word)
    return not any(_differs(found[at].word, found[run[0]].word) for run in told)


def _differs(pronoun: str, name: str) -> bool:
    """Whether the one is of a man, the other of a woman."""
    return {sex(name), "w" if pronoun in _SHE else "m"} == {"m", "w"}


def _tells_of(found: Sequence[Token], at: int, told: Sequence[Sequence[int]]) -> bool:
    """Whether it is said what somebody does who is not the caller: "Ana Ruiz can't …"."""
    if not found[at].is_name or not does_something(found, at):
        return False
    run = next(run for run in runs(found) if at in run)
    return bool(sex(found[run[0]].word)) and run not in told

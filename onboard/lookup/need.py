"""What somebody needs or has lost, as a caller tells it: of themselves, or of somebody else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from onboard.lookup.sentence import Token
from onboard.tables import words as words_of

speaker_words = partial(words_of, "speaker_words")

NEAR = 3  # words behind "my wife" in which it is told what she did
OF_CALLER = frozenset(("my", "our", "mi", "mis", "nuestra", "nuestro"))
CALLER = frozenset(("i", "im", "ive", "id", "ill", "we", "were", "it", "yo", "that"))
_FIRST = frozenset(("i", "im", "ive", "id", "ill", "yo"))
_OWNING = frozenset(("his", "su"))
_NOT = frozenset(("no", "se", "ya", "nunca", "tampoco"))
_SPEAKER = frozenset(("i", "im", "ive", "me", "my", "we", "us", "our", "yo", "mi", "nos"))
_TOWARD = frozenset(("for", "help", "helping", "tell", "give", "to", "with"))


def needs(found: Sequence[Token], end: int) -> bool:
    """Whether what a relative needs is said right behind, or a thing that a member has is called theirs."""
    words = [token.word for token in clause(found, end)]
    owner = found[end - 1]
    is_owned = owner.is_owned or owner.word.endswith("s")  # "wifes account"
    is_theirs = is_owned and not speaker_words("thing").isdisjoint(words[:2])
    return is_theirs or is_in_need(words)


def speaks_of_caller_need(found: Sequence[Token]) -> bool:
    """Whether the caller says what they themselves need: "I can't get in", "I lost it"."""
    for at, token in enumerate(found):
        if token.word in speaker_words("needs"):
            before = [one.word for one in found[max(at - 2, 0) : at]]
            if not _FIRST.isdisjoint(before):
                return True
    return False


def speaks_of_their_need(found: Sequence[Token]) -> bool:
    """Whether what a third person needs, or what is theirs, is spoken of: "she can't", "his account"."""
    for at, token in enumerate(found):
        if not is_third_person(found, at):
            continue
        behind = [one.word for one in clause(found, at + 1)][: NEAR + 1]
        if behind[:1] == ["own"]:  # "she has her own account"
            continue
        if is_in_need(behind) or speaker_words("thing").intersection(behind[:2]):
            return True
        # "with his six dogs" speaks of the dogs.
        if token.word not in _OWNING and at and found[at - 1].word in _TOWARD:
            return True
    return False


def is_third_person(found: Sequence[Token], at: int) -> bool:
    """Whether the word here is "he" or "she", or "they" of somebody who cannot get in; "they won't let me in"
    speaks of us.

    >>> from onboard.lookup.sentence import tokens
    >>> said = ("She lost it", "El no puede entrar", "el sitio", "They can't get in", "They won't let me in")
    >>> [is_third_person(tokens(one), 0) for one in said]
    [True, True, False, True, False]
    """
    word = found[at].word
    if found[at].is_name:  # "Priya Her"
        return False
    if word in speaker_words("they"):
        return True
    behind = [one.word for one in clause(found, at + 1)]
    if word == "el" and behind and (not at or found[at].gap):  # as "él" is written in haste
        return behind[0] in _NOT or behind[0] in speaker_words("needs")
    if word not in speaker_words("they plural"):
        return False
    before = [one.word for one in found[max(at - NEAR, 0) : at]]
    if not _SPEAKER.isdisjoint((*before, *behind)):
        return False
    is_theirs = word == "their" and not speaker_words("thing").isdisjoint(behind[:2])
    return is_theirs or before[-1:] in (["let"], ["for"]) or is_in_need(behind)


def clause(found: Sequence[Token], at: int) -> Iterator[Token]:
    """The words from here to the next comma or end of a sentence; a name set off by commas is in it."""
    for place in range(at, len(found)):
        if found[place].gap and not (found[place].is_name and place == at):
            return
        yield found[place]


def is_in_need(words: Sequence[str]) -> bool:
    """Whether the words say of somebody else than the caller that they can't, need, or have lost."""
    for at, word in enumerate(words):
        if (
            word in speaker_words("needs")
            and CALLER.isdisjoint(words[max(at - NEAR, 0) : at])
            and OF_CALLER.isdisjoint(words[max(at - 2, 0) : at])  # "my phone won't"
        ):
            return True
    return False

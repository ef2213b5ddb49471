"""Who is spoken of in a sentence of its own, by no name: "Our treasurer lost the letter"."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from onboard.lookup.need import CALLER
from onboard.lookup.sentence import Token
from onboard.tables import words as words_of

speaker_words = partial(words_of, "speaker_words")

_LONGEST = 8  # words from the beginning of a sentence to what somebody needs


def somebody_needs(found: Sequence[Token], start: int) -> bool:
    """Whether a sentence begins here, of what somebody needs who is neither the caller nor a thing of the page.

    >>> from onboard.lookup.sentence import tokens
    >>> said = ("The ladies next door can't order.", "Our treasurer lost it.", "The page can't load.", "I lost it.")
    >>> [somebody_needs(tokens(one), 0) for one in said]
    [True, True, False, False]
    """
    if (start and found[start].gap != ".") or found[start].word not in speaker_words("some"):
        return False
    who: list[Token] = []
    for token in found[start : start + _LONGEST]:
        if token is not found[start] and token.gap == ".":
            return False
        if token.word in speaker_words("needs"):
            words = {one.word for one in who}
            is_thing = words & (speaker_words("thing") | speaker_words("of the page"))
            return bool(who) and not (is_thing or words & CALLER - {"i"} or who[-1].is_name)
        who.append(token)
    return False

"""The caller's own name in a sentence: introduced, or by itself where a sentence begins."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from onboard.lookup.name_places import names_before, runs
from onboard.lookup.sentence import LIKELY, Token, phrase_at
from onboard.tables import words as words_of

speaker_words = partial(words_of, "speaker_words")

_VAGUE = frozenset(("it", "its", "the", "name", "names"))  # "it's", "the name is"
_INTRODUCES = frozenset(
    (
        "is",
        "the",
        "mr",
        "mrs",
        "miss",
        "ms",
        "dr",
        "mister",
        "missus",
        "it",
        "still",
        "la",
        "el",
        "don",
        "dona",
        "senor",
        "senora",
    )
)
_HOW = frozenset(("how", "where", "what", "why"))
_STILL = frozenset(("ya", "todavia", "still", "already"))
_TO_CALLER = frozenset(("me", "us", "how"))
_WHO = frozenset(("i", "we", "you", "it", "its", "to"))
_SELF = frozenset(("i", "im", "me", "my", "we", "us", "our", "mi", "yo", "mis", "nuestro"))


def own_name(found: Sequence[Token], is_clear: bool = False) -> set[int]:
    """The places of the name that the caller says is theirs; with `is_clear` not where it may be the
    name of whoever was just spoken of: "my dad is locked out, it's Pat Lee"."""
    own: set[int] = set()
    for at, token in enumerate(found):
        size = phrase_at(found, at, "before")
        if at and found[at - 1].word == "no" and token.word == "soy" and not token.gap:
            continue  # "no soy Ana"; but "no, soy Ana"
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


def is_whole(found: Sequence[Token], own: set[int]) -> bool:
    return sum(found[at].is_name for at in own) > 1


def whole_name(found: Sequence[Token], theirs: frozenset[int]) -> set[int]:
    """The places of a first and a last name that stand together and are not a relative's."""
    words = {found[at].word for at in theirs}
    for run in runs(found):
        if len(run) > 1 and not theirs.intersection(run) and found[run[0]].word not in words:
            return set(run)
    return set()


def says_own_name(found: Sequence[Token], own: set[int]) -> bool:
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
    return any(is_bare(found, run) for run in runs(found))


def is_bare(found: Sequence[Token], run: Sequence[int]) -> bool:
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
        if token.word in speaker_words("does") and not (at and _tells_how(behind, at)):
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


def _tells_how(found: Sequence[Token], at: int) -> bool:
    """Whether it is told where or how something is: "the Mill is where I go"."""
    behind = [token.word for token in found[at + 1 : at + 3]]
    return found[at].word == "is" and len(behind) == 2 and behind[0] in _HOW and behind[1] in _WHO


def helps_caller(found: Sequence[Token], at: int) -> bool:
    """Whether somebody who is told by first name alone did something for the caller: "Ana showed me"."""
    alone = at == 0 or not found[at - 1].is_name or bool(found[at].gap)
    behind = [token.word for token in found[at + 1 : at + 3] if not token.gap]
    return (
        alone
        and len(behind) == 2
        and behind[0] in speaker_words("helped")
        and behind[1] in _TO_CALLER
    )


def does_something(found: Sequence[Token], at: int) -> bool:
    """Whether it is said what the one with the name that ends here does: "Pat Lee can't …"."""
    behind = found[at + 1 : at + 4]
    if not behind or behind[0].gap:
        return False
    if behind[0].is_name or _tells_how(found, at + 1):  # "Rachel May"
        return False
    if len(behind) > 1 and behind[0].word in _STILL and not behind[1].gap:
        behind = behind[1:]
    after = behind[0].word
    if helps_caller(found, at):
        return False
    return after in speaker_words("does") or (found[at].is_owned and after == "not")

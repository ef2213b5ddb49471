"""Father or son: who is meant of two of one name, by what a caller says of it."""

from __future__ import annotations

from collections.abc import Sequence

from onboard.lookup.sentence import Token, phrase_at
from onboard.match.given_names import sex

# Words that mostly say something else: only as "the son", "the young one", "old Leif Smith".
_EITHER = frozenset(
    ("son", "boy", "young", "father", "dad", "daddy", "old", "older", "padre", "papa", "hijo", "sr")
)

_I_AM = frozenset(("im", "am", "soy"))  # "I'm the young one"


def generation(found: Sequence[Token]) -> str:
    """ "jr" or "sr" if the caller says that of the one who is meant, else "".

    >>> from onboard.lookup.sentence import tokens
    >>> generation(tokens("Mike Wolff the father, not the boy")), generation(tokens("my father says hello"))
    ('sr', '')
    """
    for at, token in enumerate(found):
        for kind, told in (("younger", "jr"), ("older", "sr")):
            size = phrase_at(found, at, kind)
            if size and (token.word not in _EITHER or size > 1 or _tells(found, at)):
                return told
    return ""


def _tells(found: Sequence[Token], at: int) -> bool:
    """Whether a word that mostly says something else tells which of two it is."""
    before = found[at - 1] if at else None
    after = found[at + 1] if at + 1 < len(found) else None
    if before and before.word in ("the", "el"):
        return at > 1 and (found[at - 2].is_name or found[at - 2].word in _I_AM)
    if found[at].word == "sr":
        return before is not None and before.is_name and found[at].is_capital
    return found[at].word == "old" and after is not None and after.is_name and bool(sex(after.word))

"""Widows and widowers: "the widow of Otto Keane" says that Otto has died. She is alive."""

from __future__ import annotations

import re
from collections.abc import Sequence

from onboard.late import late
from onboard.lookup.costs import SHORT_FORMS
from onboard.lookup.facts import Facts
from onboard.lookup.name_places import names_before, names_behind
from onboard.lookup.sentence import Token
from onboard.lookup.slips import word
from onboard.match import folds

LONGEST = 1200  # characters that are read
MOST = 5  # words of a name, a title before it among them
_NO_NAME = r"and|y|e|who|que|quien|is|es|here|aqu[ií]|can|can'?t|has|had|needs|wants|no|se|named|called|llamada"
_WIDOW_OF = late(
    rf"\b(?:widow(?:er)?\s+(?:of|to)|(?:viud[oa]|vd[ao]\.?)\s+del?)\s+((?:(?!(?:{_NO_NAME})\b)[^\s,;:!?()]+\s*)+)"
    r"|\b([^\W\d]\S*(?:\s+(?-i:[A-Z])\S*){0,2})['’]s\s+widow(?:er)?\b",
    re.IGNORECASE,
)
_I_AM = late(
    r"(?:^|\b(?:i\W?m|i\s+am|this\s+is|it\W?s|as|speaking|hi|hello|hey|soy|habla|como|hola))"
    r"\W*(?:the|a|la|el|una?)?\s*$",
    re.IGNORECASE,
)

_WIDOWS = frozenset(("widow", "widower", "viuda", "viudo"))
_OF = frozenset(("of", "to", "de", "del"))
_BETWEEN = frozenset(
    ("the", "a", "la", "el", "who", "is", "quien", "que", "es", "and", "y", "shes", "hes")
)


def late_spouse(found: Sequence[Token], at: int) -> frozenset[int]:
    """The places of a name that is only told to say whose widow somebody with a name is.

    >>> from onboard.lookup.sentence import tokens
    >>> said = tokens("calling for Ana Ruiz, the widow of Ben Soto")
    >>> [said[place].word for place in sorted(late_spouse(said, 5))]
    ['ben', 'soto']
    """
    if found[at].word not in _WIDOWS or at + 2 >= len(found) or found[at + 1].word not in _OF:
        return frozenset()
    before = at
    while before > 1 and found[before - 1].word in _BETWEEN:
        before -= 1
    named = names_before(found, before)
    theirs = names_behind(found, at + 2, is_far=False)
    if len(named) == 1:
        return theirs - {max(theirs, default=0)}  # "Ana, the widow of Ben Ruiz": she is a Ruiz, too
    return theirs if named else frozenset()


def has_died(text: str, facts: Facts) -> bool:
    """Whether the text says of whoever has these facts that they left a widow or widower.

    >>> from onboard.lookup.facts import Name
    >>> otto, ana = (Facts(names=(Name((given,), ("keane",)),)) for given in ("otto", "ana"))
    >>> [has_died("for Ana Keane, the widow of Otto Keane", facts) for facts in (otto, ana)]
    [True, False]
    """
    text = text[:LONGEST]
    found = _WIDOW_OF.search(text)
    if not found:
        return False
    late_one = _words(found[1] or found[2])[:MOST]
    apart = {*_words(text[: found.start()]), *_words(text[found.end() :])}
    givens = {name.given[0] for name in facts.names if name.given}
    if not givens.isdisjoint(late_one):
        return True
    if not givens.isdisjoint(apart):  # the widow herself is meant
        return False
    if any(
        word(one, given)[0] <= SHORT_FORMS for one in late_one for given in givens if len(one) > 1
    ):
        return True
    # "I'm the widow of Keane" tells no first name.
    return bool(_I_AM.search(text[: found.start()]))


def _words(text: str) -> list[str]:
    return [one for said in text.split() for one in folds.words(said)]

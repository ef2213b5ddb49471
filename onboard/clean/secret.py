"""Whether a note seems to hold a password, so that it is not kept.

A guess: a phrase of words like those of a temporary password, a word behind "password", or one that mixes
letters, digits and signs as people do for passwords.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from functools import cache

from onboard.late import late
from onboard.tables import rows

RUN = 4  # words of the list in a row, with a hyphen between; with blanks one more
SHORTEST = 8  # letters of a word that could be a password by its looks
SIGNS = frozenset("!@#$%^&*?_=+~")  # others, as in 5:30-6pm, stand in any text

_NAMED = late(
    r"\b(?:passwords?|passwd|passphrases?|passcode|pwd?|pw|pin|contrase(?:ñ|n)a|clave|palabra de paso)\b"
    r"(?:\s+(?:is|was|es|era|now|ahora|to|a|(?:should|shall|will|would|could|can|must) be|sea|ser|(?:changed|set|reset) to)\b|\s*[:=])+\s*(?P<said>\S+)",
    re.IGNORECASE,
)
LEFT_OUT = "(left out: a password seems to stand here)"
# With nothing between: "password mango77", but not "password 2nd try".
_BESIDE = late(
    r"\b(?:password|passphrase|passcode|contrase(?:ñ|n)a|clave)\s+[\"'“(]?"
    r"(?!\d+(?:st|nd|rd|th)\b)(?=\S*[a-z])(?=\S*\d)\S+",
    re.IGNORECASE,
)
_ASKS_FOR_ONE = late(
    r"\b(?:passwords?|passphrases?|passcode|contrase(?:ñ|n)as?|pin)\b", re.IGNORECASE
)
_NO_ANSWER = frozenset(
    ("", "yes", "no", "y", "n", "x", "none", "n/a", "na", "-", "sí", "si", "true", "false")
)
_STOP = late(r"((?<=[.!?;,])\s+|\s*\n\s*)")
_RUN = late(r"[a-z]{3,6}(?:[- ][a-z]{3,6})+")
# What mixes signs, and is no password: an email, an address on the web, a day or time, a phone number, a
# path, a finding's code, an amount.
_OTHER = late(
    r"[^\s@]+@[^\s@]+|https?:\S+|www\.\S+|\S+\.(?:org|com|net|csv|xlsx|pdf|ods)\S*|[\d\s./:()+\-#$,]+"
    r"|[a-z]+(?:[._/-][a-z]+)+",
    re.IGNORECASE,
)
_NUMBERED = late(r"[A-Za-z][a-z]*#\d+")  # member#17
# Said of a password without saying it: "the password is wrong", "password was reset".
_ABOUT = frozenset(
    ("wrong", "lost", "old", "new", "reset", "expired", "gone", "not", "the", "a", "an", "no", "in", "on",
     "fine", "ok", "okay", "right", "correct", "missing", "forgotten", "sent", "unknown", "too", "still",
     "being", "due", "issued", "changed", "there", "here", "that", "what", "working", "never", "only", "her",
     "his", "their", "your", "my", "from", "with", "for", "it", "rejected", "refused", "confusing", "hard",
     "long", "ready", "incorrecta", "vencida", "nueva", "vieja", "la", "el", "una", "que", "muy", "perdida",
     "olvidada", "typed", "written", "misspelled", "mistyped", "set", "made", "given", "needed", "?")
)  # fmt: skip


def is_in(text: str, words: Collection[str], names: Collection[str] = ()) -> bool:
    """Whether the text seems to hold a password; `words` are those that temporary ones are made of, and
    `names` what a member may have typed for a sign-in name.

    >>> is_in("her password is Tulip42!", ()), is_in("she lost the password", ())
    (True, False)
    >>> is_in("typed acorn-bagel-camel-delta-elbow", ("acorn", "bagel", "camel", "delta", "elbow"))
    True
    """
    own = {"".join(filter(str.isalpha, name)).casefold() for name in names}
    looks = any(_looks_like_one(word, own) for word in re.split(r"[\s/]+", text))
    return looks or _is_named(text) or _is_phrase(text, words)


def left_out(text: str, words: Collection[str], names: Collection[str] = ()) -> str:
    """The text with whatever seems to hold a password left out, up to the next stop; all of it, where a
    password goes on behind one. `words` and `names` are as in `is_in`.

    >>> left_out("Drives a van. Password is mango77! Call after 5.", ())
    'Drives a van. (left out: a password seems to stand here) Call after 5.'
    """
    if not is_in(text, words, names):
        return text
    parts = _STOP.split(text)
    shown = "".join(LEFT_OUT if is_in(part, words, names) else part for part in parts)
    return LEFT_OUT if is_in(shown.replace(LEFT_OUT, ""), words, names) else shown


def hidden(text: str, asked: str = "") -> str:
    """What a member wrote in their own words, as it may be shown: without what seems to be a password.

    `asked` is the heading it stands under. One that asks for a password is answered with one.

    >>> hidden("mango", asked="Choose a password"), hidden("no", asked="Did your password come?")
    ('(left out: a password seems to stand here)', 'no')
    """
    if (
        asked
        and _ASKS_FOR_ONE.search(asked)
        and text.strip().strip(".!").casefold() not in _NO_ANSWER
    ):
        return LEFT_OUT if text.strip() else text
    return left_out(text, _words())


@cache
def _words() -> frozenset[str]:
    return frozenset(
        word for table in ("password_words", "password_words_es") for (word,) in rows(table)
    )


def _is_named(text: str) -> bool:
    for found in _NAMED.finditer(text):
        said = found["said"].strip(".,;:!?\"'“”()").casefold()
        if said and said not in _ABOUT:
            return True
    return bool(_BESIDE.search(text))


def _is_phrase(text: str, words: Collection[str]) -> bool:
    known = frozenset(words)
    for run in _RUN.findall(text.casefold()):
        for parted, least in ((run.split(" "), RUN), ([run.replace("-", " ")], RUN + 1)):
            for part in parted:
                row = 0
                for word in re.split("[- ]", part):
                    row = row + 1 if word in known else 0
                    if row >= least:
                        return True
    return False


def _looks_like_one(word: str, names: Collection[str]) -> bool:
    word = word.strip(".,;:?\"'“”()")
    if len(word) < SHORTEST or _OTHER.fullmatch(word) or _NUMBERED.fullmatch(word):
        return False
    if "".join(filter(str.isalpha, word)).casefold() in names:
        return False  # a sign-in name as it was typed
    kinds = (str.islower, str.isupper, str.isdigit, SIGNS.__contains__)
    return sum(any(kind(letter) for letter in word) for kind in kinds) >= 3

"""What a caller tells of their trouble, apart from who they are."""

from __future__ import annotations

import re
from functools import partial

from anyascii import anyascii

from onboard.tables import words as words_of

call_words = partial(words_of, "call_words")

LONGEST = 120  # characters that are handed on
_PART = re.compile(r"[^,.;!?\n]+")


def trouble(text: str) -> str:
    """The parts of a sentence that tell of trouble at the page, in the caller's words; "" if none does.

    >>> trouble("Hi, it's Otto Holcomb, I pick up at the barn, it keeps telling me invalid login")
    'it keeps telling me invalid login'
    >>> trouble("this is Pat Lee from Lima, I want to add beans")
    ''
    """
    parts = [part.strip() for part in _PART.findall(text[:2000])]
    told = [part for part in parts if _tells(part)]
    joined = ", ".join(dict.fromkeys(" ".join(part.split()) for part in told))
    return joined if len(joined) <= LONGEST else joined[: LONGEST - 1] + "…"


def _tells(part: str) -> bool:
    said = " " + " ".join(re.findall(r"[a-z]+", anyascii(part).lower().replace("'", ""))) + " "
    return any(f" {words} " in said for words in call_words("trouble"))

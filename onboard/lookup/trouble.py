"""What a caller tells of their trouble, apart from who they are."""

from __future__ import annotations

import re
from functools import partial

from anyascii import anyascii

from onboard.tables import words as words_of

call_words = partial(words_of, "call_words")

LONGEST = 120  # characters that are handed on
_PART = re.compile(r"[^,.;!?\n]+")

_NAME = r"(?:user ?name|user id|sign ?in name|log ?in name|sign ?in|log ?[io]n|handle|usuario|nombre de usuario)"
_AMISS = (
    r"(?:not|no|never|wrong|invalid|incorrect|bad|locked|broken|blank|expired|gone|lost|forgotten|refused|rejected|unknown|"
    r"missing|failing|acting|giving|having|too|stuck|down|frozen|doesnt|wont|cant|trouble|page|screen|link|button|box)"
)
# A sign-in name that they tell: "my user name is bells", "sign-in name bells".
_TOLD_NAME = re.compile(
    rf"\b(?:(?:my|the|her|his|our|under|with|mi|su|el) )?{_NAME} (?:is|was|would be|should be|es|era)\b(?! {_AMISS}\b)"
    rf"|^(?:(?:my|the|her|his|our|under|with|mi|su|el) )?{_NAME} (?!{_AMISS}\b)\w+$"
)


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
    words = " ".join(re.findall(r"[a-z0-9]+", anyascii(part).lower().replace("'", "")))
    said = f" {_TOLD_NAME.sub(' ', words)} "
    return any(f" {words} " in said for words in call_words("trouble"))

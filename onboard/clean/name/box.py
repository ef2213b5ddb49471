"""The text of a name box, without what is no part of a name: contacts, markup, program text, signs.

What comes out holds letters, digits, marks and these: ' . - of names; & + / ; , between people or
parts; paired "quotes" and (brackets) about something said beside the name; ? for a lost letter.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from onboard.clean.name import letters, words
from onboard.clean.name.kinds import LONGEST
from onboard.late import late

Note = Callable[[str, str], None]  # takes the code of a finding and the piece that it is about

_READ = 2_000  # characters beyond which a text is not even looked at

# Nothing but words: neither signs nor anything foreign.
SIMPLE = late(r"[A-Za-zÀ-ÖØ-öø-ſ' .\-]*")
LETTER = late(r"[^\W\d_]")
EDGES = " .,;:-/&+"

_WORDY = late(
    rf"(?<!\S)(?:{'|'.join(map(re.escape, sorted(words.PARTING)))}|['.\-]\S*|\S*['\-])(?!\S)",
    re.IGNORECASE,
)
_DOTTED = late(r"\w\.\w")  # "Pat.Lee", "J.R."

_EMAIL = late(r"(?:mailto:)?[^\s<>,;()\"]{1,64}@[^\s<>,;()\"]+")
_PHONE = late(r"(?:\btel\b[.:]?\s*)?\+?\(?\d[\d ().\-]{5,30}\d", re.IGNORECASE)
_SCRIPT = late(r"<(script|style)\b.*?(?:</\1[^<>]*>|$)", re.IGNORECASE | re.DOTALL)
_TAG = late(
    r"</?(?:!--|a|b|i|u|p|br|em|hr|li|td|tr|ul|img|svg|div|span|font|body|html|head|input|table|form"
    r"|iframe|strong|style|script|link|meta|object|embed|video|audio|marquee|h[1-6])\b[^<>]*>?",
    re.IGNORECASE,
)
_CODE = late(
    r"[{}\\]|^[=+@\-]\s*\w+\s*[(!]|^[=+@\-].*(?:\||!\$?[a-z]{1,3}\$?\d)|^=|https?:/|\bwww\.|\w\([^()]*\);|--\s*$"
    r"|;\s*(?:drop|delete|select|insert|update)\b|\$\(",
    re.IGNORECASE,
)
_LOST = late(rf"{letters.LOST}|\w\?|\?\w|\?\?\?")
_BESIDE = late(r'("[^"]*"|\([^()]*\)|\[[^\[\]]*\])')
_SIGNS = late(r"[*#!?^~<>@%$\\{}\[\]()\"]+")
_SIGNS_BETWEEN = late(r"[_:|=\x1a]+")
_MEANT = late(r"[&+/;,\-]+|.*[\w\"()\[\]].*")


def name_in(said: str, note: Note, *, column: bool = False) -> str | None:
    """The name in a box's text; None where the box holds something else, which `note` is told.

    `column`: the box is for one part of the name.
    """
    said = said.strip()
    if len(said) > _READ:
        note("long", f"{len(said):,}")
        return None
    text, mended = letters.mend(said)
    for code, what in mended.items():
        note(code, what)
    if not SIMPLE.fullmatch(text):
        text = _without_contacts(text, note)
        if _CODE.search(text):
            note("not_a_name", "")
            return None
        lost = bool(_LOST.search(text))
        if lost:
            note("lost_letters", "")
        text = _without_signs(text, lost, note, column=column)
    if len(text) > LONGEST:
        note("long", f"{len(text):,}")
        return None
    return text


def _without_contacts(text: str, note: Note) -> str:
    for code, pattern in (("email", _EMAIL), ("phone", _PHONE)):
        if match := pattern.search(text):
            note(code, match[0].strip())
            text = pattern.sub(" ", text)
    if "<" in text:
        plain = _TAG.sub(" ", _SCRIPT.sub(" ", text))
        if plain != text:
            note("markup", "")
            text = plain
    return " ".join(text.replace("<>", " ").split())


def _without_signs(text: str, lost: bool, note: Note, *, column: bool) -> str:
    kept = []
    for at, piece in enumerate(_BESIDE.split(text)):
        inner = piece[1:-1] if at % 2 else piece
        if lost:
            inner = inner.replace("?", letters.LOST)
        inner = _SIGNS.sub("", _SIGNS_BETWEEN.sub(" ", inner)).replace(letters.LOST, "?")
        kept.append(f"{piece[0]}{inner}{piece[-1]}" if at % 2 else inner)
    found = [word for word in "".join(kept).split() if _MEANT.fullmatch(word)]
    plain = " ".join(found)
    if "\x1a" in text:
        picture = any(not word.strip("\x1a") for word in text.split())
        if picture and sum(map(bool, map(LETTER.search, found))) < (1 if column else 2):
            note("no_letters", "")  # a picture in place of a name
    elif plain != text.replace(letters.LOST, "?"):
        gone = next((char for char in text if char not in plain), "")
        note("symbols", gone)
    return plain


def is_tidy(text: str) -> bool:
    """Whether a text is words only, none of which may part people or stand beside a name."""
    return (
        SIMPLE.fullmatch(text) is not None
        and not _WORDY.search(text)
        and not ("." in text and _DOTTED.search(text))
    )

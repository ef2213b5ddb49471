"""What somebody wrote behind a name for whoever reads the list: "Carol, moved to FL"."""

from __future__ import annotations

import re
from functools import cache

from onboard.clean.name import words

KIN = (
    r"(?:sister|brother|wife|husband|mother|father|mom|mama|mamá|papá|mum|dad|son|daughter|cousin|friend|neighbor|partner|widow|widower|"
    r"grand(?:mother|father|ma|pa|son|daughter)|spouse|abuel[oa]|niece|nephew|aunt|uncle|roommate|caregiver|helper|espos[oa]|hij[oa]|herman[oa]|madre|padre|viud[oa]|amig[oa])s?"
)
# What no name begins with, wherever it stands behind one. Whole words: Donte is a name.
_ANYWHERE = (
    rf"no\s+longer|not\s+(?:active|a\s+member|in|at|here|sure|paid)|do(?:es)?\s+not|do(?:es)?n['’]?t|did\s*n['’o]t|never\s+\w+s|"
    rf"used\s+to|on\s+(?:hold|leave|vacation|break)|lives\s+(?:in|with|at)|now\s+(?:in|at|lives)|see\s+(?:notes?|also|other|above|below|row|file)|"
    rf"left\s+(?:co-?op|the|us|in|\d+)|quit\s+(?:co-?op|the|in|\d+)|call\s+(?:first|after|before|her|him|them|only)|{KIN}\s+(?:of|to|de)|"
    rf"\w+['’]s\s+{KIN}|has\s+(?:not|a|no|new|two|left)|pays\s+\w+|ya\s+no|se\s+(?:mud\w+|fue)|new\s+(?:phone|address|email|number|cell|acct|account)|"
    rf"away\s+(?:until|till|for)|back\s+(?:in|on|from)|wants\s+\w+|needs\s+\w+|please\s+\w+|wrong\s+\w+|bad\s+\w+"
)
# What may begin one behind a comma or a dash; the first need a word behind them: "Luttrell, See" is a name.
_SET_OFF = (
    r"(?:see|new|old|now|call|ask|check|lives|works|has|is|at|until|since|text|needs?|wants?|drives|picks|same)\s+\w+|"
    r"baja|dad[oa]\s+de\s+baja|left|quit|back|away|paid|gone|out\s+of|in\s+(?!care)\w+|temp|pending|hold|void|vacation|retired|"
    r"member\s+(?:until|since)|owed|also\s+(?!known)\w+|debe|llamar|vive"
)
_BREAK = r"(?:\s*[,;:=|]\s*|\s+[\-–—/*]+\s*|\s*[\-–—/*]+\s+|\s*[(\[]\s*)"
_SENTENCE = re.compile(rf"{_BREAK}((?=[a-zñáéíóú])[^,;()]*\s[^,;()]*)$")
_BEHIND = re.compile(r"[\s,;:=|/\-–—*(\[]+$")
LONGEST = 400  # characters in which one is looked for


@cache
def _pattern() -> re.Pattern[str]:
    alone = "|".join(map(re.escape, words.of("remark")))
    return re.compile(
        # "Eulalia Rentería viuda de Valle" is a last name; ", viuda de Valle" tells of her.
        rf"(?:{_BREAK}|\s+(?!viud[oa]\s+del?\s)|^)(?:{alone}|{_ANYWHERE})(?!\w).*$|{_BREAK}(?:{_SET_OFF})\b.*$",
        re.IGNORECASE | re.DOTALL,
    )


def cut(text: str) -> tuple[str, str]:
    """The name, and what was written behind it for whoever reads it; "" if nothing was.

    >>> cut("Carol, moved to FL"), cut("Pat Lee"), cut("Lee, pat")
    (('Carol', 'moved to FL'), ('Pat Lee', ''), ('Lee, pat', ''))
    """
    if len(text) > LONGEST:
        return text, ""
    found = _pattern().search(text) or _sentence(text)
    if not found or not any(map(str.isalpha, text[: found.start()])):
        return text, ""
    said = text[found.start() :].strip(" ,;:=|/-–—*()[]")
    return _BEHIND.sub("", text[: found.start()]), said


# "Silva vda. de Mora". A small v, as a capital is an initial; "de la Viuda" is a last name.
_WIDOW = re.compile(
    r"(?:^|[\s,]+)(?<!\bla\s)((?:vda\b\.?|viuda\b|vd\.|(?-i:v\.))\s*(de|del))\s+(?=[^\W\d_])",
    re.IGNORECASE,
)


def without_widow(text: str, *, before: str = "", column: bool = False) -> tuple[str, str]:
    """The name without what says "widow of", and that; the married name stays as it is said without.

    `column`: the text is of a last-name column, and `before` is what other columns have between.

    >>> without_widow("Petra Silva vda. de Mora"), without_widow("Ana vda. de Ruiz")
    (('Petra Silva de Mora', 'vda. de'), ('Ana Ruiz', 'vda. de'))
    """
    found = _WIDOW.search(text) if len(text) <= LONGEST else None
    if not found or (found[1][:2] == "v." and text.islower()):
        return text, ""
    front, behind = text[: found.start()], text[found.end() :]
    first, *more = (words.bare(word) for word in behind.split())
    if found[1][:3].lower() == "viu" and more and words.given(first) > words.family(first):
        return text, ""  # "viuda de Juan Mora" tells of him
    has_own = front.strip() and (column or "," in behind or " " in front.strip())
    small = f"{found[2]} "
    if found[2].lower() == "de" and first not in ("la", "las", "los"):
        is_double = first in words.of("particle")  # "vda. de De León"
        small = small if not is_double and (has_own or before) else ""
    return f"{front} {small}{behind}".strip(), found[1]


def _sentence(text: str) -> re.Match[str] | None:
    """Small letters set off from a name in capitals, of which no word is a first name."""
    found = _SENTENCE.search(text)
    if not found or text[: found.start()].islower():
        return None
    said = [words.bare(word) for word in found[1].split()]
    helpers = (words.of("particle"), words.of("title"), words.of("credential"), words.of("suffix"))
    is_named = any(words.given(word) or any(word in known for known in helpers) for word in said)
    known = sum(bool(words.family(word)) or word in words.PARTING for word in said)
    return None if is_named or known == len(said) else found

"""What stands beside a name: the name one is called, a former name, in whose care it is."""

from __future__ import annotations

import re
from typing import NamedTuple

from onboard.clean.name import ends, organisations, words
from onboard.clean.name.kinds import Noticed
from onboard.late import late
from onboard.model import PersonName

_QUOTED = late(r'"([^"]*)"|\(([^()]*)\)|\[([^\[\]]*)\]|(?<!\S)\'([^\' ]+)\'(?!\S)')
_BORN = late(
    r"^(?:née|nee|né|born|formerly|formerly known as|f/?k/?a|geb\.?|geborene|nacida|maiden name:?|"
    r"was)\s+(\S.*)$",
    re.IGNORECASE,
)
_FORMERLY = late(
    r"[,\s]\s*(?:née|nee|born|formerly known as|formerly|f/?k/?a|geborene|nacida)\s+(\S.*)$",
    re.IGNORECASE,
)
_ALSO = late(
    r"[,\s]\s*(?:a/?k/?a|a\.k\.a\.|also known as|goes by|known as|called)\s+(\S.*)$", re.IGNORECASE
)
CARE_OF = late(
    r"\s*[,;]?\s(?:c/o|c\.o\.|care of|in care of|attn:?|attention:|on behalf of|via|for|por|para)\s+(\S.*)$",
    re.IGNORECASE,
)
_PRONOUNS = late(
    r"^(?:she|he|they|ella|él|elle)"
    r"(?:[/ ,]+(?:her|him|them|hers|his|theirs|she|he|they|ella|el|elle))+$"
)


class Beside(NamedTuple):
    """What stood beside a name; "" for what did not."""

    called: str = ""  # the name one is called
    former: str = ""
    suffix: str = ""  # "(hijo)", "(Jr.)"

    def put_to(self, name: PersonName) -> PersonName:
        """The name with what stood beside it."""
        if self == _NOTHING:
            return name
        former = former_name(self.former, name)
        return name._replace(called=self.called, former=former, suffix=name.suffix or self.suffix)

    def or_else(self, other: Beside) -> Beside:
        return Beside(*(mine or its for mine, its in zip(self, other, strict=True)))


_NOTHING = Beside()


def take_asides(text: str, noticed: Noticed) -> tuple[str, Beside]:
    """The text without what stands beside the name; and what that was."""
    called = former = suffix = ""

    def aside(match: re.Match[str]) -> str:
        nonlocal called, former, suffix
        inner = next((g for g in match.groups() if g is not None), "").strip(" ,")
        if not match.string[: match.start()].strip() and not _BORN.match(inner):
            return f" {inner} "  # quotes about the first name, or about everything
        behind = match.string[match.end() :].strip(" ,.")
        if born := _BORN.match(inner):
            former = former or born[1]
        elif match[1] is None and (
            generation := ends.bracketed_suffix(inner, noticed, inside=bool(behind), whole=text)
        ):
            suffix = suffix or generation
        elif (
            not inner
            or _PRONOUNS.match(inner.lower())
            or words.bare(inner) in words.of("title")
            or words.bare(inner) in words.of("credential")
        ):
            pass
        elif (
            len(inner.split()) <= 2
            and "'s " not in inner
            and not organisations.is_organisation(inner)
            # what follows the whole name in brackets is a name only if it is known for one
            and (match.string[match.end() :].strip() or match[1] or words.given(words.bare(inner)))
        ):
            called = called or inner
        else:
            noticed.setdefault("name.aside", inner)
        return " "

    if any(mark in text for mark in "\"(['"):
        text = _QUOTED.sub(aside, text)
    for pattern in (_FORMERLY, _ALSO):
        found = pattern.search(text)
        if found and (pattern is _ALSO or len(text[: found.start()].split()) >= 2):
            text, rest = text[: found.start()], found[1]
            if pattern is _ALSO:
                called = called or rest.split()[0]
            else:
                former = former or rest
    found = CARE_OF.search(text)
    if found and len(text[: found.start()].split()) >= 2:
        text = text[: found.start()]
        noticed["name.care_of"] = found[1]
    text = re.sub(r"^(?:c/o|attn:?|attention:?)(?:\s+|$)", "", text, flags=re.IGNORECASE)
    return " ".join(text.split()), Beside(called.strip(" '"), former.strip(" ,'"), suffix)


def former_name(former: str, name: PersonName) -> str:
    """The former last name; where the former name was given in full, without the first name."""
    tokens = former.split()
    if len(tokens) > 1 and tokens[0].lower() == name.given.lower():
        tokens = tokens[1:]
    return " ".join(tokens)

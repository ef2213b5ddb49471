"""What the standard does not print as it was typed: apostrophes, accents, ½, two spaces.

Publication 28 contradicts itself about each of them, so the other form is named.
"""

from __future__ import annotations

import re
import unicodedata

from onboard.clean.address.delivery_line import DeliveryLine
from onboard.clean.address.lastline import LastLine
from onboard.clean.address.words import unaccented

_APOSTROPHES = re.compile("['’‘ʼ`´′]")
_WITH_APOSTROPHE = re.compile(rf"\w+{_APOSTROPHES.pattern}\w+")
_TWO_SPACES = re.compile(r"[A-Za-z.] {2,}\d{5}(?:-\d{4})?\W*\Z")


def note(said: str, part: DeliveryLine, last: LastLine) -> None:
    """Names the forms that keep what was typed."""
    if said.isascii() and "'" not in said and "  " not in said:
        return
    if last.city:
        _city(said, last)
    if last.zip5 and last.state and _TWO_SPACES.search(said):
        text = last.line.replace(f" {last.zip5}", f"  {last.zip5}")
        last.may_be(text, "the postal guide prefers two spaces before the ZIP code, rule 224")
    for mark in set(said) if "/" in part.number else ():
        if unicodedata.decomposition(mark).startswith("<fraction>"):
            figures = unicodedata.normalize("NFKD", mark).replace("\u2044", "/")
            one = part.line.replace(f" {figures} ", f"{mark} ", 1)
            part.line_may_be(
                one, "the postal guide does not show fractions as one character, rule D4"
            )


def _city(said: str, last: LastLine) -> None:
    """222 prints PLUMMER'S LANDING, 354 takes the mark away; I prints accents, 29 does not."""
    text = unicodedata.normalize("NFC", said).upper()
    words = [(_APOSTROPHES.sub("'", word), "the postal guide takes out the apostrophe, rule 354, or keeps it, rule 222")
             for word in _WITH_APOSTROPHE.findall(text)]  # fmt: skip
    if last.state == "PR":
        words += [(word, "the postal guide shows accents, appendix I, or does not, chapter 29")
                  for word in text.replace(",", " ").split() if not word.isascii()]  # fmt: skip
    for typed, why in words:
        plain = unaccented(typed)
        if plain != typed and plain in last.city.split():
            city = " ".join(typed if word == plain else word for word in last.city.split())
            last.may_be(f"{city} {last.state}".rstrip(), why)

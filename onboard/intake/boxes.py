"""Boxes to check: a column that is filled where somebody said yes, and empty for everybody else.

What an empty cell means there, only the co-op knows; it is asked once, and never taken for a yes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from onboard.clean import consent, remarks
from onboard.intake.fields import BOXES, EMPTY
from onboard.intake.headings import Meaning, Why, fold
from onboard.model import Finding, Kind, Weight

AS_SAID = Kind(
    "consent.empty", Weight.MENDED,
    "The box about email was not checked. You said what that means.",
    "(an empty cell, and “consent:no”)", "no",
)  # fmt: skip
KINDS = (AS_SAID,)
_ABOUT = re.compile(r"\b(?:e ?mail\w*|newsletters?|correos?|boletin(?:es)?)\b")
_ASKS = re.compile(
    r"\b(?:agree|consent|ok|okay|may|can we|permi\w+|allow\w*|want|wish|like|receive|receiving|get|send|"
    r"contact\w*|subscribe|sign me up|updates|newsletters?|acepta?\w*|autori\w+|desea\w*|quier\w+|recibir|"
    r"envi\w+|podemos|conforme|de acuerdo)\b"
)
UNSAID = "unsaid"  # the column asks, and nobody has said what an empty box means


def split(field: str) -> tuple[str, str]:
    """The field, and what was said that an empty cell means; "" if nothing was.

    >>> split("consent:no"), split("consent"), split("extra:Why: tell us")
    (('consent', 'no'), ('consent', ''), ('extra:Why: tell us', ''))
    """
    box, _, empty = field.partition(":")
    return (box, empty) if box in BOXES else (field, "")


def joined(field: str, empty: str) -> str:
    """The field with what an empty cell means, as `split` takes it apart."""
    return f"{field}:{empty}" if field in BOXES and empty in EMPTY else field


def are_checks(cells: Sequence[str]) -> bool:
    """Whether filled cells are those of boxes: each one says the same, and that is not no.

    >>> are_checks(["Yes", "x", "I agree"]), are_checks(["yes", "no"]), are_checks([])
    (True, False, False)
    """
    said = [consent.clean(cell) for cell in cells if not consent.is_empty(cell)]
    return bool(said) and not any(one.value is False and not one.findings for one in said)


_CLEAR = 0.6  # of the filled cells: so many answer yes or no where the heading asks
_GLUED = re.compile(r"mail|correo|newslet|boletin")  # "OKEMAIL"


def asked_by(heading: str, cells: Sequence[str]) -> Meaning | None:
    """What a heading in words of its own asks, if what stands below it are checks or yes and no. A few cells
    in other words ("hates it") are answers too, each for a person to read."""
    if not cells or any("@" in cell for cell in cells):
        return None
    clear = [cell for cell in cells if consent.UNCLEAR.code not in _codes(cell)]
    if len(clear) < _CLEAR * len(cells):
        return None
    if are_checks(clear) and remarks.clean(heading).value is False:
        return Meaning(("opt_out",), Why.WORDS, "a check there says no to email")
    words = fold(heading)
    of_cells = [fold(cell) for cell in cells]
    if are_checks(clear) and all(_ABOUT.search(one) and _ASKS.search(one) for one in of_cells):
        return Meaning(("consent",), Why.WORDS, "each answer says yes to email")
    # "Email?" with a yes below it asks; with nothing but "none" below it, it is for addresses.
    asks = _ASKS.search(words) or any(consent.clean(cell).value for cell in clear)
    if _GLUED.search(words) and asks:
        return Meaning(("consent",), Why.WORDS, "it asks about email, and is answered by yes or no")
    return None


def _codes(cell: str) -> set[str]:
    return {finding.code for finding in consent.clean(cell).findings}


def ask(heading: str, field: str, options: Mapping[str, str]) -> str:
    """The question what an empty cell means; `options` are the words to type, by answer."""
    answers = " ".join(
        f"{EMPTY[empty][0].upper()}{EMPTY[empty][1:]}: {words}." for empty, words in options.items()
    )
    does = "says no to email" if field == "opt_out" else "says yes to email"
    return (
        f'The column "{heading}" is a box that {does}, and some people left it empty. What does '
        f"an empty box mean? {answers} Add --remember, and the program won't ask again."
    )


def read(text: str, field: str, empty: str) -> tuple[str | None, list[Finding]]:
    """What the cell says, and what there is to say of that; None where nobody was asked.

    A box left empty is what `empty` says: one of `EMPTY`, or `UNSAID`; "" means that this is a list
    of people and no form, so that nothing was asked.
    """
    if not consent.is_empty(text):
        return text, []
    if not empty:
        return None, []
    if empty in ("ask", UNSAID):
        return "", []
    # In a column in which a check means no, an empty box means yes by the word no.
    says = empty if field == "consent" else {"no": "yes", "yes": "no"}[empty]
    note = f"The box about email was not checked. As you said, that means {EMPTY[empty]}. Nothing to do."
    return says, [AS_SAID.found(text, note)]

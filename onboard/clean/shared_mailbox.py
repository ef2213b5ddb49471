"""That a form says that its mailbox is shared: "same email as my husband", or one form for two. English and Spanish."""

from __future__ import annotations

import re
import unicodedata

from onboard.clean.name import joint
from onboard.late import late
from onboard.model import RawRow

LONGEST = 2_000  # characters read of a remark

_MAIL = r"(?:e ?mail(?: address| account)?|mailbox|inbox|correo(?: electronico)?)"
_KIN = (
    r"(?:husband|wife|spouse|partner|mother|father|mom|dad|sister|brother|son|daughter|roommate|family|espos[oa]|marido|mujer|madre|padre|"
    r"mama|papa|herman[oa]|hij[oa]|familia|pareja)"
)
_SAID = late(
    rf"\b(?:same|mism[oa]) {_MAIL} (?:as|que)\b|\bshar(?:e|ed|es|ing) (?:\w+ ){{0,3}}?{_MAIL}\b|\bboth (?:use|read|have|check) (?:\w+ )?{_MAIL}\b|\b(?:family|joint|shared|our) {_MAIL}\b"
    rf"|\b(?:use|uses|using|have|with) (?:the same|one|an?) {_MAIL}\b"
    rf"|\b{_MAIL} (?:is|belongs to|of) (?:my |our |the )?(?:both|family|household|{_KIN}(?: s)? and (?:mine|me|i|myself))\b|\b{_MAIL} is (?:shared|for both|ours|for the family)\b"
    rf"|\bcompart\w+ (?:el |un |este |mi |nuestro |la )?(?:mismo )?(?:{_MAIL}|cuenta de correo)\b|\b{_MAIL} (?:compartido|familiar|de los dos|de la familia)\b"
    rf"|\b{_MAIL} (?:\w+ )?(?:es )?(?:el )?(?:(?:de|con) (?:la )?(?:familia|pareja)|con (?:mi |la )?{_KIN}|de mi {_KIN} y (?:mio|yo|mi))\b"
)


def is_said(raw: RawRow) -> bool:
    """Whether the form says it, in a remark or by being for two.

    >>> is_said(RawRow("", 2, (), {"notes": "Same email as my husband"}))
    True
    >>> is_said(RawRow("", 2, (), {"full_name": "Pat and Kim Lee", "notes": "Email me!"}))
    True
    """
    names = " ".join(filter(None, map(raw.fields.get, ("full_name", "given", "family"))))
    return len(joint.people(names)) > 1 or any(map(says, raw.remarks))


def says(text: str) -> bool:
    """Whether a remark says it; that the mailbox is somebody else's says no such thing.

    >>> says("We share an email"), says("That email is my son's")
    (True, False)
    """
    apart = unicodedata.normalize("NFKD", text[:LONGEST])
    plain = (
        "".join(c for c in apart if not unicodedata.combining(c))
        .casefold()
        .replace("e-mail", "email")
    )
    return bool(_SAID.search(" ".join(re.findall(r"[^\W_]+", plain))))

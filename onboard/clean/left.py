"""That a member has left, as old lists note it: "closed acct 5/2023", "moved to FL", "BAJA 03/2024"."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable
from functools import cache

from onboard.clean import secret
from onboard.model import Finding, Kind, RawRow, Weight
from onboard.tables import rows

LEFT = Kind(
    "notes.left",
    Weight.DOUBTFUL,
    "A note in an old list says that the member has left, or moved away.",
    wrong="closed acct 5/2023",
    right="left two crates at the barn",
)
KINDS = (LEFT,)

LONGEST = 2_000  # characters read of a note
_ACCOUNT = r"(?:acct|account|membership|cuenta)"
_WHEN = r"(?:in\s+|en\s+|since\s+|as\s+of\s+)?\d[\d/.\-]*\b"


@cache
def _pattern() -> re.Pattern[str]:
    states = "|".join(
        re.escape(name) for code, name, _ in rows("address_states") for name in (code, name.title())
    )
    return re.compile(
        rf"(?i:\bclosed?\s+(?:the\s+|his\s+|her\s+|their\s+)?{_ACCOUNT}\b|\b{_ACCOUNT}\s+(?:is\s+|was\s+)?(?:closed|cancell?ed|ended|inactive|cerrada)\b"
        rf"|\bcancell?(?:ed|ing)?\s+(?:his\s+|her\s+|their\s+)?{_ACCOUNT}\b|^\W*(?:now\s+)?in-?active\b|\b(?:is|are|went|now|been)\s+inactive\b|\bnot\s+active\b"
        r"|\bno\s+longer\s+(?:(?:an?\s+)?(?:active\s+)?member|active|order(?:s|ing)|interested|participat\w+)\b|\b(?:former|ex)[\s\-]+member\b"
        rf"|\b(?:left|quit)\s+(?:the\s+|our\s+)?(?:co-?op|group|buying|{_WHEN})|\b(?:has|have)\s+(?:left|quit)\W*$|^\W*(?:left|quit|gone|moved)\W*$"
        r"|^\W*(?:closed|former|cancell?ed|withdrawn|cerrad[oa]|inactiv[oa])\W*$|\bse\s+fue\s+a\s+vivir\s+a\b"
        r"|\b(?:resigned(?!\s+(?:from|as))|dropped\s+out)\b|\bmoved\s+(?:away|out\s+of\s+(?:the\s+)?(?:state|town|area|country))\b"
        rf"|\bya\s+no\s+(?:es\s+(?:socia?|miembro)|pide|participa)\b|\b(?:se\s+dio|se\s+di[oó]|dad[oa]|est[aá])\s+de\s+baja\b(?!\s+de)|^\W*baja\b|\bbaja\s+{_WHEN}|\bse\s+fue\s+del\s+(?:pa[ií]s|estado))"
        rf"|\b(?i:moved|relocated|se\s+mud(?:o|ó|aron))\s+(?i:back\s+)?(?i:to|a)\s+(?:[A-Z][\w.'’\-]+,?\s+){{0,3}}(?:{states})\b(?!\s+(?:drop|site|group|pick))"
        r"|\b(?i:se\s+mud(?:o|ó|aron)\s+a)\s+[A-ZÁÉÍÓÚÑ]\w+"
    )


# A column that says whether they still are a member, where the answer is no.
_ACTIVE = re.compile(
    r"^(?!.*\bnot?\b).*\b(?:active|activ[oa]|current(?: member)?|vigente)\b", re.IGNORECASE
)
_NO = re.compile(r"\W*(?:n|no|false|0|not|inactive|inactiv[oa])\W*", re.IGNORECASE)


def in_list(raw: RawRow) -> tuple[Finding, ...]:
    """The findings of a row of a list of members that says so in notes, or in a column of its own ("Active?": "N")."""
    handle = raw.fields.get("handle", "").strip()
    columns = [
        f"{heading}: {said}"
        for heading, said in raw.aside.items()
        if _ACTIVE.search(heading) and _NO.fullmatch(said)
    ]
    return in_notes(raw.remarks, handle) + tuple(_found(text, handle) for text in columns)


def in_notes(notes: Iterable[str], handle: str) -> tuple[Finding, ...]:
    """A finding for each note of a list that says so of the member with this sign-in name.

    >>> [f.said for f in in_notes(["Has a truck.", "moved to FL Nov 2024", "moved to the Dixon drop"], "patlee")]
    ['moved to FL Nov 2024']
    """
    return tuple(_found(text, handle) for text in notes if _pattern().search(text[:LONGEST]))


def _found(text: str, handle: str) -> Finding:
    close = f" If so, close the account: onboard close {shlex.quote(handle)}" if handle else ""
    return LEFT.found(text, f"A note says “{_short(text)}”. Ask if they have left.{close}")


def _short(text: str) -> str:
    shown = " ".join(secret.hidden(text[:LONGEST]).split())
    text = "".join(c if c.isprintable() else "·" for c in shown)
    return text if len(text) <= 60 else text[:59] + "…"

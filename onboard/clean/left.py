"""That a member has left, as old lists note it: "closed acct 5/2023", "moved to FL", "BAJA 03/2024"."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable
from functools import cache

from onboard.clean import place, secret
from onboard.late import late
from onboard.model import Finding, Kind, RawRow, Weight
from onboard.tables import rows, zip_codes

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
        r"|\b(?:(?:not|never)\s+coming|(?:won['’]?t|will\s+not)\s+(?:be\s+)?com(?:e|ing))\s+back\b(?!\s+(?:until|till|before|to\s+(?:the\s+)?(?:phone|door)))"
        r"|\b(?:won['’]?t|will\s+not|not\s+going\s+to|no\s+va\s+a|no\s+piensa|no\s+quiere)\s+(?:be\s+back|return|renew|rejoin|regresar|volver|renovar|seguir)\b(?!\s+(?:until|till|before|my|our|calls?|emails?|jars?|crates?))"
        r"|\bnot\s+(?:returning|renewing|continuing|rejoining)\b(?=\W*$|\W+(?:this|next|in|as|due|because|after|per|to\s+(?:us|the\s+co)))|\b(?:wants?|wish(?:es)?|asked)\s+to\s+(?:end|stop|leave|quit|drop|cancel)\s+(?:his\s+|her\s+|their\s+)?(?:membership|the\s+co-?op)\b|\bbowed\s+out\b|\bparted\s+ways\b|\bwants?\s+out\b(?!\s+of)"
        r"|\b(?:doesn['’]?t|does\s+not|didn['’]?t|no\s+longer)\s+(?:want|wish)(?:s|es)?\s+to\s+(?:be|stay|continue|remain)\s+(?:as\s+)?(?:an?\s+)?(?:member|in\s+(?:the\s+)?co-?op|with\s+us)"
        r"|\b(?:take|taken|took|removed?|delete[sd]?|drop(?:ped)?)\s+(?:(?:him|her|them|name)\s+)?(?:off|from)\s+(?:of\s+)?(?:the\s+|our\s+)?(?:roster|rolls|member(?:s|ship)?\s+list)|\bdropped\s+off\s+the\s+list\b|^\W*(?:remove|delete|take)\s+(?:off|from)\s+(?:the\s+|our\s+)?list\b"
        rf"|\b(?:{_ACCOUNT}|membres[ií]a)\s+(?:has\s+)?(?:lapsed|expired|terminated|(?:est[aá]\s+)?vencida)\b|\blet\s+(?:it|(?:(?:his|her|their)\s+)?membership)\s+(?:lapse|expire)\b"
        r"|\b(?:dropped|gave\s+up|ended|withdrew\s+from)\s+(?:(?:his|her|their|the|our)\s+)?(?:membership|co-?op)\b|^\W*withdrew\b|^\W*gone\s+(?:since|as\s+of)\s|\b(?:done|finished|through)\s+with\s+(?:the\s+|our\s+)?(?:co-?op|us)\b"
        r"|\b(?:joined|switched\s+to|went\s+to|transferred\s+to)\s+(?:another|a\s+different|the\s+other)\s+(?:buying\s+)?(?:co-?op|club)\b|\b(?:stopped|quit)\s+(?:ordering|buying|participating)\b(?!\s+(?:the|eggs|milk))"
        r"|\bya\s+no\s+(?:quiere|desea)\s+(?:ser|estar|seguir|participar|pedir)\b|\bya\s+no\s+(?:viene|compra|pertenece|regresa)\b|\bdej[oó]\s+(?:la\s+cooperativa|el\s+grupo|de\s+(?:pedir|comprar|venir|participar|ser))\b"
        r"|\bse\s+sali[oó](?:\W*$|\s+(?:de\s+la\s+coop|del\s+grupo|en\s+\d))|\bcancel[oó]\s+(?:su\s+|la\s+)?(?:membres[ií]a|cuenta)\b|\brenunci[oó]\b(?!\s+(?:como|a\s+ser|de\s+encargad))"
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


# "moved to Tucson": of somebody who lives in another state, which a town of the member's own state is not.
_TO = late(
    r"\b(?i:(?:moved|moving|relocat(?:ed|ing))(?:\s+back)?(?:\s+down|\s+out|\s+up)?\s+to|(?:now\s+)?(?:lives|living|residing)\s+in(?=.*\bnow\b)|now\s+(?:lives|living)?\s*in|"
    r"(?:went|gone|moved)\s+(?:in|to\s+(?:live|be))\s+(?:with\s+[\w'’ ]{1,30}?\s+)?in)\s+((?:[A-Z][\w.'’\-]+\s*){1,3})(?!\s*(?i:drop|site|group|pick|barn|st\b|ave|rd\b|road|street|shed|hall))"
)
_A = late(
    r"\b(?i:(?:se\s+(?:fue|fueron)|(?:se\s+)?(?:regres[oó]|volvi[oó]))\s+(?:a|para|pa))\s+((?:[A-ZÁÉÍÓÚÑ][\w.]+\s*){1,3})"
)
_KIN = late(
    r"\b(?:son|daughter|sister|brother|mother|father|mom|dad|wife|husband|kids?|friend|neighbor|host|hij[oa]s?|herman[oa]|espos[oa]|madre|padre|mam[aá]|pap[aá])\W+(?:\w+\W+){0,2}$",
    re.IGNORECASE,
)


def _is_far(text: str, state: str) -> bool:
    """Whether a note says that somebody went to a town that is in another state, or in Spanish to a country."""
    for pattern, must_be_known in ((_TO, True), (_A, False)):
        for found in pattern.finditer(text):
            words = found[1].split()
            towns = [" ".join(words[:many]).strip(" .,") for many in range(len(words), 0, -1)]
            known = [town for town in towns if town.upper() in zip_codes.cities()]
            if _KIN.search(text[: found.start()]) or (must_be_known and not known):
                continue
            if state and not any(place.is_in(town, state) for town in towns):
                return True
    return False


def in_list(raw: RawRow, state: str = "") -> tuple[Finding, ...]:
    """The findings of a row of a list of members that says so in notes, or in a column of its own ("Active?": "N").
    `state` is the one they live in, two letters, "" if it is not known."""
    handle = raw.fields.get("handle", "").strip()
    columns = [
        f"{heading}: {said}"
        for heading, said in raw.aside.items()
        if _ACTIVE.search(heading) and _NO.fullmatch(said)
    ]
    return in_notes(raw.remarks, handle, state) + tuple(_found(text, handle) for text in columns)


def in_notes(notes: Iterable[str], handle: str, state: str = "") -> tuple[Finding, ...]:
    """A finding for each note of a list that says so of the member with this sign-in name.

    >>> [f.said for f in in_notes(["Has a truck.", "moved to FL Nov 2024", "moved to the Dixon drop"], "patlee")]
    ['moved to FL Nov 2024']
    """
    return tuple(
        _found(text, handle)
        for text in notes
        if _pattern().search(text[:LONGEST]) or _is_far(text[:LONGEST], state)
    )


def _found(text: str, handle: str) -> Finding:
    close = f" If so, close the account: onboard close {shlex.quote(handle)}" if handle else ""
    return LEFT.found(text, f"A note says “{_short(text)}”. Ask if they have left.{close}")


def _short(text: str) -> str:
    shown = " ".join(secret.hidden(text[:LONGEST]).split())
    text = "".join(c if c.isprintable() else "·" for c in shown)
    return text if len(text) <= 60 else text[:59] + "…"

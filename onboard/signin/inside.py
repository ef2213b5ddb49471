"""Whether a caller says that they get in: then what they call about is no sign-in that failed."""

from __future__ import annotations

import re

# Behind "in": the end, or what makes it no place, no hurry and no box.
_IN = (
    r"\s*-?in(?:to\s+(?:my|the|our|his|her|their|it)\b|\b(?=\s*(?:$|[.,;:!?)–—]|-\s|(?:but|and|though|yet|now|then|already|again|with|without|"
    r"there|all\s?right|alright|fine|ok|okay|good|great|easily|just|no\s+problem|perfectly|every|as\s+usual|it|the\s+page|so)\b|"
    r"(?:to|on)\s+(?:my|the|our|your|his|her)\b|my\s+account\b)))"
)
_WHO = r"(?:i(?:'m)?|we|he|she|they|you|my\s+\w+)"
_ABLE = r"(?:(?:can|could|do|did|does|(?:(?:am|is|are|was|were)\s+)?able\s+to|managed\s+to)\s+)?"
_HOW = r"(?:(?:already|finally|just|even|always|still|now|all)\s+)?"
_US = r"(?:me|us|him|her|them)\s+(?:sign\s+|log\s+|get\s+)?"
_NOW = re.compile(
    rf"\b{_WHO}\s+{_HOW}{_ABLE}{_HOW}(?:get|gets|sign|signs|log|logs){_IN}"
    rf"|\b(?:i'?m|i\s+am|we'?re|we\s+are|(?:he|she)(?:'?s|\s+is)|they(?:'re|\s+are))\s+{_HOW}(?:signed|logged)?{_IN}"
    rf"|\b(?:it|page|site)\s+(?:does\s+)?lets?\s+{_US}{_IN}"
    r"|\b(?:sign(?:ing)?|log(?:ging)?|getting)[\s-]?(?:in|on)\s+(?:part\s+)?(?:is\s+(?:no|not\s+(?:the|a|my))\s+problem|works|worked|went\s+(?:fine|ok|okay|through|well)|is\s+(?:fine|ok|okay|good))\b"
    r"|\b(?:no|without(?:\s+any)?)\s+(?:trouble|problems?|issues?)\s+(?:getting|signing|logging)\s+in\b"
    r"|\bs[ií]\s+(?:puedo\s+|pude\s+|me\s+deja\s+)?entr(?:o|ar|[oó])\b|\b(?:ya|yo|bien)\s+entro\b"
    r"|^\W*(?:puedo|pude|logro|logr[eé]|me\s+deja|me\s+dej[oó])\s+entrar\b|^\W*entro\s+(?:a|en|bien|sin|pero|y)\b"
    r"|\bentro\s+(?:bien|sin\s+problemas?|a\s+(?:mi|la)\s+(?:cuenta|p[aá]gina))\b|\b(?:puedo|pude|puede|pudo)\s+entrar\s+(?:bien|sin\s+problemas?|a\s+(?:mi|la|su)\s+cuenta|pero)\b"
    r"|\bestoy\s+a?dentro\b(?!\s+de\s+(?:la\s+)?(?:casa|tienda))",
    re.IGNORECASE,
)
# Told of what was: it says that they are in unless the page has refused them since.
_GOT = re.compile(
    rf"(?:^\W*|\b{_WHO}(?:'ve|\s+have|\s+has)?\s+){_HOW}(?:got|gotten|(?:got\s+)?signed|(?:got\s+)?logged){_IN}"
    rf"|\bit\s+let\s+{_US}{_IN}"
    r"|\b(?:ya|s[ií])\s+(?:entr[eé]|entr[oó]|inici[eé]\s+sesi[oó]n)\b|\bentr[eé]\s+(?:bien|a\s+mi\s+cuenta|sin)\b",
    re.IGNORECASE,
)
# They are not, or not any more, or ask how.
_NOT = re.compile(
    r"(?:n'?t|\b(?:cannot|not|never|unable|neither|nobody|how|where|what|which|why|when\s+(?:can|do|does|may|will)|try(?:ing)?|tried|want(?:ed|s)?|need(?:ed|s)?|"
    r"before|unless|until|if|used\s+to|hardly))\s+(?:(?!(?:but|and|order\w*|says?)\b)[\w']+\s+){0,3}?"
    r"(?:get|gets|getting|got|sign|signs|signed|signing|log|logs|logged|logging|let|be)\s*-?(?:(?:me|us|him|her|them|back|right|all|even|get|sign|log)\s+)*(?:in\b|into\b|on\b)"
    r"|\b(?:locked|kicked|kicks|threw|throws|logs?|logged|signs?|signed|boots?|booted)\s+(?:\w+\s+)?(?:back\s+)?out\b|\berror\b|\b(?:yesterday|last\s+\w+|once\s+before|a\s+while\s+ago|ayer|antes)\b"
    r"|\bme\s+saca\b|\bbut\s+(?:i|we)\s+(?:can'?t|cannot|don'?t|do\s+not)\W*$|\bpero\s+yo\s+no\W*$"
    r"|\bno\s+(?:\w+\s+){0,3}entr(?:ar|o|a|e|[eé])\b|\b(?:c[oó]mo|cu[aá]ndo|para|quiero|quisiera|necesito|sin|si)\s+(?:\w+\s+)?entr(?:ar|o|a)\b",
    re.IGNORECASE,
)


def is_said(message: str, *, refused: bool) -> bool:
    """Whether a caller says that they are signed in, in English or Spanish; what they tell of earlier
    counts only where the page has not `refused` anything.

    >>> is_said("I get in, but I can't order", refused=False), is_said("I can't get in", refused=False)
    (True, False)
    >>> is_said("I'm in Duluth", refused=False), is_said("ya entré", refused=False)
    (False, True)
    """
    message = message[:2000].replace("’", "'")
    if _NOT.search(message):
        return False
    return bool(_NOW.search(message) or (not refused and _GOT.search(message)))

"""That email may not reach whoever wrote a remark: "I don't do computers", "mi nieto me lee los correos".

Nobody can list all such sentences, but they are built in few ways: a no, a verb and the thing; the thing, and that it is
broken or beyond them; somebody else who reads it. So each word of a sentence is written as one letter, which is its class,
and the ways are patterns of these letters. A word of no class is "." and parts what does not belong together.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache

from onboard.late import late
from onboard.tables import rows

_LETTERS = {
    "no": "N", "not yet": "P", "nobody": "Z", "computer": "C", "email": "E", "mail": "M", "helper": "K", "read": "R",
    "do": "D", "count": "B", "broken": "T", "works": "V", "beyond": "X", "way": "G", "gave up": "U", "too": "t", "sign": "o", "else": "W",
    "only": "O", "library": "L", "when": "H", "your": "Y", "about": "Q", "small": "s",
}  # fmt: skip
_WAYS = late(
    "|".join(
        (
            # "I don't do computers", "no sé usar la computadora", "not very tech savvy", "haven't used email in years"
            r"N[sDGRVt]*[RDV][sDGRVOtN]*[CE](?!s*Q)|N[stG]*C(?!s*Q)|DNs*E(?!s*Q)|D?Ns*\.?sC(?!s*Q)|ODs*C(?!s*Q)|Ps?[RD][sDR]*[CE].*H",
            # "computers are not for me", "I hate the internet", "technology is beyond me", "email is not a good way"
            r"(?:^|,)[sOt]*C[sDGO]*N(?!s*Q)|C[sGt.]{0,4}X|X[sR]{0,3}C|E[sOD]*N[stD]*G|N[st]*G[sG]*[CE]",
            # "my niece prints out my emails", "el correo lo ve mi hija"
            r"(?<!Z)K[sDO.]{0,5}R[sDRO]*\.?[sDRO]*[CEM]|K[s,O.]{0,5}Ds*E(?!s*Q)|(?:^|,)s*CsG?s*K|E[sD,O]{0,5}K[sD]*R|E[sDO]*Rs*K",
            # "this old computer won't turn on", "no me llegan los correos"
            r"[CE][sDGRV]*(?:T|U|Ns*[VR])|Ns*Vs*E|Ts*[CE]$",
            # "don't count on me seeing an email", "I gave up on email", "my eyes are too bad to read a screen"
            r"NB[sRDO]*E|(?:U|Ts?(?=D))[sRD]*[CE](?!s*Q)|[tX].?[sG]*[RD][sDR]*[CE](?!s*Q)",
            # "I only look at email when I go to town"
            r"Os?Rs*E.*[HL]|E[sD]*O[sD]*Rs*[HL]|O[sR]*L|Rs*Es*L",
            # "this email is one I don't look at anymore"
            r"E[^QHGNYW]{0,8}Ns*[RD]s*(?:$|,)",
        )
    )
)
# Whatever else it says of email or a computer beside a no, or a sign of trouble: unless that is of another matter.
_BESIDE = late(r"(?=.*[CE])(?=.*[NTXUto])(?!.*[YQWPZ]).*")
# What is said in set words.
_TIMES = r"(?:once|twice|(?:a )?(?:few|couple)(?: of)? times|every|(?:una|dos|pocas) vez?(?:ces)?|cada|rara)"
_IDIOMS = late(
    rf"\b(?:check|look|read|open|get|log|see|revis|chec|abr|ve|le)\w* (?:\w+ ){{0,4}}?(?:it|lo|email\w*|correos?|inbox) (?:\w+ ){{0,3}}?{_TIMES}\b(?! (?:an? |al )?(?:hour|day|morning|evening|night|dia|manana|noche))"
    rf"|\b(?:email\w*|correos?|inbox) (?:\w+ ){{0,4}}?(?:check|look|read|open|revis|chec|abr|ve|le)\w* (?:\w+ ){{0,2}}?{_TIMES}\b(?! (?:an? |al )?(?:hour|day|dia))"
    r"|\b(?:email\w*|mail|messages|it|correos?|mensajes) (?:\w+ ){0,3}?(?:goes|go|ends? up|lands?|gets? put|van?|caen?)(?: \w+){0,3} (?:spam|junk|trash|basura|no deseados)\b"
    r"|\b(?:email|wifi|internet|computer|correo|compu\w*) (?:is|was|goes|se)(?: \w+)? (?:out|off|fue|va)\b(?! of| to)"
    r"|\b(?:lost|no|without|lose|perd\w+|sin)(?: \w+)?(?: my| the| any| el)? (?:access|acceso) (?:to|a|al)(?! (?:the )?(?:site|barn|road|car|truck|church))\b"
    r"|\b(?:computer|laptop|compu\w*) (?:\w+ )?(?:in the shop|in for repair|in repair|en el taller|(?:being|getting) fixed)\b"
    r"|\b(?:may|might|could|will|puede que)(?: \w+)? (?:miss|overlook|not (?:see|get|notice)|no vea)(?: \w+){0,3} (?:email\w*|correos?)\b"
    r"|\b(?:months|years|weeks|long time|ages|meses|anos)(?: \w+)? (?:since|que no)(?: \w+){1,5} (?:email\w*|correos?|inbox)\b"
    r"|\bdial ?up\b|\b\w+ s (?:old )?(?:computer|laptop|wifi|internet|ipad|tablet)\b|\bla compu\w* de (?:mi|la|el)\b"
    r"|\b(?:account|cuenta)(?: \w+){0,3} (?:hack|bloque|locked)\w*"
    r"|\b(?:locked|kicked|shut|hacked)(?: \w+)? out of (?:\w+ ){0,2}?(?:email|account|inbox)|\b(?:yahoo|gmail|hotmail|aol|outlook|email)(?: \w+){0,2} lock\w+ me out|\b(?:email|account|inbox)\b.*\blocked out\b"
    r"|\b(?:flip phone|landline|land line|house phone)(?: phone)? only\b|\bonly(?: \w+){0,3} (?:flip phone|land ?line|house phone)\b"
    r"|\b(?:i am|i m|im|we are|estoy|soy|me quede)(?: \w+)? (?:blind|ciego|ciega)\b(?! (?:in (?:one|my (?:left|right))))|\boff (?:the )?grid\b"
    r"|\b(?:takes?|tardo|tarda|tardamos|me lleva)(?: \w+){0,3} (?:weeks?|days|months?|forever|a while|long|ages|semanas?|dias|meses|mucho)(?: \w+){0,4} (?:email\w*|correos?|inbox)\b"
    r"|\b(?:contrasena|clave|password)(?: \w+){0,3} (?:correo|email)\b.*\b(?:olvid|perd|forg|lost|no)\w*|\b(?:olvid\w*|forg[eo]t\w*|lost|perdi\w*)(?: \w+){0,4} (?:email|correo) (?:password|contrasena|clave)\b|\b(?:no|dont|cant|olvid\w*|perdi\w*|forg\w+|lost)(?: \w+){0,4} (?:contrasena|clave|password)(?: \w+){0,3} (?:correo|email|cuenta)\b"
)
_FINE = late(
    r"(?:^|please |just )use (?:this|my|the) (?:\w+ )?email\b|\b(?:email|correo|inbox)(?: address)? (?:works?|is (?:ok|okay|fine|best|good|great|easiest|better)|si sirve|funciona bien|esta bien|es lo mejor)\b(?! (?:\w+ ){0,2}not\b)"
)
_OTHER = late(
    r"\b(?:old|other|previous|former|first|work|school|last|son s|daughter s|husband s|wife s)(?: (?!for\b)\w+)? (?:email|inbox|correo)\b|\bcorreo (?:viejo|anterior|de antes|del trabajo)\b|\botro correo\b"
    r"|\b(?:internet|wifi|computers?|computadora) (?:\w+ ){0,2}?(?:at|in|en) (?:the |our |your |el |la )?(?:barn|sites?|church|punto|drop|pickup|group|iglesia)\b"
)


@cache
def _classes() -> tuple[dict[str, str], tuple[tuple[str, str], ...]]:
    """The letter of each whole word, and of what begins with some."""
    found = [(word, _LETTERS[kind]) for kind, word in rows("unread_words")]
    whole = {word: letter for word, letter in found if not word.endswith("*")}
    return whole, tuple((word[:-1], letter) for word, letter in found if word.endswith("*"))


@lru_cache(maxsize=4_096)
def _letter(word: str) -> str:
    whole, beginnings = _classes()
    if word in whole:
        return whole[word]
    return next((letter for start, letter in beginnings if word.startswith(start)), ".")


_JOINED = (
    (late(r"\b(don|doesn|didn|isn|aren|wasn|haven|hasn|hadn|can|won|couldn|wouldn|ain) t\b"), r"\1t"),
    (late(r"\bsmart phone"), "smartphone"),
    (late(r"\bno one\b(?! to)"), "nobody"),
    (late(r"\b(?:havent|hasnt|hadnt|have not|has not) been able to\b"), "cannot"),
    (late(r"\b(?:havent|hasnt|have not|has not|hadnt) (?:got|gotten)\b"), "dont have"),
    (late(r"\bemail (?:address|account)\b|\bcorreo electronico\b|\be mails?\b"), "email"),
)  # fmt: skip


def is_said(sentences: Iterable[str]) -> bool:
    """Whether one of the sentences of a remark says so, and none that it is well; each in small letters without
    accents, one space between words and commas.

    >>> is_said(["i don t do computers"]), is_said(["i fix computers"]), is_said(["mi nieto me lee los correos"])
    (True, False, True)
    """
    plain = [_joined(sentence) for sentence in sentences]
    return not any(map(_FINE.search, plain)) and any(map(_tells, plain))


def _tells(sentence: str) -> bool:
    if _OTHER.search(sentence):
        return False
    letters = "".join("," if word == "," else _letter(word) for word in sentence.split())
    return bool(
        _WAYS.search(letters)
        or _IDIOMS.search(sentence)
        or any(map(_BESIDE.match, letters.split(",")))
    )


def _joined(sentence: str) -> str:
    for pattern, word in _JOINED:
        sentence = pattern.sub(word, sentence)
    return sentence

"""That an email address or a phone number on a form is somebody else's, as its remarks say: "that email is my son's",
"this is my neighbor's phone"; or that whoever it is of cannot talk on a phone. English and Spanish.

That two share a mailbox is another matter (`shared_mailbox`): they know who reads it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from onboard.clean import secret, shared_mailbox
from onboard.late import late
from onboard.model import Finding, Kind, RawRow, Weight

EMAIL = Kind(
    "email.anothers",
    Weight.DOUBTFUL,
    "The form says that the email address is somebody else's.",
    wrong="That email is my son's",
    right="My son has no email",
)
PHONE = Kind(
    "phone.anothers",
    Weight.DOUBTFUL,
    "The form says that the phone number is somebody else's.",
    wrong="the phone is my neighbor's",
    right="my neighbor has a phone",
)
SILENT = Kind(
    "phone.cannot_talk",
    Weight.DOUBTFUL,
    "The form says that the member can't talk on the phone.",
    wrong="She is deaf",
    right="The dog is deaf",
)
KINDS = (EMAIL, PHONE, SILENT)  # of what a whole row says, not of one field

LONGEST = 2_000  # characters read of a remark

_MAIL = r"(?:e ?mail(?: address| account)?|mailbox|inbox|correo(?: electronico)?)"
_LINE = r"(?:(?:cell ?|tele)?phone(?: number)?|cell(?: number)?|landline|number|telefono|celular|cel|numero(?: de telefono)?)"
_KIN = (
    r"(?:(?:grand|step|god)?(?:sons?|daughter|child|kid|mother|father|mom|ma|dad|parents|pa)|granny|aunt|uncle|sister|brother|cousin|nephew|niece|wife|"
    r"husband|spouse|partner|boyfriend|girlfriend|(?:mother|father|son|daughter|sister|brother) in law|neighbou?r|friend|roommate|boss|employer|coworker|pastor|"
    r"caregiver|caretaker|aide|landlord|landlady|case ?worker|church|late (?:husband|wife)|hij[oa]|niet[oa]|madre|padre|mama|papa|abuel(?:it)?[oa]|ti[oa]|"
    r"herman[oa]|prim[oa]|sobrin[oa]|espos[oa]|marido|mujer|pareja|suegr[oa]|nuera|yerno|cunad[oa]|vecin[oa]|amig[oa]|comadre|compadre|patron[a]?|jef[ea]|iglesia)"
)
_WHOSE = rf"(?:my|our|her|his|their|the|a|mi|nuestr[oa]|una?|su|la|el) (?:\w+ )?{_KIN}"
# "my son's name" is no mailbox of his, and "my husband's and mine" is that of both.
_NOT = r"(?! (?:and|y) (?:mine|me|i|my|yo|mi[oa]?)\b)(?!(?: s)? (?:\w+ )?(?:name|nombre|initials?|birthday|nickname|apellido|business|work)\b)"
_IS = r"(?: (?:that|which|on|in|here|i|gave|given|provided|used|listed|put|this|the|form|above|address|number|que|puse|di|este|ese|la|solicitud))*(?: (?:is|s|belongs to|goes to|really|actually|es|pertenece a|de|del|el|la|va))+"
_GAVE = r"(?:us(?:e|es|ed|ing|o|amos|ando)|use|gave|give|giving|put(?:ting)?(?: down)?|list(?:ed|ing)?|wrote(?: down)?|enter(?:ed)?|typed|borrow(?:ed|ing)?|puse|pongo|di|doy|anote|escribi|deje|dejo|es|it is|it s|its|this is|that is|that s|is)"


def _of(thing: str) -> re.Pattern[str]:
    return late(
        rf"\b{thing}{_IS} (?:(?:from|to) )?{_WHOSE}\b{_NOT}(?= s\b| of (?:mine|ours)\b| \w+ s$| ?$| (?:who|so|and|but|because|since|que|y|porque|not|no|he|she|they)\b)"
        rf"|\b{thing} (?:is|es) (?:de )?\w+ s$"
        rf"|\b{_GAVE}(?: you| them| les?)? {_WHOSE} (?:\w+ )?(?:s )(?:\w+ )?{thing}\b"
        rf"|\b{_GAVE} (?:el |la |un |le )?{thing} (?:\w+ )?(?:of|de|del) (?:{_WHOSE}|{_KIN})\b{_NOT}"
        rf"|\b{thing} (?:(?:address|number|here|above) )?(?:(?:is|are)(?: not|n ?t) (?:mine|my own)|(?:is|are) (?:his|hers|theirs))\b|\b{thing} no es (?:mi[oa]|el mi[oa]|propio)\b|(?:\bnot|n t) my (?:own )?{thing}\b"
        rf"|^(?:the |this )?{thing} {_WHOSE} s$|\b{_WHOSE} s {thing}(?: is)? (?:what|the one|that) i\b"
    )


_MAILS, _LINES = _of(_MAIL), _of(_LINE)
_SILENT = late(
    rf"\b(?:i am|i m|im|she is|she s|shes|he is|he s|hes|who is|soy|es|estoy|(?:my|our|mi) {_KIN} (?:is|es)|esta)(?: \w+){{0,2}}? (?:deaf|hearing impaired|mute|nonverbal|non verbal|sord[oa]|sordomud[oa]|mud[oa])\b"
    r"|^(?:totally |profoundly |almost |nearly |mostly )?(?:deaf|hearing impaired|sord[oa]|sordomud[oa])\b(?! (?:dog|cat|horse|ears?))"
    r"|\b(?:hard of hearing|hearing loss|no hearing|relay service|tty only|tdd only|video relay|no voice|lost (?:my|her|his) (?:voice|hearing)|perdi (?:la voz|el oido))\b"
    r"|\b(?:can ?t|cannot|can not|don ?t|doesn ?t|does not|do not|unable to|not able to|trouble|hard to|hard for me to|struggles? to|no puedo|no puede|no|casi no|apenas)(?: \w+)? (?:hear(?:ing)?|talk(?:ing)?|speak(?:ing)?|understand|oigo|oye|oir|escuch\w+|hablar?|hablo|habla|contestar)"
    r"(?: \w+){0,3}? (?:(?:tele)?phone|calls?|telefono|llamadas?)\b"
    r"|\b(?:can ?t|cannot|can not|no puedo|no puede) (?:speak|talk|hablar)(?:$| (?:since|anymore|any more|very well|desde|bien)\b)|\b(?:my|her|his) hearing (?:is|got)(?: \w+)? (?:bad|poor|gone|terrible|weak)\b|\bme cuesta (?:oir|hablar)\b|\bno (?:oigo|oye)(?: \w+)?$|\bspeech (?:impairment|disability|problem)\b|\bi stutter\b"
)
_MARK = late(
    r"mail|correo|inbox|phone|number|cell|landline|tel[eé]f|celu|\bcel\b|n[uú]mero|deaf|hear|mute|verbal|relay|tty|tdd|voice|sord|mud[oa]|o[ií][gyr]|habl|talk|speak|speech|stutter|voz|o[ií]do",
    re.IGNORECASE,
)


def of_email(raw: RawRow) -> tuple[Finding, ...]:
    """The finding that the form says the email address is somebody else's.

    >>> [f.code for f in of_email(RawRow("", 2, (), {"notes": "That email is my son's"}))]
    ['email.anothers']
    >>> of_email(RawRow("", 2, (), {"notes": "Same email as my son"}))
    ()
    """
    said = next(
        (text for text in raw.remarks if _tells(_MAILS, text) and not shared_mailbox.says(text)),
        None,
    )
    if said is None:
        return ()
    note = (
        f"The form says “{_short(said)}”. Ask if the welcome packet may go there: it has a password in it, and whoever "
        "reads it can sign in as the member."
    )
    return (EMAIL.found(said, note),)


def of_phone(raw: RawRow) -> tuple[Finding, ...]:
    """The findings that the form says the phone number is somebody else's, or that they can't talk on one."""
    return tuple(_of_phone(raw))


def _of_phone(raw: RawRow) -> Iterator[Finding]:
    for pattern, code, ask in (
        (_LINES, PHONE, "Ask whose number it is, before you trust a call from it."),
        (_SILENT, SILENT, "They may not be able to talk on the phone: write to them, and ask what is best."),
    ):  # fmt: skip
        said = next((text for text in raw.remarks if _tells(pattern, text)), None)
        if said is not None:
            yield code.found(said, f"The form says “{_short(said)}”. {ask}")


def _tells(pattern: re.Pattern[str], text: str) -> bool:
    return bool(_MARK.search(text)) and any(map(pattern.search, _sentences(text[:LONGEST])))


def _sentences(text: str) -> list[str]:
    apart = unicodedata.normalize("NFKD", text)
    plain = "".join(c for c in apart if not unicodedata.combining(c)).casefold()
    parts = re.split(r"[.!?;,\n()]+", plain.replace("e-mail", "email"))
    return [" ".join(re.findall(r"[^\W_]+", part)) for part in parts]


def _short(said: str) -> str:
    text = " ".join(secret.hidden(said[:LONGEST]).split())
    text = "".join(c if c.isprintable() else "·" for c in text)
    return text if len(text) <= 80 else text[:79] + "…"

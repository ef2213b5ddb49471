"""What members say in their own words, where a rule must hear it: that they want no email.

English and Spanish. It hears too much rather than too little: whoever is heard wrongly gets a letter,
and is asked.
"""

from __future__ import annotations

import re
import unicodedata

from onboard.clean import secret
from onboard.model import Cleaned, Kind, Weight

NO_EMAIL = Kind(
    "consent.in_remark",
    Weight.DOUBTFUL,
    "The form says in another place that the member wants no email. It counts as no until you ask.",
    wrong="Please don't email me, I'd rather get a letter",
    right="Please email me when you can",
)
WANTS_CALLS = Kind(
    "consent.wants_calls",
    Weight.DOUBTFUL,
    "The form says yes to email, and in another place that the member would rather be called. Ask which it is.",
    wrong="I'd rather you called",
    right="Please email me when you can",
)
KINDS = (NO_EMAIL, WANTS_CALLS)

LONGEST = 5_000  # characters read of a remark

_MAIL = (
    r"(?:e ?mail(?:s|ed|ing|ings|er)?|mailings?|mailing list|newsletters?|(?:electronic|digital) (?:mail|messages?)|"
    r"(?:e ?)?correos?(?: electronicos?)?|correito\w*|mensajes electronicos|mails|boletin(?:es)?|spam)"
)
_PAPER = (
    r"(?:letters?|phone(?: calls?)?|telephone|paper(?: mail)?|postal mail|regular mail|snail mail|us mail|post|"
    r"texts?|text messages?|sms|calls?|cartas?|correo (?:postal|regular)|telefono|llamadas?|papel|"
    r"mensajes? de texto|whatsapp)"
)
_NOT = (
    r"(?:no|not|never|non|don ?t|dont|doesn ?t|can ?t|cannot|won ?t|wouldn ?t|isn ?t|without|stop|quit|skip|nothing|too many|"
    r"removed?|unsubscribed?|hates?|refuse[sd]?|decline[sd]?|against|opt(?:ing|ed|s)? out|(?:leave|take|took|keep|taken)(?: \w+)? off|"
    r"doesnt|cant|wont|didn ?t want|(?:de|dad[oa]s? de|di[oó] de) baja|"
    r"off (?:of )?(?:the|your|any)|instead of|rather than|other than|anything but|nada|nunca|jamas|sin|ningun|"
    r"ninguno|tampoco|ni|evit\w+|dejen?|quit\w+|elimin\w+|borr\w+|en vez de|en lugar de|menos)"
)
_SOME = r"(?: \w+){0,7}? "
_END = r"(?= (?:please|thanks|thank you|por favor|gracias|if possible|si se puede)\b|$)"
_REFUSED = tuple(
    re.compile(pattern)
    for pattern in (
        rf"\b{_NOT}{_SOME}{_MAIL}\b",
        r"\bno (?:more )?mail\b(?! (?:delivery|service|box|carrier|slot))",
        rf"\b{_NOT}{_SOME}(?:mail|messages?|letters?|notices?|anything|things?|stuff) (?:sent )?(?:electronically|online|on (?:the|my) computer|digitally)\b",
        rf"\b{_NOT}{_SOME}(?:nada|mensajes?|avisos?|cosas?|cartas?) (?:electronicamente|por internet|por (?:la )?computadora|en linea)\b",
        # "email: no", "correos no, por favor", "emails are not welcome"
        rf"\b{_MAIL}(?: (?:is|are|to|me|por favor|please|es|son))* (?:no|not|never|nope|nunca)"
        rf"(?:{_END}| (?:for me|para mi|welcome|ok|okay|wanted|thank)\b)",
        # "letters only", "only by phone", "solo por teléfono", "I prefer letters to email"
        r"\b(?:only|just|solo|solamente|unicamente|nada mas)(?: (?:by|via|through|send|want|use|contact|reach|me|us|por|con|"
        rf"manden|quiero|a|the|my|mi|el|las)){{0,3}} {_PAPER}{_END}",
        rf"\b{_PAPER}(?: por favor| please)? (?:only|solamente|solo|unicamente|nada mas){_END}",
        rf"\bprefer\w*(?: (?!{_MAIL}\b)\w+){{0,3}}? {_PAPER}(?! number)\b",
        rf"\b(?:prefer\w*|rather|better|mejor)(?: \w+){{1,6}}? (?:to|over|than|a|que|al) (?:by )?{_MAIL}\b",
        r"^(?:by |via )?(?:letters?|(?:paper|snail|postal|regular|us) mail|post|cartas?|correo postal) (?:please|por favor)$",
        rf"^(?:mejor )?(?:by|por|via) {_PAPER}{_END}",
        rf"\bmejor (?:por )?{_PAPER}{_END}",
        r"\b(?:text|call|phone|write|llamen(?:me)?|escriban(?:me)?)(?: me| us)? (?:instead|en su lugar|mejor)\b",
        r"\b(?:mande\w*|envie\w*|send me)(?: por)? (?:cartas?|letters?|paper|correo postal)(?! (?:to|at|a)\b)",
        rf"\b{_MAIL} off\b",
        r"\bprefier\w* que (?:me|nos) (?:llam|mand|envi|escrib)\w+(?: \w+)?(?: por telefono| cartas?)?",
        # "do not contact me", "don't write to me", "no me escriban", "no me manden nada"
        r"\b(?:don ?t|dont|do not|never|not to be|not want to be|rather not be)(?: \w+){0,2}? "
        r"(?:contact|contacted|write|written|message|send me anything|add me|spam)\b",
        r"\b(?:no|nunca)(?: \w+){0,3}? (?:me|nos|le|les) (?:escrib\w+|mand\w+|envi\w+|contact\w+|llen\w+)\b",
        r"\b(?:no|nunca)(?: \w+){0,2}? (?:escribirme|mandarme|enviarme|contactarme|escribirnos)\b",
        r"\bunsubscribed?\b|\bopt(?:ed|ing|s)? (?:me )?out\b",
        # "take me off the list", "took her off"
        r"\b(?:take|took|taken|leave|keep|remove|removed|drop) (?:me |us |her |him |them |my name )?(?:off|from)"
        r"(?: (?:of|the|your|this|my|our|all|any|mailing))* lists?\b",
    )
)
# A wish to be called or texted, which says nothing of email: "I'd rather you called", "prefiero que me llamen".
_CALL = (
    r"(?:(?:phone |telephone )?calls?|called|calling|phone|phoned|telephone|texts?|texted|text messages?|sms|"
    r"llamadas?|telefono|mensajes? de texto|whatsapp)"
)
_TO_CALL = r"(?:call|phone|ring|text|llam\w+|telefone\w+)"
_WISHES = tuple(
    re.compile(pattern)
    for pattern in (
        rf"\b(?:prefer\w*|prefier\w*|rather|better|mejor(?! por\b)|gustaria(?: mas)?)(?: \w+){{0,4}}? (?:{_CALL}|{_TO_CALL})\b(?! number)",
        rf"\b{_CALL}(?: \w+){{0,3}}? (?:is|are|would be|works?|es|seria)(?: \w+)? (?:best|better|easiest|easier|mejor|preferred)\b",
        rf"\b(?:best|mejor manera|lo mejor)(?: \w+){{0,5}}? (?:is|es)(?: \w+){{0,2}}? (?:{_CALL}|{_TO_CALL})\b",
    )
)
_MAIL_IN_IT = re.compile(rf"\b{_MAIL}\b")
_NOTHING_ELSE = re.compile(
    r"\b(?:only|just|than|instead|en su lugar|no|not|never|don ?t|dont|solo|solamente|unicamente|nunca|nada)\b"
)

# What has such words in it and refuses nothing.
_HARMLESS = re.compile(
    r"\b(?:no|not a) problem\b|\bno hay problema\b|\bno worries\b|\bhesitate\b|\bno duden?\b|\bforget\b|"
    r"\bno (?:se )?olvid\w+\b|\bnot only\b|\bwhy not\b|\bno solo\b|"
    r"\b(?:did|have|has|had|was|were)(?: not|n ?t| never)(?: yet| been)? (?:get|got|gotten|receive|received|"
    r"see|seen|heard?)\b|\bnever (?:got|received|heard|saw)\b|\b(?:no|nunca|todavia no|aun no) (?:he|hemos|me ha|"
    r"me llego|me llega|recibi|recibimos)\b|"
    r"\b(?:share|shared|sharing|sell|give(?:n)? (?:out|away|my)|publish|compart\w+|vend\w+|publi\w+|dar mi|den mi)\b|"
    r"\bnot sure\b|\bno (?:estoy segur[oa]|se) |"
    # of letters and calls alone: "no me manden cartas"
    r"^(?:por favor )?(?:no|nunca) (?:me|nos) (?:mand|envi|escrib)\w+ (?:mas )?(?:cartas?|papel(?:es)?|mensajes? de texto)(?: por favor)?$"
)


def clean(said: str) -> Cleaned[bool]:
    """False where a remark says that the member wants no email; None where it says nothing of that.

    >>> clean("No quiero correos, gracias").value, clean("I grow garlic. Email me!").value
    (False, None)
    """
    for sentence in _sentences(said[:LONGEST]):
        if any(p.search(sentence) for p in _REFUSED) and not _HARMLESS.search(sentence):
            return Cleaned(said, False, (NO_EMAIL.found(said, _note(said)),))
    return Cleaned(said, None)


def wants_calls(said: str) -> Cleaned[bool]:
    """True, with a finding, where a remark says that the member would rather be called, and nothing against
    email; None where it does not.

    >>> wants_calls("Prefiero que me llamen").value, wants_calls("No emails, call me").value
    (True, None)
    """
    sentences = _sentences(said[:LONGEST])
    if any(_MAIL_IN_IT.search(one) or _NOTHING_ELSE.search(one) for one in sentences):
        return Cleaned(said, None)
    if not any(wish.search(one) for one in sentences for wish in _WISHES):
        return Cleaned(said, None)
    note = (
        f"The form says yes to email, and also “{_shown(said)}”. Ask if they want email, calls, or both. "
        "Until then the yes counts."
    )
    return Cleaned(said, True, (WANTS_CALLS.found(said, note),))


def _note(said: str) -> str:
    return f"The form says “{_shown(said)}”. We send no email until you ask the member."


def _shown(said: str) -> str:
    text = " ".join(secret.hidden(said).split())
    short = text if len(text) <= 80 else text[:79] + "…"
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in short)


def _sentences(text: str) -> list[str]:
    """Its sentences in small letters without accents, one space between words."""
    plain = unicodedata.normalize("NFKD", text)
    plain = "".join(c for c in plain if not unicodedata.combining(c)).casefold()
    plain = re.sub(rf"\b({_MAIL})\?\s*(?=no\b)", r"\1, ", plain)  # "Emails? No thanks"
    parts = re.split(r"[.!?;\n]+|\b(?:but|however|pero)\b", plain.replace("e-mail", "email"))
    clauses = [clause for part in parts for clause in (*part.split(","), _turned(part))]
    return [" ".join(re.findall(r"[^\W_]+", clause)) for clause in clauses]


def _turned(part: str) -> str:
    """A refusal that a comma parts from what it refuses: "emails, no thanks"."""
    found = re.search(rf"\b{_MAIL},\s*no\b.{{0,20}}", part)
    return found[0] if found else ""

"""What members say in their own words, where a rule must hear it: that they want no email, or that none reaches them.

English and Spanish. Of a wish for no email it hears too much rather than too little: whoever is heard wrongly gets a letter,
and is asked.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from onboard.clean import secret
from onboard.late import late
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
UNREAD = Kind(
    "email.unread",
    Weight.DOUBTFUL,
    "The form says in another place that email may not reach the member.",
    wrong="My email stopped working",
    right="My old email stopped working",
)
KINDS = (NO_EMAIL, WANTS_CALLS, UNREAD)

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
    r"(?:no|not|never|non|don ?t|dont|doesn ?t|can ?t|cannot|won ?t|wouldn ?t|isn ?t|without|stop|quit|skip|nothing|too many|refrain\w*|avoid|cease|(?:hold|cancel|end)(?: off)?|zero|cero|"
    r"removed?|unsubscribed?|hates?|refuse[sd]?|decline[sd]?|against|opt(?:ing|ed|s)? out|(?:leave|take|took|keep|taken)(?: \w+)? off|"
    r"doesnt|cant|wont|didn ?t want|(?:de|dad[oa]s? de|di[oó] de) baja|"
    r"off (?:of )?(?:the|your|any)|instead of|rather than|other than|anything but|nada|nunca|jamas|sin|ningun|"
    r"ninguno|tampoco|ni|evit\w+|dejen?|quit\w+|elimin\w+|borr\w+|en vez de|en lugar de|menos)"
)
_SOME = r"(?: \w+){0,7}? "
# What stands between a no and the mail that it refuses: words of wanting, sending and getting. With any other word
# ("no objection to emails", "nobody answered my email") it refuses something else, or nothing.
_REFUSES = (
    r"(?: (?>(?:(?:want|wish|need|like|care|get|gett|receiv|accept|tak|us|do|send|sent|writ|contact|reach|messag|add|put|subscrib|sign|email|check|read|"
    r"look|open|bother|allow|permit|approv|quier|quer|quis|dese|gust|interes|necesit|recib|mand|envi|escrib|contact|acept|apunt|pong|lleg|le[oe]|revis|lee)\w*|"
    r"i|me|us|him|her|them|my|our|your|any|all|more|so|many|much|too|of|off|from|the|a|an|by|via|through|with|in|to|for|on|at|or|nor|and|also|longer|please|really|ever|be|been|"
    r"interested|up|these|those|such|group|co|op|coop|weekly|daily|monthly|regular|electronic|bulk|junk|kind|sort|letters?|calls?|texts?|phone|list|lists|"
    r"updates?|notices?|news|reminders?|home|me|nos|le|les|lo|los|la|las|el|mas|por|con|al?|del?|mi|sus?|que|se|tantos|tipo|clase|favor|ningun|cartas?|"
    r"llamadas?|mensajes?|ni|[oy]|ya)\b)){0,12}? "
)
_END = r"(?= (?:please|thanks|thank you|for (?:me|us|now)|por favor|gracias|para mi|if possible|si se puede)\b|$)"
_REFUSED = tuple(
    late(pattern)
    for pattern in (
        rf"\b{_NOT}{_REFUSES}{_MAIL}\b(?! (?:on file|yet|known|given|listed|list|address on|todavia|aun))",
        rf"^(?:please )?(?:stop|alto|remove me|take me off)(?: please)?$|\b(?:alto a|basta de) (?:los |tantos )?{_MAIL}\b",
        r"\b(?:no|nothing|nada|never|without|sin)(?: \w+)? (?:electronic\w*|digital\w*|by computer)\b",
        r"\b(?:quit|saqu|borr|elimin)\w*(?: \w+)? de (?:su|la|sus|las|esta) listas?\b",
        r"\bno (?:more )?mail\b(?! (?:delivery|service|box|carrier|slot))",
        rf"\b{_NOT}{_SOME}(?:mail|messages?|letters?|notices?|correspondence|anything|things?|stuff) (?:sent )?(?:electronically|online|on (?:the|my) computer|digitally)\b",
        rf"\b{_NOT}{_SOME}(?:nada|mensajes?|avisos?|cosas?|cartas?) (?:electronicamente|por internet|por (?:la )?computadora|en linea)\b",
        # "email: no", "correos no, por favor", "emails are not welcome"
        rf"\b{_MAIL}(?: (?:is|are|to|me|por favor|please|es|son))* (?:no|not|never|nope|nunca)"
        rf"(?:{_END}| (?:for me|para mi|welcome|ok|okay|wanted|thank)\b)",
        # "letters only", "only by phone", "solo por teléfono", "I prefer letters to email"
        r"\b(?:only|just|solo|solamente|unicamente|nada mas)(?: (?:by|via|through|send|want|use|contact|reach|me|us|por|con|"
        rf"manden|quiero|a|the|my|mi|el|las)){{0,3}} {_PAPER}{_END}",
        rf"\b{_PAPER}(?: por favor| please)? (?:only|solamente|solo|unicamente|nada mas){_END}",
        rf"\b(?:prefi?er\w*|choose|elijo|escojo)(?: (?!{_MAIL}\b)\w+){{0,3}}? {_PAPER}(?! number)\b",
        rf"\b(?:prefer\w*|rather|better|mejor)(?: \w+){{1,6}}? (?:to|over|than|a|que|al) (?:by |el )?{_MAIL}\b",
        rf"\b(?:better|easier|faster|mejor) (?:than|que) (?:by |an |el |por )?{_MAIL}\b",
        r"^(?:by |via |on )?(?:letters?|(?:paper|snail|postal|regular|us) mail|post|paper|cartas?|papel|correo postal) (?:please|por favor)$",
        r"\b(?:todo|everything|all|it|them|notices|avisos)(?: \w+)? (?:on|in|en) (?:paper|papel)\b",
        r"\bmail only$|^by mail\b|\bby mail (?:only|please)$|\bpor correo (?:postal|normal|ordinario|regular)\b",
        r"\b(?:send|write|contact|reach|notify|want|need|like|get|prefer|rather|have)(?: \w+){0,4}? (?:by|in|through) (?:the )?(?:us |postal |regular |paper )?(?:mail|post)\b",
        r"\b(?:send|want|need|like)(?: me| us)? (?:my |the |all )?paper (?:notices?|copies|copy|ones?|letters?|mail|updates?|reminders?)\b",
        r"\bwrite (?:to )?(?:me|us) (?:a letter|letters)\b",
        rf"^(?:mejor )?(?:by|por|via) {_PAPER}{_END}",
        rf"\bmejor (?:por )?{_PAPER}{_END}",
        r"\b(?:text|call|phone|write|give me a (?:call|ring)|llamen(?:me)?|escriban(?:me)?)(?: to)?(?: me| us)? (?:instead|en su lugar)\b",
        r"\b(?:mande\w*|envie\w*|send me)(?: por)? (?:cartas?|letters?|paper|correo postal)(?! (?:to|at|a)\b)",
        rf"\b{_MAIL} off\b|\b{_MAIL} no (?:me|nos) (?:interesan?|gustan?)\b",
        r"\bprefier\w* que (?:me|nos) (?:llam|mand|envi|escrib)\w+(?: \w+)?(?: por telefono| cartas?)?",
        # "do not contact me", "don't write to me", "no me escriban", "no me manden nada"
        r"\b(?:don ?t|dont|do not|never) (?:send|use) (?:anything|things|stuff)\b",
        r"\b(?:don ?t|dont|do not|never|not to be|not want to be|rather not be)(?: \w+){0,2}? "
        r"(?:contact|contacted|write|written|message|send me anything|add me|spam)\b",
        r"\b(?:no|nunca)(?: \w+){0,3}? (?:me|nos|le|les) (?:escrib\w+|mand\w+|envi\w+|contact\w+|llen\w+)\b",
        r"\b(?:no|nunca)(?: \w+){0,2}? (?:escribirme|mandarme|enviarme|contactarme|escribirnos)\b",
        r"\bunsubscrib\w+|\bopt(?:ed|ing|s)? (?:me )?out\b",
        # "take me off the list", "took her off"
        r"\b(?:take|took|taken|leave|keep|remove|removed|drop) (?:me |us |her |him |them |my name )?(?:off|from)"
        r"(?: (?:of|the|your|this|my|our|all|any|mailing|email))* lists?\b",
    )
)
# That email is welcome, or some of it: "email only for orders".
_WANTED = late(
    r"\b(?:e ?mails?|correos?(?: electronicos?)?)(?: (?:me|is|are|esta|estan))?(?: only| just| solo| ok| okay| fine| bien)+(?: (?:for|about|if|para|sobre|de|si)\b|$)"
    r"|\b(?:only|just|solo|solamente) (?:\w+ ){0,2}?(?:e ?mails?|correos?)\b"
)
_OF_NEWS = late(r"\b(?:newsletters?|boletin(?:es)?|spam|mailings?|ads|publicidad|promo\w*)\b")
# A wish to be called or texted, which says nothing of email: "I'd rather you called", "prefiero que me llamen".
_CALL = (
    r"(?:(?:phone |telephone )?calls?|called|calling|a ring|phone|phoned|phoning|texting|telephone|texts?|texted|text messages?|sms|"
    r"llamadas?|telefono|mensajes? de texto|whatsapp)"
)
_TO_CALL = r"(?:call|phone|ring|text|llam\w+|habl\w+|marqu\w+|telefone\w+)"
_WISHES = tuple(
    late(pattern)
    for pattern in (
        rf"\b(?:prefer\w*|prefier\w*|rather|sooner|better|mejor(?! por\b)|gustaria(?: mas)?)(?: \w+){{0,4}}? (?:{_CALL}|{_TO_CALL})\b(?! number)",
        rf"\b{_CALL}(?: \w+){{0,3}}? (?:is|are|would be|works?|es|seria)(?: \w+)? (?:best|better|easiest|easier|mejor|preferred)\b",
        rf"^(?:please |por favor )?(?:{_TO_CALL}|give me a (?:call|ring))(?: me| us)?(?: please| por favor)?$|\b(?:llam|habl|marqu)\w+ mejor\b",
        rf"\b(?:like|love|gustan?)(?: \w+){{0,3}} {_CALL} (?:better|best|more|mas)\b|\b(?:easier|easiest|better|best|quicker|facil|rapido)(?: \w+){{0,3}} (?:por|by|on) (?:the )?{_CALL}\b",
        rf"\b{_TO_CALL}(?: me| us)? rather\b",
        rf"\b(?:best|mejor manera|lo mejor)(?: \w+){{0,5}}? (?:is|es)(?: \w+){{0,2}}? (?:{_CALL}|{_TO_CALL})\b",
    )
)
_MAIL_IN_IT = late(rf"\b{_MAIL}\b")
_NOTHING_ELSE = late(
    r"\b(?:only|just|instead|en su lugar|no|not|never|don ?t|dont|solo|solamente|unicamente|nunca|nada)\b"
)

# That email does not work, is not theirs, or is not read: "my email quit", "no tengo internet", "I rarely check email".
_BOX = r"(?:e ?mails?(?: (?:address|account))?|correos?(?: electronicos?)?|inbox)"
_LINE = rf"(?:{_BOX}|internet|wi ?fi|computers?|laptop|computadora|compu|smart ?phone)"
_HAS_NO = r"(?:don ?t have|dont have|do not have|doesn ?t have|does not have|no (?:tengo|tenemos|tiene|hay|uso)|have no|has no|lost(?: my| the)?|got rid of|gave up|can ?t afford)"
_TROUBLE = (
    r"(?:down|broken?|gave out|full|hacked|dead|died|closed|wrong|bad|locked|blocked|bounc\w+|shut|disabled|suspended|expired|gone|out|cut off|cancell?ed|deleted|quit|stopped|"
    r"crash\w+|fail\w+|acting up|messed up|not mine|mal|llen[oa]|bloquead[oa]|cerrad[oa]|descompuest[oa]|hacke\w+|equivocad[oa]|murio|"
    r"(?:doesn ?t|does not|hasn ?t|isn ?t|is not|not|never|no longer|won ?t)(?: \w+)? (?:work|open|load|function)\w*|"
    r"no (?:me )?(?:sirven?|funcionan?|jalan?|abren?|llegan?|entran?|es mio|es el mio))"
)
_CANNOT = (
    r"(?:can ?t|cannot|not able to|unable to|(?<!no )trouble|hard (?:time|for)|no tengo acceso|struggle|don ?t (?:know how|understand|check|read|look at|open|use)|dont (?:check|read|use)|do not (?:check|read|look at|open|use)|"
    r"not (?:good|great|much of|on|a)|bad at|never|rarely|seldom|hardly|barely|lost access|no access|no (?:puedo|podemos|se|sabemos|entiendo|entendemos|alcanzo|veo|leo|leemos|reviso|"
    r"revisamos|checo|checamos|abro|uso|usamos)|batallo|me cuesta|casi no|casi nunca|nunca)"
)
# Words between that make it something else: "never miss an email", "I don't know about your emails".
_BUT_NOT = r"(?:your?|sus?|which|what|cual|about|if|si|problem\w*|issue|question\w*|wait|miss|pierd\w*|lose|share|receiv\w*|recib\w*|got|had|hear\w*|answer\w*|repl\w*|need|bother|worr\w*|welcome|want|mind|give)"
_UNREAD = tuple(
    late(pattern)
    for pattern in (
        rf"\b{_LINE}(?: (?:is|was|got|has|have|been|are|keeps?|always|usually|often|just|now|finally|sometimes|ha|me|ya|esta|estan|se|siempre|muy|fue|sido|del|todo))* {_TROUBLE}\b",
        rf"\b(?:descompuso|descompusieron|cayo|murio|robaron|rompio|fue|acabo|cortaron|quitaron|quitamos|cancelamos|cut off|shut off|cancell?ed) (?:el|la|mi|the|my|our) {_LINE}\b",
        rf"(?:\b{_HAS_NO}(?: (?:an|a|any|un|ningun|own|working|personal|good|ni|of|my|the|computer|computadora|internet|or|signal|cell|senal|una|home|reliable|buen))*"
        rf"|^(?:(?:i am|am|we are|estoy) )?(?:no|without|sin)(?: home| good)?) {_LINE}(?:$| (?:at|in|en|out|here|aqui|of my own|propio|access|service|or|ni|yet|anymore|now|until|till|since|right|por|hasta)\b)",
        rf"\b{_CANNOT}(?: (?!{_BUT_NOT}\b)\w+){{0,5}}? {_LINE}\b(?! (?:of|de|for|about|list|rules)\b)",
        rf"\bno (?:me|nos) (?:llegan?|entran?|abren?) (?:los |mis |el |mi )?{_BOX}\b|\bmy account (?:got|was) hacked\b|\bthis address bounces\b|\bborrowed(?: \w+)? {_BOX}\b",
        rf"\b(?:forgot|forget|lost|olvid[eo]|perdi|no recuerdo|don ?t remember|can ?t remember)(?: \w+){{0,3}}? (?:{_BOX} password|(?:password|contrasena|clave) (?:to|for|of|de|del) (?:my|mi)? ?{_BOX})",
        r"\bonly(?: \w+){0,2} (?:the )?library (?:s )?computers?\b",
        # somebody else does
        rf"\b{_BOX} (?:all )?(?:go(?:es)?|gets? sent|(?:le )?llegan?|van?) (?:to|a) (?:my|our|mi|la|el) \w+",
        rf"^(?!.*\b(?:nobody|no one|only i|nadie)\b).*\b(?:checks|reads|opens|gets|handles|lee|revisa|abre|maneja) (?:my|the|our|all|mi|el|mis|los) {_BOX}\b",
        rf"^(?!.*\bnadie\b).*\b{_BOX} (?:me )?l[oe]s? (?:lee|revisa|abre|maneja)\b",
    )
)
_READS_IT = late(
    rf"\b{_BOX} (?:works?|is (?:ok|okay|fine|best|good|great)|si sirve|funciona bien|esta bien)\b"
)
_OTHER_BOX = late(
    rf"\b(?:old|other|previous|former|first|work|school|last|son s|daughter s|husband s|wife s)(?: \w+)? {_BOX}\b|\b{_BOX} (?:viejo|anterior|de antes|del trabajo)\b|\botro {_BOX}\b"
    r"|\bno(?: hay)? (?:internet|computer|computadora) (?:at|in|en) (?:the )?(?:barn|site|church|library|work|el punto)"
)

# What has such words in it and refuses nothing.
_HARMLESS = late(
    r"\b(?:no|not a) problem\b|\bno hay problema\b|\bno worries\b|\bhesitate\b|\bno duden?\b|\bforget\b|"
    r"\bno (?:se )?olvid\w+\b|\bpor que no\b|\bwhy (?:don ?t|do not|no)\b|\bnot only\b|\bwhy not\b|\bno solo\b|"
    r"\b(?:did|have|has|had|was|were)(?: not|n ?t| never)(?: yet| been)? (?:get|got|gotten|receive|received|"
    r"see|seen|heard?)\b|\bnever (?:got|received|heard|saw)\b|\b(?:no|nunca|todavia no|aun no) (?:he|hemos|me ha|"
    r"me llego|me llega|recibi|recibimos)\b|"
    r"\b(?:share|shared|sharing|sell|give(?:n)? (?:out|away|my)|publish|compart\w+|vend\w+|publi\w+|dar mi|den mi)\b|"
    r"\bnot sure\b|^(?:please )?no spam(?: please)?$|\bno (?:estoy segur[oa]|se) |"
    # "please don't stop emailing me", "I have no email yet", "don't lose my email"
    r"\b(?:don ?t|dont|do not|never|no) (?:stop|quit|skip|dejen? de|lose|pierdan)\b|\bnothing against\b|"
    rf"\b(?:have|has|had|got|is|tengo|tiene|tenemos|hay)(?: not)? (?:no|ningun)(?: \w+)? {_MAIL}\b|"
    rf"\b(?:don ?t|dont|do not|doesn ?t|doesnt|does not|haven ?t|hasn ?t|no) (?:have|got|tengo|tiene|tenemos|hay)(?: an?| any| un| ningun)?(?: \w+)? {_MAIL}\b|"
    # of letters and calls alone: "no me manden cartas"
    r"^(?:por favor )?(?:no|nunca) (?:me|nos) (?:mand|envi|escrib)\w+ (?:mas )?(?:cartas?|papel(?:es)?|mensajes? de texto)(?: por favor)?$"
)


# Without one of these a remark says nothing of that; nearly all are passed over.
_REFUSAL_MARK = late(
    r"(?:mail|corre|newsl|bolet|spam|electr|digital|comput|internet|l[ií]nea|list|letter|phone|tel[eé]f|paper|post|text|sms|call|cart|llam|papel|whats|"
    r"mens|stop|alto|remove|take|contact|writ|wrote|messag|anyth|stuff|thing|escr[ií]b|mand|m[aá]nd|env[ií]|llen|subscr|opt|add me|digit)",
    re.IGNORECASE,
)
_CALL_MARK = late(
    r"call|phon|ring|text|ll[aá]m|h[aá]bl|m[aá]rqu|tel[eé]f|sms|whats|mensaj", re.IGNORECASE
)
_BOX_MARK = late(
    r"mail|corre|inbox|internet|wi.?fi|compu|laptop|smart|account|address|library", re.IGNORECASE
)


def clean(said: str) -> Cleaned[bool]:
    """False where a remark says that the member wants no email; None where it says nothing of that.

    >>> clean("No quiero correos, gracias").value, clean("I grow garlic. Email me!").value
    (False, None)
    """
    if not _REFUSAL_MARK.search(said):
        return Cleaned(said, None)
    sentences = _sentences(said[:LONGEST])
    wants_some = any(map(_WANTED.search, sentences))  # then “no newsletters” is of those alone
    for sentence in sentences:
        if wants_some and _OF_NEWS.search(sentence):
            continue
        if any(p.search(sentence) for p in _REFUSED) and not _HARMLESS.search(sentence):
            return Cleaned(said, False, (NO_EMAIL.found(said, _note(said)),))
    return Cleaned(said, None)


def wants_calls(said: str) -> Cleaned[bool]:
    """True, with a finding, where a remark says that the member would rather be called, and nothing against
    email; None where it does not.

    >>> wants_calls("Prefiero que me llamen").value, wants_calls("No emails, call me").value
    (True, None)
    """
    if not _CALL_MARK.search(said):
        return Cleaned(said, None)
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


def unread(said: str) -> Cleaned[bool]:
    """True, with a finding, where a remark says that email may not reach whoever wrote it; None where it does not.

    >>> unread("Mi correo no sirve").value, unread("My old email stopped working").value
    (True, None)
    """
    if not _BOX_MARK.search(said):
        return Cleaned(said, None)
    sentences = _sentences(said[:LONGEST])
    if any(map(_READS_IT.search, sentences)) or not any(
        p.search(one) for one in sentences for p in _UNREAD if not _OTHER_BOX.search(one)
    ):
        return Cleaned(said, None)
    note = f"The form says “{_shown(said)}”. Ask if they read email at this address: the welcome packet has a password in it."
    return Cleaned(said, True, (UNREAD.found(said, note),))


def _note(said: str) -> str:
    return f"The form says “{_shown(said)}”. We send no email until you ask the member."


def _shown(said: str) -> str:
    text = " ".join(secret.hidden(said).split())
    short = text if len(text) <= 80 else text[:79] + "…"
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in short)


@lru_cache(maxsize=4)  # each rule asks for those of one remark
def _sentences(text: str) -> list[str]:
    """Its sentences in small letters without accents, one space between words."""
    plain = unicodedata.normalize("NFKD", text)
    plain = "".join(c for c in plain if not unicodedata.combining(c)).casefold()
    plain = re.sub(
        rf"\b({_MAIL})\?\s*(?=(?:no|never|nunca)\b)", r"\1, ", plain
    )  # "Emails? No thanks"
    parts = re.split(r"[.!?;\n]+|\b(?:but|however|pero)\b", plain.replace("e-mail", "email"))
    clauses = [clause for part in parts for clause in (*part.split(","), _turned(part))]
    return [" ".join(re.findall(r"[^\W_]+", clause)) for clause in clauses]


def _turned(part: str) -> str:
    """A refusal that a comma parts from what it refuses: "emails, no thanks"."""
    found = re.search(rf"\b{_MAIL},\s*(?:no|never|nunca)\b.{{0,20}}", part)
    return found[0] if found else ""

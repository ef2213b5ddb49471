"""What members say in their own words, where a rule must hear it: that they want no email, or that none reaches them.

English and Spanish. Of a wish for no email it hears too much rather than too little: whoever is heard wrongly gets a letter,
and is asked.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from onboard.clean import secret
from onboard.clean import unread as unread_mail
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
    r"(?:e ?)?correos?(?: electronicos?)?|correito\w*|mensajes electronicos|mails|boletin(?:es)?|publicidad|propaganda|promociones|marketing|spam)"
)
_PAPER = (
    r"(?:letters?|phone(?: calls?)?|telephone|paper(?: mail)?|postal mail|regular mail|snail mail|us mail|post|"
    r"texts?|text messages?|sms|calls?|cartas?|correo (?:postal|regular)|telefono|llamadas?|papel|"
    r"mensajes? de texto|whatsapp)"
)
_NOT = (
    r"(?:no|not|never|non|don ?t|dont|doesn ?t|can ?t|cannot|won ?t|wouldn ?t|isn ?t|without|stop|quit|skip|nothing|too many|refrain\w*|avoid|cease|(?:hold|cancel\w*|end)(?: off)?|zero|cero|less|fewer|out of|enough|plenty|too much|demasiad[oa]s|bastantes|suficientes|ahorr\w+|spare|pass on|limit|minimize|(?<!never )delete|erase|had it|had enough|sick|tired|fed up|hart[oa]s?|cansad[oa]s?|"
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
    r"interested|interesad[oa]|estoy|estamos|esta|hear|heard|from|you|wish|been|being|consent|agree|give|grant|permission|authori[sz]\w*|autori\w+|permiso|doy|damos|para|en|thank|thanks|gracias|and[ae]n?|includ\w*|distribution|fan|big|do|dare|ok|okay|comfortable|happy|molest\w*|already|junk|ads?|publicidad|promo\w*|propaganda|avisos?|blasts?|have|has|had|tengo|left|in|on|would|d|being|as|be|go|out|get|ya|estar|llam\w*|up|these|those|such|group|co|op|coop|weekly|daily|monthly|regular|electronic|bulk|junk|kind|sort|letters?|calls?|texts?|phone|list|lists|"
    r"updates?|notices?|news|reminders?|home|me|nos|le|les|lo|los|la|las|el|mas|por|con|al?|del?|mi|sus?|que|se|tantos|tipo|clase|favor|ningun|cartas?|"
    r"llamadas?|mensajes?|ni|[oy]|ya)\b)){0,12}? "
)
# What a no is to, where it is not to email itself.
_OTHERWISE = r"(?:miss\w*|lose|wait|share\w*|problem\w*|trouble|mind|objection|inconveniente|forget|olvid\w*|perder\w*|know|about|confirmation|receipt|route|phone)"
_ENTERED = r"(?:dare put|put|add|place|sign|enter|include|enroll|enlist|subscribe|write|list|be|get|being|stay|pong\w*|apunt\w+|anot\w+|met\w+|agreg\w+|inclu\w+|suscrib\w+|estar|aparecer|salir)"
_END = r"(?= (?:please|thanks|thank you|for (?:me|us|now)|por favor|gracias|para mi|if possible|si se puede)\b|$)"
_REFUSED = tuple(
    late(pattern)
    for pattern in (
        rf"\b{_NOT}{_REFUSES}{_MAIL}\b(?! (?:on file|yet|known|given|listed|changes?|address on|todavia|aun))",
        rf"^(?:please )?(?:stop|alto|remove me|take me off)(?: please)?$|\b(?:alto a|basta de) (?:los |tantos )?{_MAIL}\b",
        r"\b(?:no|nothing|nada|never|without|sin)(?: \w+)? (?:electronic\w*|digital\w*|by computer)\b",
        r"\b(?:quit|saqu|borr|elimin)\w*(?: \w+)? de (?:su|la|sus|las|esta) listas?\b",
        # "don't put me on any list", "no me apunten a nada", "leave me off", "count me out of it", "no quiero estar en listas"
        rf"\b(?:no|not|never|don ?t|dont|nunca|ni)(?: (?:me|nos|please|ever|to be|want|wish|quiero|queremos|deseo))* {_ENTERED}(?: (?:me|us|my|our|name|email|address|mi|mis|nombre|correo|up|down|por favor|please))*"
        rf" (?:on|onto|to|in|for|en|a) (?:(?:a|an|any|your|the|some|all|more|of|those|these|una?|ningun[oa]?|su|sus|la|las|otra|email|mailing|e) )*(?:lists?|listas?|anything|nada|ninguna|mailings?|emails?|newsletters?)\b",
        r"\b(?:count|stay|leave|keep|left|drop|quiten|saquen|dejen)(?: (?:me|us|my name|nos|mi nombre))? (?:out of|off|fuera de|out from)(?: (?:of|the|your|any|all|a|de|la|las|su|sus|e|email|mailing))* (?:lists?|listas?|email\w*|correos?|mailings?|newsletters?)\b",
        r"^(?:please )?no (?:mailing |email )?lists?(?: please)?$|\b(?:don ?t|dont|do not|never|no)(?: (?:me|nos))? (?:subscribe|enlist|suscriban)\b|\b(?:nothing|nada)(?: \w+){0,2} inbox\b",
        r"\bwant(?: to be)? (?:off|out)(?: (?:of|the|your|this|all|any|email|mailing))* lists?\b",
        rf"\b(?:don ?t|dont|do not|never|no)(?: (?:me|nos|please))* (?:flood|clog|fill|stuff|jam|crowd|bombard|swamp|load|overload|bury|llen\w+|satur\w+|inund\w+|bombarde\w+)(?: (?:up|me|us|my|our|the|mi|el|la|nuestro|with))* (?:inbox|{_MAIL})",
        rf"^(?:please |pls )?(?:keep|save|skip|ahorren?se|guarden?se) (?:your|the|those|los|sus|el) (?:\w+ )?{_MAIL}{_END}",
        r"^(?:please |thanks )?(?:no|not any|zero|skip the|sin|cero|nada de)(?: (?:more|weekly|monthly|daily|email|electronic|mas|ni))* (?:updates?|notices?|bulletins?|(?:e ?)?blasts?|announcements?|promotions?|ads|solicitations?|boletin(?:es)?|publicidad|propaganda|avisos|promociones)(?: (?:or|and|ni|y|o) \w+)?(?: (?:please|thanks|thank you|for me|to me|por favor|gracias|para mi))*$",
        r"\b(?:just |mejor |please |rather |i d rather you |only )+(?:mail|send|write|post|mande\w*|envie\w*)(?: (?:me|us))? (?:an?|the|una|la)? ?(?:letter|card|postcard|carta|note|nota)\b|^mejor (?:una )?(?:carta|llamada)\b",
        r"\b(?:don ?t|dont|do not|never|no)(?: \w+)? (?:send|sending|get|receive|want|mand\w+|envi\w+|quiero|recibir)(?: (?:me|us|getting|to|get|receive|any|more|the|your|those|recibir|mas|sus|los|de|weekly|monthly))* (?:updates?|notices|notifications?|bulletins?|announcements?|promotions?|solicitations?|mensajes|avisos|promociones)(?: (?:please|thanks|anymore|por favor|gracias))*$",
        rf"\b(?:no|not|never|don ?t|dont|doesn ?t|nunca)(?: (?!{_OTHERWISE}\b)\w+){{0,2}} (?:want|wish|like|care|need|put|add|sign|include|subscribe|enroll|quier\w+|dese\w+|necesit\w+|pong\w+|inscri\w+)(?: (?!{_OTHERWISE}\b)\w+){{0,5}} (?:{_MAIL}|mailing lists?|messages)\b(?! (?:on file|yet|known|given|listed))",
        rf"\b{_MAIL}\b.*\b(?:not|don ?t|dont|no) (?:want|need|send|quiero|necesito|manden)(?: any| mas)?(?: more)?$|\b{_MAIL} (?:\w+ )?(?:(?:me|nos) (?:molest|estorb|cans|fastidi|abrum|enfad|hart)\w+|(?:annoy|bother|bug|overwhelm|irritate|tire)s? (?:me|us))\b",
        r"\b(?:prefi?er\w*|rather|opt(?:ing)? for|choose|want|like|need|get|send|everything|all|things|these|this|it|them)(?: \w+){0,4}? (?:paper|hard cop(?:y|ies)|printed|in writing|by post|on paper|por escrito|impres[oa]s?)(?! (?:catalog\w*|bags?|towels?|goods|plates?|cups|goods|sacks?|goods|napkins|route|boy))\b",
        r"\bopt(?:ing|ed)? for (?:letters|calls|phone|mail|post|texts)\b|\bmail (?:things|everything|it all|all|notices) to (?:me|us)\b",
        r"\b(?:leave|let|dejen) (?:my|our|mi) (?:inbox|email\w*|correo) (?:alone|be|out of it|en paz|in peace)\b",
        r"\b(?:enough|plenty of|too much|no more|want(?: any)?|demasiada) junk\b(?! food)|\bkeep (?:your |the )?emails? to (?:yourself|yourselves)\b",
        r"\buse (?:the )?(?:post office|us mail|postal|postal mail|regular mail|paper|phone|telephone)\b",
        r"\b(?:send|mail|mand\w+|envi\w+) (?:everything|all|it all|things|todo)(?: \w+){0,2} (?:to|in|a|al|by|por) (?:my |mi |the |el |la )?(?:mailbox|house|street|home address|postal|casa|buzon|post|mail|carta)\b",
        rf"\b(?:sooner|rather|prefer|prefier\w*)(?: \w+){{1,7}}? (?:than|que|to|a) (?:get |have |see |send |an? |un |el |por )*{_MAIL}\b",
        r"\bno (?:more )?(?:junk )?mail\b(?! (?:delivery|service|box|carrier|slot))",
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
        rf"\b(?:prefer\w*|rather|better|mejor)(?: \w+){{1,6}}? (?:to|over|than|a|que|al) (?:by |el |por )?{_MAIL}\b",
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
_OF_NEWS = late(
    r"\b(?:marketing|newsletters?|propaganda|boletin(?:es)?|spam|mailings?|ads|publicidad|promo\w*)\b"
)
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

# What has such words in it and refuses nothing.
_HARMLESS = late(
    r"\b(?:no|not a) problem\b|\bno hay problema\b|\bno worries\b|\bhesitate\b|\bno duden?\b|\bforget\b|"
    r"\bno (?:se )?olvid\w+\b|\bpor que no\b|\bwhy (?:don ?t|do not|no)\b|\bnot only\b|\bwhy not\b|\bno solo\b|"
    r"\b(?:don ?t|dont|do not|never) (?:take|drop|remove|delete|leave) (?:me|us|my name|her|him) (?:off|out|from)\b|"
    r"\b(?:did|have|has|had|was|were)(?: not|n ?t| never)(?: yet| been)? (?:get|got|gotten|receive|received|"
    r"see|seen|heard?)\b|\bnever (?:got|received|heard|saw)\b|\b(?:no|nunca|todavia no|aun no) (?:he|hemos|me ha|"
    r"me llego|me llega|recibi|recibimos)\b|"
    r"\b(?:share|shared|sharing|sell|give(?:n)? (?:out|away|my)|publish|compart\w+|vend\w+|publi(?:qu\w+|ca[rnd]\w*)|dar mi|den mi)\b|"
    r"\b(?:is|s|isn) (?:not|t) (?:my|our) (?:own )?email\b|"
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
    r"(?:mail|corre|newsl|bolet|market|spam|electr|digital|comput|internet|l[ií]nea|list|letter|phone|tel[eé]f|paper|hard cop|writing|printed|post|text|sms|call|cart|llam|papel|whats|"
    r"mens|inbox|bullet|updat|notic|announ|aviso|blast|promo|public|propag|apunt|anot|suscr|junk|stop|alto|remove|take|contact|writ|wrote|messag|anyth|stuff|thing|escr[ií]b|mand|m[aá]nd|env[ií]|llen|subscr|opt|add me|digit)",
    re.IGNORECASE,
)
_CALL_MARK = late(
    r"call|phon|ring|text|ll[aá]m|h[aá]bl|m[aá]rqu|tel[eé]f|sms|whats|mensaj", re.IGNORECASE
)
_BOX_MARK = late(
    r"mail|corre|inbox|internet|wi.?fi|compu|laptop|smart|account|cuenta|keyb|tablet|olvid|yahoo|gmail|hotmail|\baol\b|library|online|\bweb|tech|tecno|screen|pantalla|digital|gadget|"
    r"machine|messag|mensaj|grid|flip|land.?line|house phone|blind|cieg|check|look at it|revis",
    re.IGNORECASE,
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
    if not unread_mail.is_said(" ".join(_WORDS(part)) for part in _parts(said[:LONGEST])):
        return Cleaned(said, None)
    note = f"The form says “{_shown(said)}”. Ask if they read email at this address: the welcome packet has a password in it."
    return Cleaned(said, True, (UNREAD.found(said, note),))


def _note(said: str) -> str:
    return f"The form says “{_shown(said)}”. We send no email until you ask the member."


def _shown(said: str) -> str:
    text = " ".join(secret.hidden(said).split())
    short = text if len(text) <= 80 else text[:79] + "…"
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in short)


_WORDS = re.compile(r"[^\W_]+|,").findall


@lru_cache(maxsize=4)  # each rule asks for those of one remark
def _parts(text: str) -> list[str]:
    """Its sentences in small letters without accents, as they are written."""
    plain = unicodedata.normalize("NFKD", text)
    plain = "".join(c for c in plain if not unicodedata.combining(c)).casefold()
    plain = re.sub(
        rf"\b({_MAIL})\?\s*(?=(?:no|never|nunca)\b)", r"\1, ", plain
    )  # "Emails? No thanks"
    return re.split(r"[.!?;\n]+|\b(?:but|however|pero)\b", plain.replace("e-mail", "email"))


@lru_cache(maxsize=4)
def _sentences(text: str) -> list[str]:
    """Their clauses, one space between words."""
    clauses = [clause for part in _parts(text) for clause in (*part.split(","), _turned(part))]
    return [" ".join(re.findall(r"[^\W_]+", clause)) for clause in clauses]


def _turned(part: str) -> str:
    """A refusal that a comma parts from what it refuses: "emails, no thanks"."""
    found = re.search(rf"\b{_MAIL},\s*(?:no|never|nunca)\b.{{0,20}}", part)
    return found[0] if found else ""

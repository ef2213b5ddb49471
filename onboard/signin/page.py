"""Which page a caller was on, and what it told them."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

from onboard.settings import Settings
from onboard.signin import inside

_URL = re.compile(r"(?:https?://)?[a-z0-9-]+(?:\.[a-z0-9-]+)+(?::\d+)?(?:[/?#]\S*)?", re.IGNORECASE)
_SHOP = re.compile(r"\b(?:shop|shops|store|shopping|cart|tienda|carrito)\b", re.IGNORECASE)
_ORDERING = re.compile(r"\b(?:order|orders|ordering|pedido|pedidos|pedir)\b", re.IGNORECASE)

FORGOTTEN = "typed.forgotten"
# What pages say when they let nobody in; words of common practice, English and Spanish. What says
# "user name or password" tells nothing: pages say it so as not to give away which.
_TYPED = r"pass[\s-]?(?:w[or]{2,3}d|code|phrase)|pas+w[or]{2,3}d|contrase[nñ]"
_PASSWORD = rf"{_TYPED}|\bclave"
_NAME = (
    r"\b(?:user[\s-]?(?:name|id)|log[\s-]?[io]n(?:[\s-]?(?:name|id))?|sign[\s-]?(?:in|on)(?:[\s-]?name)?|handle|"
    r"(?:nombre\s+de\s+)?usuario|account\s+name|nombre\s+(?:de|para)\s+(?:la\s+)?(?:entrar|entrada|cuenta))\b"
)
_NOT_KNOWN = (
    r"\bforg[eo]t\w*|\blost\b|\bmisplaced\b|\b(?:do|does|did|can|could)\s*(?:n.?t|not)\s+(?:\w+\s+)?(?:know|remember|recall|find|have)|\bcannot\s+(?:remember|recall|find)|"
    r"\bno\s+(?:idea|clue)|\bnot\s+(?:sure|certain)|\bunsure|\bnever\s+(?:got|had|knew|received)|\bolvid\w+|\bno\s+(?:me\s+)?(?:acuerd\w+|recuerd\w+|s[eé]|sabe|encuentr\w+|teng\w+)|\bperd[ií]\w*"
)
_ACCOUNT = r"(?:account|membership|profile|log[\s-]?in|user\s?(?:name|id)?)"
_OFF = r"(?:disabled|suspended|de-?activated|inactive|not\s+active|closed|turned\s+off|shut\s+off|cancell?ed|terminated|revoked|expired|restricted|frozen|blocked\s+by)"
_SITE = r"(?:site|page|web\s?site|server|p[aá]gina|sitio)"
_EXPIRES = r"\b(?:link|enlace|card|tarjeta|certificate|certificado|offer|coupon|cart|carrito|code|c[oó]digo|token)\b"
_DAY = r"(?:mon|tues|wednes|thurs|fri|satur|sun)day|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.? \d|the \d|in \d|next|tomorrow"
_SAYS: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("typed.capitals", re.compile(
        r"\bcaps\b|\bcapital\s+letters?\b|\b(?:a|the|in|all|with)\s+(?:big\s+|first\s+)?capitals?\b(?!\s+(?:of|city|one)\b)|\bcapitali[sz]\w+|upper\s?case|\bbig\s+(?:letters?|[a-z])\b"
        r"|may[uú]scul|\bletras?\s+grandes?\b", re.IGNORECASE)),
    ("typed.autocorrect", re.compile(
        r"\bauto\s?-?correct\w*|\bcorrector\b|autocorrector|predictive\s+text|spell\s?-?check"
        r"|\b(?:phone|tablet|i?pad|keyboard|tel[eé]fono|celular|teclado|tableta)\b.{0,20}(?:chang|fixes|correct|swaps|cambi|corrig)\w*(?!.{0,12}number)",
        re.IGNORECASE)),
    # The page was left open until it ended the sign-in.
    ("page.session", re.compile(
        r"\bsession\b.{0,30}(?:expire|timed?\s?-?out|ended|invalid|is\s+over|lost|no\s+longer)|(?:expired|timed\s?-?out).{0,20}\bsession\b|\binactivity\b|\binactividad\b"
        rf"|\b{_SITE}\s+(?:has\s+|is\s+)?expired|\b(?:logged|signed|timed|kicked)\s+(?:(?:me|us|him|her|you)\s+)?out\s+(?:because|for|due|after)\b|\b(?:it|{_SITE})\s+(?:had\s+|has\s+)?(?:logged|signed|timed|kicked)\s+(?:me|us|him|her)\s+out\b"
        r"|\bsesi[oó]n\b.{0,30}(?:expir|caduc|venci|termin|cerr|acab)\w*|(?:expir|caduc|venci|cerr)\w*.{0,15}\bsesi[oó]n\b|\bme\s+sac[oó]\s+(?:de|porque|por)\b",
        re.IGNORECASE | re.DOTALL)),
    ("page.locked", re.compile(
        r"(?<!caps )\block(?:ed|s)?\b|too many|multiple (?:failed|failures|tries)|\b(?:wait|espere|esperar)\s+(?:\w+\s+)?\d+|\btries\b|\battempts|try again (?:later|in)|bloque[aóo]|demasiad|intentos",
        re.IGNORECASE)),
    # It says that their account is turned off: what we have on file may say otherwise.
    ("page.disabled", re.compile(
        rf"\b{_ACCOUNT}(?:'s|\s+(?:has|have|had|was|is|been|got|now|currently|temporarily|permanently|says?|shows?|as|it|it's|that|they|my|the))*\s+{_OFF}\b(?!\s+(?:for\s+)?order)"
        rf"|\b(?:disabled|suspended|deactivated|inactive|cancell?ed|closed|shut\s+off|turned\s+off|terminated|froze)\s+(?:my|the|your|our|his|her)?\s*(?:\w+\s+)?\b(?:account|membership|log[\s-]?in)\b"
        r"|^\W*(?:(?:the\s+)?(?:it|he|she|page|screen|site)\s+)?(?:just\s+)?(?:says?|said)?\W*(?:it'?s\s+|i'?m\s+|i\s+am\s+|you\s+are\s+|you'?re\s+)?(?:disabled|suspended|deactivated)\W*$"
        r"|\b(?:cuenta|usuario|membres[ií]a)(?:\s+(?:est[aá]|fue|ha|sido|aparece|como|ya|sale|me|dice|que|quedó|la|han))*\s+(?:desactiv|suspend|inactiv|cerrad|cancelad|inhabilit|deshabilit|dada\s+de\s+baja|vencid)\w*"
        r"|\b(?:desactivaron|suspendieron|cancelaron|cerraron|dieron\s+de\s+baja)\s+(?:mi|la|su)\s+cuenta|^\W*(?:me\s+)?(?:dice\s+)?(?:que\s+)?(?:est[aá]\s+)?(?:desactivad|suspendid)[ao]\W*$",
        re.IGNORECASE)),
    # They say themselves that they do not know it.
    (FORGOTTEN, re.compile(
        rf"(?:{_NOT_KNOWN})(?:(?!{_PASSWORD}).){{0,40}}(?:{_NAME})|(?:{_NAME})\s+(?:(?:is|was)\s+)?(?:forgotten|lost|olvidad\w|perdid\w)"
        r"|\b(?:two|2|both)\s+(?:\w+\s+)?(?:accounts|sign.?in\s+names|user\s?names|log.?ins)\b|\bdos\s+(?:cuentas|usuarios|nombres\s+de)\b"
        r"|\b(?:signed\s+up|joined|registered)\s+(?:twice|two\s+times)\b|\b(?:inscrib[ií]|registr[eé])\s+dos\s+veces|\bwhich\s+(?:name|one|login|account)\s+(?:to\s+use|is\s+mine|do\s+i)"
        rf"|(?:what(?:\s+is|'?s|\s+was)|cu[aá]l\s+(?:es|era))\s+(?:my|mi|her|his|the|el|su)\s+(?:{_NAME})",
        re.IGNORECASE | re.DOTALL)),
    # "Expired" alone is said of the password; a link, a card or a certificate expires too.
    ("password", re.compile(
        rf"(?:{_PASSWORD}|^(?!.*(?:{_EXPIRES}))).*?(?:expire|run out|caduc|vencid|venci[oó]|expir[oó])|(?:expire|caduc|venci[oó]|expir[oó]).*(?:{_PASSWORD})",
        re.IGNORECASE | re.DOTALL)),
    ("window.closed", re.compile(
        r"(?<!account )(?<!account is )clos(?:ed|es)\b|not (?:yet )?open|cerrad|no est[aá]n? abiert|too (?:early|late) to order|fuera de (?:fecha|tiempo)"
        rf"|\bopens? (?:up )?(?:again )?(?:on |at )?(?:{_DAY})|\b(?:ordering|orders?|window)\b.{{0,12}}\b(?:ended|over|starts?|begins?|opens?|not started)\b"
        r"|\bpedidos?\b.{0,15}\b(?:abren?|empiezan?|comienzan?|terminaron|acabaron|terminó|acabó)\b|\babren? (?:el|en|hasta)\b"
        r"|\bwhen\s+(?:(?:i|we|you|they|he|she)\s+)?(?:can|could|may|will|do|does|is|are)\s+(?:(?:i|we|he|she|they|you|people|the|next|it)\s+)*(?:be\s+able\s+to\s+)?"
        r"(?:place\s+(?:an?|my|our)\s+)?(?:order(?:s|ing)?|window|time\s+to\s+order)\b"
        r"|\bcu[aá]ndo\s+(?:se\s+)?(?:pued[eo]n?|podemos|podr\w+|abren?|empiezan?|toca|son)\s+(?:\w+\s+){0,3}?(?:pedir|pedidos?|ordenar)\b"
        # "I get in, but I can't place an order", "no me deja hacer mi pedido"
        r"|\b(?:can.?t|can ?not|could ?n.?t|unable to|not able to|(?:won.?t|does ?n.?t|didn.?t|not) (?:let|letting|allow) (?:me|him|her|us|them)(?: to)?)"
        r" (?:even )?(?:(?:place|make|put in|submit|send) )?(?:(?:an?|any|my|our|his|her|the|their) )?orders?\b(?! (?:\w+ ){0,3}password)"
        r"|\bno (?:me |le |nos |les )?(?:pued[eo]n?|podemos|pude|pudo|dejan?|permiten?) (?:(?:hacer|poner|mandar|enviar|meter) )?"
        r"(?:(?:un|mi|su|el|ning[uú]n|nuestro) )?(?:pedir|pedidos?|ordenar|orden)\b(?! (?:\w+ ){0,3}contrase)",
        re.IGNORECASE)),
    ("page.link", re.compile(
        r"\bbookmark|\bfavorites\b|\bfavoritos\b|\b(?:an?|the|my|that)?\s*old\s+link|\b404\b|\bpage\s+(?:was\s+)?not\s+found|enlace (?:viejo|de antes)|\blink\b.{0,20}\bexpired?|\benlace\b.{0,20}\b(?:expir|caduc|venci)\w+"
        r"|\b(?:link|enlace)\b.{0,40}(?:\bnowhere\b|does ?n.?t (?:work|open|go)|\bdead\b|\bbroken\b|\blast\s+year|no\s+(?:sirve|funciona|lleva|abre))"
        r"|p[aá]gina\s+no\s+(?:se\s+)?encontr\w+|no\s+se\s+encontr\w+\s+la\s+p[aá]gina", re.IGNORECASE)),
    ("page.down", re.compile(
        rf"\b{_SITE}\b.{{0,15}}\b(?:is|was|seems|keeps|are)\s+(?:down|broken|blank|empty|spinning|white|dead)\b|\b{_SITE}\b.{{0,20}}(?:can.?t|cannot|could ?n.?t) be (?:reached|displayed|found|opened)"
        rf"|\b{_SITE}\b.{{0,15}}(?:won.?t|does ?n.?t|does not|never|not)\s+(?:even\s+)?(?:load|open|come up|respond)\w*|(?:can.?t|cannot|could ?n.?t) (?:reach|open|load|get to) (?:the |your |this )?(?:\w+ )?{_SITE}\b"
        rf"|\b{_SITE}\b.{{0,20}}\bno\s+(?:me\s+)?(?:carga|abre|responde|se\s+(?:abre|puede\s+abrir))|\b{_SITE}\b.{{0,20}}(?:ca[ií]d[ao]|en\s+blanco)"
        r"|\bcertificate\b.{0,25}\bexpired|\bcertificado\b.{0,25}\b(?:expir|caduc|venci)\w+|\b50[0-4]\b|nothing\s+(?:comes|came)\s+up|(?:white|blank|empty)\s+(?:page|screen)|no\s+(?:me\s+)?(?:abre|carga)\s+(?:la\s+p[aá]gina|el\s+sitio)|se\s+cay[oó]\s+(?:la\s+p[aá]gina|el\s+sitio)|timed?\s?-?out|took too long|unavailable|just spins|spins and spins|bad gateway|under maintenance|mantenimiento|se queda (?:cargando|en blanco)|pantalla (?:blanca|en blanco)",
        re.IGNORECASE | re.DOTALL)),
    ("typed.email", re.compile(
        r"\b(?:put|puts|typ\w+|us(?:e|ed|ing)|enter\w*|tried|trying|gave|with)\s+(?:in\s+)?(?:with\s+)?my\s+(?:own\s+|gmail\s+)?e-?mail(?!\s+pass)"
        r"|\bmy\s+e-?mail\s+(?:is\s+|not\s+)?(?:my|the)\s+(?:user|sign|log)"
        r"|\be-?mail\b.{0,25}\b(?:go|goes|put|in)\b.{0,15}\b(?:box|line|field)\b|\bcorreo\b.{0,25}\b(?:va|pon\w+|en)\b.{0,15}\b(?:casilla|cuadro|campo)\b"
        r"|\b(?:puse|pongo|pon[ií]a|puesto|poniendo|escrib\w+|us[eéo]|usando|met[ií]|tecle\w+|con)\s+(?:con\s+)?mi\s+(?:correo|e-?mail)", re.IGNORECASE)),
    ("page.shop", re.compile(
        r"\b(?:at|on|in|to|en|a)\s+(?:the|your|la|su)\s+(?:\w+\s+)?(?:shop|store|tienda)(?:'s)?\s*(?:page|site|p[aá]gina)?\b|credit\s+card|\btarjeta\b|shopping\s+cart|\bcarrito\b",
        re.IGNORECASE)),
    # What they never got, or lost: then they have no password to type.
    ("password", re.compile(
        r"\b(?:letter|packet|envelope|welcome\s+e?-?mail|temporary\s+password)\b.{0,15}(?:\bnever|\bnot|n'?t)\s+(?:(?:yet|even|ever)\s+)?(?:came|come|arrived?|got|gotten|reach\w*|show\w*|here|been\s+(?:delivered|sent))\b"
        r"|\b(?:carta|paquete|sobre|correo\s+de\s+bienvenida)\b.{0,10}\b(?:nunca|no)\s+(?:me\s+)?(?:ha\s+)?(?:lleg|recib)\w+"
        r"|(?:never|did ?n.?t|did not|nunca|no|lost|perd[ií]).{0,20}(?:got|get|receiv|came|come|arriv|lleg|recib|the|la|el|my|mi)"
        r".{0,30}(?:letter|packet|welcome|carta|bienvenida)", re.IGNORECASE | re.DOTALL)),
    ("password", re.compile(
        rf"^(?!.*(?:user|usuario|handle|sign.?in name|email|e-mail|correo)).*(?:{_PASSWORD})",
        re.IGNORECASE | re.DOTALL)),
    ("password", re.compile(r"\breset(?:ting)?\b|restablec", re.IGNORECASE)),
    # The page knows nobody of the name that was typed.
    ("name", re.compile(
        r"\b(?:user|username|account|member|sign.?in name|usuario|cuenta|nombre)\b.{0,15}(?:not found|does ?n.?t exist|does not exist|not (?:recognized|known)|unknown|no existe|no (?:se )?encontr\w+|desconocid\w)"
        r"|\bno\s+(?:user|account|member)\s+(?:by|with|called|of)\b|(?:does ?n.?t|not)\s+(?:know|recogni[sz]e)d?\s+(?:me|my\s+name)\b|(?:no\s+me|no\s+lo)\s+reconoce|(?:no such|unknown|can.?t find (?:that|the|my|a)) (?:user|account|name|member)|no existe (?:el|ese|la|esa|un) (?:usuario|cuenta)",
        re.IGNORECASE)),
    # It lets nobody in, and does not give away why.
    ("refused", re.compile(
        r"\binvalid|\bincorrect|\bwrong\b|(?:do|does|did) ?n.?t match|no coincid\w+|inv[aá]lid|\bincorrect", re.IGNORECASE)),
)  # fmt: skip
# What nobody types as their name, and volunteers write down in its place: the page's answer.
MANY = 4  # words: no sign-in name is typed as so many
_ANSWER = re.compile(
    rf"\b(?:(?:{_TYPED})\w*|(?:la|mi|su|una|esta) clave|clave (?:no|in)|incorrect\w*|invalid\w*|inv[aá]lid\w*|wrong|expired|locked out|too many|tries|"
    r"attempts|intentos|not (?:recognized|found|correct|valid|right)|does ?n.?t work|won.?t (?:let|work)|"
    r"no (?:me )?(?:deja|sirve|funciona)|forgot|olvid\w+|it (?:says|said)|me dice|dice que|never got|lost the)",
    re.IGNORECASE,
)


# What is known to stop a sign-in once the page, or the caller, has said so.
STOPS = frozenset(code for code, _ in _SAYS if code.startswith(("page.", "typed.")))


def is_answer(text: str) -> bool:
    """Whether a text is what a page answered, in its words or a caller's, and nothing that was typed
    for a sign-in name.

    >>> is_answer("it says wrong password"), is_answer("Pat Lockwood"), is_answer("password")
    (True, False, False)
    """
    text = text[:2000]
    words = len(text.split())
    if words < 2 or "@" in text:
        return False
    return bool(_ANSWER.search(text)) or (words >= MANY and bool(says(text) or are_in(text)))


def which(page: str, settings: Settings) -> str:
    """The page that an address or words mean: "ordering", "shop", "other", or "" if unclear.

    An address counts for more than words: it is "other" when it is on neither of our sites.
    """
    page = page[:2000].strip()
    if found := _URL.search(page):
        ours = {
            place: _where(address)
            for place, address in (
                ("ordering", settings.ordering_page),
                ("shop", settings.shop_page),
            )
            if address
        }
        host, path = _where(found[0])
        fits = [
            (len(where[1]), place)
            for place, where in ours.items()
            if where[0] == host and f"{path}/".startswith(f"{where[1].rstrip('/')}/")
        ]
        return max(fits)[1] if fits else "other"
    shop, ordering = bool(_SHOP.search(page)), bool(_ORDERING.search(page))
    if shop == ordering:
        return ""
    return "shop" if shop else "ordering"


def says(message: str) -> str:
    """What the page's own words point at: a code, "password" for any of its causes, or ""."""
    return next((code for code, words in _SAYS if words.search(message[:2000])), "")


def is_understood(message: str) -> bool:
    """Whether the words of a page or of a caller say anything: "user name or password" does, though it
    tells nothing of which."""
    return bool(says(message) or _ANSWER.search(message[:2000]) or are_in(message))


def are_in(message: str) -> bool:
    """Whether whoever speaks is signed in, and calls about something else."""
    told = says(message)
    may_be = told in ("", "refused", "window.closed")
    return may_be and inside.is_said(message, refused=told == "refused")


def _where(address: str) -> tuple[str, str]:
    """The host, without "www.", and the path of an address."""
    try:
        parts = urlsplit(address if "//" in address else f"//{address}")
        return (parts.hostname or "").removeprefix("www."), parts.path.rstrip("/").lower()
    except ValueError:
        return "", ""

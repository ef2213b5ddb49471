"""Which page a caller was on, and what it told them."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

from onboard.settings import Settings

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
_SAYS: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("page.locked", re.compile(
        r"\block(?:ed|s)?\b|too many|\btries\b|\battempts|try again (?:later|in)|bloquea|demasiad|intentos",
        re.IGNORECASE)),
    # They say themselves that they do not know it.
    (FORGOTTEN, re.compile(
        rf"(?:{_NOT_KNOWN})(?:(?!{_PASSWORD}).){{0,40}}(?:{_NAME})|(?:{_NAME})\s+(?:(?:is|was)\s+)?(?:forgotten|lost|olvidad\w|perdid\w)"
        rf"|(?:what(?:\s+is|'?s|\s+was)|cu[aá]l\s+(?:es|era))\s+(?:my|mi|her|his|the|el|su)\s+(?:{_NAME})",
        re.IGNORECASE | re.DOTALL)),
    ("password", re.compile(r"expire|run out|caduc|vencid|venci[oó]|expir[oó]", re.IGNORECASE)),
    ("window.closed", re.compile(
        r"clos(?:ed|es)|not (?:yet )?open|cerrad|no est[aá]n? abiert", re.IGNORECASE)),
    # What they never got, or lost: then they have no password to type.
    ("password", re.compile(
        r"(?:never|did ?n.?t|did not|no|lost|perd[ií]).{0,20}(?:got|get|receiv|came|come|arriv|lleg|recib|the|la|el|my|mi)"
        r".{0,30}(?:letter|packet|welcome|carta|bienvenida)", re.IGNORECASE | re.DOTALL)),
    ("password", re.compile(
        rf"^(?!.*(?:user|usuario|handle|sign.?in name|email|e-mail|correo)).*(?:{_PASSWORD})",
        re.IGNORECASE | re.DOTALL)),
)  # fmt: skip
# What nobody types as their name, and volunteers write down in its place: the page's answer.
_ANSWER = re.compile(
    rf"\b(?:(?:{_TYPED})\w*|(?:la|mi|su|una|esta) clave|clave (?:no|in)|incorrect\w*|invalid\w*|inv[aá]lid\w*|wrong|expired|locked out|too many|tries|"
    r"attempts|intentos|not (?:recognized|found|correct|valid|right)|does ?n.?t work|won.?t (?:let|work)|"
    r"no (?:me )?(?:deja|sirve|funciona)|forgot|olvid\w+|it (?:says|said)|me dice|dice que|never got|lost the)",
    re.IGNORECASE,
)


def is_answer(text: str) -> bool:
    """Whether a text is what a page answered, in its words or a caller's, and nothing that was typed
    for a sign-in name.

    >>> is_answer("it says wrong password"), is_answer("Pat Lockwood"), is_answer("password")
    (True, False, False)
    """
    text = text[:2000]
    return len(text.split()) > 1 and "@" not in text and bool(_ANSWER.search(text))


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
    return bool(says(message) or _ANSWER.search(message[:2000]))


def _where(address: str) -> tuple[str, str]:
    """The host, without "www.", and the path of an address."""
    try:
        parts = urlsplit(address if "//" in address else f"//{address}")
        return (parts.hostname or "").removeprefix("www."), parts.path.rstrip("/").lower()
    except ValueError:
        return "", ""

"""Which page a caller was on, and what it told them."""

from __future__ import annotations

import re
from urllib.parse import urlsplit

from onboard.settings import Settings

_URL = re.compile(r"(?:https?://)?[a-z0-9-]+(?:\.[a-z0-9-]+)+(?::\d+)?(?:[/?#]\S*)?", re.IGNORECASE)
_SHOP = re.compile(r"\b(?:shop|shops|store|shopping|cart|tienda|carrito)\b", re.IGNORECASE)
_ORDERING = re.compile(r"\b(?:order|orders|ordering|pedido|pedidos|pedir)\b", re.IGNORECASE)

# What pages say when they let nobody in; words of common practice, English and Spanish. What says
# "user name or password" tells nothing: pages say it so as not to give away which.
_SAYS: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("page.locked", re.compile(r"\block|too many|\btries|bloquea|demasiad", re.IGNORECASE)),
    ("password", re.compile(r"expired|run out|caduc|vencid", re.IGNORECASE)),
    ("window.closed", re.compile(
        r"clos(?:ed|es)|not (?:yet )?open|cerrad|no est[aá] abiert", re.IGNORECASE)),
    ("password", re.compile(
        r"^(?!.*(?:user|usuario|handle|email|e-mail|correo)).*(?:password|contrase|clave)",
        re.IGNORECASE | re.DOTALL)),
)  # fmt: skip


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


def _where(address: str) -> tuple[str, str]:
    """The host, without "www.", and the path of an address."""
    try:
        parts = urlsplit(address if "//" in address else f"//{address}")
        return (parts.hostname or "").removeprefix("www."), parts.path.rstrip("/").lower()
    except ValueError:
        return "", ""

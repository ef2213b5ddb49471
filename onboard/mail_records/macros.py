"""Names that an SPF record makes of who sends from where (RFC 7208, 7)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address
from urllib.parse import quote

_MACRO = re.compile(r"%(?:\{([slodiphcrtv])(\d*)(r?)([.\-+,/_=]*)\}|([%_-]))", re.I)
_STRAY = re.compile(r"%(?!\{[slodiphcrtv]\d*r?[.\-+,/_=]*\}|[%_-])", re.I)
_SIGNS = {"%": "%", "_": " ", "-": "%20"}
LONGEST = 253  # letters of a name; what is longer loses labels on the left (7.3)


@dataclass(frozen=True, slots=True)
class Sender:
    """Who sends from where."""

    ip: IPv4Address | IPv6Address
    address: str  # the envelope sender
    helo: str = ""  # the name that the sending host gives itself


def is_sound(spec: str) -> bool:
    """Whether each % of a domain-spec begins a macro; "%{z}" and "%(d)" do not.

    >>> is_sound("%{ir}.%{v}._spf.%{d2}"), is_sound("%(d).example.org")
    (True, False)
    """
    zero = any(found[2] and int(found[2]) == 0 for found in _MACRO.finditer(spec))
    return not zero and not _STRAY.search(spec)


def expand(spec: str, domain: str, sender: Sender) -> str:
    """The name that a domain-spec stands for, judged for `domain`.

    >>> expand("%{ir}.%{v}._spf.%{d2}", "email.example.com",
    ...     Sender(IPv4Address("192.0.2.3"), "strong-bad@email.example.com"))
    '3.2.0.192.in-addr._spf.example.com'
    """

    def letter(found: re.Match[str]) -> str:
        kind, most, turned, delimiters, sign = found.groups()
        if sign:
            return _SIGNS[sign]
        parts = re.split(f"[{re.escape(delimiters or '.')}]", _value(kind.lower(), domain, sender))
        if turned:
            parts.reverse()
        text = ".".join(parts[-int(most) :] if most else parts)
        return quote(text, safe="-._~") if kind.isupper() else text

    labels = _MACRO.sub(letter, spec).rstrip(".").split(".")
    while len(labels) > 1 and len(".".join(labels)) > LONGEST:
        del labels[0]
    return ".".join(labels)


def _value(kind: str, domain: str, sender: Sender) -> str:
    local, _, host = sender.address.rpartition("@")
    is_four = sender.ip.version == 4
    return {
        "s": f"{local or 'postmaster'}@{host}",
        "l": local or "postmaster",
        "o": host,
        "d": domain,
        "i": str(sender.ip) if is_four else ".".join(sender.ip.exploded.replace(":", "")),
        "p": "unknown",  # 7.3: what to write where the name was not looked up
        "v": "in-addr" if is_four else "ip6",
        "h": sender.helo or host,
        "c": str(sender.ip),  # c, r and t may stand only in an explanation, which we never show
        "r": "unknown",
        "t": "0",
    }[kind]

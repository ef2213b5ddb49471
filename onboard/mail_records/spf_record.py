"""The text of an SPF record, read (RFC 7208, 4.5, 4.6 and 12)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from ipaddress import IPv4Network, IPv6Network, ip_network

from onboard.mail_records import macros
from onboard.mail_records.kinds import Answer

_VERSION = re.compile(r"v=spf1(?: |$)", re.I)
_TERM = re.compile(r"([+\-?~]?)(all|include|a|mx|ptr|ip4|ip6|exists)([:/].*)?", re.I)
_MODIFIER = re.compile(r"([a-z][a-z0-9\-_.]*)=(.*)", re.I)
_CIDR = re.compile(r"(?:/(\d{1,3}))?(?://(\d{1,3}))?$")
_LAST = re.compile(r"(?:.*\.)?(?:[a-z](?:[a-z0-9-]*[a-z0-9])?|\d[a-z0-9-]*[a-z-][a-z0-9-]*|%\{[^}]*\})\.?$", re.I)  # fmt: skip
ASKS = frozenset({"include", "a", "mx", "ptr", "exists", "redirect"})  # what counts (4.6.4)


class Broken(ValueError):
    """The record is wrong, in words that follow "The SPF record"."""


@dataclass(frozen=True, slots=True)
class Mechanism:
    """One thing that a sending host may be, and what is said of it then."""

    qualifier: str  # "+", "-", "~" or "?"
    name: str
    spec: str = ""  # the domain-spec; "" is the domain itself
    net: IPv4Network | IPv6Network | None = None
    four: int = 32  # how many bits of an address of IPv4 must agree, and of IPv6
    six: int = 128


@dataclass(frozen=True, slots=True)
class Record:
    """What an SPF record says."""

    mechanisms: tuple[Mechanism, ...]
    redirect: str = ""


def records(answer: Answer) -> tuple[str, ...]:
    """Those of a domain's TXT records that are SPF records (4.5)."""
    return tuple(text for text in answer.records if _VERSION.match(text))


def parse(text: str) -> Record:
    """What the text of a record says. Raises `Broken`.

    >>> [(one.qualifier, one.name) for one in parse("v=spf1 mx -all").mechanisms]
    [('+', 'mx'), ('-', 'all')]
    """
    found: list[Mechanism] = []
    said: dict[str, str] = {}
    for term in text.split(" ")[1:]:
        if not term:
            continue
        if modifier := _MODIFIER.fullmatch(term):
            name, value = modifier[1].lower(), modifier[2]
            if name in ("redirect", "exp"):
                if name in said:
                    raise Broken(f"has “{name}=” twice")
                said[name] = _domain(value, term)
            continue  # 6: who does not know a modifier passes over it
        mechanism = _TERM.fullmatch(term)
        if mechanism is None:
            raise Broken(f"has “{term[:60]}” in it, which means nothing")
        sign, name, rest = mechanism[1] or "+", mechanism[2].lower(), mechanism[3] or ""
        found.append(_mechanism(sign, name, rest, term))
    return Record(tuple(found), said.get("redirect", ""))


def _mechanism(sign: str, name: str, rest: str, term: str) -> Mechanism:
    if name == "all":
        if rest:
            raise Broken(f"has “{term[:60]}” in it, which means nothing")
        return Mechanism(sign, name)
    if name in ("ip4", "ip6"):
        return Mechanism(sign, name, net=_net(name, rest, term))
    four, six = 32, 128
    if name in ("a", "mx") and (cidr := _CIDR.search(rest)) and cidr[0]:
        rest = rest[: cidr.start()]
        four, six = int(cidr[1] or 32), int(cidr[2] or 128)
        if four > 32 or six > 128:
            raise Broken(f"has a network that there can't be, “{term[:60]}”")
    if rest:
        return Mechanism(sign, name, _domain(rest[1:] if rest[0] == ":" else "", term), None, four, six)  # fmt: skip
    if name in ("include", "exists"):
        raise Broken(f"has “{term[:60]}” without a domain")
    return Mechanism(sign, name, "", None, four, six)


def _net(name: str, rest: str, term: str) -> IPv4Network | IPv6Network:
    try:
        net = ip_network(rest.removeprefix(":"), strict=False)
    except ValueError:
        net = None
    if net is None or not rest.startswith(":") or net.version != int(name[-1]):
        raise Broken(f"has “{term[:60]}”, which is not an {'IPv4' if name == 'ip4' else 'IPv6'} address")  # fmt: skip
    return net


def _domain(spec: str, term: str) -> str:
    """A domain-spec (7.1): it ends in a name that could be a top level, or in a macro."""
    if not spec or not spec.isascii() or not macros.is_sound(spec) or not _LAST.match(spec):
        raise Broken(f"has “{term[:60]}”, where the domain is wrong")
    return spec

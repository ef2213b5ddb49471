"""What is odd about an address that is well formed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from onboard.clean.email import characters, kinds, providers
from onboard.clean.email.address import Domain, Parsed
from onboard.model import Kind
from onboard.tables import words

# of the signs of RFC 5322, 3.2.3, those that no provider of mailboxes gives out (common practice)
_SIGNS = re.compile(r"[!#$%&*/=?^`{|}~]")
_MARKS = str.maketrans("", "", "-_.")
_SERVERS = ("mail", "email")


def made_up(parsed: Parsed) -> bool:
    """Whether the address is one that people write to get past a field (common practice)."""
    name, filler = _bare(parsed.local), words("contact_words", "filler")
    if name not in filler:
        return False
    return name in words("contact_words", "sure") or _label(parsed) in filler


def _perhaps_made_up(name: str, parsed: Parsed) -> bool:
    """Whether the address may be made up, or else is a stranger's: test@gmail.com, aa@aa.com. `name` is its local
    part without signs."""
    if name in _usual():
        known = parsed.domain.ascii in providers.providers()
        return known or _label(parsed) in _usual()
    alike = name.isdigit() or name == name[:1] * len(name)
    return alike and name == _label(parsed)


def _bare(name: str) -> str:
    return name.lower().translate(_MARKS)


def _label(parsed: Parsed) -> str:
    """What stands between the @ and the first dot, without signs; a mail server's own name, as in mail.example.org,
    says nothing."""
    domain = parsed.domain.ascii
    name, _, rest = domain.partition(".")
    if "." in rest and name in _SERVERS:
        name = rest.partition(".")[0]
    return name.translate(_MARKS)


@cache
def _usual() -> frozenset[str]:
    return words("contact_words", "filler") | words("contact_words", "maybe")


def oddities(parsed: Parsed) -> Iterator[tuple[Kind, str]]:
    """The kinds of finding about an address, each with its note."""
    local, domain, name = parsed.local, parsed.domain, _bare(parsed.local)
    if domain.suggestion:
        meant = f"{local}@{domain.suggestion}"
        yield (
            kinds.SLIP,
            f"{domain.shown} looks like a typo of {domain.suggestion}. Ask if they mean {meant}.",
        )
    if local[:4].lower() == "www." and len(local) > 4:
        meant = f"{local[4:]}@{domain.shown}"
        yield kinds.WEB, f"www. is for web pages. Ask if they mean {meant}."
    for kind in domain.kinds:
        yield (
            kind,
            _DOMAIN_NOTES[kind.code].format(
                domain=domain.shown, ending=domain.shown[domain.shown.rindex(".") :]
            ),
        )
    if _perhaps_made_up(name, parsed):
        yield (
            kinds.FILLER,
            f"{parsed.address} may be made up, or a stranger's. Ask for the real email address"
            " before you send anything.",
        )
    if domain.ascii in providers.providers() and (odd := _SIGNS.findall(local)):
        signs = " and ".join(dict.fromkeys(odd))
        yield (
            kinds.SIGNS,
            f"{domain.shown} gives out no email addresses with {signs} in them. Ask if they mean"
            f" {_SIGNS.sub('', local)}@{domain.shown}.",
        )
    if not local.isascii():
        yield _beyond_ascii(local, domain)
    elif name in providers.roles():
        yield (
            kinds.ROLE,
            f"{local}@ belongs to a job or a group. Ask for the member's own email address: the"
            " packet has a password in it.",
        )


_DOMAIN_NOTES = {
    kinds.SPECIAL_USE.code: "{domain} is reserved and gets no email. Ask for another email address.",
    kinds.NO_ENDING.code: (
        "No domain ends in {ending}. Email never arrives there. Ask for the email address again."
    ),
    kinds.THROWAWAY.code: "{domain} addresses don't last. Ask for one that will.",
    kinds.CONFUSABLE.code: (
        "{domain} has letters that only look like the usual ones. Have them spell the email address"
        " before you send anything."
    ),
}


def _beyond_ascii(local: str, domain: Domain) -> tuple[Kind, str]:
    plain = characters.plain(local)
    meant = f"{plain}@{domain.shown}" if plain.isascii() and plain else ""
    if characters.confusable(local):
        ask = f"Ask if they mean {meant}" if meant else "Have them spell the email address"
        return kinds.CONFUSABLE, f"{local} has letters that only look like others. {ask}."
    if domain.ascii in providers.providers() and meant:
        return kinds.INTERNATIONAL, (
            f"{domain.shown} usually gives out email addresses in plain letters only. Ask if"
            f" they mean {meant}."
        )
    return kinds.INTERNATIONAL, (
        f"{local} has letters other than a to z. Some email systems can't send to it. Ask for a"
        " second email address."
    )

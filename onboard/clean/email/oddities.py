"""What is odd about an address that is well formed."""

from __future__ import annotations

from collections.abc import Iterator

from onboard.clean.email import characters, kinds, providers
from onboard.clean.email.address import Domain, Parsed
from onboard.model import Kind
from onboard.tables import words

_MARKS = str.maketrans("", "", "-_.")


def made_up(parsed: Parsed) -> bool:
    """Whether the address is one that people write to get past a field (common practice)."""
    name = parsed.local.lower().translate(_MARKS)
    if name not in words("contact_words", "filler"):
        return False
    label = parsed.domain.ascii.partition(".")[0].translate(_MARKS)
    return name in words("contact_words", "sure") or label in words("contact_words", "filler")


def oddities(parsed: Parsed) -> Iterator[tuple[Kind, str]]:
    """The kinds of finding about an address, each with its note."""
    local, domain = parsed.local, parsed.domain
    if domain.suggestion:
        meant = f"{local}@{domain.suggestion}"
        yield (
            kinds.SLIP,
            f"{domain.shown} looks like a slip of {domain.suggestion}; ask whether {meant} is"
            " meant.",
        )
    if local[:4].lower() == "www." and len(local) > 4:
        meant = f"{local[4:]}@{domain.shown}"
        yield kinds.WEB, f"www. belongs to web pages; ask whether {meant} is meant."
    for kind in domain.kinds:
        yield kind, _DOMAIN_NOTES[kind.code].format(domain=domain.shown)
    if not local.isascii():
        yield _beyond_ascii(local, domain)
    elif local.lower().translate(_MARKS) in providers.roles():
        yield (
            kinds.ROLE,
            f"{local}@ is the address of a job or a group; ask for the member's own, as the"
            " packet holds a password.",
        )


_DOMAIN_NOTES = {
    kinds.SPECIAL_USE.code: "{domain} is reserved and gets no mail; ask for another address.",
    kinds.THROWAWAY.code: "{domain} mailboxes are thrown away soon; ask for a lasting address.",
    kinds.CONFUSABLE.code: (
        "{domain} has letters that only look like the usual ones; have the address spelled out"
        " before you send anything."
    ),
    kinds.COUNTRY_ONLY.code: "{domain} is only a country's ending; ask whether more belongs there.",
}


def _beyond_ascii(local: str, domain: Domain) -> tuple[Kind, str]:
    plain = characters.plain(local)
    meant = f"{plain}@{domain.shown}" if plain.isascii() and plain else ""
    if characters.confusable(local):
        ask = f"ask whether {meant} is meant" if meant else "have the address spelled out"
        return kinds.CONFUSABLE, f"{local} has letters that only look like others; {ask}."
    if domain.ascii in providers.providers() and meant:
        return kinds.INTERNATIONAL, (
            f"{domain.shown} gives out names in plain letters only (common practice); ask"
            f" whether {meant} is meant."
        )
    return kinds.INTERNATIONAL, (
        f"{local} has letters beyond a-z, which some mail systems cannot send to (SMTPUTF8,"
        " RFC 6531); ask for a second address."
    )

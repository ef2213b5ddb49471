"""The name servers asked for the records of a domain. Needs the extra `mx` (dnspython)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from onboard.errors import SettingsTrouble
from onboard.mail_records.kinds import Answer, Ask

if TYPE_CHECKING:
    from dns.rdata import Rdata
    from dns.resolver import Resolver

TIMEOUT = 5.0  # seconds for one question, all tries together


def asking(resolver: Resolver | None = None, timeout: float | None = None) -> Ask:
    """A function that asks, each question once. Nobody's answer, a broken one too, is an `Answer` that is
    not known; that there is no such name, or nothing of the type, is an answer with no records.

    `resolver` is dnspython's, by default the machine's own. Raises `SettingsTrouble` where dnspython is not
    installed, or the machine knows of no name server.
    """
    try:
        from dns.exception import DNSException
        from dns.resolver import NXDOMAIN, NoAnswer, NoResolverConfiguration, get_default_resolver
    except ImportError as missing:
        raise SettingsTrouble(
            "To read what a domain says about its email, the program needs dnspython. Type: pip install onboard[mx]"
        ) from missing
    try:
        who = resolver or get_default_resolver()
    except NoResolverConfiguration as error:
        raise SettingsTrouble("This computer knows of no name server. Is it online?") from error
    asked: dict[tuple[str, str], Answer] = {}

    def ask(name: str, kind: str) -> Answer:
        key = name.lower().rstrip("."), kind
        if key not in asked:
            try:
                found = who.resolve(f"{key[0]}.", kind, lifetime=timeout or TIMEOUT, search=False)
                asked[key] = Answer(tuple(sorted(_text(record) for record in found)))
            except (NXDOMAIN, NoAnswer):
                asked[key] = Answer()
            except (DNSException, OSError):
                # A name that can't be asked for is not there; all else is no answer.
                asked[key] = Answer(known=not _can_be_asked(key[0]))
        return asked[key]

    return ask


def _can_be_asked(name: str) -> bool:
    from dns.exception import DNSException
    from dns.name import from_text

    try:
        from_text(name)
    except DNSException:
        return False
    return True


def _text(record: Rdata) -> str:
    """A record as an `Answer` has it."""
    parts: tuple[bytes, ...] | None = getattr(record, "strings", None)
    if parts is not None:  # RFC 7208, 3.3: without spaces between them
        return b"".join(parts).decode("utf-8", "replace")
    text = record.to_text()
    return text if text.endswith(" .") else text.rstrip(".")

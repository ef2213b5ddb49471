"""What is known of mail domains and of names before the @, read from onboard/tables/."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from onboard.tables import rows


@dataclass(frozen=True, slots=True)
class Provider:
    """A domain of a mailbox provider; see tables/mail_providers.tsv for what each word means."""

    domain: str
    reach: int
    word: bool
    mailbox: str
    ignores: str
    tag: str
    kin: str

    @property
    def name(self) -> str:
        return self.domain.partition(".")[0]

    @property
    def ending(self) -> str:
        return self.domain.partition(".")[2]


@cache
def providers() -> dict[str, Provider]:
    """The known mailbox providers by domain."""
    return {
        domain: Provider(domain, int(reach), bool(word), mailbox or domain, ignores, tag, kin)
        for domain, reach, word, mailbox, ignores, tag, kin in rows("mail_providers")
    }


@cache
def honest() -> frozenset[str]:
    """Names that domains have for their own sake, although a great provider's is near."""
    return frozenset(name for name, _ in rows("mail_honest"))


@cache
def roles() -> frozenset[str]:
    """Names of jobs before the @, without dots, hyphens and underscores."""
    return frozenset(name for name, _ in rows("mail_roles"))


@cache
def _throwaway() -> frozenset[str]:
    return frozenset(domain for (domain,) in rows("mail_throwaway"))


@cache
def endings() -> frozenset[str]:
    """The top-level domains that exist, as A-labels."""
    return frozenset(domain for (domain,) in rows("top_level_domains"))


def throwaway(domain: str) -> bool:
    """Whether mailboxes there are made to be thrown away; subdomains count.

    >>> throwaway("mailinator.com"), throwaway("pat.mailinator.com"), throwaway("example.org")
    (True, True, False)
    """
    while "." in domain:
        if domain in _throwaway():
            return True
        domain = domain.partition(".")[2]
    return False

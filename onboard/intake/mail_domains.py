"""Whether the domains of emails take mail at all: a question to DNS, asked only when wanted.

Needs the extra `mx` (dnspython). Off unless a caller makes a `MailDomains`, as it tells the name
server which domains members use, and takes time. What counts is RFC 5321, 5.1: MX records, else
an address record; and RFC 7505: a null MX says that a domain takes no mail. email-validator asks;
a server that is late or broken says nothing against a member.
"""

from __future__ import annotations

from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from typing import TYPE_CHECKING

from email_validator import EmailSyntaxError, EmailUndeliverableError, validate_email

from onboard.errors import SettingsTrouble
from onboard.model import Email, Finding, Kind, Weight

if TYPE_CHECKING:
    from dns.resolver import Resolver

NO_MAIL = Kind(
    "email.no_mail",
    Weight.DOUBTFUL,
    "The part after the @ takes no email, say the name servers.",
    wrong="pat@null-mx.example.org",
    right="pat@mail.example.org",
)
KINDS = (NO_MAIL,)  # not for the rule's `clean`: finding this takes a network

TIMEOUT = 5  # seconds for one domain, all its questions together
AT_ONCE = 16  # domains asked about at the same time
GIVE_UP = 3  # domains without an answer, where no other had one: nobody is there to answer


class MailDomains:
    """What DNS says of mail domains; each is asked about once.

    `resolver` is dnspython's, by default the machine's own. Raises `SettingsTrouble` where
    dnspython is not installed.
    """

    def __init__(self, resolver: Resolver | None = None, timeout: int = TIMEOUT) -> None:
        try:
            from dns.resolver import NoResolverConfiguration
            from email_validator.deliverability import caching_resolver
        except ImportError as missing:
            raise SettingsTrouble(
                "To check whether email domains take email, the program needs dnspython. Install onboard[mx],"
                " or turn the check off."
            ) from missing
        self.unanswered = 0  # domains of which no name server said anything
        self._answered = 0
        self._answers: dict[str, str] = {}
        self._resolver: Resolver | None = None
        with suppress(NoResolverConfiguration):  # a machine that knows of no name server
            self._resolver = caching_resolver(timeout=timeout, dns_resolver=resolver)

    def ask(self, emails: Iterable[Email]) -> None:
        """Asks about the domains of a whole batch, several at a time. Waits `timeout` seconds for one
        that is silent, and for no more where nobody answers at all."""
        wanted = {_domain(email) for email in emails} - self._answers.keys()
        with ThreadPoolExecutor(AT_ONCE) as crew:
            self._answers.update(zip(wanted, crew.map(self._why_not, wanted), strict=True))

    def findings(self, email: Email) -> tuple[Finding, ...]:
        """A finding if the domain of `email` takes no mail; none if it does, or nobody knows."""
        self.ask((email,))
        why = self._answers[_domain(email)]
        note = f"{why} Ask for another email address. A packet sent there comes back or gets lost."
        return (NO_MAIL.found(email.address, note),) if why else ()

    def _why_not(self, domain: str) -> str:
        """Why the domain takes no mail, in a sentence; "" if it does, or nobody knows."""
        said = self._asked(domain)
        if said is None:
            self.unanswered += 1
            return ""
        self._answered += 1
        return said

    def _asked(self, domain: str) -> str | None:
        """The same, or None where there was no answer."""
        from dns.resolver import NXDOMAIN, NoAnswer

        if self._resolver is None or (self.unanswered >= GIVE_UP and not self._answered):
            return None
        try:
            found = validate_email(f"x@{domain}", dns_resolver=self._resolver)
        except EmailSyntaxError:
            return ""  # reserved names and the like: the rule for emails has said so
        except EmailUndeliverableError as wrong:
            # the library also raises this for trouble on the way, which is no answer
            answered = wrong.__cause__ is None or isinstance(wrong.__cause__, NXDOMAIN | NoAnswer)
            return str(wrong) if answered else None
        return "" if getattr(found, "mx", None) else None  # without one there was no answer


def _domain(email: Email) -> str:
    return email.address.rpartition("@")[2]

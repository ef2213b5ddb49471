"""Whether the email domains of people take email, asked of the name servers where the settings want it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from onboard.clean import email
from onboard.intake.mail_domains import MailDomains
from onboard.model import Email, Finding, Member, RawRow
from onboard.office import Office
from onboard.reports.counts import counted
from onboard.roster import search

AT_ONCE = 500  # rows whose domains are asked about together


class AskedDomains:
    """What the name servers say of the domains of rows and members; nothing, unless the settings say so.

    Raises `SettingsTrouble` where they say so and dnspython is not installed.
    """

    def __init__(self, office: Office) -> None:
        wanted = office.settings.mail.ask_name_servers
        self._domains = MailDomains(office.resolver) if wanted else None

    @property
    def are_asked(self) -> bool:
        """Whether the name servers are asked at all."""
        return self._domains is not None

    def of_rows(self, rows: Iterable[RawRow]) -> Iterator[RawRow]:
        """The rows, each with a finding if the domain of its email takes no email."""
        if self._domains is None:
            yield from rows
            return
        for part in search.parts(rows, AT_ONCE):
            emails = [email.clean(raw.fields.get("email", "")).value for raw in part]
            for raw, found in zip(part, self._findings(emails), strict=True):
                yield raw.but(raw.fields, (*raw.findings, *found)) if found else raw

    def of_members(self, members: list[Member]) -> Iterator[tuple[Finding, ...]]:
        """For each member, a finding if the domain of their email takes no email."""
        if self._domains is None:
            return (() for _ in members)
        return self._findings([email.clean(member.email).value for member in members])

    def notes(self) -> tuple[str, ...]:
        """That the name servers did not answer, once; nothing if they did."""
        if self._domains is None or not self._domains.unanswered:
            return ()
        silent = counted(self._domains.unanswered, "email domain")
        return (
            f"The name servers did not answer about {silent}, so the program can't tell whether email"
            " arrives there. Try again later.",
        )

    def _findings(self, emails: list[Email | None]) -> Iterator[tuple[Finding, ...]]:
        assert self._domains is not None
        self._domains.ask(one for one in emails if one)
        return iter([self._domains.findings(one) if one else () for one in emails])

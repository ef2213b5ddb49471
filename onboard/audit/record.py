"""An account as the audit reads it: what stands on file, understood anew, and what is known of its use."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import Any, NamedTuple

from rapidfuzz import fuzz

from onboard import passwords
from onboard.clean import address, name, phone, row, sites
from onboard.intake.days import Days
from onboard.model import (
    Applicant,
    Cleaned,
    Finding,
    Member,
    Owner,
    Person,
    PersonName,
    RawRow,
    Standing,
    State,
    Weight,
)
from onboard.roster import members
from onboard.settings import Settings
from onboard.windows import past

LIKE_A_SITE = 75.0  # of 100: less is another name, not a slip


@dataclass(frozen=True, slots=True)
class Record:
    """A member's account. A day that is None is not known; nothing is guessed of it."""

    owner: Owner
    number: int  # the member's, or that of the line
    applicant: Applicant
    # Columns that a change may be of (`members.told`); of a spreadsheet, none.
    stored: Mapping[str, Any]
    handle: str = ""
    columns: frozenset[str] | None = (
        None  # fields of the spreadsheet; None: the roster, which has all
    )
    consent: bool | None = None
    joined: date | None = None
    standing: Standing = Standing.OPEN
    closed: date | None = None
    hash: str = ""  # of the first password: "good", "stale"; "" if we made none
    must_change: bool = False
    expires: date | None = None
    packet: State | None = None  # how the newest stands; None: none, or not known
    page_seen: date | None = None  # of the newest list of the ordering page that has the account
    last_sign_in: date | None = None
    last_order: date | None = None
    bounced: date | None = None
    doubts: tuple[Finding, ...] = ()  # about what was said when they came, that stand
    settled: frozenset[str] = frozenset()  # columns that a person has said are right as they are

    @property
    def is_open(self) -> bool:
        return self.standing is Standing.OPEN

    def could_say(self, *fields: str) -> bool:
        """Whether there is a column for one of the fields: what was never asked for is not missing."""
        return self.columns is None or not self.columns.isdisjoint(fields)

    @property
    def last_use(self) -> date | None:
        """The last sign-in or order; None if there was none, or none is known."""
        return max(filter(None, (self.last_sign_in, self.last_order)), default=None)

    @property
    def close(self) -> str:
        """How the account is closed, in words: of a line of a spreadsheet no command can."""
        if self.columns is not None:
            return "close the account"
        return f"close the account (onboard close {self.handle or self.number})"

    @property
    def name(self) -> str:
        """The name as people write it."""
        value = self.applicant.name.value
        return name.show(value) if value else " ".join(self.applicant.name.said.split())

    def cleaned(self, column: str) -> Cleaned[Any]:
        """What the rule of a field says of it: "name", "email", "phone", "address", "site"."""
        return getattr(self.applicant, column)  # type: ignore[no-any-return]

    def brief(self, person: Person, ways: str = "") -> Brief:
        """What is left of the account when all are looked at together: of the member as matching
        reads them, and of the `ways` that lead to them."""
        return Brief(
            self.owner, self.number, self.name[:80], self.handle, self.is_open, person.email,
            person.phone, home(person), person.family.casefold(), self.applicant.site.value or "",
            person.zip5, ways, self.last_use, self.last_sign_in, self.last_order, self.joined,
            self.page_seen is not None,
        )  # fmt: skip


class Brief(NamedTuple):
    """An account among all others."""

    owner: Owner
    number: int
    name: str
    handle: str
    is_open: bool
    email: str  # Email.identity
    phone: str  # E.164
    home: str  # equal for people of one address; "" if not known
    family: str
    site: str
    zip5: str
    ways: str = ""  # that lead to the member: "email letter phone"
    used: date | None = None  # last sign-in or order
    signed_in: date | None = None  # last
    ordered: date | None = None  # last
    joined: date | None = None
    on_page: bool = False  # whether a list of the ordering page had the account


def home(person: Person) -> str:
    """One text for one address.

    >>> home(Person("", street="12 N MAIN ST", unit="APT 4", zip5="45801"))
    '12 N MAIN ST|APT 4|45801'
    """
    if not person.street:
        return ""
    return f"{person.street}|{person.unit}|{person.zip5 or person.city}"


# ---------------------------------------------------------------- of a stored member


def of_member(
    member: Member,
    settings: Settings,
    doubts: Sequence[Finding] = (),
    settled: frozenset[str] = frozenset(),
) -> Record:
    """The record of a stored member, of the doubts that stand about them, and of what was settled."""
    known = {
        "email": member.email,
        # Without its scheme, which takes the rule for plain numbers thirty times as long.
        "phone": member.phone.removeprefix("tel:"),
        "address": "\n".join(member.address),
        "site": member.site,
        "language": member.language,
        "born": member.born.isoformat() if member.born else "",
        **_name_fields(member.name),
    }
    raw = RawRow("roster", member.id, (("id", str(member.id)),), known)
    return Record(
        owner=member.owner,
        number=member.id,
        applicant=_understood(raw, settings),
        stored=members.told(member),
        handle=member.handle.text,
        consent=member.consent,
        joined=member.joined.date() if member.joined else None,
        standing=member.standing,
        closed=member.closed,
        hash=_how_good(member.password_hash) if member.password_hash else "",
        must_change=member.must_change,
        expires=member.password_expires,
        packet=member.packet,
        page_seen=member.page_seen,
        last_sign_in=member.last_sign_in,
        last_order=member.last_order,
        bounced=member.bounced,
        doubts=tuple(doubts),
        settled=settled,
    )


def _how_good(stored_hash: str) -> str:
    """What today's rule says of a hash: it goes by the costs, so those of one cost are read once."""
    costs, *secret = stored_hash.rsplit("$", 2)
    return _of_cost("$".join((costs, *("A" * len(part) for part in secret))))


@lru_cache(maxsize=1000)
def _of_cost(form: str) -> str:
    return "stale" if passwords.stale(form) else "good"


def _name_fields(said: PersonName) -> dict[str, str]:
    """The parts as columns of a form; where there is more than a form has columns for, as one text."""
    if said.title or said.called or said.former or said.joint:
        return {"full_name": name.show(said)}
    return {part: getattr(said, part) for part in ("given", "middle", "family", "suffix")}


# ---------------------------------------------------------------- of a spreadsheet


def of_row(
    raw: RawRow,
    settings: Settings,
    asked: Collection[str] = (),
    days: Days | None = None,
    file: str = "",
) -> Record:
    """The account that a row of a spreadsheet describes; what it has no column for is not known.

    `asked` are the fields that the spreadsheet has columns for, besides those of the row: an empty
    box of a list says nothing, and is no field of it. `days` is how its columns write days, and `file` its
    name, where there are several.
    """
    fields = raw.fields
    days = days or Days(region=settings.region)
    read = days.read(fields)
    applicant = _understood(raw, settings, read)
    on = {column: day.value for column, day in read.items()}
    asked = frozenset(fields).union(asked)
    # Where anybody signed in, an empty box says that its member never did; so does "never".
    on_page = "last_sign_in" in asked and bool(days.as_of or "last_sign_in" in fields)
    return Record(
        owner=Owner.of_line(raw.line, file),
        number=raw.line,
        applicant=applicant,
        stored={},
        handle=fields.get("handle", "").strip(),
        columns=asked,
        consent=applicant.consent.value,
        joined=on.get("joined"),
        page_seen=(days.as_of or date.max) if on_page else None,
        last_sign_in=on.get("last_sign_in"),
        last_order=on.get("last_order"),
        bounced=on.get("bounced"),
    )


def _understood(
    raw: RawRow, settings: Settings, days: Mapping[str, Cleaned[date]] | None = None
) -> Applicant:
    if days is not None:  # what was written of a day in another form is no matter for an audit
        days = {column: _in_doubt(day) for column, day in days.items()}
    understood = row.clean(raw, region=settings.region, sites=settings.sites, days=days)
    site = _as_name(understood.site)
    return understood if site is understood.site else understood._replace(site=site)


def _in_doubt(day: Cleaned[date]) -> Cleaned[date]:
    kept = tuple(f for f in day.findings if f.weight is not Weight.MENDED)
    return day if len(kept) == len(day.findings) else day._replace(findings=kept)


def _as_name(site: Cleaned[str]) -> Cleaned[str]:
    """The site on file. A form may tell a story around a site's name; what is on file is a name, and
    another site's is not read into it."""
    said, misspelt = site.said.casefold(), sites.MISSPELT.code in {f.code for f in site.findings}
    if site.value and misspelt and fuzz.token_set_ratio(said, site.value.casefold()) < LIKE_A_SITE:
        note = f"There is no drop site “{said[:40]}” in the settings. Ask the member which one."
        return Cleaned(site.said, None, (sites.UNKNOWN.found(site.said, note),))
    return site


# ---------------------------------------------------------------- what a rule looks by


@dataclass(frozen=True, slots=True)
class Rules:
    """What the rules of an audit go by beside the account."""

    settings: Settings
    today: date
    # By drop site, the days on which the windows opened that have closed, oldest first.
    windows: Mapping[str, Sequence[date]] = field(default_factory=dict)

    @classmethod
    def of(cls, settings: Settings, today: date) -> Rules:
        """The rules on a day."""
        of_group = {
            group.name: [window.opens for window in past(group, today)] for group in settings.groups
        }
        of_site = {site.name: of_group.get(site.group, []) for site in settings.sites}
        return cls(settings, today, of_site)

    def windows_known(self, account: Record) -> int:
        """How many past windows of the account's group the settings name; 0 without a drop site."""
        return len(self.windows.get(account.applicant.site.value or "", ()))

    def windows_since(self, account: Record, since: date) -> int:
        """How many of the account's windows opened and closed since a day; 0 where none is known."""
        opened = self.windows.get(account.applicant.site.value or "", ())
        return len(opened) - bisect_right(opened, since)


def shown(column: str, value: Any) -> Any:
    """The value of a field as the member table writes it."""
    if column == "name":
        return members.parts(value)
    if column == "email":
        return value.address
    if column == "phone":
        return phone.show(value)
    if column == "address":
        return address.show(value).splitlines()
    return value

"""What a co-op tells us about itself: the whole of a settings file, and what the program reads of it."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, ClassVar
from zoneinfo import ZoneInfo

from onboard.settings.checks.contacts import (
    bare_email,
    known_region,
    known_zone,
    page,
    page_mistaken_for_it,
    phone,
)
from onboard.settings.checks.mail import signs_with_both
from onboard.settings.checks.places import some
from onboard.settings.checks.values import (
    languages_among,
    noted_questions,
    path,
    roster_place,
    stripped,
)
from onboard.settings.checks.windows import as_a_whole
from onboard.settings.guide import GuideRule
from onboard.settings.key import Key, keys, parts
from onboard.settings.look import Look
from onboard.settings.mail import Mailbox, MailServer
from onboard.settings.places import Days, Group, Site, WrittenGroup
from onboard.settings.porch import PorchRule
from onboard.settings.reminders import ReminderRule
from onboard.settings.rules import AuditRule, DeskRule, HandleRule, HostSheet, PasswordRule
from onboard.settings.window_rule import Moved, WindowRule

if TYPE_CHECKING:
    from pydantic import ConfigDict

LANGUAGES = ("en", "es")


@dataclass(frozen=True, kw_only=True, slots=True)
class Coop:
    """Who the co-op is."""

    coop: Annotated[
        str, Key("the co-op's name, as packets should show it", example="Our Buying Co-op")
    ] = field(metadata={"alias": "name"})
    ordering_page: Annotated[
        str, Key("where members sign in and order", "begins with https://", page, "https://order.our-coop.example.org")
    ]  # fmt: skip
    shop_page: Annotated[
        str,
        Key(
            "the page where members try to sign in by mistake", "must be a different page; packets warn about it; if empty, they warn about none",
            page_mistaken_for_it, "https://shop.our-coop.example.org", blank=True,
        ),
    ]  # fmt: skip
    sender: Annotated[
        str,
        Key("the email address that your emails come from", "just the address, hello@example.org", bare_email, "hello@our-coop.example.org"),
    ]  # fmt: skip
    region: Annotated[
        str,
        Key(
            "the country of phones that are written without one",
            "two capital letters, ISO 3166",
            known_region,
        ),
    ] = "US"
    reply_phone: Annotated[
        str, Key("the phone that members may call", "with its area code", phone, "(555) 555-0100")
    ]
    postal_address: Annotated[
        str,
        Key(
            "your postal address", "in many countries, email to members must show one: ask what the law where you are says",
            stripped, "12 Barn Road\nAnytown, OH 45801", lines=True,
        ),
    ]  # fmt: skip
    timezone: Annotated[
        str,
        Key("your time zone; it decides what day it is", 'such as "America/New_York", "America/Chicago", "America/Denver" or "America/Los_Angeles"', known_zone, "America/New_York"),
    ] = field(metadata={"alias": "time_zone"})  # fmt: skip
    languages: Annotated[
        tuple[str, ...],
        Key(
            "the languages of the packets, the usual one first", 'there are words for "en" and "es"',
            languages_among(LANGUAGES), ("en", "es"),
        ),
    ] = ("en",)  # fmt: skip
    security_question: Annotated[
        bool,
        Key("whether the ordering page asks new members to set a security question", "if so, packets tell members to expect it"),
    ] = False  # fmt: skip
    extra_questions: Annotated[
        tuple[str, ...],
        Key(
            "your own questions on the join form", "written just like the column headings; the answers are kept",
            noted_questions,
        ),
    ] = ()  # fmt: skip


@dataclass(frozen=True, slots=True)
class Files:
    """Where things are kept, as the file says it."""

    roster: Annotated[
        str,
        Key(
            "the roster: a file, or the URL of a database",
            "if empty, roster.db next to the settings file",
            roster_place, "roster.db", blank=True,
        ),
    ] = ""  # fmt: skip
    outbox: Annotated[
        str,
        Key("the folder for packets until you send or print them", "it holds temporary passwords: keep it private", path, blank=True),
    ] = "outbox"  # fmt: skip
    spool: Annotated[
        str,
        Key(
            "the folder in which sign-ups from the porch wait", "if it is set, the desk and `onboard today` know of them, and `onboard porch` needs no --spool; it holds names and addresses: keep it private",
            path, blank=True,
        ),
    ] = ""  # fmt: skip
    log: Annotated[
        str,
        Key(
            "the log of what a clock runs",
            "a file; if empty, none is written. It has counts and what went wrong, and no password",
            path,
            "onboard.log",
            blank=True,
        ),
    ] = ""  # fmt: skip
    templates: Annotated[
        str,
        Key(
            "a folder with your own words for packets",
            "if empty, packets use our words",
            path,
            blank=True,
        ),
    ] = ""


@dataclass(frozen=True, slots=True)
class Tables:
    """The tables of a settings file."""

    __pydantic_config__: ClassVar["ConfigDict"] = {"extra": "forbid", "hide_input_in_errors": True}

    coop: Annotated[Coop, Key("who you are")]
    handle: Annotated[HandleRule, Key("sign-in names")]
    first_password: Annotated[PasswordRule, Key("temporary passwords")]
    mail: Annotated[MailServer, Key("the server that sends your email", check=signs_with_both)]
    mailbox: Annotated[Mailbox, Key("the mailbox that email comes back to")]
    look: Annotated[Look, Key("how your email looks")]
    desk: Annotated[DeskRule, Key("the help desk")]
    audit: Annotated[AuditRule, Key("what an audit looks for")]
    host_sheet: Annotated[HostSheet, Key("what the sheet for a drop site's host shows")]
    guide: Annotated[GuideRule, Key("the pages with which members help themselves")]
    porch: Annotated[PorchRule, Key("the page on which people join")]
    files: Annotated[Files, Key("where things are kept")]
    group: Annotated[
        tuple[WrittenGroup, ...],
        Key("ordering groups", check=some("there is no ordering group: add a [[group]] with its windows.")),
    ]  # fmt: skip
    windows: Annotated[
        WindowRule, Key("when groups may order, if that follows a rule", check=as_a_whole)
    ]
    reminders: Annotated[ReminderRule, Key("reminders of ordering windows")]
    site: Annotated[
        tuple[Site, ...], Key("drop sites", check=some("there is no drop site: add a [[site]]."))
    ]


@dataclass(frozen=True, kw_only=True, slots=True)
class Settings(Coop):
    """Everything a co-op tells us about itself."""

    file: Path
    handle: HandleRule
    password: PasswordRule
    mail: MailServer
    groups: tuple[Group, ...]
    sites: tuple[Site, ...]
    audit: AuditRule = field(default_factory=AuditRule)
    desk: DeskRule = field(default_factory=DeskRule)
    mailbox: Mailbox = field(default_factory=Mailbox)
    host_sheet: HostSheet = field(default_factory=HostSheet)
    look: Look = field(default_factory=Look)
    guide: GuideRule = field(default_factory=GuideRule)
    porch: PorchRule = field(default_factory=PorchRule)
    windows: WindowRule = field(default_factory=WindowRule)
    reminders: ReminderRule = field(default_factory=ReminderRule)
    # SQLAlchemy URL; "" means roster.db beside the settings file. It may hold a secret.
    store: str = field(default="", repr=False)
    outbox: Path = Path("outbox")
    spool: Path | None = None  # in which sign-ups from the porch wait
    log: Path | None = None  # of what a clock runs
    templates: Path | None = None  # folder of templates that replace ours

    def site(self, name: str) -> Site | None:
        """The site of that name, or None."""
        return next((s for s in self.sites if s.name == name), None)

    def group(self, name: str) -> Group | None:
        """The group of that name, or None."""
        return next((g for g in self.groups if g.name == name), None)

    def zone(self, site: Site | None = None) -> ZoneInfo:
        """The time zone of a drop site, or the co-op's."""
        return ZoneInfo((site and site.time_zone) or self.timezone)


TABLES = keys(Tables)
KEYS = {name: keys(parts(key)) for name, key in TABLES.items()} | {
    "window": keys(Days),
    "moved": keys(Moved),
}

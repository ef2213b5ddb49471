"""The co-op's own facts, read from one TOML file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Window:
    """An ordering window: both days belong to it."""

    opens: date
    closes: date


@dataclass(frozen=True, slots=True)
class Group:
    """An ordering group: sites that order in the same windows."""

    name: str
    windows: tuple[Window, ...]  # by opening day


@dataclass(frozen=True, slots=True)
class Site:
    """A drop site."""

    name: str
    address: str
    zip5: str
    group: str  # Group.name
    host: str
    host_phone: str = ""
    closed: bool = False


@dataclass(frozen=True, slots=True)
class HandleRule:
    """How a handle is made of a name."""

    longest: int = 30
    reserved: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PasswordRule:
    """How first passwords are made, and how long they work."""

    words: int = 5
    valid_days: int = 14


@dataclass(frozen=True, slots=True)
class MailServer:
    """Where packets are sent through. The secret stays in the environment, never in the file."""

    host: str = ""
    port: int = 587
    user: str = ""
    secret_from: str = "ONBOARD_MAIL_SECRET"  # name of the environment variable
    security: str = "starttls"  # or "tls"


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything a co-op tells us about itself."""

    file: Path
    coop: str
    ordering_page: str
    shop_page: str
    sender: str  # the address our mail comes from
    reply_phone: str
    postal_address: str
    timezone: str  # IANA name
    region: str  # ISO 3166 two letters; where a phone without a country code is
    languages: tuple[str, ...]
    security_question: bool
    handle: HandleRule
    password: PasswordRule
    mail: MailServer
    groups: tuple[Group, ...]
    sites: tuple[Site, ...]
    extra_questions: tuple[str, ...] = ()
    store: str = ""  # SQLAlchemy URL; "" means roster.db beside the settings file
    outbox: Path = Path("outbox")
    templates: Path | None = None  # folder of templates that replace ours

    def site(self, name: str) -> Site | None:
        """The site of that name, or None."""
        return next((s for s in self.sites if s.name == name), None)

    def group(self, name: str) -> Group | None:
        """The group of that name, or None."""
        return next((g for g in self.groups if g.name == name), None)

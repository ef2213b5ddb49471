"""An invented co-op and its members (RFC 2606 domains, 555-01XX numbers)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

from onboard import handles, welcome
from onboard.clean import name as names
from onboard.model import FirstPassword, Handle, Member, PersonName
from onboard.settings import Group, HandleRule, MailServer, PasswordRule, Settings, Site, Window
from onboard.welcome import Packet

TODAY = date(2026, 11, 25)
PHRASE = "clasp-gravy-polo-stir-yodel"
FIRST = FirstPassword(PHRASE, date(2026, 12, 9))

COOP = Settings(
    file=Path("onboard.toml"),
    coop="Furrow & Fen Seed Co-op",
    ordering_page="https://order.furrowandfen.example/",
    shop_page="https://shop.furrowandfen.example/",
    sender="hello@furrowandfen.example",
    reply_phone="(419) 555-0100",
    postal_address="PO Box 12\nLima OH 45801",
    timezone="America/New_York",
    region="US",
    languages=("en", "es"),
    security_question=True,
    handle=HandleRule(),
    password=PasswordRule(),
    mail=MailServer(),
    groups=(
        Group(
            "Ottawa River",
            (
                Window(date(2026, 10, 20), date(2026, 10, 27)),
                Window(date(2026, 11, 20), date(2026, 11, 27)),
                *(Window(date(2027, m, 3), date(2027, m, 9)) for m in range(1, 6)),
            ),
        ),
        Group("Tiffin", ()),
    ),
    sites=(
        Site("Lima Church", "120 Elm Street, Lima OH 45801", "45801", "Ottawa River", "Dana Cole",
             "(419) 555-0117"),
        Site("Tiffin Barn", "4 Mill Road, Tiffin OH 44883", "44883", "Tiffin", "Sol Reyes"),
    ),
)  # fmt: skip


def member(name: str | PersonName = "María José O'Brien-Nolan", **changes: object) -> Member:
    """A member of that name, with a handle made of it where one can be."""
    if isinstance(name, str):
        person = names.clean(name).value or PersonName(name)
        handle = handles.clean(name).value or Handle("patlee")
    else:
        person, handle = name, Handle("patlee")
    someone = Member(
        id=17,
        handle=handle,
        name=person,
        email="maria@example.com",
        phone="",
        address=("12 N MAIN ST APT 4", "LIMA OH 45801"),
        site="Lima Church",
        language="en",
        consent=True,
        joined=datetime(2026, 11, 24, 9, tzinfo=UTC),
    )
    return replace(someone, **changes)  # type: ignore[arg-type]


def make(
    name: str | PersonName = "María José O'Brien-Nolan",
    *,
    settings: Settings = COOP,
    first: FirstPassword | None = FIRST,
    today: date = TODAY,
    **changes: object,
) -> Packet:
    """A packet for a member of that name."""
    someone = member(name, **changes)
    steps = handles.tell(someone.handle, welcome.language_of(someone, settings))
    return welcome.packet(someone, first, settings, today, steps)

"""The drop sites as the join page shows them: how far, when next, and what the settings let everybody read of them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from typing import NamedTuple

from onboard import nearby
from onboard.clean import phone
from onboard.clean import place as places
from onboard.guide.days import days
from onboard.guide.places import Spot, says_town, spots
from onboard.porch.words import say
from onboard.settings import Settings
from onboard.windows import say_weekday

FEW = 5  # shown at once; the others open


class Choice(NamedTuple):
    """A drop site to pick."""

    name: str
    far: str  # "about 12 miles away"; "" if nobody knows
    where: str
    pickup: str
    host: str
    group: str
    stands: str  # when its group orders


class Choices(NamedTuple):
    """The open drop sites, the nearest first; where the ZIP code is not known, those of the state first."""

    near: Sequence[Choice]
    others: Sequence[Choice]
    is_far: bool  # none is close


def choices(settings: Settings, state: str, zip5: str, now: datetime, language: str) -> Choices:
    """The drop sites for somebody who lives there."""
    known = spots(settings)
    miles = {one.site.name: one.miles for one in nearby.near(zip5[:5], settings.sites)}
    beyond = float("inf")
    known = tuple(
        sorted(
            known,
            key=lambda spot: (
                miles.get(spot.site.name, beyond),
                spot.place is None or spot.place.state != state,
                spot.number,
            ),
        )
    )
    stand = stands(settings, now, language)
    shown = [_choice(spot, miles.get(spot.site.name), stand, settings, language) for spot in known]
    closest = min(miles.values(), default=0.0)
    return Choices(shown[:FEW], shown[FEW:], closest > nearby.FAR)


def stands(settings: Settings, now: datetime, language: str) -> dict[str, str]:
    """By drop site, when its group orders: "Not open now. Opens Friday, December 4."."""
    return _stands(_Same(settings), now.replace(second=0, microsecond=0), language)


class _Same:
    """The settings, told apart by which object they are: to compare all of them would take longer than the answer."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings

    def __hash__(self) -> int:
        return id(self.settings)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.settings is self.settings


@lru_cache(maxsize=8)
def _stands(of: _Same, now: datetime, language: str) -> dict[str, str]:
    return {site.name: one.stands for one in days(of.settings, now, language) for site in one.sites}


def _choice(
    spot: Spot, far: float | None, stand: dict[str, str], settings: Settings, language: str
) -> Choice:
    site, place, shows = spot.site, spot.place, settings.guide.shows
    where = f"{place.city.title()}, {place.state} {place.zip5}" if place else site.zip5
    if "address" in shows:
        where = ", ".join(site.address.splitlines())
        if place and not says_town(where, place.zip5):
            where = f"{where}, {place.city.title()}, {place.state}"
    host = [site.host] if "host" in shows else []
    if "phone" in shows and site.host_phone:
        host.append(phone.said_aloud(site.host_phone, region=settings.region))
    pickup = ", ".join(filter(None, (say_weekday(site.pickup_day, language), site.pickup_hours)))
    return Choice(
        site.name, say_far(far, language), where, pickup, ", ".join(host), site.group,
        stand.get(site.name, ""),
    )  # fmt: skip


def say_far(miles: float | None, language: str) -> str:
    """How far it is, in words.

    >>> say_far(12.4, "en"), say_far(0.2, "es"), say_far(None, "en")
    ('about 12 miles away', 'a 1 milla o menos', '')
    """
    if miles is None:
        return ""
    if miles < 1.5:
        return say("mile.1", language)
    return say("miles", language, n=f"{miles:,.0f}")


def town(zip5: str) -> str:
    """The town to which the mail for a ZIP code goes, with its state; "" if nobody knows.

    >>> town("03755"), town("00000")
    ('Hanover, NH', '')
    """
    place = places.find(zip5[:5])
    return f"{place.city.title()}, {place.state}" if place else ""


def is_known(zip5: str) -> bool:
    """Whether anybody knows where a ZIP code is."""
    return places.find(zip5[:5]) is not None

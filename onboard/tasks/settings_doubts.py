"""What is odd about the settings themselves, told before a packet shows it to a member."""

from __future__ import annotations

from onboard.clean import address, place
from onboard.errors import SettingsTrouble
from onboard.settings import Settings, samples

# Zones that people write in winter, and those whose clocks change in summer.
_WITHOUT_SUMMER = {"EST": "America/New_York", "MST": "America/Denver"}
_SAMPLE_GUIDE = "https://our-coop.example.org/guide"  # settings files were begun with it
_AT_ODDS = (place.UNKNOWN_ZIP.code, place.AT_ODDS.code, place.STATE_AT_ODDS.code)


def doubts(settings: Settings) -> tuple[str, ...]:
    """A sentence for each value that is still the starter's, for a time zone without summer time, and for
    each ZIP code that is not where its address is."""
    return (
        *(f"{sample}. Fill it in." for sample in samples(settings)),
        *_guide(settings),
        *_zones(settings),
        *_places(settings),
    )


def see_that_they_are_your_own(settings: Settings, made: str = "packet") -> None:
    """Whatever is `made` of the settings: raises `SettingsTrouble`, with a line for each, if values are still those of the starter."""
    if found := samples(settings):
        lines = "\n".join(f"{sample}." for sample in found)
        raise SettingsTrouble(
            f"Nothing was saved. No {made} can be made yet: {settings.file} still has sample values, and members would get"
            f" them.\n{lines}\nFill these in, and run the same line again."
        )


def _guide(settings: Settings) -> list[str]:
    if settings.guide.page != _SAMPLE_GUIDE:
        return []
    return [
        f"[guide] page is still the sample “{_SAMPLE_GUIDE}”, and packets point to it. Empty it, or fill it in."
    ]


def _zones(settings: Settings) -> list[str]:
    named = [("Your time zone", settings.timezone)]
    named += [(f"Drop site {one.name}: the time zone", one.time_zone) for one in settings.sites]
    return [
        f"{what} {zone} has no daylight saving time. If your clocks change in summer, use {_WITHOUT_SUMMER[zone]}."
        for what, zone in named
        if zone in _WITHOUT_SUMMER
    ]


def _places(settings: Settings) -> list[str]:
    if settings.region != "US":
        return []
    said = [
        (f"Drop site {site.name}", site.address, site.zip5)
        for site in settings.sites
        if not site.closed
    ]
    return [
        f"{what}: {why} Fix it in the settings."
        for what, where, zip5 in (("Your postal address", settings.postal_address, ""), *said)
        if (why := _why_not(where, zip5))
    ]


def _why_not(where: str, zip5: str) -> str:
    """Why a ZIP code can't be that of an address; "" if it can, or nobody knows."""
    found = address.clean(where if zip5 in where else f"{where} {zip5}").value
    if found is None or (zip5 and found.zip5 != zip5):
        return ""
    zip5 = found.zip5
    spot = place.clean(city=found.city, state=found.state, zip5=zip5)
    codes = {finding.code for finding in spot.findings}.intersection(_AT_ODDS)
    if not codes:
        return ""
    if place.UNKNOWN_ZIP.code in codes:
        return f"we don't know ZIP code {zip5}."
    there = place.find(zip5)
    town = f"{there.city.title()}, {there.state}" if there else "somewhere else"
    said = ", ".join(part for part in (found.city.title(), found.state) if part)
    return f"ZIP code {zip5} is in {town}, but the address says {said}."

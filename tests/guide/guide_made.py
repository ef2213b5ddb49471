"""A guide of an invented co-op, written out, and pages of it in a browser."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time
from pathlib import Path

from onboard import guide
from onboard.guide import LANGUAGES, Calendars
from onboard.office import Office
from onboard.settings import Group, Settings, Window, read
from onboard.settings.guide import GuideRule
from onboard.tasks.publish_guide import publish_guide

DEMO = Path(__file__).parents[2] / "fixtures_demo" / "onboard.toml"
NOW = datetime(2026, 12, 13, 15, tzinfo=UTC)
SPANS = ((date(2026, 12, 8), date(2026, 12, 16)), (date(2027, 1, 5), date(2027, 1, 12)))


def settings(**other: object) -> Settings:
    """Those of the demo; but one group opens at 8 and closes at 9 in the evening."""
    coop = read(DEMO)
    first, *groups = coop.groups
    timed = tuple(Window(*days, time(8), time(21)) for days in SPANS)
    return replace(coop, groups=(Group(first.name, timed), *groups), **other)  # type: ignore[arg-type]


def write(folder: Path, coop: Settings, now: datetime = NOW) -> Path:
    """The guide in a folder below."""
    office = Office(replace(coop, store=f"sqlite:///{folder / 'roster.db'}"), now=lambda: now)
    publish_guide(office, folder / "guide")
    return folder / "guide"


ALL_OF_A_SITE = GuideRule("https://our-coop.example.org/help", ("address", "host", "phone"))


def page(folder: Path, coop: Settings, name: str, now: datetime = NOW) -> Path:
    """One page of the guide, in a file in the folder: without the PDFs, which take a second."""
    calendars = {language: Calendars({}, "ordering-days.pdf") for language in LANGUAGES}
    made = guide.made(coop, now, calendars)
    file = folder / name
    file.parent.mkdir(exist_ok=True)
    file.write_bytes(next(content for one, content in made if one == name))
    return file

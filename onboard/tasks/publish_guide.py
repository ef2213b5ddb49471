"""The guide written out: pages with which members help themselves, calendars and sheets beside them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from onboard import guide
from onboard.guide import LANGUAGES, Calendars
from onboard.office import Office
from onboard.tasks import web_files
from onboard.tasks.publish_windows import feeds, publish_windows, sheets

CALENDARS = "calendar"  # the folder of the calendars and sheets
HEAVIEST = 60_000  # bytes of a page that a phone has in a second on a slow line


@dataclass(frozen=True, slots=True)
class PublishedGuide:
    """What was written."""

    index: Path
    pages: tuple[Path, ...]
    others: tuple[Path, ...]  # calendars, sheets, hand-outs, the contact card
    shows: tuple[str, ...]  # what everybody can read of each drop site
    page: str  # where the guide is to lie; "" if the settings don't say
    heavy: tuple[Path, ...] = ()  # pages of more than `HEAVIEST`


def publish_guide(office: Office, folder: Path) -> PublishedGuide:
    """Write the guide into a folder, to be laid on any web space: pages in English and Spanish, the calendars of
    `publish_windows`, hand-outs and the contact card.

    All is made of the settings, and no member's data is in it; nor is it written where such data may lie. A file of ours is written anew; any other stays, and
    nothing is written at all. Raises `FileTrouble`, `SettingsTrouble` and `StoreTrouble`.
    """
    settings, now = office.settings, office.now()
    own = settings.languages
    languages = (*own, *(one for one in LANGUAGES if one not in own))
    calendars = {
        language: Calendars(
            {feed.group: feed.file for feed in feeds(settings, languages)
             if feed.language == language and not feed.site},
            dict(sheets(languages))[language],
        )
        for language in LANGUAGES
    }  # fmt: skip
    files = dict(guide.made(settings, now, calendars))
    web_files.see_that_it_may_be_published(folder)
    web_files.see_that_all_are_ours(folder, files)
    days = publish_windows(office, folder / CALENDARS, languages)
    for name, content in files.items():
        web_files.write(folder / name, content)
    written = [folder / name for name in files]
    pages = tuple(file for file in written if file.suffix == ".html")
    return PublishedGuide(
        folder / "index.html",
        pages,
        (*(file for file in written if file.suffix != ".html"), *days.calendars, *days.sheets),
        settings.guide.shows,
        settings.guide.page,
        tuple(file for file in pages if file.stat().st_size > HEAVIEST),
    )

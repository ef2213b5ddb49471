"""The ordering windows written out: calendar files for the co-op's web space, and sheets for the wall."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from anyascii import anyascii

from onboard.office import Act, Office
from onboard.settings import Settings, Site
from onboard.tasks import known_windows, web_files
from onboard.tasks.list_windows import clocks
from onboard.welcome import letters, wall
from onboard.welcome.calendar import published
from onboard.windows import Known

SHEET = "ordering-days"


@dataclass(frozen=True, slots=True)
class Published:
    """What was written, and what lies in the folder of an earlier time."""

    calendars: tuple[Path, ...]
    sheets: tuple[Path, ...]
    left: tuple[
        Path, ...
    ]  # ours, of a group or drop site that is no more: whoever subscribed still reads them


class Feed(NamedTuple):
    """A calendar file: of a group, or of one of its drop sites."""

    file: str  # its name
    language: str
    group: str
    site: Site | None


def publish_windows(office: Office, folder: Path, languages: Sequence[str] = ()) -> Published:
    """Write a calendar file for each group and each open drop site, and the sheets for the wall, into a folder.

    Calendar files are in the first language of the settings, and in each further one with its code at the end; so
    are the sheets. `languages` take the place of those of the settings. From here on calendars know the windows as they
    are in the files. A file of ours is written anew; any other stays, and nothing is written at all. Raises `FileTrouble`, `SettingsTrouble` and `StoreTrouble`.
    """
    office.see_that_one_may(Act.TELL)
    settings, now = office.settings, office.now()
    languages = languages or settings.languages
    with office.transaction() as connection:
        known = known_windows.follow(connection, settings, now, keep=True)
        made = (*_calendars(office, known, languages), *_sheets(office, known, languages))
        wanted = {name: content for name, content in made if content}
        web_files.see_that_all_are_ours(folder, wanted)
        for name, content in wanted.items():
            web_files.write(folder / name, content)
    files = [folder / name for name in wanted]
    left = [
        f for f in sorted(folder.glob("*.ics")) if f.name not in wanted and web_files.is_ours(f)
    ]
    return Published(
        tuple(file for file in files if file.suffix == ".ics"),
        tuple(file for file in files if file.suffix == ".pdf"),
        tuple(left),
    )


def feeds(settings: Settings, languages: Sequence[str]) -> Iterator[Feed]:
    """The calendar files that there can be; one of a group without windows is not written."""
    for language, ending in _endings(languages):
        names: set[str] = set()
        for group in settings.groups:
            name = f"{file_name('group', group.name, names)}{ending}.ics"
            yield Feed(name, language, group.name, None)
            for site in settings.sites:
                if site.group == group.name and not site.closed:
                    name = f"{file_name('site', site.name, names)}{ending}.ics"
                    yield Feed(name, language, group.name, site)


def sheets(languages: Sequence[str]) -> Iterator[tuple[str, str]]:
    """The languages, each with the file of its sheets for the wall."""
    for language, ending in _endings(languages):
        yield language, f"{SHEET}{ending}.pdf"


def _calendars(
    office: Office, known: tuple[Known, ...], languages: Sequence[str]
) -> Iterator[tuple[str, bytes]]:
    settings, now = office.settings, office.now()
    for feed in feeds(settings, languages):
        of_group = [one for one in known if one.group == feed.group]
        title = f"{settings.coop}: {feed.site.name if feed.site else feed.group}"
        at = feed.site or _one_clock(settings, feed.group)
        yield feed.file, published(title, of_group, settings, feed.language, now, at)


def _one_clock(settings: Settings, group: str) -> Site | None:
    """A site by whose clock all of a group's go; where there are several clocks, the co-op's is as good as any."""
    found = settings.group(group)
    assert found
    (_, sites), *others = clocks(settings, found)
    return settings.site(sites[0]) if sites and not others else None


def _sheets(
    office: Office, known: tuple[Known, ...], languages: Sequence[str]
) -> Iterator[tuple[str, bytes]]:
    settings = office.settings
    for language, file in sheets(languages):
        data = wall.data(known, settings, language, office.today())
        yield file, letters.sheet(data, settings)


def _endings(languages: Sequence[str]) -> Iterator[tuple[str, str]]:
    """The languages, each with what the names of its files end in."""
    for number, language in enumerate(languages):
        yield language, f"-{language}" if number else ""


def file_name(kind: str, named: str, taken: set[str]) -> str:
    """A name for the web: small letters, digits and hyphens; never one that is taken.

    >>> file_name("site", "Viroqua Grange Hall", set())
    'site-viroqua-grange-hall'
    """
    stem = f"{kind}-{re.sub(r'[^a-z0-9]+', '-', anyascii(named).casefold()).strip('-') or 'x'}"[:80]
    name, number = stem, 1
    while name in taken:
        number += 1
        name = f"{stem}-{number}"
    taken.add(name)
    return name

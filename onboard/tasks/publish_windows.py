"""The ordering windows written out: calendar files for the co-op's web space, and sheets for the wall."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile

from anyascii import anyascii

from onboard import unfinished
from onboard.errors import FileTrouble
from onboard.office import Office
from onboard.settings import Settings
from onboard.tasks import known_windows
from onboard.tasks.list_windows import clocks
from onboard.welcome import letters, wall
from onboard.welcome.calendar import PRODID, published
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


def publish_windows(office: Office, folder: Path) -> Published:
    """Write a calendar file for each group and each open drop site, and the sheets for the wall, into a folder.

    Calendar files are in the first language of the settings, and in each further one with its code at the end; so
    are the sheets. From here on calendars know the windows as they are in the files. A file of ours is written anew; any
    other stays, and nothing is written at all. Raises `FileTrouble`, `SettingsTrouble` and `StoreTrouble`.
    """
    settings, now = office.settings, office.now()
    with office.transaction() as connection:
        known = known_windows.follow(connection, settings, now, keep=True)
        made = (*_calendars(office, known), *_sheets(office, known))
        wanted = {name: content for name, content in made if content}
        _see_that_all_are_ours(folder, wanted)
        for name, content in wanted.items():
            _write(folder, name, content)
    files = [folder / name for name in wanted]
    left = [f for f in sorted(folder.glob("*.ics")) if f.name not in wanted and _is_ours(f)]
    return Published(
        tuple(file for file in files if file.suffix == ".ics"),
        tuple(file for file in files if file.suffix == ".pdf"),
        tuple(left),
    )


def _calendars(office: Office, known: tuple[Known, ...]) -> Iterator[tuple[str, bytes]]:
    settings, now = office.settings, office.now()
    for language, ending in _languages(settings):
        names: set[str] = set()
        for group in settings.groups:
            of_group = [one for one in known if one.group == group.name]
            (_, sites), *others = clocks(settings, group)
            # Sites by one clock share it; where there are several, the co-op's is as good as any.
            at = settings.site(sites[0]) if sites and not others else None
            title = f"{settings.coop}: {group.name}"
            name = f"{_file_name('group', group.name, names)}{ending}.ics"
            yield name, published(title, of_group, settings, language, now, at)
            for site in settings.sites:
                if site.group == group.name and not site.closed:
                    title = f"{settings.coop}: {site.name}"
                    name = f"{_file_name('site', site.name, names)}{ending}.ics"
                    yield name, published(title, of_group, settings, language, now, site)


def _sheets(office: Office, known: tuple[Known, ...]) -> Iterator[tuple[str, bytes]]:
    settings = office.settings
    for language, ending in _languages(settings):
        data = wall.data(known, settings, language, office.today())
        yield f"{SHEET}{ending}.pdf", letters.sheet(data, settings)


def _languages(settings: Settings) -> Iterator[tuple[str, str]]:
    """The languages, each with what the names of its files end in."""
    for number, language in enumerate(settings.languages):
        yield language, f"-{language}" if number else ""


def _file_name(kind: str, named: str, taken: set[str]) -> str:
    """A name for the web: small letters, digits and hyphens; never one that is taken.

    >>> _file_name("site", "Viroqua Grange Hall", set())
    'site-viroqua-grange-hall'
    """
    stem = f"{kind}-{re.sub(r'[^a-z0-9]+', '-', anyascii(named).casefold()).strip('-') or 'x'}"[:80]
    name, number = stem, 1
    while name in taken:
        number += 1
        name = f"{stem}-{number}"
    taken.add(name)
    return name


def _see_that_all_are_ours(folder: Path, wanted: Mapping[str, bytes]) -> None:
    for name in list(wanted):
        file = folder / name
        if (file.exists() or file.is_symlink()) and not _is_ours(file):
            raise FileTrouble(
                f"{file} is not a file that this program made, so it stays as it is, and nothing was written. Move "
                "it away, or choose another folder."
            )


def _is_ours(file: Path) -> bool:
    """Whether a file is a calendar or a sheet of ours, by what is in it."""
    if not file.is_file() or file.is_symlink():
        return False
    try:
        content = file.read_bytes()
    except OSError:
        return False
    mark = f"\r\nPRODID:{PRODID}\r\n" if file.suffix == ".ics" else wall.MARK
    return mark.encode() in content


def _write(folder: Path, name: str, content: bytes) -> None:
    """Write a file whole or not at all, for everybody to read."""
    part: Path | None = None
    try:
        folder.mkdir(parents=True, exist_ok=True)
        unfinished.sweep(folder)
        with NamedTemporaryFile(
            dir=folder, prefix=unfinished.prefix(), suffix=unfinished.SUFFIX, delete=False
        ) as out:
            part = Path(out.name)
            out.write(content)
        part.chmod(0o666 & ~_umask())  # a web server is another user
        part.replace(folder / name)
        part = None
    except OSError as error:
        raise FileTrouble(
            f"Can't write {folder / name} ({error.strerror or error}). Choose another folder."
        ) from error
    finally:
        if part is not None:
            part.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask

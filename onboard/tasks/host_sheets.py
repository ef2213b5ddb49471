"""A sheet for the host of each open drop site: its members as they allow, the ordering days, and whom to call."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from onboard.errors import FileTrouble
from onboard.model import Member
from onboard.office import Act, Office
from onboard.reports import cells
from onboard.roster import at_sites, search
from onboard.settings import Settings, Site
from onboard.tasks import ways
from onboard.tasks.publish_windows import file_name
from onboard.welcome import host_sheet, letters


@dataclass(frozen=True, slots=True)
class HostSheets:
    """What was written, and what is to be known of it."""

    files: tuple[Path, ...]
    findings: tuple[str, ...]


def write_host_sheets(office: Office, folder: Path) -> HostSheets:
    """Write a sheet for each open drop site into a folder, as PDF and as XLSX, which only their owner may read.

    Members are named by first name and initial, and without a phone, unless the settings say more (`host_sheet`). A file that is
    there already is kept beside the new one as “… (earlier)”. Raises `SettingsTrouble`, `FileTrouble` and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    names: set[str] = set()
    written: list[Path] = []
    with office.reading() as connection:
        for site in office.settings.sites:
            if site.closed:
                continue
            numbers = [one.member_id for one in at_sites.members(connection, site.name)]
            found = list(search.members_by_number(connection, numbers).values())
            dead = ways.said_dead(connection, found)
            members = [one for one in found if one.id not in dead]
            stem = file_name("host", site.name, names)
            written += _write(folder, stem, site, members, office)
    return HostSheets(tuple(written), tuple(_findings(office.settings)))


def _findings(settings: Settings) -> list[str]:
    question = settings.host_sheet.phone_question
    known = [asked.strip().casefold() for asked in settings.extra_questions]
    if not question or question.strip().casefold() in known:
        return []
    return [
        f"phone_question, under [host_sheet], is “{question[:60]}”, which is not among extra_questions. So no phone is shown."
    ]


def _write(
    folder: Path, stem: str, site: Site, members: list[Member], office: Office
) -> list[Path]:
    settings = office.settings
    data = host_sheet.data(site, members, settings, office.today())
    pdf = letters.for_host(data, settings)
    files = [folder / f"{stem}.pdf", folder / f"{stem}.xlsx"]
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        for file in files:
            if file.exists():
                file.replace(file.with_name(f"{file.stem} (earlier){file.suffix}"))
        files[0].touch(mode=0o600)
        files[0].write_bytes(pdf)
    except OSError as error:
        raise FileTrouble(
            f"Can't write {files[0]} ({error.strerror or error}). Choose another folder."
        ) from error
    cells.write(files[1], *_pages(site, members, settings, data))  # for its owner alone
    return files


def _pages(
    site: Site, members: list[Member], settings: Settings, data: dict[str, object]
) -> list[cells.Page]:
    said = host_sheet.SAYS.get(settings.languages[0], host_sheet.SAYS["en"])
    rows = [(name, number, "") for name, number in host_sheet.listed(members, settings)]
    days = data["windows"]
    assert isinstance(days, list)
    about = [(str(data[key]),) for key in ("where", "contact", "keep", "made")]
    return [
        cells.Page(
            said["members"].partition(":")[0], (said["name"], said["phone"], said["got"]), rows,
            {said["name"]: 28, said["phone"]: 18, said["got"]: 14},
        ),
        cells.Page(said["days"], (said["opens"], said["closes"]), days, {said["opens"]: 40, said["closes"]: 40}),
        cells.Page(said["title"], (site.name,), about, {site.name: 90}, read_only_once=True),
    ]  # fmt: skip

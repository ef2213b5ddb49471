"""The files that the ordering page takes in, as they lie next to the settings."""

from __future__ import annotations

from onboard.errors import FileTrouble
from onboard.office import Act, Office

# By whether the page was told of anybody before.
FILES = {False: "accounts.csv", True: "changes.csv"}


def told_files(office: Office) -> list[str]:
    """The names of those that are there. Raises `SettingsTrouble` where others may do this."""
    office.see_that_one_may(Act.TELL)
    folder = office.settings.file.parent
    return [name for name in FILES.values() if (folder / name).exists()]


def told_file(office: Office, name: str) -> bytes:
    """What one of them says: it holds the hashes of passwords. Raises `FileTrouble` where there is no such
    file, `SettingsTrouble` where others may do this, and `OSError`."""
    if name not in told_files(office):
        raise FileTrouble(f"There is no {name} yet.")
    return (office.settings.file.parent / name).read_bytes()

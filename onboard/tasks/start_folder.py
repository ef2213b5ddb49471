"""A folder for a co-op: a settings file to fill in, and an empty roster."""

from __future__ import annotations

from pathlib import Path

from onboard import settings
from onboard.errors import FileTrouble
from onboard.office import open_office


def start_where_nothing_is(folder: Path) -> Path | None:
    """The settings file that was written into a folder in which there is nothing, not counting hidden files; None,
    and no file, where there is something. Raises `StoreTrouble`.
    """
    if any(not file.name.startswith(".") for file in folder.iterdir()):
        return None
    return start_folder(folder)


def start_folder(folder: Path) -> Path:
    """The settings file that was written into the folder, which is made where there is none.

    Raises `FileTrouble` if there is one already, and `StoreTrouble`.
    """
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "onboard.toml"
    if file.exists():
        raise FileTrouble(f"{file} is there already. Fill it in, or give another folder.")
    file.write_text(settings.starter(), encoding="utf-8")
    office = open_office(file)
    office.to_write()
    office.close()
    return file

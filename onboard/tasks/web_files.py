"""Files for the co-op's web space: written whole, and never over a file that is not ours."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path
from tempfile import NamedTemporaryFile

from onboard import unfinished
from onboard.errors import FileTrouble
from onboard.guide import MARK
from onboard.welcome import wall
from onboard.welcome.calendar import PRODID

# By the end of a file's name: what is in it if this program made it.
_MARKS = {
    ".ics": f"\r\nPRODID:{PRODID}\r\n",
    ".pdf": wall.MARK,
    ".html": MARK,
    ".vcf": "BEGIN:VCARD\r\nVERSION:3.0\r\nEMAIL;TYPE=INTERNET,PREF:",
}


# What no web page needs, and members' data may be in.
PRIVATE = frozenset(
    (".db", ".sqlite", ".toml", ".csv", ".xlsx", ".xls", ".ods", ".eml", ".mbox", ".log")
)


def see_that_it_may_be_published(folder: Path) -> None:
    """Raises `FileTrouble` if members' data may lie in a folder that is to be laid on the web."""
    private = (
        sorted(p.name for p in folder.iterdir() if p.suffix.lower() in PRIVATE)
        if folder.is_dir()
        else []
    )
    if private:
        raise FileTrouble(
            f"{folder} has other files in it ({private[0]}), which don't belong on the web. Choose a folder that is only for "
            "the guide. Nothing was written."
        )


def see_that_all_are_ours(folder: Path, names: Iterable[str]) -> None:
    """Raises `FileTrouble` if a file of one of the names is there that this program did not make."""
    for name in names:
        file = folder / name
        if (file.exists() or file.is_symlink()) and not is_ours(file):
            raise FileTrouble(
                f"{file} is not a file that this program made, so it stays as it is, and nothing was written. Move "
                "it away, or choose another folder."
            )


def is_ours(file: Path) -> bool:
    """Whether this program made a file, by what is in it."""
    if not file.is_file() or file.is_symlink():
        return False
    try:
        content = file.read_bytes()
    except OSError:
        return False
    return _MARKS[file.suffix].encode() in content


def write(file: Path, content: bytes) -> None:
    """Write a file whole or not at all, for everybody to read. Raises `FileTrouble`."""
    folder, part = file.parent, None
    try:
        folder.mkdir(parents=True, exist_ok=True)
        unfinished.sweep(folder)
        with NamedTemporaryFile(
            dir=folder, prefix=unfinished.prefix(), suffix=unfinished.SUFFIX, delete=False
        ) as out:
            part = Path(out.name)
            out.write(content)
        part.chmod(0o666 & ~_umask())  # a web server is another user
        part.replace(file)
        part = None
    except OSError as error:
        raise FileTrouble(
            f"Can't write {file} ({error.strerror or error}). Choose another folder."
        ) from error
    finally:
        if part is not None:
            part.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask

"""The outbox: the folder in which packets wait to be sent or printed.

First passwords are in the clear here and nowhere else: the folder is 0700, its files 0600. A file
is there whole or not at all.
"""

from __future__ import annotations

import os
import re
from collections.abc import Collection, Iterator, Mapping
from datetime import datetime
from itertools import chain, count
from pathlib import Path
from tempfile import NamedTemporaryFile

from onboard import unfinished
from onboard.errors import FileTrouble

_BY_TYPST = b"Typst"  # in every PDF of letters: what made it
# What an earlier version called a file that was not whole yet.
_HALF = re.compile(r"tmp\w{6,8}\.part")
_NOTICE = re.compile(r"notice-\d+-\d{14}(-\d+)?\.pdf")
_REMINDER = re.compile(r"reminder-(\d+)-[\w-]+\.eml")
_LETTERS = re.compile(r"letters-(\d+)-(\d+)(-\d+)?\.pdf")


def write(folder: Path, messages: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Where the messages were written, each under its name.

    Raises `FileTrouble` when the folder cannot be written or is full; what was whole by then stays.
    """
    written = tuple(_write(folder, name, message) for name, message in messages.items())
    if written:
        _settle(folder)
    return written


def write_many(folder: Path, messages: Mapping[str, bytes]) -> None:
    """Write thousands of messages, each under its name; all are on the disk, or it raises `FileTrouble`.

    They are made to last together: waiting for the disk after each takes ten times as long.
    """
    if not hasattr(os, "sync"):
        write(folder, messages)
        return
    part: Path | None = None
    parts: dict[Path, Path] = {}
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        folder.chmod(0o700)
        for number, (name, content) in enumerate(messages.items()):
            part = folder / f"{unfinished.prefix()}{number}{unfinished.SUFFIX}"
            handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            parts[part] = folder / name
            with os.fdopen(handle, "wb") as stream:
                stream.write(content)
        os.sync()
        for part, target in parts.items():
            part.replace(target)
    except OSError as error:
        for left in parts:
            left.unlink(missing_ok=True)
        raise _trouble(part or folder, error) from error
    if messages:
        _settle(folder)


def reminder_name(number: int, uid: str, kind: str) -> str:
    """The name of the email that is a member's reminder of a window: made anew, it is the same."""
    return f"reminder-{number}-{uid[:13]}-{kind.replace(' ', '-')}.eml"


def reminders(folder: Path) -> Iterator[Path]:
    """The emails in the outbox that are reminders."""
    yield from (file for file in folder.glob("reminder-*.eml") if _REMINDER.fullmatch(file.name))


def write_letters(folder: Path, name: str, pdf: bytes) -> Path:
    """Where the letters were written: the file `name` in `folder`. Raises `FileTrouble`."""
    return write_file(folder, name, pdf)


def letters_name(first: int, last: int, taken: Collection[str]) -> str:
    """A name, not taken, for the letters of members from the number `first` to `last`.

    >>> letters_name(1, 3, taken=["letters-1-3.pdf"])
    'letters-1-3-2.pdf'
    """
    stem = f"letters-{first}-{last}"
    names = (f"{name}.pdf" for name in chain([stem], (f"{stem}-{n}" for n in count(2))))
    return next(name for name in names if name not in taken)


def letters_with(folder: Path, numbers: Collection[int]) -> list[str]:
    """The names of the files of letters that may hold one of these members.

    There may be several: when a packet is made anew, its older letter stays among the others'.
    """
    found = []
    for file in sorted(folder.glob("letters-*.pdf")):
        named = _LETTERS.fullmatch(file.name)
        if named and any(int(named[1]) <= number <= int(named[2]) for number in numbers):
            found.append(file.name)
    return found


def only_of(name: str, numbers: Collection[int]) -> bool:
    """Whether a file of letters can hold those of no other member.

    >>> only_of("letters-3-3-2.pdf", [3]), only_of("letters-3-4.pdf", [3])
    (True, False)
    """
    named = _LETTERS.fullmatch(name)
    return named is not None and named[1] == named[2] and int(named[1]) in numbers


def notices_to(folder: Path, numbers: Collection[int]) -> list[str]:
    """The names of the files that are notices and reminders to one of these members."""
    found = []
    for file in sorted((*folder.glob("notice-*"), *folder.glob("reminder-*"))):
        named = re.fullmatch(r"(?:notice|reminder)-(\d+)-.*", file.name)
        if named and int(named[1]) in numbers:
            found.append(file.name)
    return found


def half_written(folder: Path) -> list[str]:
    """The names of files that a program left which was stopped as it wrote them."""
    left = [file.name for file in unfinished.left_in(folder)]
    earlier = [f.name for f in folder.glob("tmp*.part") if _HALF.fullmatch(f.name)]
    return sorted([*left, *earlier])


def write_file(folder: Path, name: str, content: bytes) -> Path:
    """Where it was written: the file `name` in `folder`. Raises `FileTrouble`."""
    written = _write(folder, name, content)
    _settle(folder)
    return written


def notice_name(folder: Path, member_id: int, when: datetime, ending: str) -> str:
    """A name for a notice to the member that no file in the outbox has: two may be made in a second."""
    stem = f"notice-{member_id}-{when:%Y%m%d%H%M%S}"
    names = chain([stem], (f"{stem}-{n}" for n in count(2)))
    return next(name + ending for name in names if not (folder / (name + ending)).exists())


def take_away(folder: Path, name: str) -> None:
    """Take a file out of the outbox, if it is there. Raises `FileTrouble`."""
    try:
        (folder / name).unlink(missing_ok=True)
    except OSError as error:
        raise _trouble(folder / name, error) from error


def email_name(handle: str) -> str:
    """The name of the email that is a member's packet."""
    return f"{handle}.eml"


def sweep(folder: Path, keep: Collection[str], gone: Collection[str] = ()) -> tuple[Path, ...]:
    """The files taken away: our letters and notices in print whose name is not in `keep`, and those
    that are in `gone`. What a killed program left half written goes too, and nothing that is not ours.

    Raises `FileTrouble`.
    """
    if not folder.exists():
        return ()
    unfinished.sweep(folder)
    swept = []
    try:
        for file in sorted(folder.iterdir()):
            if file.name in gone or (file.name not in keep and is_ours(file)):
                file.unlink()
                swept.append(file)
    except OSError as error:
        raise _trouble(folder, error) from error
    return tuple(swept)


def is_ours(file: Path) -> bool:
    """Whether a file in print is one of ours: by its name, and by what made it."""
    if not file.is_file() or file.is_symlink():
        return False
    letters = _LETTERS.fullmatch(file.name)
    named = (letters and int(letters[1]) <= int(letters[2])) or _NOTICE.fullmatch(file.name)
    return bool(named) and _BY_TYPST in file.read_bytes()


def others_letters(folder: Path) -> list[str]:
    """The names of files that could be letters of ours and are somebody else's: no letters go there."""
    return [file.name for file in folder.glob("letters-*.pdf") if not is_ours(file)]


def _write(folder: Path, name: str, content: bytes) -> Path:
    if not name or Path(name).name != name or name.startswith("."):
        raise FileTrouble(f"“{name}” can't be the name of a file in {folder}.")
    part: Path | None = None
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        folder.chmod(0o700)
        # NamedTemporaryFile makes files 0600.
        with NamedTemporaryFile(
            dir=folder, prefix=unfinished.prefix(), suffix=unfinished.SUFFIX, delete=False
        ) as stream:
            part = Path(stream.name)
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        target = folder / name
        part.replace(target)
        part = None
    except OSError as error:
        raise _trouble(folder / name, error) from error
    finally:
        if part is not None:
            part.unlink(missing_ok=True)
    return target


def _settle(folder: Path) -> None:
    """Makes new names last through a power cut, where the system can (not on Windows)."""
    if os.name != "posix":
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError as error:
        raise _trouble(folder, error) from error


def _trouble(file: Path, error: OSError) -> FileTrouble:
    return FileTrouble(
        f"Can't write {file} ({error.strerror or error}). Make room, or choose another "
        "outbox in the settings. Then make the packets again."
    )

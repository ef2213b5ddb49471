"""Files that somebody gave at the desk, kept in a folder of our own until the desk is stopped."""

from __future__ import annotations

import shutil
import tempfile
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import BinaryIO

from onboard import passwords, unfinished
from onboard.desk.work import Work
from onboard.errors import FileTrouble

MOST_KEPT = 30  # files
_LONGEST = 100  # letters of a name


@dataclass
class Given:
    """A file, how its columns are read, and what became of it."""

    number: str
    who: str
    file: Path
    told: dict[str, str] = field(default_factory=dict)  # what columns hold, as somebody said
    sheet: str = ""
    remember: bool = False  # for files like it
    typed_at: str = ""  # the page on which it was typed, if nobody gave it as a file
    spool: Path | None = None  # of the porch, where the sign-ups are that it stands for
    looked: Work | None = None  # the preview
    saved: Work | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def name(self) -> str:
        """What the file is called. It is a label."""
        return self.file.name

    def in_words(self, trouble: str) -> str:
        """What is wrong with the file, which is called by its name: where we keep it tells nobody anything."""
        return trouble.replace(str(self.file), self.name)

    def look(self, begin: Callable[[], Work]) -> None:
        """Preview it, once more if something was told since; not once it is being saved."""
        with self._lock:
            if self.saved is None:
                if self.looked is not None:
                    self.looked.stop()
                self.looked = begin()

    def save(self, begin: Callable[[], Work]) -> None:
        """Save it, once: a second click changes nothing. What failed may be tried again."""
        with self._lock:
            if self.saved is None or self.saved.words:
                self.saved = begin()


class Files:
    """The files at a desk, by their numbers."""

    def __init__(self) -> None:
        self._kept: dict[str, Given] = {}
        self._folder: tempfile.TemporaryDirectory[str] | None = None

    def take(self, stream: BinaryIO, name: str, who: str) -> Given:
        """Keep a file. Raises `FileTrouble` where it cannot be kept."""
        try:
            for old in list(self._kept)[: max(0, len(self._kept) - MOST_KEPT + 1)]:
                self._forget(self._kept.pop(old))
            number = passwords.token()
            folder = self._home() / number
            folder.mkdir(mode=0o700)
            given = Given(number, who, folder / _label(name))
            with given.file.open("xb") as out:
                shutil.copyfileobj(stream, out)
        except OSError as error:
            raise FileTrouble(f"The file can't be kept: {error.strerror or error}.") from error
        self._kept[number] = given
        return given

    def of_porch(self, spool: Path, who: str) -> Given:
        """The sign-ups that wait in a spool, as a file without one. Raises `FileTrouble`."""
        given = self.take(BytesIO(), "porch.csv", who)
        given.spool = spool
        return given

    def of(self, number: str, who: str) -> Given:
        """Somebody's file. Raises `FileTrouble` if it is no longer there."""
        given = self._kept.get(number)
        if given is None or given.who != who:
            raise FileTrouble(
                "This file is no longer at the desk, which was started again since. Give it once more: nobody is "
                "enrolled twice."
            )
        return given

    def _home(self) -> Path:
        if self._folder is None:
            # A desk that is killed leaves its folder: the next one takes it away.
            unfinished.sweep(Path(tempfile.gettempdir()))
            self._folder = tempfile.TemporaryDirectory(
                prefix=unfinished.prefix(), suffix=unfinished.SUFFIX
            )
        return Path(self._folder.name)

    @staticmethod
    def _forget(given: Given) -> None:
        for work in (given.looked, given.saved):
            if work is not None:
                work.stop()
        with suppress(OSError):
            shutil.rmtree(given.file.parent)


def _label(name: str) -> str:
    """A file's name as a label: its last part, without what no file may be called.

    >>> _label("../../etc/forms.csv"), _label("C:\\\\forms\\\\march.xlsx"), _label("..")
    ('forms.csv', 'march.xlsx', 'forms.csv')
    """
    last = name.replace("\\", "/").rpartition("/")[2]
    kept = "".join(c for c in last if c.isprintable() and c not in '<>:"|?*').strip(". ")
    return kept[-_LONGEST:].strip(". ") or "forms.csv"

"""What a clock may run (cron, a systemd timer, the Task Scheduler): each command once at a time, and in a log.

The lock belongs to the computer and goes with the program that holds it, however that ends. The log is for whoever looks
after the machine: it has counts and what went wrong, never a password.
"""

from __future__ import annotations

import logging
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from io import TextIOWrapper
from logging.handlers import RotatingFileHandler
from pathlib import Path

import typer
from filelock import FileLock, Timeout

from onboard.errors import AlreadyRunning, Trouble, in_words
from onboard.office import Office
from onboard.roster.journal import stamp

log = logging.getLogger(__name__)

LARGEST, KEPT = 1_000_000, 5  # bytes of a log, and how many older ones stay


@contextmanager
def alone(office: Office, name: str) -> Iterator[None]:
    """The command runs here and nowhere else on this computer, and the log says how it went.

    Raises `AlreadyRunning` if it runs already.
    """
    with _logged(office.settings.log, name):
        file = office.settings.file.parent / f".onboard-{name}.lock"
        lock = FileLock(file, timeout=0, mode=0o600)
        try:
            lock.acquire()
        except Timeout:
            raise AlreadyRunning(
                f"onboard {name} is running already, so this one did nothing. Wait until the other one has ended."
            ) from None
        try:
            yield
        finally:
            lock.release()


@contextmanager
def _logged(file: Path | None, name: str) -> Iterator[None]:
    if file is None:
        yield
        return
    handler = _File(file, maxBytes=LARGEST, backupCount=KEPT, encoding="utf-8")
    handler.setFormatter(_Line(f"%(asctime)s %(levelname)s {name}: %(message)s"))
    ours = logging.getLogger("onboard")
    level = ours.level
    handlers: list[logging.Handler] = [handler]
    if not logging.root.handlers:
        handlers.append(_Screen())
    for one in handlers:
        ours.addHandler(one)
    ours.setLevel(logging.INFO)
    start = time.monotonic()
    log.info("started")
    try:
        yield
    except BaseException as end:
        _note_end(end, time.monotonic() - start)
        raise
    else:
        log.info("ended with 0 after %.0f seconds", time.monotonic() - start)
    finally:
        ours.setLevel(level)
        for one in handlers:
            ours.removeHandler(one)
        handler.close()


def _note_end(end: BaseException, seconds: float) -> None:
    match end:
        case typer.Exit() | SystemExit():
            code = end.exit_code if isinstance(end, typer.Exit) else end.code
            log.info("ended with %s after %.0f seconds", code or 0, seconds)
        case Trouble() | OSError():
            log.error("could not run. %s", in_words(end))
        case KeyboardInterrupt():
            log.error("was stopped after %.0f seconds", seconds)
        case _:  # no value of it: it could hold a member's data
            log.critical("a fault of the program (%s)", type(end).__name__)


class _Screen(logging.Handler):
    """Shows the warnings of others on the screen, as Python does while nobody keeps a log."""

    def emit(self, record: logging.LogRecord) -> None:
        """Show it."""
        if record.levelno >= logging.WARNING and record.name != log.name:
            sys.stderr.write(f"{record.getMessage()}\n")


class _Line(logging.Formatter):
    """A line of the log: the time in UTC, and nothing that could begin a line of its own."""

    def formatTime(self, record: logging.LogRecord, datefmt: str | None = None) -> str:
        """ISO 8601, UTC."""
        return stamp(datetime.fromtimestamp(record.created, UTC))

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        return " ".join(super().format(record).split())


class _File(RotatingFileHandler):
    """The log, which only its owner can read."""

    def _open(self) -> TextIOWrapper:
        number = os.open(self.baseFilename, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
        return os.fdopen(number, "a", encoding=self.encoding)

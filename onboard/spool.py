"""The spool: sign-ups that came in at the porch, kept in a folder until a batch has them on the roster.

One file, a line of JSON for each hand-in, only ever added to. A line is on the disk (file and folder synced) before
anybody hears "thank you". Whoever writes, and whoever takes, holds the lock meanwhile. A line that a crash cut off stays
where it is, and counts for nothing: the next line begins on a line of its own.
"""

from __future__ import annotations

import json
import os
import stat
from collections.abc import Container, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from itertools import chain
from pathlib import Path
from typing import NamedTuple

from onboard.errors import FileTrouble

FILE = "sign-ups.jsonl"
TAKEN = "taken-"  # how the name of a file begins that a batch is saving
CUT_OFF = "cut-off.txt"  # lines that cannot be read, kept for a person
KNOWN = "known.jsonl"  # what was taken away, so that nobody can read it: a digest of each
KNOWN_DAYS = 30  # for which it is known; a page of the form is sent in for no longer
STOPS = "stops.log"  # a line for each wish for no more email
STOPPED = "stopped-"  # how the name of a file of these begins that is being taken in
UNKNOWN = "unknown-stops.log"  # those of no email that the roster knew: each is tried again for `KNOWN_DAYS`
REPEATED = "repeated"  # written to for what has come before, so that its answer takes as long as a new one's
LOCK = ".lock"
REPEATS = 4096  # bytes of that file, before it is made anew
LONGEST = 256 * 1024  # bytes of a line; one that the porch wrote is far shorter


class Answer(NamedTuple):
    """One answer of a form: the field that it is, the question as it was asked, and what was typed."""

    field: str
    asked: str
    said: str


class Entry(NamedTuple):
    """One hand-in. A later one with the same identity takes the place of the earlier."""

    identity: str
    at: str  # the moment, ISO 8601
    by: str  # through whom: "form", or the name of a client
    answers: tuple[Answer, ...]

    @property
    def line(self) -> bytes:
        """The entry as the spool has it: plain ASCII, so that whatever a crash left behind is no entry."""
        said = {"id": self.identity, "at": self.at, "by": self.by, "answers": self.answers}
        return json.dumps(said).encode() + b"\n"

    @property
    def mark(self) -> str:
        """What tells this hand-in from every other, and from one that says something else under its identity."""
        return sha256(self.line).hexdigest()

    @property
    def content(self) -> str:
        """A digest of what was said under this identity: nobody can read it, and what says the same has the same."""
        return sha256(json.dumps([self.identity, self.answers]).encode()).hexdigest()

    @property
    def moment(self) -> datetime | None:
        """When it came in, UTC; None for what is no moment."""
        return _moment(self.at)


@dataclass(slots=True)
class Found:
    """What is in a spool."""

    entries: list[Entry] = field(default_factory=list)  # by arrival of the first of each identity
    again: int = 0  # hand-ins that said the same once more
    changed: int = 0  # hand-ins that took the place of an earlier one
    cut_off: list[bytes] = field(default_factory=list)  # lines that are no entries
    later: list[Entry] = field(default_factory=list)  # which nobody has looked at yet: they stay

    def only(self, marks: Container[str]) -> None:
        """Leave the entries without one of these marks for later."""
        self.later = [one for one in self.entries if one.mark not in marks]
        self.entries = [one for one in self.entries if one.mark in marks]


def prepare(folder: Path) -> None:
    """Make the folder, for its owner alone. Raises `FileTrouble` where others may read it."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        mode = folder.stat().st_mode
        _sync(folder)
        _sync(folder.parent)
    except OSError as error:
        raise FileTrouble(f"Can't make the spool {folder} ({error.strerror}).") from error
    if os.name == "posix" and stat.S_IMODE(mode) & 0o077:
        raise FileTrouble(
            f"Others on this computer may look into {folder}. Sign-ups hold names and addresses. Close it first: "
            f"chmod 700 {folder}"
        )


def add(folder: Path, entries: Sequence[Entry]) -> None:
    """Add the entries, all with one sync; when this returns, no crash loses them.

    Raises `OSError` where they could not be written: then none of them counts.
    """
    _append(folder, FILE, b"".join(entry.line for entry in entries))


def repeat(folder: Path) -> None:
    """Take as long as `add` does, and add nothing. Raises as `add`."""
    _append(folder, REPEATED, b"\n")
    if (file := folder / REPEATED).stat().st_size >= REPEATS:
        file.unlink(missing_ok=True)


def add_stop(folder: Path, at: str, key: str) -> None:
    """Add a wish for no more email with the key of that email; when this returns, no crash loses it. Raises as `add`."""
    _append(folder, STOPS, f"{at} POST {key}\n".encode())


def _append(folder: Path, name: str, lines: bytes) -> None:
    with _locked(folder):
        file = folder / name
        is_new = not file.exists()
        handle = os.open(
            file, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o600
        )
        try:
            before = os.lseek(handle, 0, os.SEEK_END)
            if before and _last(handle, before) != b"\n":
                lines = b"\n" + lines
            try:
                _write(handle, lines)
                os.fsync(handle)
            except OSError:
                with suppress(OSError):
                    os.ftruncate(handle, before)
                raise
        finally:
            os.close(handle)
        if is_new:
            _sync(folder)


def _last(handle: int, size: int) -> bytes:
    os.lseek(handle, size - 1, os.SEEK_SET)  # where it adds stays the end
    return os.read(handle, 1)


def _write(handle: int, content: bytes) -> None:
    while content:
        content = content[os.write(handle, content) :]


def look(folder: Path) -> Found:
    """What waits in the spool. Nothing is changed."""
    return _read(folder, (*_taken(folder), folder / FILE))


def take(folder: Path) -> tuple[Found, tuple[Path, ...]]:
    """What waits in the spool, and the files that hold it: nobody writes to them any more. Call `done` with
    them once the roster has it all. What is taken and never done is taken again."""
    file = folder / FILE
    with _locked(folder):
        if file.exists():
            file.rename(_now_named(folder, TAKEN, ".jsonl"))
            _sync(folder)
    files = _taken(folder)
    return _read(folder, files), files


def done(folder: Path, files: Iterable[Path], found: Found) -> Path | None:
    """Take the files away, as the roster has what was found in them. The lines that nobody can read are kept in a file,
    the entries that are left for later in another, and of those that go a digest, so that a hand-in is known again."""
    kept = folder / CUT_OFF if found.cut_off else None
    if kept:
        _keep(kept, b"".join(line + b"\n" for line in found.cut_off))
    if (
        found.later
    ):  # in a file that counts as older than what came in meanwhile, which may change it
        later = b"".join(entry.line for entry in found.later)
        _keep(_now_named(folder, TAKEN, ".jsonl"), later)
    _remember(folder, found.entries)
    for file in files:
        file.unlink(missing_ok=True)
    _sync(folder)
    return kept


def identities(folder: Path) -> dict[str, str]:
    """The digest of what was said under each identity that waits in the spool, or was taken out of it lately."""
    waiting = {entry.identity: entry.content for entry in look(folder).entries}
    with _locked(folder):  # afterwards: what is taken away meanwhile is known by then
        return {identity: content for identity, content, _ in _known(folder)} | waiting


def _remember(folder: Path, entries: Sequence[Entry]) -> None:
    """Keep a digest of these; what is older than a form can be goes."""
    now = datetime.now(UTC)
    since = (now - timedelta(KNOWN_DAYS)).isoformat(timespec="seconds")
    with _locked(folder):
        kept = [one for one in _known(folder) if one[2] >= since]
        kept += [(one.identity, one.content, now.isoformat(timespec="seconds")) for one in entries]
        new = folder / f"{KNOWN}.new"
        new.unlink(missing_ok=True)
        _keep(new, b"".join(json.dumps(one).encode() + b"\n" for one in kept))
        new.replace(folder / KNOWN)
        _sync(folder)


def _known(folder: Path) -> Iterator[tuple[str, str, str]]:
    """Identity, digest and the moment it was taken away, of each that is known; a line that is none is passed over."""
    for line in _lines(folder / KNOWN):
        try:
            identity, content, at = map(_text, json.loads(line))
        except (ValueError, TypeError, RecursionError):
            continue
        yield identity, content, at


# ---------------------------------------------------------------- wishes for no more email


def waiting_stops(folder: Path) -> tuple[Path, ...]:
    """The files with wishes for no more email that nobody has taken in; none where there is no spool. Raises
    `FileTrouble` for one that is somebody else's."""
    try:
        found = (*sorted(folder.glob(f"{STOPPED}*.log")), folder / STOPS)
        return tuple(file for file in found if file.exists())
    except PermissionError as error:
        raise _not_ours(folder) from error


def unknown_stops(folder: Path) -> tuple[Path, ...]:
    """The file with wishes that were of no email of ours when they were taken in; none where there is none."""
    return tuple(file for file in (folder / UNKNOWN,) if file.exists())


@contextmanager
def stops(folder: Path, *, keep: bool) -> Iterator[tuple[Path, ...]]:
    """The files with wishes for no more email, those that were of no email of ours before among them. With `keep` they
    are taken away at the end, if the block ends well: the block must have saved them by then, and told `keep_unknown`
    of the others. Raises `FileTrouble`."""
    with _locked(folder):
        if keep and (file := folder / STOPS).exists():
            file.rename(_now_named(folder, STOPPED, ".log"))
            _sync(folder)
        files = waiting_stops(folder)
    yield (*files, *unknown_stops(folder))
    if keep:
        for file in files:
            if file.name != STOPS:  # one that came in meanwhile
                file.unlink(missing_ok=True)
        _sync(folder)


def keep_unknown(folder: Path, files: Sequence[Path], keys: Container[str]) -> None:
    """Keep the wishes in these files of the spool with one of these keys, which are of no email of ours: a roster that was
    put back may know them again. What is older than `KNOWN_DAYS` goes."""
    since = datetime.now(UTC) - timedelta(KNOWN_DAYS)
    kept: dict[str, bytes] = {}
    for line in chain.from_iterable(map(_lines, files)):
        at, _, key = line.decode("ascii", "replace").strip().partition(" POST ")
        if key in keys and (_moment(at) or since) >= since:
            kept.setdefault(key, line + b"\n")
    with _locked(folder):
        if not kept:
            (folder / UNKNOWN).unlink(missing_ok=True)
            return
        new = folder / f"{UNKNOWN}.new"
        new.unlink(missing_ok=True)
        _keep(new, b"".join(kept.values()))
        new.replace(folder / UNKNOWN)
        _sync(folder)


def _keep(file: Path, lines: bytes) -> None:
    handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    try:
        _write(handle, lines)
        os.fsync(handle)
    finally:
        os.close(handle)


def _now_named(folder: Path, begins: str, ends: str) -> Path:
    return folder / f"{begins}{datetime.now(UTC).strftime('%Y%m%dT%H%M%S%f')}{ends}"


def _taken(folder: Path) -> tuple[Path, ...]:
    return tuple(sorted(folder.glob(f"{TAKEN}*.jsonl")))


def _read(folder: Path, files: Sequence[Path]) -> Found:
    found, entries = Found(), dict[str, Entry]()
    with _locked(folder):
        for file in files:
            for line in _lines(file):
                entry = _entry(line)
                if entry is None:
                    found.cut_off.append(line[:LONGEST])
                elif (before := entries.get(entry.identity)) and before.answers == entry.answers:
                    found.again += 1
                else:
                    found.changed += entry.identity in entries
                    entries[entry.identity] = entry
    found.entries = list(entries.values())
    return found


def _lines(file: Path) -> Iterator[bytes]:
    """The lines of a file that are not blank; of one that is far too long, its beginning."""
    try:
        stream = file.open("rb")
    except FileNotFoundError:
        return
    with stream:
        while line := stream.readline(LONGEST + 1):
            rest = line
            while rest and not rest.endswith(b"\n"):
                rest = stream.readline(LONGEST)
            if line.strip():
                yield line.rstrip(b"\n") if len(line) <= LONGEST else line


def _entry(line: bytes) -> Entry | None:
    """The entry that a line is; None for what is none."""
    if len(line) > LONGEST:
        return None
    try:
        said = json.loads(line)
        answers = tuple(Answer(*map(_text, answer)) for answer in said["answers"])
        return Entry(_text(said["id"]), _text(said["at"]), _text(said["by"]), answers)
    except (ValueError, TypeError, KeyError, RecursionError):
        return None


def _moment(at: str) -> datetime | None:
    """A moment in ISO 8601, UTC; None for what is none."""
    try:
        return datetime.fromisoformat(at).astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError
    return value


@contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """While nobody else writes or takes. Raises `FileTrouble` where the folder is not there, or somebody else's."""
    from filelock import FileLock  # few commands need it

    lock = FileLock(folder / LOCK, mode=0o600)
    try:
        if not folder.is_dir():
            raise FileTrouble(
                f"There is no folder {folder}. Give the one that onboard porch was started with: --spool."
            )
        lock.acquire()
    except PermissionError as error:
        raise _not_ours(folder) from error
    try:
        yield
    finally:
        lock.release()


def _not_ours(folder: Path) -> FileTrouble:
    return FileTrouble(
        f"You may not look into the spool {folder}. Work as the user under whom the porch runs."
    )


def _sync(folder: Path) -> None:
    """What the folder lists is on the disk (POSIX, fsync of a folder); elsewhere the file system sees to it."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


__all__ = [
    "CUT_OFF", "FILE", "KNOWN_DAYS", "LOCK", "UNKNOWN", "Answer", "Entry", "Found", "add", "add_stop", "done",
    "identities", "keep_unknown", "look", "prepare", "stops", "take", "unknown_stops", "waiting_stops",
]  # fmt: skip

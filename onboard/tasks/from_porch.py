"""Sign-ups from the porch to members: a batch, whose rows are taken out of the spool once the roster has them."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from shlex import quote

from onboard import spool
from onboard.intake import from_porch
from onboard.model import RawRow
from onboard.reports.counts import counted
from onboard.settings import Settings
from onboard.spool import Found


@dataclass(frozen=True, slots=True)
class FromPorch:
    """What waits in a spool."""

    folder: Path
    found: Found
    files: Sequence[Path] = ()  # that are taken away in the end

    @property
    def named(self) -> Path:
        """By what name these sign-ups go; the sheet of questions stands in the spool too."""
        return self.folder / from_porch.named(self.found.entries)

    def rows(self) -> Iterator[RawRow]:
        """The sign-ups, as rows of join forms."""
        return from_porch.rows(self.found.entries)

    def notes(self) -> list[str]:
        """What a coordinator should know of how the spool was read."""
        found = self.found
        said = [] if found.entries else [f"No sign-ups wait in {self.folder}."]
        if found.changed:
            said.append(
                f"{counted(found.changed, 'sign-up')} came in once more with changes. The last one counts."
            )
        if found.later:
            said.append(
                f"{counted(len(found.later), 'sign-up')} came in after you looked. Look again to take them in."
            )
        if found.cut_off:
            lines = counted(len(found.cut_off), "line")
            said.append(
                f"{lines} in {self.folder} can't be read: the computer stopped while it was written, so nobody was thanked "
                f"for it. With --record, it is kept in {self.folder / spool.CUT_OFF}."
            )
        return said


@dataclass(frozen=True, slots=True)
class AtPorch:
    """How many sign-ups wait at the porch."""

    folder: Path
    count: int
    oldest: datetime | None
    newest: datetime | None

    @property
    def command(self) -> str:
        """What previews them, without "onboard" in front."""
        return f"batch --from-porch {named_here(self.folder)}"


def named_here(folder: Path) -> str:
    """The folder as a line to type names it, in the folder where one works."""
    here = Path.cwd()
    return quote(str(folder.relative_to(here) if folder.is_relative_to(here) else folder))


def waiting_at_porch(settings: Settings) -> AtPorch | None:
    """What waits in the spool that the settings name; None where they name none, or the porch never opened.

    Raises `FileTrouble` for a spool that is somebody else's.
    """
    folder = settings.spool
    if folder is None:
        return None
    try:
        is_there = folder.is_dir()
    except PermissionError:
        is_there = True  # told by what looks into it
    if not is_there:
        return None
    entries = spool.look(folder).entries
    moments = sorted(one.moment for one in entries if one.moment)
    ends = (moments[0], moments[-1]) if moments else (None, None)
    return AtPorch(folder, len(entries), *ends)


@contextmanager
def from_spool(
    folder: Path, *, keep: bool, only: Container[str] | None = None
) -> Iterator[FromPorch]:
    """What waits in the spool of `onboard porch`. With `keep` it is taken out at the end, if the block ends well:
    the block must have saved it by then. What was not taken out is there the next time, and known again. `only` are
    the marks of the sign-ups that somebody looked at: others stay for the next time.

    Raises `FileTrouble`.
    """
    if not keep:
        yield FromPorch(folder, spool.look(folder))
        return
    found, files = spool.take(folder)
    if only is not None:
        found.only(only)
    yield FromPorch(folder, found, files)
    spool.done(folder, files, found)

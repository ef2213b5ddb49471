"""Whether a file was changed since it was read."""

from __future__ import annotations

from pathlib import Path


def state(file: Path) -> tuple[int, int]:
    """What changes with each change of the file: when that was, in nanoseconds, and its size; zeros for no file."""
    try:
        found = file.stat()
    except OSError:
        return (0, 0)
    return found.st_mtime_ns, found.st_size

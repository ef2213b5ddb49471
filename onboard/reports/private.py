"""Files that only their owner may read: whole, or not there at all."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import TextIO

from onboard import unfinished
from onboard.errors import FileTrouble


@contextmanager
def private_file(file: Path) -> Iterator[TextIO]:
    """A text file (UTF-8) to write, mode 0600, that takes its name when the block ends well.

    Raises `FileTrouble` when it cannot be written; what was there before then stays.
    """
    part: Path | None = None
    unfinished.sweep(file.parent)
    try:
        with NamedTemporaryFile(
            "w", dir=file.parent, prefix=unfinished.prefix(), suffix=unfinished.SUFFIX,
            delete=False, encoding="utf-8", newline="",
        ) as out:  # fmt: skip
            part = Path(out.name)  # NamedTemporaryFile makes files 0600
            yield out  # type: ignore[misc]
            out.flush()
            os.fsync(out.fileno())
        part.replace(file)
        part = None
    except OSError as error:
        raise FileTrouble(
            f"{file} can't be written ({error.strerror or error}). Make room, or choose another place."
        ) from error
    finally:
        if part is not None:
            part.unlink(missing_ok=True)

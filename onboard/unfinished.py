"""Files that are not whole yet: named so that they are known for ours, and taken away once nobody writes them.

They hold members' data, and a program that is killed cannot take its own away. The next one that writes
in the folder does; a file that is not ours it never touches.
"""

from __future__ import annotations

import os
import re
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

SUFFIX = ".part"
A_DAY = 24 * 60 * 60.0  # seconds: as long as no program writes one file
_OURS = re.compile(r"\.onboard-(?P<host>[A-Za-z0-9-]*)-(?P<process>\d+)-\w+\.part")


def prefix() -> str:
    """How the name of a file or folder begins that this program is writing; it ends in `SUFFIX`."""
    return f".onboard-{_host()}-{os.getpid()}-"


def left_in(folder: Path) -> Iterator[Path]:
    """What is left in the folder by programs that ended as they wrote."""
    with suppress(OSError):
        for path in sorted(folder.glob(f".onboard-*{SUFFIX}")):
            named = _OURS.fullmatch(path.name)
            if named and _is_left(path, named["host"], int(named["process"])):
                yield path


def sweep(folder: Path) -> None:
    """Take away what is left in the folder. Where that cannot be, it stays: nobody waits for it."""
    for path in left_in(folder):
        with suppress(OSError):
            if path.is_dir() and not path.is_symlink():
                import shutil

                shutil.rmtree(path)
            else:
                path.unlink()


def runs(process: int) -> bool:
    """Whether a process of this computer runs, as far as can be seen."""
    if os.name != "posix":
        return True  # elsewhere, asking would end it
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        pass  # somebody else's
    return True


def _is_left(path: Path, host: str, process: int) -> bool:
    if host == _host() and process != os.getpid() and not runs(process):
        return True
    return time.time() - path.lstat().st_mtime > A_DAY


def _host() -> str:
    import socket  # a look-up needs none of it

    return re.sub(r"[^A-Za-z0-9-]", "-", socket.gethostname())

"""A PostgreSQL server of our own, on a socket that only this machine can reach."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def programs() -> Path | None:
    """The folder of the server's programs, if they are installed; Debian keeps them off the path."""
    debian = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda p: float(p.parent.name))
    on_path = shutil.which("pg_ctl")
    return debian[-1] if debian else Path(on_path).parent if on_path else None


@contextmanager
def running(where: Path) -> Iterator[str]:
    """The address of a server with an empty database, until the block ends."""
    folder = Path(tempfile.mkdtemp(prefix="pg"))  # a socket's path may have 107 letters at most
    # The server refuses to be run by root; Debian's package makes it a user.
    user = "postgres" if os.geteuid() == 0 else pwd.getpwuid(os.geteuid()).pw_name
    if os.geteuid() == 0:
        shutil.chown(folder, user)

    def run(program: str, *words: str) -> None:
        subprocess.run(
            [where / program, "-D", folder / "data", *words],
            user=user if os.geteuid() == 0 else None,
            cwd=folder, check=True, stdout=subprocess.DEVNULL, timeout=60,
        )  # fmt: skip

    try:
        # Ordered as English is written, as most servers are: the order of bytes hides mistakes.
        order = ("--encoding=UTF8", "--locale-provider=icu", "--icu-locale=en-US", "--locale=C")
        run("initdb", "--auth=trust", "--no-sync", *order)
        options = f"-k {folder} -c listen_addresses='' -c fsync=off"
        run("pg_ctl", "start", "--wait", "--log", str(folder / "log"), "--options", options)
        try:
            yield f"postgresql+psycopg://{user}@/postgres?host={folder}"
        finally:
            run("pg_ctl", "stop", "--mode", "immediate")
    finally:
        shutil.rmtree(folder, ignore_errors=True)

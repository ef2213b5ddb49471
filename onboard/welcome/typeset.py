"""The typesetter, in a process of its own: `python typeset.py TEMPLATE`.

Reads the letters as JSON from standard input and writes the PDF to standard output; trouble with
the template goes to standard error as JSON, with code 1. The typesetter keeps all it ever set, some
3 MB a letter with its first password: when the process ends, all that is gone.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import typst

from onboard.errors import FileTrouble

BROKEN_TEMPLATE = 1


class Broken(Exception):
    """What is wrong with the template, and where the typesetter points."""

    def __init__(self, message: str, diagnostic: str) -> None:
        super().__init__(message)
        self.message, self.diagnostic = message, diagnostic


def pages(template: Path, data: str) -> bytes:
    """The PDF that the template makes of the data, JSON. Raises `Broken`, `FileTrouble`."""
    # Without -P a file that lies about in this folder could stand in for a module. It is started as
    # a file: as a module it would load all that packets need, for longer than a letter takes.
    command = [sys.executable, "-P", __file__, str(template)]
    # One thread does it with less work than two, and the other core hashes meanwhile.
    alone = os.environ | {"RAYON_NUM_THREADS": "1"}
    done = subprocess.run(command, input=data.encode(), capture_output=True, env=alone)
    if done.returncode == 0:
        return done.stdout
    if done.returncode == BROKEN_TEMPLATE and done.stderr.startswith(b"{"):
        raise Broken(**json.loads(done.stderr))
    # Its last words are not repeated: they could hold what it was given.
    raise FileTrouble(
        f"The letters could not be made (the typesetter ended with {done.returncode}). Close other "
        "programs to free memory. Then run this again."
    )


def _main(template: Path) -> int:
    data = sys.stdin.buffer.read().decode()
    try:
        pdf = typst.compile(
            template, root=template.parent, sys_inputs={"data": data}, pdf_standards="ua-1"
        )
    except typst.TypstError as error:
        json.dump({"message": error.message, "diagnostic": error.diagnostic}, sys.stderr)
        return BROKEN_TEMPLATE
    sys.stdout.buffer.write(bytes(pdf))
    return 0


if __name__ == "__main__":
    sys.exit(_main(Path(sys.argv[1])))

"""Whoever is helped may be killed; then the helpers end too, and keep nothing in memory."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

HELPED = """
import os, time
from onboard import engines

def who(part):
    return os.getpid()

if __name__ == "__main__":
    with engines.choose(2, who) as engine:
        for pid in engine.map(range(20)):
            print(pid, flush=True)
        print("done", flush=True)
        time.sleep(60)
"""


def is_running(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    about = Path(f"/proc/{pid}/stat")  # of one that has ended and whom nobody has asked after: Z
    return not about.exists() or about.read_text().rpartition(")")[2].split()[0] != "Z"


def test_helpers_end_with_the_process_that_they_help(tmp_path: Path) -> None:
    script = tmp_path / "helped.py"
    script.write_text(HELPED)
    with subprocess.Popen([sys.executable, script], stdout=subprocess.PIPE, text=True) as helped:
        assert helped.stdout is not None
        said = list(iter(helped.stdout.readline, "done\n"))
        pids = {int(line) for line in said}
        assert pids
        assert all(map(is_running, pids))
        os.kill(helped.pid, signal.SIGKILL)
    ends = time.monotonic() + 20
    while any(map(is_running, pids)) and time.monotonic() < ends:
        time.sleep(0.1)
    assert not [pid for pid in pids if is_running(pid)]

"""How many sign-ups a second the porch takes in, and how fast it checks a field; killed in the midst of it.

    python tests/benchmarks/porch.py [SECONDS] [CLIENTS]

Starts a porch of the demo co-op, hands sign-ups in from another process, kills the porch with SIGKILL, and counts who was
thanked and is not in the spool: that must be 0. Then times checks of one field and of a whole form, one after another and
several at once. What other programs do on the computer makes all of it slower.
"""

from __future__ import annotations

import http.client
import json
import multiprocessing
import os
import signal
import sys
import tempfile
import threading
import time
from pathlib import Path
from urllib.parse import urlsplit

HOME = Path(__file__).parents[2]
sys.path[:0] = [str(HOME), str(HOME / "tests"), str(HOME / "tests" / "porch")]

from at_porch import PAT, served  # noqa: E402

from onboard import spool  # noqa: E402

RULE = "sign_ups_per_hour = 10000000\nchecks_per_minute = 10000000"


def call(connection: http.client.HTTPConnection, key: str, path: str, said: object) -> bytes:
    """One request; its answer."""
    headers = {"Authorization": f"Bearer {key}", "Content-Type": "application/json"}
    connection.request("POST", path, json.dumps(said), headers)
    answer = connection.getresponse()
    body = answer.read()
    assert answer.status in (200, 201), (answer.status, body)
    return body


def hand_in(base: str, key: str, clients: int, seconds: float, thanked: object) -> None:
    """Sign-ups from so many clients at once; the identities of those that were thanked for go to the queue."""

    def one(number: int) -> None:
        connection = http.client.HTTPConnection(urlsplit(base).netloc)
        ids: list[str] = []
        end = time.monotonic() + seconds
        try:
            for n in range(10**9):
                if time.monotonic() > end:
                    break
                form = PAT | {"given": f"Pat {number}", "email": f"pat{n}@example.org"}
                ids.append(json.loads(call(connection, key, "/v1/sign-ups", form))["id"])
        except (OSError, http.client.HTTPException):
            pass  # it was killed
        thanked.put(ids)  # type: ignore[attr-defined]

    threads = [threading.Thread(target=one, args=(n,)) for n in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def times(base: str, key: str, form: object, many: int) -> list[float]:
    """How long each of so many checks takes, in ms, the fastest first."""
    connection = http.client.HTTPConnection(urlsplit(base).netloc)
    took = []
    for _ in range(many):
        start = time.perf_counter()
        call(connection, key, "/v1/check", form)
        took.append((time.perf_counter() - start) * 1000)
    return sorted(took)


def told(what: str, took: list[float]) -> None:
    """Print the middle, 99 % and the slowest."""
    middle, late = took[len(took) // 2], took[int(len(took) * 0.99)]
    print(
        f"{what}: {middle:.1f} ms in the middle, {late:.1f} ms at 99 %, {took[-1]:.1f} ms at most"
    )


def processor(process: int) -> float:
    """How many seconds of a processor a process has used (Linux)."""
    stat = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(stat[11]) + int(stat[12])) / os.sysconf("SC_CLK_TCK")


def main(seconds: float = 10, clients: int = 8) -> None:
    """All of it."""
    print(f"load before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    with tempfile.TemporaryDirectory(dir=os.environ.get("TMPDIR")) as folder:
        with served(Path(folder), rule=RULE) as there:
            thanked = multiprocessing.Queue()  # type: ignore[var-annotated]
            sender = multiprocessing.Process(
                target=hand_in, args=(there.base, there.key, clients, seconds * 2, thanked)
            )
            start, before = time.monotonic(), processor(there.process.pid)
            sender.start()
            time.sleep(seconds)
            used = processor(there.process.pid) - before
            there.process.send_signal(signal.SIGKILL)
            took = time.monotonic() - start
            ids = {one for _ in range(clients) for one in thanked.get()}
            sender.join()
        kept = {entry.identity for entry in spool.look(Path(folder) / "spool").entries}
        print(
            f"{len(ids):,} sign-ups in {took:.1f} s with {clients} clients: {len(ids) / took:,.0f} a second, "
            f"{used / max(1, len(ids)) * 1000:.2f} ms of processor each; killed: {len(ids - kept)} lost"
        )
        with served(Path(folder), rule=RULE) as there:
            times(there.base, there.key, PAT, 50)
            told("one field", times(there.base, there.key, {"email": "pat@gmial.com"}, 1000))
            told("a whole form", times(there.base, there.key, PAT, 1000))
            found: list[float] = []
            threads = [
                threading.Thread(
                    target=lambda: found.extend(times(there.base, there.key, PAT, 250))
                )
                for _ in range(4)
            ]
            for thread in threads:
                thread.start()
            for thread in threads:
                thread.join()
            told("a whole form, 4 at once", sorted(found))


if __name__ == "__main__":
    main(*map(float, sys.argv[1:2]), *map(int, sys.argv[2:3]))

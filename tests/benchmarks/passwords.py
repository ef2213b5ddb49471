"""How much faster first passwords are hashed on threads than one by one, in one run.

python tests/benchmarks/passwords.py [COUNT]
"""

from __future__ import annotations

import os
import sys
import time
from datetime import date

from onboard import passwords
from onboard.settings import PasswordRule


def main(count: int) -> None:
    firsts = [passwords.make(PasswordRule(), date(2026, 11, 25)) for _ in range(count)]
    passwords.hash_all(firsts[:1])  # loads the engine
    ratios = []
    for _ in range(5):
        start, busy = time.perf_counter(), time.process_time()
        for first in firsts:
            passwords.hash_all([first])
        alone, work = time.perf_counter() - start, time.process_time() - busy
        start, busy = time.perf_counter(), time.process_time()
        passwords.hash_all(firsts)
        together, work_together = time.perf_counter() - start, time.process_time() - busy
        ratios.append((alone / together, work_together / work))
    ratios.sort()
    speed, cost = ratios[len(ratios) // 2]
    print(f"{count} hashes on {os.cpu_count()} cores: {speed:.2f} times as fast as one by one")
    print(
        f"for {cost:.2f} times the processor time; one hash takes {1000 * work / count:.0f} ms of it"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)

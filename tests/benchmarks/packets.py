"""What packets cost: mail for many members, letters for a hundred, as ratios of one run.

    .venv/bin/python tests/benchmarks/packets.py [MEMBERS]

Figures are seconds of this process's own time, so that other work on the machine hardly counts;
the ratio is to the hash of one first password, which every packet needs too.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "welcome"))

from packets_made import COOP, FIRST, make

from onboard import passwords
from onboard.welcome import letters

NAMES = ("Pat Lee", "Ana Ruiz", "Seán O'Brien", "María José Núñez-Ortiz", "Bo Li")


def spent(since: float) -> float:
    return time.process_time() - since


def main(members: int) -> None:
    start = time.process_time()
    passwords.hash_all([FIRST] * 10)
    hashing = spent(start) / 10
    make()
    start = time.process_time()
    packets = [
        make(NAMES[n % len(NAMES)], language=("en", "es")[n % 2], id=n) for n in range(members)
    ]
    each = spent(start) / members
    print(f"{members} packets: {each * members:.2f} s, each {each / hashing:.2f} of a hash")
    start = time.process_time()
    pdf = letters.pdf(packets[:100], COOP)
    took = spent(start)
    print(f"{len(packets[:100])} letters in one PDF: {took:.2f} s, {len(pdf) // 1024} kB")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)

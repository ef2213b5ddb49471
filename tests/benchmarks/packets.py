"""What packets cost: email and letter of members with names and passwords of their own, as ratios.

    .venv/bin/python tests/benchmarks/packets.py [MEMBERS]

Figures are seconds of the processors' own time, this process's and the typesetter's, so that other work on
the machine hardly counts; the ratio is to the hash of one temporary password, which every packet needs too.
"""

from __future__ import annotations

import resource
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "welcome"))

from packets_made import COOP, FIRST, TODAY, member

from onboard import handles, passwords
from onboard.welcome import Packet, Packets, letters

FIRSTS = (
    "Pat",
    "Ana",
    "Seán",
    "María José",
    "Bo",
    "Wilhelmina",
    "Jo",
    "Esperanza",
    "Christopher",
    "Lu",
)
LASTS = (
    "Lee",
    "Ruiz",
    "O'Brien",
    "Núñez-Ortiz",
    "Li",
    "Okafor",
    "Fuentes",
    "Kowalczyk",
    "Vang",
    "Abernathy",
)


def spent() -> float:
    """Seconds of processor time so far, this process's and those of its children."""
    own, children = (
        resource.getrusage(of) for of in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    return own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime


def made(members: int) -> list[Packet]:
    """Packets for members who are called differently, in both languages by turns."""
    press, packets = Packets(COOP, TODAY), []
    for n in range(members):
        language = ("en", "es")[n % 2]
        name = f"{FIRSTS[n % 10]} {LASTS[n // 10 % 10]}"
        someone = member(name, language=language, id=n)
        first = passwords.make(COOP.password, TODAY, language=language)
        packets.append(press.packet(someone, first, handles.tell(someone.handle, language)))
    return packets


def main(members: int) -> None:
    start = spent()
    passwords.hash_all([FIRST] * 10)
    hashing = (spent() - start) / 10
    made(1)
    start = spent()
    packets = made(members)
    email = (spent() - start) / members / hashing
    start = spent()
    pdf = letters.pdf(packets[:100], COOP)
    letter = (spent() - start) / len(packets[:100]) / hashing
    print(f"{members} packets: an email costs {email:.2f} of a hash, a letter {letter:.2f}")
    print(
        f"with its hash {1 + email + letter:.2f} of a hash; 100 letters are {len(pdf) // 1024} kB"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)

"""How fast and how large the table of ZIP codes is, and how often a slip in one can be put right.

    python tests/benchmarks/places.py

load: seconds of this process's own time and MB of memory until the first answer; then look-ups a
second, and seconds for the index by city, which only a ZIP code at odds with its city needs.
slips: one digit of a ZIP code made wrong at random, city and state known. Of the slips that can be
noticed (the code is unknown, or of another city): how many have one suggestion, and is it right.
"""

from __future__ import annotations

import random
import resource
import time

before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss

from onboard.clean import place  # noqa: E402
from onboard.tables import zip_codes  # noqa: E402

SLIPS = 20_000


def megabytes() -> float:
    return (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024


def load() -> None:
    imported = megabytes()
    began = time.process_time()
    assert place.find("45801") is not None
    print(f"load: {time.process_time() - began:.3f} s, {megabytes() - imported:.0f} MB")
    codes = list(zip_codes.lines())
    began = time.process_time()
    for code in codes:
        place.find(code)
    first = len(codes) / (time.process_time() - began)
    began = time.process_time()
    for _ in range(20):
        for code in codes:
            place.find(code)
    again = 20 * len(codes) / (time.process_time() - began)
    print(f"look-ups: {first:,.0f} a second the first time a code is asked, {again:,.0f} after")
    print(f"with every ZIP code asked: {megabytes() - imported:.0f} MB")
    began = time.process_time()
    assert place.suggestion("48501", "Lima", "OH") == "45801"
    print(
        f"index by city: {time.process_time() - began:.2f} s, {megabytes() - imported:.0f} MB in all"
    )


def slips() -> None:
    chance = random.Random(1)
    kinds = {"S": "streets", "P": "boxes", "U": "one receiver"}
    codes = [code for code, line in zip_codes.lines().items() if line.split("\t")[3] in kinds]
    noticed = dict.fromkeys(kinds, 0)
    one, right = dict(noticed), dict(noticed)
    for code in chance.choices(codes, k=SLIPS):
        _, city, state, kind, *_ = zip_codes.lines()[code].split("\t")
        at = chance.randrange(5)
        digit = chance.choice([d for d in "0123456789" if d != code[at]])
        typed = code[:at] + digit + code[at + 1 :]
        if not any(
            f.code in NOTICED for f in place.clean(city=city, state=state, zip5=typed).findings
        ):
            continue
        found = place.suggestion(typed, city, state)
        noticed[kind] += 1
        one[kind] += bool(found)
        right[kind] += found == code
    for kind, what in kinds.items():
        print(
            f"slips in ZIP codes for {what}: {noticed[kind]} noticed, one suggestion for "
            f"{one[kind] / noticed[kind]:.1%}, the right one for {right[kind] / noticed[kind]:.1%}"
        )
    total = sum(noticed.values())
    print(
        f"slips in all: {total} of {SLIPS} noticed, one suggestion for {sum(one.values()) / total:.1%}, "
        f"the right one for {sum(right.values()) / total:.1%}"
    )


NOTICED = {"place.unknown_zip", "place.at_odds", "place.state_at_odds"}

if __name__ == "__main__":
    load()
    slips()

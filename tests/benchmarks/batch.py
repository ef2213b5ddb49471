"""How long the main job takes: join forms against a roster, stage by stage.

    python tests/benchmarks/batch.py [FORMS] [MEMBERS]

Prints one line a stage. The people are made up from the 1990 Census name lists (as shipped in
`onboard/tables`), so that common names are as common as in life; one form in ten is of somebody on
the roster. Rates are of one core except where hashing is in it, which uses all, and where a long file
is looked at by all processors. At the end it says what packets take beside hashing alone.
"""

from __future__ import annotations

import csv
import random
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

from onboard import cli, intake, passwords
from onboard import settings as settings_file
from onboard.clean import place, row
from onboard.model import Place, State, What
from onboard.office import Office
from onboard.roster import outgoing, store
from onboard.tables import rows, zip_codes
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.process_batch import process_batch
from onboard.tasks.write_packets import write_packets

HEADINGS = ["Name", "E-mail", "Cell phone", "Street", "Apt", "City", "State", "ZIP", "Drop site"]
STREETS = """Main,Elm,Oak,Mill,Ridge,Church,Maple,Walnut,Park,Washington,Lincoln,Cherry,Pine,High,
    Spring,School,North,Jackson,Water,Jefferson,Center,Adams,Franklin,River,Cedar,Hickory,Sunset,
    Locust,Meadow,Prospect""".replace("\n    ", "").split(",")
KINDS = ("St", "Street", "st.", "Ave", "Avenue", "Rd", "road", "Dr", "Ln", "Court")
LONG = 10_000  # forms of a long file
DEMO = Path(__file__).parents[2] / "fixtures_demo"


def names(chance: random.Random) -> Iterator[tuple[str, str]]:
    """Given and family names, as often as in the Census."""
    given: dict[str, int] = {}
    family: dict[str, int] = {}
    for name, as_given, as_family in rows("census_names"):
        given[name.capitalize()], family[name.capitalize()] = int(as_given), int(as_family)
    while True:
        yield from zip(
            *(chance.choices(list(some), list(some.values()), k=1000) for some in (given, family)),
            strict=True,
        )


@cache
def towns(miles: float = 40) -> list[tuple[Place, str]]:
    """Every ZIP code near a drop site of the demo, with the site that is nearest."""
    sites = settings_file.read(DEMO / "onboard.toml").sites
    at = {site.name: place.find(site.zip5) for site in sites if not site.closed}
    near = []
    for code in zip_codes.lines():
        if (spot := place.find(code)) and spot.area_codes and spot.latitude is not None:
            far = {name: place.miles(spot, other) for name, other in at.items() if other}
            name = min(far, key=lambda name: far[name])
            if far[name] < miles:
                near.append((spot, name))
    return near


def people(count: int, seed: int) -> list[list[str]]:
    """Rows under HEADINGS: homes and phones at random near the drop sites of the demo."""
    chance = random.Random(seed)
    made = []
    for number, (first, last) in zip(range(count), names(chance), strict=False):
        spot, site = chance.choice(towns())
        exchange = chance.choice([n for n in range(200, 1000) if n % 100 != 11 and n != 555])
        made.append([
            f"{first} {last}", f"{first}.{last}{number}@example.org".lower(),
            f"({chance.choice(spot.area_codes)}) {exchange}-{chance.randrange(10000):04}",
            f"{chance.randrange(1, 9999)} {chance.choice(STREETS)} {chance.choice(KINDS)}",
            f"apt {chance.randrange(1, 40)}" if chance.random() < 0.2 else "",
            spot.city.title(), spot.state, spot.zip5, site,
        ])  # fmt: skip
    return made


def write(file: Path, headings: list[str], lines: list[list[str]]) -> Path:
    with file.open("w", newline="", encoding="utf-8") as out:
        csv.writer(out).writerows([headings, *lines])
    return file


def main(forms: int = 1000, members: int = 10_000) -> None:
    """Time each stage once."""
    cli.tend_memory()  # as the commands do
    coop = settings_file.read(DEMO / "onboard.toml")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        coop = replace(coop, outbox=folder / "outbox")
        old, new = people(members, seed=1), people(forms, seed=2)
        new[::10] = [[p[0].upper(), p[1], "", *p[3:]] for p in old[: len(new[::10])]]
        handles = [[*p, f"m{n}x"] for n, p in enumerate(old)]
        roster_file = write(folder / "members.csv", [*HEADINGS, "Handle"], handles)
        forms_file = write(folder / "forms.csv", HEADINGS, new)
        engine = store.open_store(f"sqlite:///{folder / 'roster.db'}")
        office = Office(coop, engine, "benchmark")

        def timed(what: str, count: int, work: Callable[[], object]) -> float:
            began = time.perf_counter()
            work()
            took = time.perf_counter() - began
            print(f"{what:<46}{count:>9,} {took:>8.2f} s {count / took:>10,.0f} /s", flush=True)
            return took

        raw = list(intake.open_rows(forms_file).rows())
        timed("read", forms, lambda: list(intake.open_rows(forms_file).rows()))
        timed("clean", forms, lambda: [row.clean(r) for r in raw])
        timed("adopt the roster", members, lambda: adopt_members(office, intake.open_rows(roster_file, needed=("name", "handle")).rows(), file="members.csv", keep=True))  # fmt: skip
        looks = [("look", False)] * 5  # the same again: the machine's moods show
        for what, keep in (*looks, ("record, and index", True)):
            timed(f"{what}: read, clean, match, decide", forms, lambda keep=keep: process_batch(office, intake.open_rows(forms_file).rows(), file="forms.csv", keep=keep))  # fmt: skip
        new_members = write(folder / "long.csv", HEADINGS, people(LONG, seed=3))
        for processes in (1, 0) * 3:  # by turns
            what = f"look by {'one process' if processes else 'all processors'}"
            timed(what, LONG, lambda n=processes: process_batch(office, intake.open_rows(new_members).rows(), file="long.csv", keep=False, processes=n))  # type: ignore[misc]  # fmt: skip
        with office.reading() as connection:
            due = len(outgoing.by_state(connection, What.PACKET, State.DUE))
        firsts = [passwords.make(coop.password, office.today()) for _ in range(due)]
        before = timed("hash first passwords", due, lambda: passwords.hash_all(firsts))
        packets = timed("packets: hash, mail, letters", due, lambda: write_packets(office))
        after = timed("hash first passwords", due, lambda: passwords.hash_all(firsts))
        print(
            f"packets take {2 * packets / (before + after):.2f} times the time that hashing alone takes"
        )
        print(f"most memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:,.0f} MB")


if __name__ == "__main__":
    main(*(int(text) for text in sys.argv[1:]))

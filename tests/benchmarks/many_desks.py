"""Ten clients on one PostgreSQL: does anything get lost?

    python tests/benchmarks/many_desks.py [SECONDS] [CLIENTS]        (600 and 10)

Each client is a process. Round after round, it enrolls two new people in a batch, corrects the phone of one of them and that of a
member whom all clients correct, looks up who calls, and previews a batch. Who has to wait too long for a turn is told so, and
tries again. In the end the script checks, and ends with 1 if one thing is not so: all people of all batches are members, once, with
sign-in names of their own; every member has the phone that was set last; in the change log, each correction of the shared member
begins with what the one before it had set; there are as many as were made.
"""

from __future__ import annotations

import multiprocessing
import random
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from itertools import cycle, pairwise
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))
import postgres_server
from coop_forms import PHONES, form
from sqlalchemy import select

from onboard import settings as settings_file
from onboard.errors import StoreBusy
from onboard.model import RawRow
from onboard.office import Office
from onboard.roster import store, tables
from onboard.tasks.correct_member import correct_member
from onboard.tasks.look_up import look_up
from onboard.tasks.process_batch import process_batch

DEMO = Path(__file__).parents[2] / "fixtures_demo" / "onboard.toml"
SHARED = "Wilma Everybody"


@dataclass
class Done:
    """What a client did."""

    phones: dict[str, str] = field(default_factory=dict)  # by sign-in name, what was set last
    counts: Counter[str] = field(default_factory=Counter)
    slowest: float = 0.0
    troubles: list[str] = field(default_factory=list)


class Client:
    """One who works at the roster."""

    def __init__(self, url: str, number: int) -> None:
        self.office = Office(settings_file.read(DEMO), store.open_store(url), f"client {number}")
        self.number, self.done = number, Done()
        self.phones = cycle(PHONES[number::20])  # numbers that no other client gives
        self.names = random.Random(f"names {number}")

    def round(self, nth: int) -> None:
        names = [f"{self.word(2)} {self.word(6)}" for _ in range(2)]
        rows = [form_of(name, f"{nth + 1} {self.word(4)} St") for name in names]
        self.turn("batch", lambda: process_batch(self.office, rows, file="forms.csv", keep=True))
        handle = names[0].lower().replace(" ", "")
        mine, shared = next(self.phones), next(self.phones)
        self.turn(
            "correction", lambda: correct_member(self.office, handle, {"phone": mine}, keep=True)
        )
        self.done.phones[handle] = mine
        self.turn(
            "shared",
            lambda: correct_member(self.office, "wilmaeverybody", {"phone": shared}, keep=True),
        )
        self.turn("look-up", lambda: look_up(self.office, names[1]))
        self.turn("preview", lambda: process_batch(self.office, rows, file="forms.csv", keep=False))

    def word(self, syllables: int) -> str:
        """A name that is like that of no other client and round."""
        pairs = [
            self.names.choice("bdfghklmnprstvz") + self.names.choice("aeiou")
            for _ in range(syllables)
        ]
        return "".join(pairs).title()

    def turn(self, what: str, work: Any) -> None:
        begin = time.monotonic()
        while True:
            try:
                work()
                break
            except StoreBusy:
                self.done.counts["told to try again"] += 1
        self.done.counts[what] += 1
        self.done.slowest = max(self.done.slowest, time.monotonic() - begin)


def form_of(name: str, street: str) -> RawRow:
    given, family = name.split()
    email = f"{given}.{family}@example.org".lower()
    return form(full_name=name, email=email, phone="", street=street,
                city="Grinnell", state="IA", zip="50112")  # fmt: skip


def work(url: str, number: int, seconds: int, ready: Any, told: Any) -> None:
    client = Client(url, number)
    try:
        ready.wait(120)
        until, nth = time.time() + seconds, 0
        while time.time() < until:
            client.round(nth)
            nth += 1
    except BaseException as trouble:
        client.done.troubles.append(f"{type(trouble).__name__}: {trouble}")
    told.put(client.done)


def main(seconds: int = 600, clients: int = 10) -> int:
    where = postgres_server.programs()
    if where is None:
        print("PostgreSQL is not installed here.")
        return 2
    context = multiprocessing.get_context("spawn")
    with tempfile.TemporaryDirectory(), postgres_server.running(where) as url:
        first = Client(url, clients)
        process_batch(first.office, [form_of(SHARED, "1 Elm St")], file="forms.csv", keep=True)
        told, ready = context.Queue(), context.Barrier(clients)
        some = [
            context.Process(target=work, args=(url, n, seconds, ready, told))
            for n in range(clients)
        ]
        for one in some:
            one.start()
        done = [told.get() for _ in some]
        for one in some:
            one.join()
        faults = [trouble for one in done for trouble in one.troubles] + faults_of(first, done)
    counts = sum((one.counts for one in done), Counter())
    print(
        f"{clients} clients, {seconds} s:", ", ".join(f"{n:,} {what}" for what, n in counts.items())
    )
    print(f"longest wait for one thing, with its turn: {max(one.slowest for one in done):.1f} s")
    print(*(faults or ["nothing was lost"]), sep="\n")
    return int(bool(faults))


def faults_of(client: Client, done: list[Done]) -> list[str]:
    """What is not as it should be in the roster, in words."""
    with client.office.reading() as connection:
        member, change = tables.member.c, tables.journal.c
        members = {
            one.handle: one
            for one in connection.execute(select(member.handle, member.phone, member.id))
        }
        shared = members["wilmaeverybody"].id
        log = connection.execute(
            select(change.before, change.after).where(change.what == "corrected", change.about == f"member:{shared}")
            .order_by(change.id)
        ).all()  # fmt: skip
    faults = []
    wanted = 1 + 2 * sum(one.counts["batch"] for one in done)
    if len(members) != wanted:
        faults.append(f"{len(members)} members, not {wanted}")
    for one in done:
        for handle, phone in one.phones.items():
            if members[handle].phone[-10:] != phone.replace("-", ""):
                faults.append(f"{handle} has {members[handle].phone}, and {phone} was set last")
    made = sum(one.counts["shared"] for one in done)
    if len(log) != made:
        faults.append(
            f"{len(log)} corrections of the shared member are in the change log, not {made}"
        )
    for earlier, later in pairwise(log):
        if earlier.after != later.before:
            faults.append(
                f"a correction began with {later.before}, and the one before it had set {earlier.after}"
            )
    return faults


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))

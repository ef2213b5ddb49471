"""A batch killed at random moments, then run again, ends as an undisturbed one does."""

from __future__ import annotations

import email
import multiprocessing
import os
import random
import re
import signal
import time
from collections.abc import Iterator
from dataclasses import replace
from email.message import EmailMessage
from email.policy import default
from pathlib import Path

import pytest
from coop_forms import NOON, PAT, contents, form, office_of
from sqlalchemy import select

from onboard import passwords
from onboard.model import RawRow, Signature, State, What
from onboard.roster import outgoing, store, tables
from onboard.settings import Settings
from onboard.tasks import write_packets as tasks
from onboard.tasks.process_batch import process_batch

ROBIN = Signature("Robin", NOON)
# Forked from a server that has imported everything and started no thread: quick, and sound.
FORK = multiprocessing.get_context("forkserver")
FORK.set_forkserver_preload(
    ["onboard.tasks.process_batch", "onboard.tasks.write_packets", "test_kill"]
)


def forms() -> list[RawRow]:
    """Thirty sign-ups, a few of them twice, a few without an address, so that some are on hold."""
    given = ["Ana", "Bo", "Cy", "Dee", "Eli", "Flo", "Gus", "Hal", "Ivy", "Jo", "Kit", "Lou"]
    family = ["Ash", "Birch", "Cedar", "Dogwood", "Elm"]
    rows = []
    for n in range(30):
        first, last = given[n % 12], family[n // 12 + n % 2]
        rows.append(
            form(n + 2, **(PAT | {
                "full_name": f"{first} {last}",
                "email": "" if n % 17 == 5 else f"{first}.{last}@example.org".lower(),
                "phone": f"419-555-01{n:02}",
                "street": f"{100 + 3 * n} {last} Lane",
            }))
        )  # fmt: skip
    return rows + [form(70 + n, **dict(rows[n].fields) | {"phone": ""}) for n in (3, 9)]


def hash_quickly() -> None:
    """Here a hash need not be costly, and a thousand are made."""
    passwords.MEMORY_KIB, passwords.PASSES = 8, 1
    passwords._hasher.cache_clear()


@pytest.fixture(autouse=True)
def costly_again() -> Iterator[None]:
    """The cost of a hash, for the tests that follow in this process."""
    was = passwords.MEMORY_KIB, passwords.PASSES
    yield
    passwords.MEMORY_KIB, passwords.PASSES = was
    passwords._hasher.cache_clear()


def whole_batch(url: str, coop: Settings) -> None:
    hash_quickly()
    tasks.AT_ONCE = 10  # packets a transaction: three of them, so that kills fall between too
    engine = store.open_store(url)
    process_batch(office_of(coop, engine, ROBIN), forms(), file="forms.csv", keep=True)
    tasks.write_packets(office_of(coop, engine, ROBIN))
    engine.dispose()


def killed_after(seconds: float, url: str, coop: Settings) -> bool:
    """Whether the batch was still running when it was killed."""
    child = FORK.Process(target=whole_batch, args=(url, coop))
    child.start()
    child.join(seconds)
    if running := child.is_alive():
        assert child.pid is not None
        os.kill(child.pid, signal.SIGKILL)
    child.join()
    return running


def phrase_in(packet: Path) -> str:
    """The first password that a packet tells, from its text part."""
    message = email.message_from_bytes(packet.read_bytes(), policy=default)
    assert isinstance(message, EmailMessage)
    body = message.get_body(("plain",))
    assert body is not None
    words = re.findall(r"^\s*([a-z]+(?:[ -][a-z]+){4,})\s*$", body.get_content(), re.MULTILINE)
    assert len(words) == 1, body.get_content()
    return words[0]


def sound_packets(url: str, outbox: Path) -> set[str]:
    """The members who can sign in with what their packet says."""
    with store.transaction(store.open_store(url)) as connection:
        members = connection.execute(select(tables.member)).all()
        written = outgoing.by_state(connection, What.PACKET, State.WRITTEN)
    letters = {p.name for p in outbox.glob("letters-*.pdf")}
    assert {line.letter for line in written} == letters
    return {
        m.handle
        for m in members
        if m.id in {line.member_id for line in written}
        and passwords.verify(phrase_in(outbox / f"{m.handle}.eml"), m.password_hash)
    }


@pytest.fixture(scope="module")
def seed() -> int:
    return random.SystemRandom().randrange(10**6)


def test_twenty_kills_lose_nothing_and_enrol_nobody_twice(
    coop: Settings, tmp_path: Path, seed: int
) -> None:
    chance = random.Random(seed)
    calm = f"sqlite:///{tmp_path / 'calm.db'}"
    began = time.monotonic()
    whole_batch(calm, coop)
    took = time.monotonic() - began
    expected = contents(store.open_store(calm))
    assert expected["member"]

    disturbed = 0
    for number in range(20):
        url = f"sqlite:///{tmp_path / f'killed{number}.db'}"
        place = replace(coop, outbox=tmp_path / f"outbox{number}")
        disturbed += killed_after(chance.uniform(0, took), url, place)
        whole_batch(url, place)
        assert contents(store.open_store(url)) == expected, f"seed {seed}, kill {number}"
        handles = sound_packets(url, place.outbox)
        assert len(handles) == len(expected["member"]), f"seed {seed}, kill {number}"
        assert not list(place.outbox.glob("*.tmp*")), f"seed {seed}, kill {number}"
    assert disturbed >= 5, f"seed {seed}: the kills came too late to show anything"

"""A batch killed at any moment that can matter, then run again, ends as an undisturbed one does."""

from __future__ import annotations

import email
import multiprocessing
import os
import re
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from email.message import EmailMessage
from email.policy import default
from pathlib import Path
from typing import Any

import pytest
from coop_forms import NOON, PAT, contents, form, office_of
from sqlalchemy import Engine, event, select

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
    """Twelve sign-ups, two of them twice, one without an address, so that some are on hold."""
    given = ["Ana", "Bo", "Cy", "Dee", "Eli", "Flo", "Gus", "Hal", "Ivy", "Jo", "Kit", "Lou"]
    family = ["Ash", "Birch", "Cedar", "Dogwood", "Elm"]
    rows = []
    for n in range(12):
        first, last = given[n], family[n % 5]
        rows.append(
            form(n + 2, **(PAT | {
                "full_name": f"{first} {last}",
                "email": "" if n == 5 else f"{first}.{last}@example.org".lower(),
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
    """The cost of a hash, and letters, for the tests that follow in this process."""
    was = passwords.MEMORY_KIB, passwords.PASSES, tasks.AT_ONCE, tasks.letters.pdf
    yield
    passwords.MEMORY_KIB, passwords.PASSES, tasks.AT_ONCE, tasks.letters.pdf = was
    passwords._hasher.cache_clear()


def whole_batch(url: str, coop: Settings) -> None:
    hash_quickly()
    tasks.AT_ONCE = 4  # packets a transaction: three of them, so that kills fall between too
    # What typesets the letters keeps nothing, and takes longest.
    tasks.letters.pdf = lambda packets, settings: b"%PDF-1.7\n/Creator (Typst)"  # type: ignore[assignment]
    engine = store.open_store(url)
    process_batch(office_of(coop, engine, ROBIN), forms(), file="forms.csv", keep=True)
    tasks.write_packets(office_of(coop, engine, ROBIN))
    engine.dispose()


@contextmanager
def at_each_step(tell: Callable[[str], None]) -> Iterator[None]:
    """Tell of all that reaches the disk, just before it does: what a kill between two of them leaves, it leaves
    wherever it falls between."""
    sync, put = os.fsync, os.replace

    def told(what: str, do: Callable[..., Any]) -> Callable[..., Any]:
        def telling(*args: Any, **more: Any) -> Any:
            tell(what)
            return do(*args, **more)

        return telling

    def of_roster(*args: Any) -> None:
        tell("commit" if len(args) == 1 else "statement")

    moments = ("commit", "before_cursor_execute")
    os.fsync, os.replace = told("sync", sync), told("replace", put)
    for moment in moments:
        event.listen(Engine, moment, of_roster)
    try:
        yield
    finally:
        os.fsync, os.replace = sync, put
        for moment in moments:
            event.remove(Engine, moment, of_roster)


def steps_of(url: str, coop: Settings) -> list[str]:
    """A batch that nothing disturbs, and each of its steps."""
    steps: list[str] = []
    with at_each_step(steps.append):
        whole_batch(url, coop)
    return steps


def up_to(step: int, url: str, coop: Settings) -> None:
    """A batch that is killed just before this step of it."""
    left = [step]

    def count(_: str) -> None:
        if not left[0]:
            os.kill(os.getpid(), signal.SIGKILL)
        left[0] -= 1

    with at_each_step(count):
        whole_batch(url, coop)


def killed_at(step: int, url: str, coop: Settings) -> None:
    child = FORK.Process(target=up_to, args=(step, url, coop))
    child.start()
    child.join()
    assert child.exitcode == -signal.SIGKILL, f"it ended before step {step}"


def moments_of(steps: list[str], many: int) -> list[int]:
    """So many steps to be killed at: around each commit, at files, and evenly all over."""
    commits = [at for at, what in enumerate(steps) if what == "commit"]
    files = [at for at, what in enumerate(steps) if what == "replace"]
    chosen = {*commits[1:], *(at + 1 for at in commits[1:-1]), *files[:: max(1, len(files) // 4)]}
    chosen = set(sorted(chosen)[:: max(1, len(chosen) * 4 // (3 * many))])
    last, number = commits[-1], 0
    while len(chosen) < many:
        number += 1
        chosen.add(number * 7919 % last)
    return sorted(chosen)[:many]


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


def test_twenty_kills_lose_nothing_and_enrol_nobody_twice(coop: Settings, tmp_path: Path) -> None:
    calm = f"sqlite:///{tmp_path / 'calm.db'}"
    steps = steps_of(calm, coop)
    assert steps.count("commit") >= 5
    assert steps.count("replace") >= 10
    expected = contents(store.open_store(calm))
    assert expected["member"]
    for step in moments_of(steps, 20):
        url = f"sqlite:///{tmp_path / f'killed{step}.db'}"
        place = replace(coop, outbox=tmp_path / f"outbox{step}")
        killed_at(step, url, place)
        whole_batch(url, place)
        assert contents(store.open_store(url)) == expected, f"killed before step {step}"
        handles = sound_packets(url, place.outbox)
        assert len(handles) == len(expected["member"]), f"killed before step {step}"
        assert not list(place.outbox.glob("*.tmp*")), f"killed before step {step}"

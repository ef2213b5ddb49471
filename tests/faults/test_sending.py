"""Emails are sent once each, whoever else is at work and whenever a program ends."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import random
import re
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import timedelta
from email import message_from_bytes, policy
from pathlib import Path
from typing import Any

import listed
import pytest
from aiosmtpd.smtp import SMTP, Envelope, Session
from coop_forms import NOON, PAT, ROBIN, form, office_of
from sqlalchemy import text
from welcome.mail_server import Box, listening

from onboard import passwords
from onboard.errors import SendTrouble
from onboard.mail import post
from onboard.mail.line import Line
from onboard.model import Change, Event, Outgoing, State, What
from onboard.office import Office
from onboard.roster import change, journal, outgoing, search, store
from onboard.settings import DeskRule, Settings
from onboard.tasks.correct_member import correct_member
from onboard.tasks.forget_member import forget_member
from onboard.tasks.process_batch import process_batch
from onboard.tasks.reissue import reissue
from onboard.tasks.send_packets import Posted, send_packets
from onboard.tasks.write_packets import write_packets

FORK = multiprocessing.get_context("forkserver")
FORK.set_forkserver_preload(["onboard.tasks.send_packets", "onboard.welcome.message"])
NAMES = ("Pat Lee", "Kim Vale", "Ana Ruiz", "Bo Li", "Joan Weber", "Omar Haddad")


@dataclass
class Busy(Box):
    """A mail server that does something between taking a message and answering for it."""

    meanwhile: Callable[[int], None] = lambda taken: None

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        reply = await super().handle_DATA(server, session, envelope)
        self.meanwhile(len(self.taken))
        return reply


@dataclass
class Place:
    """A co-op whose packets are written: its settings, its roster's address, its mail server."""

    settings: Settings
    url: str
    box: Busy

    def office(self) -> Office:
        return office_of(self.settings, store.open_store(self.url), ROBIN)

    def send(self) -> list[Posted]:
        return send(self.settings, self.url)

    def got(self) -> Counter[str]:
        """How many messages the server took, by address."""
        return Counter(to for envelope in self.box.taken for to in envelope.rcpt_tos)

    def packet(self, number: int = 1) -> State | None:
        return listed.packet(store.open_store(self.url), number)

    def journaled(self, number: int = 1) -> list[str]:
        with store.reading(store.open_store(self.url)) as connection:
            return [what for _, _, what, _, _ in journal.read(connection, f"member:{number}")]


def send(settings: Settings, url: str) -> list[Posted]:
    office = office_of(settings, store.open_store(url), ROBIN)
    return send_packets(office, really=True, plain_on_loopback=True, wait=lambda seconds: None)


@contextmanager
def place_at(url: str, coop: Settings, names: tuple[str, ...]) -> Iterator[Place]:
    """A mail server, and a roster with a written packet for each of these people."""
    box = Busy()
    with listening(box, None, "plain") as server:
        settings = replace(coop, mail=server, desk=DeskRule(may_reissue=("Robin",)))
        place = Place(settings, url, box)
        rows = [
            form(n, **(PAT | {
                "full_name": name, "email": f"{name.split()[0].lower()}@example.org",
                "phone": f"{(419, 614)[n // 100]}-555-01{n % 100:02}", "street": f"{n + 1}00 Oak St",
            }))
            for n, name in enumerate(names)
        ]  # fmt: skip
        process_batch(place.office(), rows, file="forms.csv", keep=True)
        write_packets(place.office())
        yield place


@pytest.fixture
def place(tmp_path: Path, coop: Settings) -> Iterator[Place]:
    with place_at(f"sqlite:///{tmp_path / 'roster.db'}", coop, NAMES[:2]) as made:
        yield made


@pytest.fixture(params=["sqlite", "postgresql"])
def crowd(request: pytest.FixtureRequest, tmp_path: Path, coop: Settings) -> Iterator[Place]:
    """Six members, in a file and on a server."""
    url = f"sqlite:///{tmp_path / 'roster.db'}"
    if request.param == "postgresql":
        url = request.getfixturevalue("server")
    with place_at(url, coop, NAMES) as made:
        yield made
    if request.param == "postgresql":
        with store.open_store(url).begin() as connection:
            tables = ", ".join(t.name for t in store_tables())
            connection.execute(text(f"TRUNCATE {tables} RESTART IDENTITY"))


def store_tables() -> list[Any]:
    from onboard.roster import tables

    return list(tables.metadata.sorted_tables)


def phrase(message: bytes) -> str:
    body = message_from_bytes(message, policy=policy.default).get_body(("plain",))
    words = re.findall(r"^\s*([a-z]+(?:[ -][a-z]+){4,})\s*$", body.get_content(), re.MULTILINE)
    return str(words[0])


def in_the_middle(place: Place, what: Callable[[Office], object]) -> None:
    """Do it while the first message has been taken, and is not answered for."""

    def meanwhile(taken: int) -> None:
        if taken == 1:
            what(place.office())

    place.box.meanwhile = meanwhile


# ---------------------------------------------------------------- somebody else at work


def test_a_packet_reissued_while_it_is_sent_goes_out_with_the_new_password(place: Place) -> None:
    in_the_middle(place, lambda office: reissue(office, "patlee", ["call-back"], keep=True))
    place.send()
    assert place.packet() is State.WRITTEN
    assert "packet sent too late" in place.journaled()
    place.send()
    assert place.packet() is State.SENT
    assert place.got() == {"pat@example.org": 2, "kim@example.org": 1}
    with store.reading(store.open_store(place.url)) as connection:
        member = search.members_by_number(connection, [1])[1]
    old, new = (phrase(e.content) for e in place.box.taken if "pat@example.org" in e.rcpt_tos)  # type: ignore[arg-type]
    assert passwords.verify(new, member.password_hash)
    assert not passwords.verify(old, member.password_hash)


def test_a_packet_whose_address_is_corrected_while_it_is_sent_waits_for_a_check(
    place: Place,
) -> None:
    new = {"email": "pat.new@example.net"}
    in_the_middle(place, lambda office: correct_member(office, "patlee", new, keep=True))
    place.send()
    assert place.packet() is State.WAITING
    place.box.meanwhile = lambda taken: None
    (notice,) = (one for one in place.send() if one.name.startswith("notice-"))
    assert isinstance(notice.outcome, post.Sent)
    assert "pat.new@example.net" not in place.got()


def test_an_account_closed_while_its_packet_is_sent_has_none(place: Place) -> None:
    def close(office: Office) -> None:
        with office.transaction() as connection:
            closed = Change(1, "standing", "open", "closed", "asked to leave")
            assert change.apply(connection, [closed], ROBIN) == []

    in_the_middle(place, close)
    place.send()
    assert place.packet() is None
    assert listed.lines(store.open_store(place.url))[0].state is State.VOID
    with store.reading(store.open_store(place.url)) as connection:
        assert outgoing.count(connection) == {State.SENT: 1}


def test_a_member_forgotten_while_their_packet_is_sent_stops_nobody_elses(place: Place) -> None:
    in_the_middle(place, lambda office: forget_member(office, "patlee", keep=True))
    place.send()
    assert place.got() == {"pat@example.org": 1, "kim@example.org": 1}
    assert listed.lines(store.open_store(place.url)) == []
    assert place.packet(2) is State.SENT


@pytest.mark.parametrize("column", ["consent", "standing"])
def test_who_is_not_to_be_written_to_any_more_is_asked_at_the_last_moment(
    place: Place, column: str
) -> None:
    def change_kim(office: Office) -> None:
        value = {"consent": False, "standing": "closed"}[column]
        before = {"consent": None, "standing": "open"}[column]
        with office.transaction() as connection:
            assert change.apply(connection, [Change(2, column, before, value, "")], ROBIN) == []

    in_the_middle(place, change_kim)
    place.send()
    assert place.got() == {"pat@example.org": 1}


def test_two_programs_at_once_send_each_message_once(crowd: Place) -> None:
    both = threading.Barrier(2)
    waited = threading.Event()

    def meanwhile(taken: int) -> None:
        waited.wait(0.05)  # so that the two are at it together

    crowd.box.meanwhile = meanwhile
    told: list[Posted] = []

    def run() -> None:
        both.wait()
        told.extend(crowd.send())

    threads = [threading.Thread(target=run) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(crowd.got().values()) == {1}
    assert len(crowd.got()) == len(NAMES)
    assert Counter(type(one.outcome) for one in told) == {post.Sent: len(NAMES)}
    assert {crowd.packet(n) for n in range(1, len(NAMES) + 1)} == {State.SENT}


# ---------------------------------------------------------------- a program that ends


def test_a_program_killed_while_it_sends_sends_nothing_twice(
    tmp_path: Path, coop: Settings
) -> None:
    """Killed after the server took a message and before it answered, then at random moments."""
    chance = random.Random(7)
    with place_at(f"sqlite:///{tmp_path / 'roster.db'}", coop, NAMES) as place:
        for turn in range(4):
            child = FORK.Process(target=send, args=(place.settings, place.url))

            def kill(taken: int, child: Any = child, at: int = turn + 1) -> None:
                if taken == at:
                    os.kill(child.pid, signal.SIGKILL)

            place.box.meanwhile = kill if turn < 2 else lambda taken: None
            child.start()
            child.join(60 if turn < 2 else chance.uniform(0.3, 1.0))
            if child.is_alive():
                os.kill(child.pid, signal.SIGKILL)
            child.join()
        place.box.meanwhile = lambda taken: None
        before = Counter(place.packet(n) for n in range(1, len(NAMES) + 1))
        told = place.send()
        assert set(place.got().values()) == {1}, "nothing goes out twice"
        asked = [one for one in told if isinstance(one.outcome, post.Unsure)]
        stands = Counter(place.packet(n) for n in range(1, len(NAMES) + 1))
        assert stands[State.SENT] + stands[State.UNSURE] == len(NAMES)
        assert stands[State.UNSURE] >= 2, "those at which it was killed"
        # At what the others were killed, the one that came after each of them told.
        assert len(asked) == before[State.CLAIMED], "told to whoever sends next"
        assert place.send() == [], "and nothing is left to send"


# Members and kills: few, so that it is quick. With ONBOARD_MANY=1 as many as a real day may have.
MANY, KILLS = (110, 10) if os.environ.get("ONBOARD_MANY") else (14, 4)


def many_names(number: int) -> tuple[str, ...]:
    """Invented people who are not alike."""
    first = [a + b for a in ("Bel", "Cor", "Dav", "Fen", "Gus", "Hal", "Jor", "Lin", "Mar", "Ros", "Tam")
             for b in ("ana", "bert", "etta", "ico", "una", "win", "ola", "eth", "iro", "usk")]  # fmt: skip
    last = [a + b for a in ("Ash", "Brook", "Clay", "Drum", "East", "Ford", "Glen", "Hart", "Kirk", "Wood", "York")
            for b in ("bury", "croft", "den", "field", "gate", "ham", "ley", "mond", "ridge", "ton")]  # fmt: skip
    mixed = random.Random(3)
    mixed.shuffle(first)
    mixed.shuffle(last)
    return tuple(f"{one} {other}" for one, other in zip(first, last, strict=True))[:number]


def test_two_senders_killed_at_random_moments_send_nothing_twice_and_leave_nothing_untold(
    tmp_path: Path, coop: Settings
) -> None:
    """Two programs send at once; again and again one of them is killed, and another takes its place."""
    chance = random.Random(20261129)
    with place_at(f"sqlite:///{tmp_path / 'roster.db'}", coop, many_names(MANY)) as place:
        place.box.meanwhile = lambda taken: time.sleep(0.02)  # so that kills fall in the middle
        with store.reading(store.open_store(place.url)) as connection:
            lines = outgoing.by_state(connection, What.PACKET, State.WRITTEN)
        everybody = [line.member_id for line in lines]
        assert len(everybody) >= MANY * 0.9, "all but a few, who are asked about"

        def sender() -> Any:
            child = FORK.Process(target=send, args=(place.settings, place.url))
            child.start()
            return child

        children = [sender(), sender()]
        kills = 0
        while kills < KILLS and any(child.is_alive() for child in children):
            before = len(place.box.taken)
            deadline = time.monotonic() + 30
            while len(place.box.taken) == before and time.monotonic() < deadline:
                time.sleep(0.005)
            time.sleep(chance.uniform(0, 0.15))
            at = chance.randrange(2)
            if children[at].is_alive():
                os.kill(children[at].pid, signal.SIGKILL)
                kills += 1
            children[at].join()
            children[at] = sender()
        for child in children:
            child.join(300)
        told = place.send()
        stands = Counter(place.packet(n) for n in everybody)
        print(
            f"{len(everybody)} emails, {kills} kills: {dict(stands)}, taken {len(place.box.taken)}"
        )
        assert kills >= KILLS // 2
        assert set(place.got().values()) == {1}, "nothing goes out twice"
        assert stands[State.SENT] + stands[State.UNSURE] == len(everybody), (
            "nothing is unsent and untold"
        )
        assert stands[State.UNSURE] <= kills
        never = set(everybody) - {n for n in everybody if place.packet(n) is State.UNSURE}
        assert all(place.packet(n) is State.SENT for n in never)
        assert all(isinstance(one.outcome, post.Unsure) for one in told)
        assert place.send() == []


def test_sending_broken_off_in_the_middle_is_told_apart(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    place.box.mail = ["553 5.7.1 Not your address"]
    with pytest.raises(SendTrouble):
        place.send()
    assert place.packet() is State.WRITTEN  # it cannot have been taken

    def interrupted(line: Line, client: object) -> tuple[int, bytes]:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched, pytest.raises(KeyboardInterrupt):
        patched.setattr(Line, "end", interrupted)
        place.send()
    assert place.packet() is State.UNSURE  # nobody can know
    place.send()
    assert place.got() == {"kim@example.org": 1}


@pytest.mark.parametrize(
    ("claim", "age", "stands"),
    [
        ("elsewhere:1", timedelta(minutes=31), State.UNSURE),
        ("elsewhere:1", timedelta(minutes=29), State.CLAIMED),
        ("here:999999999", timedelta(0), State.UNSURE),
        ("here:self", timedelta(0), State.CLAIMED),
    ],
)
def test_a_claim_that_nobody_holds_any_more_is_asked_and_never_sent(
    place: Place, monkeypatch: pytest.MonkeyPatch, claim: str, age: timedelta, stands: State
) -> None:
    monkeypatch.setattr("socket.gethostname", lambda: "here")
    engine = store.open_store(place.url)
    with store.transaction(engine) as connection:
        (line, _) = written(engine)
        outgoing.step(
            connection, [line.id], Event.CLAIM, replace(ROBIN, when=NOON - age),
            claim=claim.replace("self", str(os.getpid())),
        )  # fmt: skip
    looked = send_packets(office_of(place.settings, engine, ROBIN), really=False)
    assert place.packet() is State.CLAIMED, "a look changes nothing"
    told = place.send()
    assert place.packet() is stands
    assert "pat@example.org" not in place.got()
    for some in (looked, told):
        asked = [one.name for one in some if isinstance(one.outcome, post.Unsure)]
        assert asked == (["patlee"] if stands is State.UNSURE else [])


def written(engine: Any) -> list[Outgoing]:
    return listed.lines(engine, 1) + listed.lines(engine, 2)


# ---------------------------------------------------------------- the server says no


def test_what_a_server_refuses_for_good_is_not_tried_again(place: Place) -> None:
    place.box.rcpt = {"pat@example.org": ["550 5.1.1 No such user"]}
    place.send()
    assert (place.packet(), place.packet(2)) == (State.REFUSED, State.SENT)
    (line,) = listed.lines(store.open_store(place.url))
    assert line.why == "550 5.1.1 No such user"
    assert place.send() == []


def test_each_trouble_of_a_server_concerns_one_email_and_all_of_them_are_settled(
    tmp_path: Path, coop: Settings
) -> None:
    """One is refused, two put off and then taken, two cut off before the server has answered."""
    with place_at(f"sqlite:///{tmp_path / 'roster.db'}", coop, NAMES) as place:
        place.box.rcpt = {
            "kim@example.org": ["550 5.1.1 No such user"],
            "ana@example.org": ["451 4.7.1 Later"],
        }
        place.box.data = ["250 2.0.0 Taken", "drop after", "451 4.3.0 Not now", "drop"]
        told = Counter(type(one.outcome).__name__ for one in place.send())
        assert told == {"Sent": 3, "NotSent": 1, "Unsure": 2}
        assert set(place.got().values()) == {1}
        stands = Counter(place.packet(n) for n in range(1, len(NAMES) + 1))
        assert stands == {State.SENT: 3, State.REFUSED: 1, State.UNSURE: 2}
        assert place.send() == []


def test_what_is_put_off_is_free_for_others_meanwhile_and_waits_in_the_end(place: Place) -> None:
    place.box.rcpt = {"pat@example.org": ["451 4.7.1 Later"] * 9}
    seen: list[State | None] = []
    office = place.office()
    send_packets(
        office, really=True, plain_on_loopback=True, wait=lambda _: seen.append(place.packet())
    )
    assert seen == [State.WRITTEN] * 3
    assert place.packet() is State.WRITTEN


# ---------------------------------------------------------------- a roster that others write to, a server that hangs


def test_a_batch_that_is_saved_meanwhile_makes_no_sender_give_up(place: Place) -> None:
    """Somebody holds the roster for longer than a try waits, while a message is claimed and recorded."""
    held, free = threading.Event(), threading.Event()

    def hold() -> None:
        with sqlite3.connect(place.url.removeprefix("sqlite:///"), timeout=60) as other:
            other.execute("BEGIN IMMEDIATE")
            held.set()
            free.wait(14)
            other.rollback()

    def meanwhile(taken: int) -> None:
        if taken == 1:
            threading.Thread(target=hold).start()
            held.wait(5)

    place.box.meanwhile = meanwhile
    told = place.send()
    free.set()
    assert [type(one.outcome) for one in told] == [post.Sent, post.Sent]
    assert place.got() == {"pat@example.org": 1, "kim@example.org": 1}
    assert (place.packet(), place.packet(2)) == (State.SENT, State.SENT)


def test_a_server_that_hangs_after_the_message_leaves_it_unsure_and_the_others_go(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("onboard.mail.line.PATIENCE", 0.5)
    monkeypatch.setattr("onboard.mail.line.PATIENCE_AT_END", 1.0)
    place.box.meanwhile = lambda taken: time.sleep(2.5) if taken == 1 else None
    told = {one.name: one.outcome for one in place.send()}
    assert isinstance(told["patlee"], post.Unsure)
    assert isinstance(told["kimvale"], post.Sent)
    assert (place.packet(), place.packet(2)) == (State.UNSURE, State.SENT)
    assert place.send() == []


@pytest.mark.parametrize("swallowed", [False, True])
def test_ctrl_c_stops_the_sending_and_keeps_what_went_out(
    place: Place, tmp_path: Path, swallowed: bool
) -> None:
    """Also where Python drops it, as it does in the middle of tidying up."""
    stops = threading.Event()
    code = (
        "import os, signal, sys, weakref\n"
        "from pathlib import Path\n"
        "from onboard.cli.packets import Stop\n"
        "from onboard.office import Office\n"
        "from onboard.tasks.send_packets import send_packets\n"
        "import pickle\n"
        "settings, url = pickle.loads(Path(sys.argv[1]).read_bytes())\n"
        "from onboard.roster import store\n"
        "from coop_forms import NOON\n"
        "office = Office(settings, store.open_store(url), 'Robin', lambda: NOON)\n"
        "stop = Stop()\n"
        "class Thing: pass\n"
        "def tell(posted):\n"
        "    print(posted.name, type(posted.outcome).__name__, flush=True)\n"
        "    if sys.argv[2] == 'True':\n"
        "        thing = Thing()\n"
        "        one = weakref.ref(thing, lambda _: os.kill(os.getpid(), signal.SIGINT))\n"
        "        del thing\n"
        "    stop.look()\n"
        "with stop.heard():\n"
        "    send_packets(office, really=True, plain_on_loopback=True, tell=tell)\n"
    )
    (tmp_path / "place").write_bytes(pickle.dumps((place.settings, place.url)))
    if not swallowed:
        place.box.meanwhile = lambda taken: (stops.set(), time.sleep(3))[0]  # type: ignore[func-returns-value]
    run = subprocess.Popen(
        [sys.executable, "-c", code, str(tmp_path / "place"), str(swallowed)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env=os.environ | {"PYTHONPATH": str(Path(__file__).parents[1])},
    )  # fmt: skip
    if not swallowed:
        assert stops.wait(60)
        pressed = time.monotonic()
        run.send_signal(signal.SIGINT)
    out, err = run.communicate(timeout=60)
    assert "KeyboardInterrupt" in err
    if swallowed:
        assert out.splitlines() == ["patlee Sent"]
        assert (place.packet(), place.packet(2)) == (State.SENT, State.WRITTEN)
    else:
        assert time.monotonic() - pressed < 2.5, "it does not wait for the server"
        assert (place.packet(), place.packet(2)) == (State.UNSURE, State.WRITTEN)

"""A year of a co-op, day by day, and who should have been reminded of what, told by other means than the program's.

Members join and leave, say no to email, and move their email address to one that comes back; windows move, a drop site
closes. Each day the reminders are made and sent, and now and then the program is killed in the middle of it. On some days
they go through a real mail server that refuses, delays and drops.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import sqlite3
import tempfile
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from email import message_from_bytes, policy
from pathlib import Path
from typing import Any
from unittest.mock import patch
from zoneinfo import ZoneInfo

from aiosmtpd.smtp import SMTP, Envelope, Session
from sqlalchemy import Engine, event
from welcome.mail_server import Box, listening

from onboard.errors import SendTrouble
from onboard.mail import outbox
from onboard.mail.line import Line
from onboard.office import Office
from onboard.roster import reminded, store
from onboard.settings import (
    Group,
    HandleRule,
    MailServer,
    PasswordRule,
    ReminderRule,
    Settings,
    Site,
    Window,
)
from onboard.tasks import claims, send_reminders
from onboard.tasks.moved_windows import tell_moved_windows
from onboard.tasks.reminders_by_hand import write_postcards, write_texts
from onboard.tasks.write_reminders import ask_again, write_reminders
from onboard.welcome import letters

ASKED = "How should we remind you?"
GROUPS = ("Lake", "Hill", "Valley")
ZONE = ZoneInfo("America/New_York")
FIRST = date(2027, 1, 1)
RULE = ReminderRule(way_question=ASKED)
PRINT = letters.postcards
KINDS = {
    "your ordering days start soon": "opens soon",
    "it is time to order": "open now",
    "your ordering days end soon": "closes soon",
    "your ordering days are over": "no order",
}
KILLED = 9  # what a process that is killed ends with


class Killed(BaseException):
    """Stands for the end of the program, where it is not a process of its own."""


@dataclass
class Person:
    """A member, as the year knows them."""

    number: int
    group: str
    site: str
    email: str
    consent: bool | None
    answer: str
    joined: date
    closed: bool = False
    bounced: bool = False
    ordered: set[str] = field(default_factory=set)
    listed: date | None = None  # of the newest list that has them

    def way(self) -> str | None:
        """How they should be reminded; None: not at all."""
        if self.closed or self.answer == "none":
            return None
        if self.answer in ("text", "postcard"):
            return {"text": "text", "postcard": "letter"}[self.answer]
        if not self.email:
            return "letter"
        if not self.consent:
            return None
        return "letter" if self.bounced else "email"


class Server:
    """What stands for the mail server: a file with a line for each message that it took."""

    waits: tuple[float, ...] = ()
    failures = 0
    served = False
    server = MailServer()

    def __init__(self, file: Path, kill: Killer) -> None:
        self.file, self.kill = file, kill
        self.message = b""

    def __enter__(self) -> Server:
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def open(self) -> Server:
        return self

    def close(self) -> None:
        pass

    def pace(self) -> None:
        pass

    def drop(self) -> None:
        pass

    def reset(self) -> None:
        pass

    def lost(self, error: Exception) -> None:
        raise AssertionError(error)

    def wait(self, seconds: float) -> None:
        raise AssertionError(seconds)

    def has_extn(self, name: str) -> bool:
        return True

    def mail(self, sender: str, options: Any = ()) -> tuple[int, bytes]:
        return 250, b"ok"

    def rcpt(self, to: str) -> tuple[int, bytes]:
        return 250, b"ok"

    def docmd(self, word: str) -> tuple[int, bytes]:
        self.kill.maybe()  # it was claimed, and the server has nothing
        return 354, b"go on"

    def send(self, message: bytes) -> None:
        self.message = message

    def end(self, _: Server) -> tuple[int, bytes]:
        with self.file.open("ab") as out:
            out.write(json.dumps(_said(self.message)).encode() + b"\n")
        self.kill.maybe()  # the server took it, and nobody wrote that down
        return 250, b"taken"


@dataclass
class Moody(Box):
    """A real mail server in a bad mood: it says no to some, puts others off, and hangs up in the middle."""

    file: Path = Path()  # with a line for each message that it took, as of `Server`
    moods: dict[str, list[str]] = field(default_factory=dict)  # by address: at RCPT
    at_end: dict[str, list[str]] = field(default_factory=dict)  # by address: after the message
    said: Counter[str] = field(default_factory=Counter)
    refused: set[str] = field(default_factory=set)  # addresses that heard 5xx

    def in_a_mood(self, draw: random.Random, emails: list[str]) -> None:
        """Get into a mood about these addresses."""
        for email in emails:
            self.moods[email] = draw.choice(RCPT).copy()
            self.at_end[email] = draw.choice(AT_END).copy()
        self.greeting = ["421 4.3.2 Too busy"] * draw.randint(0, 2)
        self.late = 0.02

    def calm(self) -> None:
        """Take everything from here on."""
        self.moods, self.at_end, self.greeting, self.late = {}, {}, [], 0.0

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        reply = self._next(self.moods, address)
        if reply.startswith("250"):
            envelope.rcpt_tos.append(address)
        return reply

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        (address,) = envelope.rcpt_tos
        reply = self._next(self.at_end, address)
        if reply.startswith("250") or reply == "drop after":
            with self.file.open("ab") as out:
                out.write(json.dumps(_said(bytes(envelope.content or b""))).encode() + b"\n")
        if reply.startswith("drop"):
            assert server.transport is not None
            server.transport.abort()
        return reply

    def _next(self, moods: dict[str, list[str]], address: str) -> str:
        left = moods.get(address)
        reply = left.pop(0) if left else "250 OK"
        self.said[reply] += 1
        if reply.startswith("5"):
            self.refused.add(address)
        return reply


RCPT: tuple[list[str], ...] = (
    [], [], [], ["451 4.7.1 Come again later"], ["450 4.2.0 Busy"] * 9, ["421 4.3.2 Closing"], ["550 5.1.1 Nobody here"],
)  # fmt: skip
AT_END: tuple[list[str], ...] = (
    [], [], [], ["452 4.3.1 Full"], ["drop"], ["drop after"], ["554 5.7.1 Not that"], ["drop"] * 2,
)  # fmt: skip


def _said(message: bytes) -> tuple[str, str]:
    """To whom a reminder goes, and of what kind it is."""
    head = message_from_bytes(
        message.partition(b"\r\n\r\n")[0] + b"\r\n\r\n", policy=policy.default
    )
    (to,) = head["To"].addresses
    return to.addr_spec, KINDS[str(head["Subject"]).partition(": ")[2]]


@dataclass
class Killer:
    """Ends the program at one of the moments at which it asks."""

    after: int = -1  # moments; below 0: never
    by_exit: bool = False
    moments: int = 0  # so far

    def maybe(self, *_: object) -> None:
        """A moment at which the program could end."""
        self.moments += 1
        if self.after == 0:
            self.after = -1
            if self.by_exit:
                os._exit(KILLED)
            raise Killed
        self.after -= 1


@dataclass
class Year:
    """The co-op and its year."""

    folder: Path
    members: int
    seed: int
    kills: int = 5
    as_one: bool = False  # all days by one program, which is quicker; else each by one of its own
    moody: int = 5  # days on which a real server is in a bad mood
    people: dict[int, Person] = field(default_factory=dict)
    windows: dict[str, tuple[str, date, date]] = field(
        default_factory=dict
    )  # by name: group and days
    closed_sites: set[str] = field(default_factory=set)
    told: dict[tuple[int, str, str], dict[str, bool]] = field(
        default_factory=lambda: defaultdict(dict)
    )  # by member, window and kind: by which ways, and whether it stands
    killed: int = 0
    moods: int = 0  # days with a server in a bad mood
    heard: Counter[str] = field(default_factory=Counter)  # the replies of that server
    refused: Counter[tuple[str, str]] = field(default_factory=Counter)  # email and kind
    no_to: set[str] = field(default_factory=set)  # addresses that were refused today
    printed: int = 0  # files of postcards
    moved_told: Counter[str] = field(default_factory=Counter)

    def __post_init__(self) -> None:
        self.draw = random.Random(self.seed)
        self.server_log = self.folder / "taken.jsonl"
        self.server_log.touch()
        self.url = f"sqlite:///{self.folder / 'roster.db'}"
        self.engine = store.open_store(self.url)
        for month in range(12):
            group = GROUPS[month % 3]
            opens = date(2027, month + 1, self.draw.randint(6, 9))
            length = self.draw.choice((0, 3, 5, 6))
            self.windows[f"{group} {month}"] = group, opens, opens + timedelta(length)
        self._insert([self._person(number, FIRST) for number in range(1, self.members + 1)])
        moves = self.draw.sample(range(3, 11), 2)
        self.moves = {  # one before anybody heard of it, one after “opens soon”
            self._opens(moves[0]) - timedelta(6): (self._named(moves[0]), 8),
            self._opens(moves[1]) - timedelta(1): (self._named(moves[1]), 9),
        }
        self.closing_day = date(2027, self.draw.randint(5, 8), 15)
        days = [day for name in self.windows for day in self._busy(name)]
        self.kill_days = set(self.draw.sample(sorted(days), min(self.kills, len(days))))
        left = sorted(set(days) - self.kill_days)
        self.mood_days = set(self.draw.sample(left, min(self.moody, len(left))))

    # ------------------------------------------------------------ the co-op

    def _named(self, month: int) -> str:
        return list(self.windows)[month]

    def _opens(self, month: int) -> date:
        return self.windows[self._named(month)][1]

    def _busy(self, name: str) -> Iterator[date]:
        yield self.windows[name][1] - timedelta(RULE.opens_soon)
        yield self.windows[name][1]

    def settings(self) -> Settings:
        """The settings as they are today."""
        groups = tuple(
            Group(
                name,
                tuple(
                    sorted(
                        (Window(o, c) for g, o, c in self.windows.values() if g == name),
                        key=lambda w: w.opens,
                    )
                ),
            )
            for name in GROUPS
        )
        sites = tuple(
            Site(
                f"{group} {n}",
                "1 Elm St",
                "45801",
                group,
                "Robin Vale",
                closed=f"{group} {n}" in self.closed_sites,
            )
            for group in GROUPS
            for n in (1, 2)
        )
        return Settings(
            file=self.folder / "onboard.toml", coop="Test Co-op", ordering_page="https://order.example.org",
            shop_page="https://shop.example.com", sender="hello@growers.example.org", reply_phone="419-555-0100",
            postal_address="1 Barn Road, Lima OH 45801", timezone="America/New_York", languages=("en",),
            extra_questions=(ASKED,), handle=HandleRule(), password=PasswordRule(), mail=MailServer(host="mail.example.org"),
            groups=groups, sites=sites, reminders=RULE, store=self.url, outbox=self.folder / "outbox",
        )  # fmt: skip

    def _person(self, number: int, joined: date) -> Person:
        draw = self.draw
        group = draw.choice(GROUPS)
        has_email = draw.random() < 0.85
        answer = draw.choices(("", "email", "text", "postcard", "none"), (70, 8, 10, 7, 5))[0]
        consent = draw.choices((True, False, None), (75, 15, 10))[0]
        if answer == "email" and consent is None:
            consent = True  # they said how
        email = f"m{number}@members.example.org" if has_email else ""
        return Person(
            number, group, f"{group} {draw.choice((1, 2))}", email, consent, answer, joined
        )

    def _insert(self, people: list[Person]) -> None:
        lines = [
            (
                one.number, f"m{one.number}x", "[]", json.dumps({"given": f"Pat{one.number}", "family": "Lee"}), one.email,
                f"tel:+1-419-555-{one.number % 100:04d}", '["12 N MAIN ST", "LIMA OH 45801"]', one.site, "en", one.consent,
                json.dumps({ASKED: one.answer} if one.answer else {}), f"{one.joined}T12:00:00Z", "open", False,
            )
            for one in people
        ]  # fmt: skip
        self.sql(
            "INSERT INTO member (id, handle, handle_steps, name, email, phone, address, site, language, consent, extras, "
            "joined, standing, must_change) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?)", lines,
        )  # fmt: skip
        self.people |= {one.number: one for one in people}

    def sql(self, order: str, lines: list[Any] | None = None) -> list[Any]:
        """What the roster answers."""
        with (
            closing(sqlite3.connect(self.folder / "roster.db", timeout=30)) as connection,
            connection,
        ):
            if lines is not None:
                connection.executemany(order, lines)
                return []
            return connection.execute(order).fetchall()

    # ------------------------------------------------------------ a day

    def live(self, day: date) -> None:
        """What happens on a day before the reminders are made."""
        draw = self.draw
        if day in self.moves:
            name, later = self.moves[day]
            group, opens, closes = self.windows[name]
            self.windows[name] = group, opens + timedelta(later), closes + timedelta(later)
            self._tell_moved(day, name)
        if day == self.closing_day:
            self.closed_sites.add("Hill 1")
        if draw.random() < 0.2:
            self._insert([self._person(max(self.people) + 1, day)])
        some = [one for one in self.people.values() if not one.closed]
        for one in draw.sample(some, max(1, len(some) // 200)):
            self._change(one, day)
        for name, (group, opens, closes) in self.windows.items():
            if day == closes + timedelta(1):
                self._take_in_list(name, group, opens, day)

    def _change(self, one: Person, day: date) -> None:
        what = self.draw.random()
        if what < 0.12:
            one.closed = True
            self.sql(f"UPDATE member SET standing = 'closed' WHERE id = {one.number}")
        elif what < 0.3 and one.email:
            one.consent = False
            self.sql(f"UPDATE member SET consent = 0 WHERE id = {one.number}")
        elif what < 0.5 and one.email and not one.bounced:
            one.bounced = True
            self.sql(f"UPDATE member SET bounced = '{day}' WHERE id = {one.number}")
            last = self.sql(
                f"SELECT id, of_window, kind FROM outgoing WHERE member_id = {one.number} AND way = 'email' AND state = 'sent'"
                " AND what = 'reminder' ORDER BY id DESC LIMIT 1"
            )
            for number, uid, kind in last:
                self.sql(f"UPDATE outgoing SET state = 'returned' WHERE id = {number}")
                self.told[one.number, self._name_of(uid), kind]["email"] = False

    def _take_in_list(self, name: str, group: str, opens: date, day: date) -> None:
        for one in self.people.values():
            if one.group != group or one.closed:
                continue
            one.listed = day
            if self.draw.random() < 0.6 and one.joined <= opens:
                one.ordered.add(name)
        numbers = [
            (str(opens), str(day), str(day), one.number)
            for one in self.people.values()
            if name in one.ordered
        ]
        self.sql(
            f"UPDATE member SET page_seen = '{day}', last_sign_in = '{opens}' WHERE site LIKE '{group}%'"
        )
        self.sql(
            "UPDATE member SET last_order = ?, last_sign_in = ?, page_seen = ? WHERE id = ?",
            numbers,
        )

    def _name_of(self, uid: str) -> str:
        ((group, opens),) = self.sql(
            f"SELECT of_group, opens FROM known_window WHERE uid = '{uid}'"
        )
        return next(n for n, (g, o, _) in self.windows.items() if g == group and str(o) == opens)

    def _tell_moved(self, day: date, name: str) -> None:
        """Who heard the old days hears of the new ones, once."""
        office = self.office(day)
        heard = {
            number for (number, window, _), ways in self.told.items()
            if window == name and any(ways.values()) and not self.people[number].closed
        }  # fmt: skip
        told = {one.member.id for one in tell_moved_windows(office, keep=True).told}
        assert heard <= told | self._unreachable(), (day, heard - told)
        assert told <= heard | {n for (n, w, _) in self.told if w == name}, (day, told - heard)
        again = {one.member.id for one in tell_moved_windows(office, keep=True).told if one.by}
        office.close()
        self.moved_told[name] = len(told)
        assert not again & told or again <= self._unreachable()

    def _unreachable(self) -> set[int]:
        closed = self.closed_sites
        return {one.number for one in self.people.values() if one.site in closed}

    def office(self, day: date, hour: int = 12) -> Office:
        """The office at noon of a day, or at another hour."""
        now = datetime.combine(day, time(hour), ZONE).astimezone(UTC)
        # A program that is killed opens the roster by itself, and so does the one that goes on after it.
        engine = self.engine if self.as_one and day not in self.kill_days else None
        return Office(self.settings(), engine, who="year", now=lambda: now)

    def work(
        self, day: date, kill: Killer, *, line: Callable[[], Any] | None = None, hour: int = 12
    ) -> None:
        """The reminders of a day, made and sent, over a `line` or to what stands for a mail server."""
        office = self.office(day, hour)
        to = line or (lambda: Server(self.server_log, kill))
        # On a day on which nothing waits, nothing can go out; now and then that is tried, too.
        tries = not self.as_one or day in self.kill_days or day.day % 10 == 1
        try:
            with (
                killable(kill), patch.object(send_reminders, "line_to", lambda *_: to()),
                patch.object(letters, "postcards", self._cards),
            ):  # fmt: skip
                write_reminders(office)
                if tries or self._waits("email"):
                    send_reminders.send_reminders(office, really=True)
                if tries or self._waits("text"):
                    write_texts(office, self.folder / "texts.csv")
                if tries or self._waits("letter"):
                    write_postcards(office, self.folder / "cards.pdf")
        finally:
            office.close()

    def _waits(self, way: str) -> bool:
        """Whether a reminder is on the list that goes this way."""
        query = f"SELECT 1 FROM outgoing WHERE what = 'reminder' AND state = 'written' AND way = '{way}' LIMIT 1"
        return bool(self.sql(query))

    def _cards(self, cards: Any, settings: Settings) -> bytes:
        """The postcards of a day; once they were printed, it is only counted that they would be."""
        self.printed += 1
        if self.as_one and self.printed > 1:
            return b"%PDF-1.7 " + json.dumps(cards, default=str).encode()
        return PRINT(cards, settings)

    def one_day(self, day: date) -> None:
        """The day lived, worked, and held against what should have come of it."""
        self.live(day)
        self.work_and_die(day)
        if day in self.mood_days:
            self._work_with_a_moody_server(day)
        else:
            self.work(day, Killer())
        self.check(day)

    def _work_with_a_moody_server(self, day: date) -> None:
        """The work of a day with a real server that will not: an hour later it will, and what is left goes out."""
        before = len(self.server_log.read_bytes().splitlines())
        box = Moody(file=self.server_log, open=True)
        with listening(box, None, "plain") as server:
            box.in_a_mood(self.draw, [one.email for one in self.people.values() if one.email])

            def line() -> Line:
                return Line(server, plain_on_loopback=True, wait=lambda seconds: None)

            with suppress(SendTrouble):  # it hung up too often
                self.work(day, Killer(), line=line, hour=11)
            box.calm()
            self._settle(day, before)
            self.work(day, Killer(), line=line)
        self.moods += 1
        self.heard += box.said
        self.no_to = box.refused

    def work_and_die(self, day: date) -> None:
        """On a day of a kill: the work in a process of its own, which ends by itself at some moment, and what a person
        does then. Where nothing is due, as the window moved, it is the next day's work that is killed."""
        if day not in self.kill_days:
            return
        if not self.due(day):
            self.kill_days.add(day + timedelta(1))
            return
        before = len(self.server_log.read_bytes().splitlines())
        self._die(day)
        self._settle(day, before)

    def _die(self, day: date) -> None:
        moment = self.draw.randrange(self._moments(day))
        child = os.fork()
        if child == 0:
            try:
                self.work(day, Killer(moment, by_exit=True))
            finally:
                os._exit(0)
        _, status = os.waitpid(child, 0)
        assert os.waitstatus_to_exitcode(status) == KILLED, (day, moment)
        self.killed += 1

    def _moments(self, day: date) -> int:
        """At how many moments the work of a day could end: it is done once on a copy, and they are counted."""
        with tempfile.TemporaryDirectory() as place:
            shutil.copytree(self.folder, place, dirs_exist_ok=True)
            child = os.fork()
            if child == 0:
                try:
                    self._be_at(Path(place))
                    kill = Killer()
                    self.work(day, kill)
                    (Path(place) / "moments").write_text(str(kill.moments))
                finally:
                    os._exit(0)
            os.waitpid(child, 0)
            return int((Path(place) / "moments").read_text())

    def _be_at(self, folder: Path) -> None:
        self.folder, self.server_log = folder, folder / "taken.jsonl"
        self.url = f"sqlite:///{folder / 'roster.db'}"

    def _settle(self, day: date, before: int) -> None:
        """A person looks what the server has of that of which nobody knows if it went out."""
        office = self.office(day)
        claims.lost(office, keep=True)
        got = {
            tuple(json.loads(line)) for line in self.server_log.read_bytes().splitlines()[before:]
        }
        for number, kind, handle, email in self.sql(
            "SELECT outgoing.id, kind, handle, email FROM outgoing JOIN member ON member.id = member_id WHERE state = 'unsure'"
            " AND what = 'reminder'"
        ):
            if (email, kind) in got:
                self.sql(f"UPDATE outgoing SET state = 'sent' WHERE id = {number}")
            else:
                ask_again(office, [handle])
        office.close()

    # ------------------------------------------------------------ what should be

    def due(self, day: date) -> dict[tuple[int, str, str], str]:
        """By member, window and kind: by which way they should hear on this day."""
        found = {}
        for name, (group, opens, closes) in self.windows.items():
            for kind in self._kinds(opens, closes, day, group):
                for one in self.people.values():
                    way = one.way()
                    if one.group != group or one.site in self.closed_sites or way is None:
                        continue
                    if kind == "no order" and (
                        one.joined > closes or name in one.ordered or one.listed is None or one.listed <= closes
                        or not any(name in other.ordered for other in self.people.values())
                    ):  # fmt: skip
                        continue
                    ways = self.told.get((one.number, name, kind), {})
                    if way not in ways and not any(ways.values()):
                        found[one.number, name, kind] = way
        return found

    def _kinds(self, opens: date, closes: date, day: date, group: str) -> Iterator[str]:
        ends = max(closes - timedelta(2), opens + timedelta(1))
        if opens - timedelta(3) <= day < opens:
            yield "opens soon"
        if opens <= day <= closes and (day < ends or ends > closes):
            yield "open now"
        if ends <= day <= closes:
            yield "closes soon"
        later = [o for g, o, _ in self.windows.values() if g == group and o > opens]
        if closes < day <= closes + timedelta(7) and not any(o <= day for o in later):
            yield "no order"

    def check(self, day: date) -> None:
        """Everybody heard what they should, and nobody anything else."""
        due = self.due(day)
        lines = self.sql(
            "SELECT member_id, of_window, kind, way, state FROM outgoing WHERE what = 'reminder' AND state IN ('sent', "
            f"'printed', 'refused', 'written', 'claimed', 'unsure') AND at >= '{day}' AND at < '{day + timedelta(1)}' AND made >= '{day}'"
        )
        names = {uid: self._name_of(uid) for uid in {line[1] for line in lines}}
        done = Counter((number, names[uid], kind, way) for number, uid, kind, way, _ in lines)
        should = Counter((*key, way) for key, way in due.items())
        assert done == should, (day, done - should, should - done)
        assert {state for *_, state in lines} <= {"sent", "printed", "refused"}, (day, lines)
        for (number, name, kind), way in due.items():
            self.told[number, name, kind][way] = True
        for number, uid, kind, way, state in lines:
            if state == "refused":  # for good, by the server's own word; it told nobody
                assert self.people[number].email in self.no_to, (day, number)
                self.refused[self.people[number].email, kind] += 1
                self.told[number, names[uid], kind][way] = False
        self.no_to = set()

    def close(self) -> None:
        """At the end of the year: the server took each email once, and no other."""
        got = Counter(tuple(json.loads(line)) for line in self.server_log.read_bytes().splitlines())
        should = Counter(
            (self.people[number].email, kind)
            for (number, _, kind), ways in self.told.items()
            if "email" in ways
        )
        should -= self.refused
        assert got == should, (got - should, should - got)
        self.engine.dispose()


@contextmanager
def killable(kill: Killer) -> Iterator[None]:
    """The program may end between the files of the outbox, once reminders are on the list and not yet saved, and before
    whatever it asks of the roster or saves there."""
    write_many, add = outbox.write_many, reminded.add

    def writing(folder: Path, messages: dict[str, bytes]) -> None:
        kill.maybe()
        write_many(folder, messages)
        kill.maybe()

    def adding(*given: Any) -> Any:
        added = add(*given)
        kill.maybe()
        return added

    asks = ("before_cursor_execute", "commit")
    for ask in asks:
        event.listen(Engine, ask, kill.maybe)
    try:
        with patch.object(outbox, "write_many", writing), patch.object(reminded, "add", adding):
            yield
    finally:
        for ask in asks:
            event.remove(Engine, ask, kill.maybe)


def days() -> list[date]:
    """The days of the year."""
    return [FIRST + timedelta(n) for n in range(365)]

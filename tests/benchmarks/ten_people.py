"""Ten people at the desk at once: is an update lost, does a page tell of trouble?

    python tests/benchmarks/ten_people.py [SECONDS] [PEOPLE] [--postgresql] [--members N]      (600, 10, 3,000)

The desk runs in a process of its own, over a SQLite file or on a PostgreSQL server that is started for it. Each of
the people has an account, signs in with a password, and sends what the forms of the pages send. They look members up,
open cards, note calls, correct phones and emails, answer forms on hold, approve what an audit proposed, and change
the settings; now and then two of them work at the same thing. Each keeps what the pages told them. In the end that is compared with the roster,
its change log and the settings file:

- what a page said was saved is there, once, with their name; nothing else is;
- each correction and each approved change begins with what the one before it left, and what the last left is on file;
- of two who answered one form, one was told that it is answered already;
- each setting is what was saved last.

It ends with 1 if one thing is not so, or if a page told of trouble: a status of 500 and more, or one that nobody expects there.
"""

from __future__ import annotations

import argparse
import random
import re
import sys
import tempfile
import threading
import time
import tomllib
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from html.parser import HTMLParser
from itertools import cycle, pairwise
from pathlib import Path
from typing import Any
from urllib.parse import quote

sys.path.remove(str(Path(__file__).parent))  # it has an audit.py of its own
sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[1] / "pages"))
import httpx2
import postgres_server
from at_desk import Served, served
from audit import decay
from coop_forms import PHONES, form
from sqlalchemy import select

from onboard.model import RawRow
from onboard.office import Office, open_office
from onboard.roster import tables
from onboard.tasks.keep_audit import keep_audit
from onboard.tasks.move_roster import move_roster
from onboard.tasks.process_batch import process_batch

PASSWORD = "tomatoes on sunday morning"
OWNERS = 3  # of the people: they change settings too
SHARED = 5  # members whom all correct
HELD = 220  # forms on hold
KINDS = ("fields.swapped", "fields.uncleaned", "name.capitals", "twice.certain")
PATIENT = 3  # times that somebody saves again what somebody else had changed meanwhile


class Forms(HTMLParser):
    """The forms of a page, as a browser would send them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.forms: list[tuple[str, dict[str, list[str]]]] = []
        self._name = ""
        self._text = ""
        self._chosen: str | None = None
        self.feed(page)

    def of(self, action: str) -> dict[str, list[str]]:
        """The fields of the form that is sent there."""
        return dict(next(fields for there, fields in self.forms if there == action))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = dict(attrs)
        name, value = has.get("name") or "", has.get("value") or ""
        if tag == "form":
            self.forms.append((has.get("action") or "", {}))
        elif tag == "input" and name:
            kind = has.get("type")
            if kind not in ("checkbox", "radio", "file") or (kind != "file" and "checked" in has):
                self._put(name, value)
        elif tag in ("textarea", "select"):
            self._name, self._text, self._chosen = name, "", None
        elif tag == "option" and self._name and (self._chosen is None or "selected" in has):
            self._chosen = value if "value" in has else None
            self._text = ""

    def handle_data(self, data: str) -> None:
        self._text += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self._name:
            self._put(self._name, self._text.removeprefix("\n"))
        elif tag == "option" and self._name and self._chosen is None:
            self._chosen = self._text.strip()
        elif tag == "select" and self._name:
            self._put(self._name, self._chosen or "")
        if tag in ("textarea", "select"):
            self._name = ""

    def _put(self, name: str, value: str) -> None:
        if self.forms:
            self.forms[-1][1].setdefault(name, []).append(value)


@dataclass
class Told:
    """What the pages told somebody."""

    corrected: list[tuple[int, str, str]] = field(default_factory=list)  # member, field, value
    noted: list[tuple[int, str]] = field(default_factory=list)  # member, words
    answered: list[tuple[str, str]] = field(default_factory=list)  # form, answer
    approved: list[int] = field(default_factory=list)  # number of what was applied
    settled: list[tuple[float, str, str]] = field(
        default_factory=list
    )  # when, site, phone of its host
    counts: Counter[str] = field(default_factory=Counter)
    times: list[tuple[float, str]] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)


@dataclass
class Work:
    """What there is to do, for all of them."""

    base: str
    members: list[tuple[int, str, str]]  # number, name, email
    held: list[str]
    sites: list[str]
    phones: Iterator[str]
    lock: threading.Lock = field(default_factory=threading.Lock)

    def next_held(self) -> str | None:
        """A form on hold: each is taken twice."""
        with self.lock:
            return self.held.pop() if self.held else None

    def next_phone(self) -> str:
        """A number that nobody else draws."""
        with self.lock:
            return next(self.phones)


class Person:
    """One who works at the desk."""

    def __init__(self, work: Work, number: int) -> None:
        self.work, self.number, self.who = work, number, f"Person {number}"
        self.client = httpx2.Client(base_url=work.base, timeout=60)
        self.chance, self.told, self.made = random.Random(number), Told(), 0
        self.name = ""  # of what they do just now

    def does_something(self) -> None:
        """One thing of a day's work."""
        ways: dict[Callable[[], str], int] = {
            self.find: 30, self.card: 18, self.correct: 16, self.note: 12, self.answer: 8, self.approve: 7,
            self.look_around: 4, self.settings: 5 if self.number < OWNERS else 0,
        }  # fmt: skip
        (way,) = self.chance.choices(list(ways), list(ways.values()))
        self.name = way.__name__
        self.told.counts[f"{self.name}: {way()}"] += 1

    # ------------------------------------------------------------ requests

    def ask(self, path: str, expected: tuple[int, ...] = (200,), **sent: Any) -> httpx2.Response:
        """The answer to one request."""
        begin = time.perf_counter()
        if sent:
            answer = self.client.post(path, headers={"origin": self.work.base}, **sent)
        else:
            answer = self.client.get(path)
        self.told.times.append((time.perf_counter() - begin, self.name))
        if answer.status_code not in expected:
            said = re.sub(r"<[^>]+>", " ", answer.text.partition("<main")[2])
            self.told.troubles.append(
                f"{path}: {answer.status_code} {' '.join(said.split())[:400]}"
            )
        return answer

    def send(
        self, page: httpx2.Response, action: str, to: str = "", **typed: Any
    ) -> httpx2.Response:
        """Send a form of a page, with this typed into it."""
        fields = Forms(page.text).of(action) | typed
        return self.ask(to or action, (200, 303, 422), data=fields)

    def sign_in(self) -> None:
        said = {"name": self.who, "password": PASSWORD, "code": "", "back": "/"}
        self.ask("/sign-in", (303,), data=said)

    def someone(self) -> tuple[int, str, str]:
        """A member: often one of a few, whom others work at too."""
        some = self.work.members[:SHARED] if self.chance.random() < 0.3 else self.work.members
        return self.chance.choice(some)

    def unlike_any(self) -> str:
        """Digits that nobody else draws."""
        self.made += 1
        return f"{self.number}{self.made:05}"

    # ------------------------------------------------------------ what they do

    def find(self) -> str:
        _, name, email = self.someone()
        page = self.ask("/calls")
        said = self.chance.choice((name, name[: len(name) // 2], email))
        csrf = Forms(page.text).of("/calls")["csrf"]
        self.ask("/calls/found", data={"csrf": csrf, "said": said})
        self.send(page, "/calls", said=said)
        return "done"

    def card(self) -> str:
        self.ask(f"/calls/member/{self.someone()[0]}")
        return "done"

    def note(self) -> str:
        number = self.someone()[0]
        here, words = f"/calls/member/{number}", f"call {self.unlike_any()}"
        ended = self.chance.choice(("helped", "open", "passed-on"))
        answer = self.send(self.ask(here), f"{here}/note", words=words, ended=ended)
        if answer.status_code == 303:
            self.told.noted.append((number, words))
            return "saved"
        return self._unexpected(answer)

    def correct(self) -> str:
        number, what = self.someone()[0], self.chance.choice(("phone", "email"))
        here = f"/calls/member/{number}/correct"
        value = self.work.next_phone() if what == "phone" else f"m{self.unlike_any()}@example.org"
        preview = self.send(self.ask(here), here, **{what: value}, do="preview")
        if "as_shown" not in preview.text:
            return "was told" if "was merged into" in preview.text else self._unexpected(preview)
        answer = self.send(preview, here, do="save")
        if answer.status_code == 303:
            self.told.corrected.append((number, what, value))
            return "saved"
        was_told = "meanwhile" in answer.text or "was merged into" in answer.text
        return "was told" if was_told else self._unexpected(answer)

    def answer(self) -> str:
        key = self.work.next_held()
        if key is None:
            return self.card()
        here = f"/sign-ups/holds/{key}"
        page = self.ask(here, (200, 422))
        choices = re.findall(r'name="answer" value="((?:same|enrol|drop)[^"]*)"', page.text)
        if not choices:
            return "was told" if "meantime" in page.text else self._unexpected(page)
        chosen = self.chance.choice(choices)
        answer = self.send(page, here, answer=chosen, why=f"by {self.who}")
        if answer.status_code == 303:
            self.told.answered.append((key, chosen))
            return "saved"
        return "was told" if "meantime" in answer.text else self._unexpected(answer)

    def approve(self) -> str:
        here = f"/care/kinds/{self.chance.choice(KINDS)}"
        page = self.ask(here)
        open_ones = re.findall(r'name="finding" value="(\d+)"', page.text)
        if not open_ones:
            return self.card()
        some = self.chance.sample(open_ones[:8], min(2, len(open_ones)))
        preview = self.send(page, f"{here}/changes", finding=some)
        if 'value="save"' not in preview.text:
            return "was told" if preview.status_code == 422 or "changes" in preview.text else ""
        answer = self.send(preview, f"{here}/changes", do="save")
        number = re.search(r'href="/care/changes/(\d+)"', answer.text)
        if number:
            self.told.approved.append(int(number[1]))
            return "saved"
        return "was told"

    def settings(self) -> str:
        site = self.work.sites[self.number if self.chance.random() < 0.5 else -1]
        phone = self.work.next_phone()
        here = "/settings/part/site"
        page = self.ask(f"{here}?of={quote(site)}")
        for _ in range(PATIENT):
            preview = self.send(page, here, **{"f-host_phone": phone}, do="preview")
            if 'value="save"' in preview.text:
                begun = time.time()
                answer = self.send(preview, here, do="save")
                if answer.status_code == 303:
                    self.told.settled.append((begun, site, phone))
                    return "saved"
                preview = answer
            if "meantime" not in preview.text:
                return self._unexpected(preview)
            page = preview
        return "was told"

    def look_around(self) -> str:
        self.ask(self.chance.choice(("/", "/sign-ups", "/care", "/windows", "/mail", "/account")))
        return "done"

    def _unexpected(self, answer: httpx2.Response) -> str:
        said = re.sub(r"<[^>]+>", " ", answer.text.partition("<main")[2])
        self.told.troubles.append(
            f"{self.name}: {answer.status_code} {' '.join(said.split())[:400]}"
        )
        return "unexpected"


# ---------------------------------------------------------------- the co-op


def coop(folder: Path, count: int, url: str) -> tuple[Office, Work]:
    """A roster with what they work at: members, forms on hold, an audit with proposals."""
    chance = random.Random(7)
    sites = decay.spots(chance)
    made = decay.people(count, chance, sites)
    decay.Decay(made, sites, chance).all(max(1, count // (2 * len(decay.KINDS))))
    roster = f'[files]\nroster = "{url}"\n' if url else ""
    text = decay.settings(sites, count).replace("[audit]", f"{roster}[audit]", 1)
    (folder / "onboard.toml").write_text(text, "utf-8")
    decay.into_store(f"sqlite:///{folder / 'roster.db'}", made)
    if url:
        move_roster(str(folder / "roster.db"), url)
    office = open_office(folder / "onboard.toml", who="Robin")
    phones = cycle(PHONES)
    process_batch(office, list(_forms(chance, sites, phones)), file="forms.csv", keep=True)
    keep_audit(office)
    with office.reading() as connection:
        row = tables.row.c
        held = list(connection.scalars(select(row.key).where(row.decision == "hold")))
    members = [(one.id, f"{one.given} {one.family}", one.email) for one in made[: count // 4]]
    twice = [key for key in held for _ in range(2)]
    spots = [one.name for one in sites if not one.closed][: OWNERS + 1]
    return office, Work("", members, twice, spots, phones)


def _forms(chance: random.Random, sites: list[Any], phones: Iterator[str]) -> Iterator[RawRow]:
    """Two forms of each of many names: the second could be of the same person, and waits for an answer."""
    parts = [a + b for a in "bdfghklmnprstvz" for b in "aeiou"]
    for number in range(HELD):
        given, family = ("".join(chance.choices(parts, k=3)).title() for _ in range(2))
        site = chance.choice(sites)
        for nth, (box, street) in enumerate(((given, "Fir"), (f"k{number}", "Elm"))):
            yield form(
                2 * number + nth + 2, full_name=f"{given} {family}", street=f"{number + 50 * nth + 1} {street} St",
                phone=next(phones), email=f"{box}@example.org".lower(), city=site.here.city.title(), state=site.here.state,
                zip=site.here.zip5, site=site.name,
            )  # fmt: skip


@contextmanager
def store(on_server: bool) -> Iterator[str]:
    """The address of a new PostgreSQL database; "" for a file beside the settings."""
    where = postgres_server.programs()
    if not on_server:
        yield ""
    elif where is None:
        sys.exit("PostgreSQL is not installed here.")
    else:
        with postgres_server.running(where) as url:
            yield url


def invite(desk: Served, people: list[Person]) -> None:
    """Give each of them an account, as an owner does, and a password, as they do."""
    owner = httpx2.Client(base_url=desk.base, timeout=60)
    ours = {"origin": desk.base}
    owner.get(desk.link)
    for one in people:
        csrf = Forms(owner.get("/staff").text).of("/staff/invite")["csrf"]
        role = "owner" if one.number < OWNERS else "coordinator"
        page = owner.post(
            "/staff/invite", data={"csrf": csrf, "name": one.who, "role": role}, headers=ours
        )
        found = re.search(r"invitation\?token=([\w-]+)", page.text)
        assert found, page.text
        said = {"token": found[1], "password": PASSWORD, "code": ""}
        assert one.client.post("/invitation", data=said, headers=ours).status_code == 200
        one.sign_in()


# ---------------------------------------------------------------- what became of it


def faults_of(office: Office, people: list[Person], work: Work) -> Iterator[str]:
    """What is not as the pages told, in words."""
    yield from _of_changes(office, people)
    yield from _of_calls(office, people)
    yield from _of_answers(office, people)
    said = tomllib.loads(office.settings.file.read_text("utf-8"))
    phones = {site["name"]: site["host_phone"] for site in said["site"]}
    last: dict[str, tuple[float, str, str]] = {}
    for one in sorted(each for person in people for each in person.told.settled):
        last[one[1]] = one
    for _, site, phone in last.values():
        if phones[site] != phone:
            yield f"{site} has {phones[site]}, and {phone} was saved last"
    saved = sum(len(person.told.settled) for person in people)
    with office.reading() as connection:
        log = tables.journal.c
        many = len(connection.execute(select(log.id).where(log.what == "settings changed")).all())
    if many != saved:
        yield f"{many} changes of the settings are in the change log, and {saved} were told"


def _of_changes(office: Office, people: list[Person]) -> Iterator[str]:
    """Corrections and approved changes: each begins with what the one before it left."""
    applied, change, member = tables.applied.c, tables.applied_change.c, tables.member
    with office.reading() as connection:
        made = connection.execute(
            select(change.member_id, change.field, change.before, change.after, applied.who, applied.what, applied.id)
            .join_from(tables.applied, tables.applied_change, applied.id == change.applied_id)
            .where(change.undone_at.is_(None)).order_by(change.id)
        ).all()  # fmt: skip
        on_file = {one.id: one._mapping for one in connection.execute(select(member))}
    chains: dict[tuple[int, str], list[Any]] = defaultdict(list)
    for one in made:
        if one.field in member.c:
            chains[one.member_id, one.field].append(one)
    for (number, what), chain in chains.items():
        for earlier, later in pairwise(chain):
            if earlier.after != later.before:
                yield f"member {number}: {what} began with {later.before}, and was {earlier.after}"
        if on_file[number][what] != chain[-1].after:
            yield f"member {number}: {what} is {on_file[number][what]}, and was set to {chain[-1].after}"
    there = Counter(
        (one.member_id, one.field, one.who, _bare(one.after))
        for one in made if one.what == "corrected" and one.field in ("phone", "email")
    )  # fmt: skip
    told = Counter(
        (number, what, one.who, _bare(value))
        for one in people
        for number, what, value in one.told.corrected
    )
    yield from (
        f"told and not there, or there and not told: {one}"
        for one in (there - told) + (told - there)
    )
    numbers = Counter(
        one.id for one in {(o.id, o.what): o for o in made}.values() if one.what != "corrected"
    )
    for person in people:
        for number in person.told.approved:
            if not numbers.pop(number, 0):
                yield f"{person.who} was told of change {number}, and it is not there, or another's"
    yield from (f"change {number} was told to nobody" for number in numbers)


def _bare(value: str) -> str:
    return value.removeprefix("tel:+1").replace("-", "")


def _of_calls(office: Office, people: list[Person]) -> Iterator[str]:
    with office.reading() as connection:
        call = tables.call.c
        there = Counter(
            (one.who, one.about, one.words)
            for one in connection.execute(select(call.who, call.about, call.words))
        )
    told = Counter(
        (one.who, f"member:{number}", words) for one in people for number, words in one.told.noted
    )
    yield from (
        f"a call told and not there, or there and not told: {one}"
        for one in (there - told) + (told - there)
    )


def _of_answers(office: Office, people: list[Person]) -> Iterator[str]:
    with office.reading() as connection:
        ruling, row = tables.ruling.c, tables.row.c
        there = {
            (one.row_key, one.who): one
            for one in connection.execute(
                select(ruling.row_key, ruling.who, ruling.answer, ruling.member_id)
            )
        }
        decided = {
            one.key: one.decision for one in connection.execute(select(row.key, row.decision))
        }
    told = [(key, one.who, answer) for one in people for key, answer in one.told.answered]
    for key, many in Counter(key for key, _, _ in told).items():
        if many > 1:
            yield f"form {key} was answered {many} times"
    for key, who, answer in told:
        said, _, number = answer.partition(":")
        kept = there.pop((key, who), None)
        if kept is None or (kept.answer, kept.member_id or 0) != (said, int(number or 0)):
            yield f"form {key}: {who} answered {answer}, and the roster has {kept}"
        elif decided[key] not in ("again", said):
            yield f"form {key}: {who} answered {answer}, and it became {decided[key]}"
    yield from (f"an answer that nobody was told of: {one}" for one in there.values())


def main() -> int:
    words = argparse.ArgumentParser()
    words.add_argument("seconds", type=int, nargs="?", default=600)
    words.add_argument("people", type=int, nargs="?", default=10)
    words.add_argument("--postgresql", action="store_true")
    words.add_argument("--members", type=int, default=3000)
    given = words.parse_args()
    with tempfile.TemporaryDirectory() as name, store(given.postgresql) as url:
        folder = Path(name)
        office, work = coop(folder, given.members, url)
        with served(folder, "--port", "0") as desk:
            work.base = desk.base
            people = [Person(work, number) for number in range(given.people)]
            invite(desk, people)
            until = time.monotonic() + given.seconds
            threads = [threading.Thread(target=works, args=(one, until)) for one in people]
            for thread in threads:
                thread.start()
            for thread in threads:
                thread.join()
        faults = [f"{one.who}: {trouble}" for one in people for trouble in one.told.troubles]
        faults += faults_of(office, people, work)
        faults += [line for line in desk.said if "Traceback" in line or "Error" in line]
        office.close()
    tell(given.seconds, people)
    print(*(faults[:40] or ["nothing was lost, no page told of trouble"]), sep="\n")
    return int(bool(faults))


def works(person: Person, until: float) -> None:
    """Work until then; what breaks is told."""
    try:
        while time.monotonic() < until:
            person.does_something()
    except Exception as trouble:
        person.told.troubles.append(f"{person.name}: {type(trouble).__name__}: {trouble}")


def tell(seconds: int, people: list[Person]) -> None:
    counts = sum((one.told.counts for one in people), Counter[str]())
    print(f"{len(people)} people, {seconds} s: {counts.total():,} things done")
    print(*(f"  {what}: {many:,}" for what, many in sorted(counts.items())), sep="\n")
    times: dict[str, list[float]] = defaultdict(list)
    for one in people:
        for took, what in one.told.times:
            times[what].append(1000 * took)
    for what, found in sorted(times.items()):
        found.sort()
        at = found[min(len(found) - 1, round(0.95 * len(found)))]
        print(
            f"  {what}: {len(found):,} requests, middle {found[len(found) // 2]:.0f} ms, 95 % {at:.0f}, longest {found[-1]:.0f}"
        )


if __name__ == "__main__":
    sys.exit(main())

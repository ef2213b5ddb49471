"""An invented roster in which known things have decayed, with the truth beside it.

    python tests/audit/decay.py members N SEED [--to DIR]

writes onboard.toml, roster.db, members.csv (the same people as a spreadsheet) and truth.csv into DIR:
one line for each thing that has decayed, with the codes of which one must be found. About one member
in four is touched; the others are clean, and nothing but `KNOWN_OF_CLEAN` may be said of them.

Names are as common as in the 1990 US Census (onboard/tables/census_names.tsv), towns and ZIP codes
are real, mail domains reserved (RFC 2606). Streets are invented, phone numbers drawn by chance and
never to be dialled: the range for invented ones is too small for so many people, and is itself decay.
"""

from __future__ import annotations

import csv
import json
import random
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from onboard import handles, passwords
from onboard.clean import place as places
from onboard.match import given_names, keys
from onboard.model import FirstPassword, Person, PersonName, Place, State, Way, What
from onboard.roster import store, tables
from onboard.tables import rows, zip_codes

TODAY = date(2026, 11, 25)
PAGE_SEEN = date(2026, 11, 20)
SITES = 40
REACH = 10.0  # miles from a site at most that its members live
STATES = ("OH", "IN", "IA", "WI", "VT")
# Streets are put together of these: there are so many in life that two people of one street say
# something of each other.
STREET_WORDS = (
    "THISTLE", "BLUESTEM", "WINDROW", "MILKWEED", "SANDBAR", "SLUICE", "PIKEFIN", "CATTAIL", "BURDOCK",
    "SUGARHOUSE", "FIELDSTONE", "HAYWAIN", "GOOSEFOOT", "SEEDLING", "THRESHING", "BARNSWALLOW",
    "RUTABAGA", "LARKSPUR", "CONEFLOWER", "CREAMERY", "SWITCHGRASS", "PLOWSHARE", "NETTLE", "GRANARY",
    "FURROW", "QUACKGRASS", "TAMARACK", "KINGBIRD", "FOXGLOVE", "HARROW", "SILAGE", "BUCKBRUSH",
    "CHICORY", "DOGBANE", "EYEBRIGHT", "FEVERFEW", "GANDER", "HEMPNETTLE", "INKBERRY", "JUNCO",
)  # fmt: skip
STREET_PLACES = (
    "HOLLOW", "HILL", "RIDGE", "BOTTOM", "MEADOW", "CREEK", "GROVE", "PRAIRIE", "BEND", "FORD", "KNOLL",
    "MARSH", "ORCHARD", "BLUFF", "HAVEN", "GLEN",
)  # fmt: skip
STREET_ENDS = ("RD", "LN", "ST", "AVE", "DR", "CT")
DOMAINS = ("example.org", "example.com", "example.net")
# What may be said of a clean member: facts that are no decay.
KNOWN_OF_CLEAN = frozenset({"reach.household"})
SPARED_UP_TO = 200_000  # members; in larger rosters handles come near each other by chance


@dataclass(slots=True)
class One:
    """A member to be."""

    id: int
    given: str
    family: str
    email: str
    phone: str  # E.164
    street: str
    city: str
    state: str
    zip5: str
    site: str
    handle: str
    joined: date
    last_sign_in: date | None
    last_order: date | None
    more: dict[str, Any] = field(default_factory=dict)  # columns of the member table said otherwise
    sheet: dict[str, str] = field(default_factory=dict)  # columns of the spreadsheet said otherwise
    unspelt: bool = False
    unwritten: bool = False
    key_lost: bool = False
    handle_lost: bool = False

    @property
    def last_line(self) -> str:
        return " ".join(filter(None, (self.city, self.state, self.zip5)))


@dataclass(frozen=True)
class Decayed:
    """A line of the truth."""

    kind: str
    id: int
    other: int  # 0: nobody else
    codes: tuple[str, ...]  # one of which must be found
    in_sheet: bool


# ---------------------------------------------------------------- clean members


@dataclass(frozen=True)
class Spot:
    """A drop site, and the places whose people collect there."""

    name: str
    group: str
    closed: bool
    here: Place
    around: tuple[Place, ...]


def spots(chance: random.Random) -> list[Spot]:
    """Drop sites in real towns, each at least 40 miles from the others, the last one closed."""
    known = [places.find(code) for code in sorted(zip_codes.lines())]
    towns = [p for p in known if p and p.latitude and p.state in STATES and p.area_codes]
    chance.shuffle(towns)
    found: list[Spot] = []
    for town in towns:
        if all(places.miles(town, other.here) > 40 for other in found):
            around = tuple(p for p in towns if places.miles(town, p) <= REACH)
            if len(around) >= 3:
                name = f"{town.city.title()} {chance.choice(('Grange', 'Depot', 'Barn', 'Mill'))}"
                found.append(Spot(name, chance.choice(("Lake", "Hill")), False, town, around))
        if len(found) == SITES:
            break
    found[-1] = replace(found[-1], closed=True)
    return found


def settings(sites: list[Spot], count: int) -> str:
    """onboard.toml of the co-op; windows of a week in every month, from 2023 to 2027."""
    lines = [
        "[coop]", 'name = "Furrow & Fen"', 'ordering_page = "https://order.example.org"',
        'shop_page = "https://shop.example.com"', 'sender = "hello@example.org"',
        'reply_phone = "608-555-0100"', 'postal_address = "310 Thistledown Rd, Viroqua, WI 54665"',
        'time_zone = "America/Chicago"', 'languages = ["en", "es"]',
        "[audit]", "site_least = 2", f"site_most = {max(200, 3 * count // len(sites))}",
    ]  # fmt: skip
    for group, first in (("Lake", 1), ("Hill", 15)):
        lines += ["[[group]]", f'name = "{group}"', "windows = ["]
        for year in range(2023, 2028):
            lines += [
                f"  {{ opens = {date(year, month, first)}, closes = {date(year, month, first + 6)} }},"
                for month in range(1, 13)
            ]
        lines.append("]")
    for at, site in enumerate(sites):
        lines += [
            "[[site]]", f'name = "{site.name}"',
            f'address = "{10 + at} Elm St, {site.here.city.title()}, {site.here.state}"',
            f'zip = "{site.here.zip5}"', f'group = "{site.group}"', f'host = "Robin Vale {at}"',
            f'host_phone = "608-555-01{at:02}"', f"closed = {str(site.closed).lower()}",
        ]  # fmt: skip
    return "\n".join(lines) + "\n"


def names(chance: random.Random) -> Iterator[tuple[str, str]]:
    """Given and family names, as often as in the Census."""
    given, family = {}, {}
    for name, as_given, as_family in rows("census_names"):
        given[name.capitalize()], family[name.capitalize()] = int(as_given), int(as_family)
    while True:
        yield from zip(
            *(chance.choices(list(some), list(some.values()), k=2000) for some in (given, family)),
            strict=True,
        )


class Handles:
    """Handles that have come to be, and those that would be mistaken for one of them."""

    def __init__(self, spare: bool) -> None:
        self.spare = spare
        self.taken: dict[str, int] = {}
        self.near: dict[str, str] = {}  # a text that a handle lacks one letter for: its stem
        self.alike: dict[str, str] = {}

    @staticmethod
    def around(stem: str) -> set[str]:
        return {stem, *(stem[:i] + stem[i + 1 :] for i in range(len(stem)))}

    def take(self, stem: str) -> str:
        """The handle of the next one of this name; "" if another's could be mistaken for it."""
        if stem in self.taken:
            self.taken[stem] += 1
            return f"{stem}{self.taken[stem]}"
        if self.spare:
            around, skeleton = self.around(stem), handles.skeleton(stem)
            if any(self.near.get(text, stem) != stem for text in around):
                return ""
            if self.alike.get(skeleton, stem) != stem:
                return ""
            self.near.update(dict.fromkeys(around, stem))
            self.alike[skeleton] = stem
        self.taken[stem] = 1
        return stem


def people(count: int, chance: random.Random, sites: list[Spot]) -> list[One]:
    """Clean members; every tenth home has two."""
    taken = Handles(count <= SPARED_UP_TO)
    made: list[One] = []
    open_sites = [site for site in sites if not site.closed]
    names_used: set[tuple[str, str, str]] = set()
    homes: set[tuple[str, str]] = set()
    phones: set[str] = set()
    for given, family in names(chance):
        if len(made) == count:
            return made
        site = chance.choice(open_sites)
        home = chance.choice(site.around)
        last = made[-1] if made and chance.random() < 0.1 and len(made) % 2 else None
        if last:  # two of one home
            family, home = last.family, places.find(last.zip5) or home
            if _could_be_one(given.lower(), last.given.lower()):
                continue
        if (given, family, home.zip5) in names_used or len(given) < 3 or len(family) < 3:
            continue
        made_of = handles.clean(PersonName(given, family=family)).value
        if made_of is None or len(made_of.text) > 28 or not (handle := taken.take(made_of.text)):
            continue
        names_used.add((given, family, home.zip5))
        words = map(chance.choice, (STREET_WORDS, STREET_PLACES, STREET_ENDS))
        street = " ".join((str(chance.randrange(1, 9999)), *words))
        if (street, home.zip5) in homes:
            continue
        homes.add((street, home.zip5))
        joined = date(2023, 1, 1) + timedelta(days=chance.randrange(1300))
        order = date(2026, 9, 1) + timedelta(days=chance.randrange(75))
        one = One(
            id=len(made) + 1, given=given, family=family,
            email=f"{given}.{family}{len(made) + 1}@{chance.choice(DOMAINS)}".lower(),
            phone=number(chance, home, phones), street=street, city=home.city, state=home.state, zip5=home.zip5,
            site=site.name, handle=handle, joined=joined,
            last_sign_in=order + timedelta(days=chance.randrange(3)), last_order=order,
        )  # fmt: skip
        if last:
            one = replace(one, street=last.street, site=last.site, phone=last.phone)
        made.append(one)
    raise AssertionError("names never end")


def _could_be_one(given: str, other: str) -> bool:
    """Whether one person could go by both names."""
    return (
        given[0] == other[0]
        or given_names.is_short_for(given, other)
        or given_names.have_one_full(given, other)
    )


def number(chance: random.Random, home: Place, used: set[str]) -> str:
    """A phone number of the area that nobody has yet, drawn by chance; never 555, never N11 (NANP)."""
    while True:
        exchange = chance.randrange(200, 999)
        found = f"+1{chance.choice(home.area_codes)}{exchange}{chance.randrange(10000):04}"
        if exchange % 100 != 11 and exchange != 555 and found not in used:
            used.add(found)
            return found


# ---------------------------------------------------------------- decay

Change = Callable[["Decay", One], Decayed | None]
KINDS: dict[str, Change] = {}


def decay(*codes: str, sheet: bool = True) -> Callable[[Callable[..., int | None]], Change]:
    """Registers how something decays. The function changes a member, and may name another."""

    def register(change: Callable[..., int | None]) -> Change:
        def applied(all_: Decay, one: One) -> Decayed | None:
            other = change(all_, one)
            if other == -1:
                return None  # it cannot happen to this one
            return Decayed(change.__name__, one.id, other or 0, codes, sheet)

        KINDS[change.__name__] = applied
        return applied

    return register


class Decay:
    """Lets members decay, each at most in one way."""

    def __init__(self, made: list[One], sites: list[Spot], chance: random.Random) -> None:
        self.made, self.sites, self.chance = made, sites, chance
        self.touched: set[int] = set()
        shared: dict[str, list[int]] = {}
        for one in made:
            shared.setdefault(one.phone, []).append(one.id)
        # Two of one home stay as they are: what is true of one would be half true of the other.
        self.touched.update(i for ids in shared.values() if len(ids) > 1 for i in ids)
        self.homes = frozenset(self.touched)
        self.truth: list[Decayed] = []
        self.taken = {one.handle for one in made}

    def fresh(self) -> One:
        """A member that nothing has happened to yet."""
        while True:
            one = self.chance.choice(self.made)
            if one.id not in self.touched:
                self.touched.add(one.id)
                return one

    def far_site(self, one: One) -> Spot:
        home = places.find(one.zip5)
        assert home
        away = [s for s in self.sites if not s.closed and places.miles(s.here, home) > 60]
        return self.chance.choice(away)

    def all(self, each: int) -> list[Decayed]:
        """The truth: `each` members decay in every way."""
        for change in KINDS.values():
            count = failed = 0
            while count < each and failed < 50:
                one = self.fresh()
                done = change(self, one)
                if done:
                    self.truth.append(done)
                    count, failed = count + 1, 0
                else:
                    self.touched.discard(one.id)  # nothing has happened to it
                    failed += 1
        return self.truth


@decay("name.capitals")
def capitals_of_name(all_: Decay, one: One) -> None:
    one.given, one.family = one.given.upper(), one.family.upper()


@decay("fields.swapped", "name.order_unsure")
def names_swapped(all_: Decay, one: One) -> int | None:
    given = all_.chance.choice(("Michael", "Jennifer", "Linda", "Robert", "Patricia", "Susan"))
    family = all_.chance.choice(
        ("Johnson", "Williams", "Rodriguez", "Anderson", "Peterson", "Schmidt")
    )
    one.given, one.family = family, given
    one.handle = _new_handle(all_, f"{family}{given}".lower(), one)
    one.email = f"{given}{family}.{one.id}@example.org".lower()
    return None


@decay("name.email")
def email_in_name(all_: Decay, one: One) -> None:
    one.given = one.email


@decay("name.test", "name.joke", "name.mash")
def test_row(all_: Decay, one: One) -> None:
    one.given, one.family = all_.chance.choice(
        (("Test", "Test"), ("Test", "User"), ("asdf", "asdf"))
    )


@decay("fields.uncleaned", sheet=False)
def phone_never_cleaned(all_: Decay, one: One) -> None:
    n = one.phone[2:]
    one.more["phone"] = f"({n[:3]}) {n[3:6]}-{n[6:]}"


@decay("fields.uncleaned", sheet=False)
def address_never_cleaned(all_: Decay, one: One) -> None:
    one.more["address"] = [
        one.street.title().replace(" St", " Street").replace(" Rd", " Road"),
        f"{one.city.title()}, {one.state} {one.zip5}",
    ]


@decay("reach.bounced", sheet=False)
def mail_bounced(all_: Decay, one: One) -> None:
    one.more["bounced"] = "2026-10-03"


@decay("email.slip")
def email_slip(all_: Decay, one: One) -> None:
    one.email = f"{one.email.partition('@')[0]}@{all_.chance.choice(('gmial.com', 'yaho.com', 'hotmial.com'))}"


@decay(
    "email.unreadable", "email.missing", "email.placeholder", "email.wrong_field", "email.unclear"
)
def email_unusable(all_: Decay, one: One) -> None:
    one.email = all_.chance.choice(("", "none@none", one.email.partition("@")[0]))


@decay(
    "phone.too_short",
    "phone.impossible",
    "phone.unreadable",
    "phone.too_long",
    "phone.no_area_code",
)
def phone_impossible(all_: Decay, one: One) -> None:
    one.phone = one.phone[: all_.chance.choice((7, 9))]


@decay("phone.fictional")
def phone_fictional(all_: Decay, one: One) -> None:
    one.phone = f"{one.phone[:5]}55501{all_.chance.randrange(100):02}"


@decay("reach.none")
def out_of_reach(all_: Decay, one: One) -> None:
    one.email, one.phone, one.street = "", "", ""


@decay("reach.said_no")
def said_no(all_: Decay, one: One) -> None:
    one.more["consent"] = False


@decay("reach.helper")
def helpers_email(all_: Decay, one: One) -> None:
    """Five members of five homes have the mailbox of the first."""
    for _ in range(4):
        all_.fresh().email = one.email


@decay("twice.certain", "twice.likely", "twice.possible")
def twice_same(all_: Decay, one: One) -> int:
    """The same person joined again, with the same phone."""
    other = all_.fresh()
    _same_person(one, other)
    one.phone = other.phone
    return other.id


@decay("twice.certain", "twice.likely", "twice.possible")
def twice_misspelt(all_: Decay, one: One) -> int:
    """The same person again, with a letter left out of the family name and another mailbox."""
    other = all_.fresh()
    if len(other.family) < 5:
        return -1
    _same_person(one, other)
    at = all_.chance.randrange(2, len(other.family) - 1)
    one.family = other.family[:at] + other.family[at + 1 :]
    one.phone = other.phone
    return other.id


@decay("twice.certain", "twice.likely", "twice.possible")
def twice_moved(all_: Decay, one: One) -> int:
    """The same person again, at another address, with the same mailbox."""
    other = all_.fresh()
    one.given, one.family, one.email = other.given, other.family, other.email
    one.handle = _new_handle(all_, other.handle, one)
    return other.id


@decay("access.capitals")
def handle_in_capitals(all_: Decay, one: One) -> None:
    one.handle = one.handle[0].upper() + one.handle[1:]


@decay("access.email")
def handle_is_email(all_: Decay, one: One) -> None:
    one.handle = one.email


@decay("access.near")
def handle_one_keystroke_off(all_: Decay, one: One) -> int:
    other = all_.fresh()
    text = other.handle.rstrip("0123456789")
    at = all_.chance.randrange(1, len(text) - 1)
    near = text[:at] + all_.chance.choice("bcdfghkpqtx") + text[at + all_.chance.randrange(2) :]
    if (
        near in all_.taken
        or handles.skeleton(near) == handles.skeleton(text)
        or other.handle != text
    ):
        return -1
    all_.taken.add(near)
    one.handle = near
    one.given, one.family = (
        near[: len(other.given)].capitalize(),
        near[len(other.given) :].capitalize(),
    )
    return other.id


@decay("access.lookalike")
def handle_looks_alike(all_: Decay, one: One) -> int:
    other = all_.fresh()
    for letter, alike in (("l", "1"), ("m", "rn"), ("o", "0"), ("w", "vv")):
        if (
            letter in other.handle
            and (near := other.handle.replace(letter, alike, 1)) not in all_.taken
        ):
            all_.taken.add(near)
            one.handle, one.given, one.family = near, other.given, other.family
            return other.id
    return -1


@decay("access.unlike_name")
def name_changed(all_: Decay, one: One) -> None:
    one.family = all_.chance.choice(("Quillfeather", "Vossberg", "Zastrowe", "Uppingham"))
    one.email = f"{one.given}.{one.family}{one.id}@example.net".lower()


@decay("access.reserved")
def handle_reserved(all_: Decay, one: One) -> int | None:
    words = [w for w, _ in rows("reserved_handles") if w.isalpha() and w not in all_.taken]
    if not words:
        return -1
    one.handle = all_.chance.choice(words)
    all_.taken.add(one.handle)
    return None


@decay("access.first_expired", sheet=False)
def first_password_ran_out(all_: Decay, one: One) -> None:
    one.joined = date(2026, 10, 20)
    one.last_sign_in = one.last_order = None
    one.more |= {"must_change": True, "password_expires": "2026-11-03"}


@decay("access.never_signed_in")
def never_signed_in(all_: Decay, one: One) -> None:
    one.joined = date(2026, 3, 1)
    one.last_sign_in = one.last_order = None


@decay("access.weak_hash", sheet=False)
def hash_too_weak(all_: Decay, one: One) -> None:
    # An argon2id hash of 4 MiB and one pass; the letters are drawn by no one.
    one.more["password_hash"] = (
        "$argon2id$v=19$m=4096,t=1,p=1$c29tZXNhbHRzb21lc2FsdA$bm90aGluZ2hhc2hlZG5vdGhpbmdoYXNoZWQ"
    )


@decay("access.no_packet", sheet=False)
def packet_never_made(all_: Decay, one: One) -> None:
    one.joined = date(2026, 11, 10)
    one.more |= {"packet": State.DUE, "password_hash": None, "password_expires": None}


@decay(
    "address.no_number", "address.no_street", "address.no_city", "address.missing", "place.missing"
)
def address_incomplete(all_: Decay, one: One) -> None:
    if all_.chance.random() < 0.5:
        one.street = one.street.partition(" ")[2]
    else:
        one.street = ""


@decay("place.at_odds", "place.state_at_odds", "place.unknown_city")
def zip_of_elsewhere(all_: Decay, one: One) -> None:
    one.city, one.state = "BOZEMAN", "MT"


@decay("site.missing")
def no_drop_site(all_: Decay, one: One) -> None:
    one.site = ""


@decay("site.closed")
def drop_site_closed(all_: Decay, one: One) -> None:
    one.site = all_.sites[-1].name


@decay("site.unknown")
def drop_site_gone(all_: Decay, one: One) -> None:
    one.site = all_.chance.choice(("The Old Zeppelin Yard", "Quarry Chapel Annex"))


@decay("site.far")
def nearer_site(all_: Decay, one: One) -> None:
    one.site = all_.far_site(one).name


@decay("upkeep.idle")
def idle(all_: Decay, one: One) -> None:
    one.joined = date(2023, 2, 1)
    one.last_order = date(2025, 1, 2) + timedelta(days=all_.chance.randrange(200))
    one.last_sign_in = one.last_order


@decay("upkeep.closed_long", sheet=False)
def closed_long_ago(all_: Decay, one: One) -> None:
    one.joined, one.last_order, one.last_sign_in = date(2023, 1, 1), None, None
    one.more |= {"standing": "closed", "closed": "2023-09-01"}


@decay("upkeep.no_consent")
def never_asked(all_: Decay, one: One) -> None:
    one.more["consent"] = None


@decay("sound.journal", sheet=False)
def not_in_journal(all_: Decay, one: One) -> None:
    one.unwritten = True


@decay("sound.spelling", sheet=False)
def no_spelling(all_: Decay, one: One) -> None:
    one.unspelt = True


@decay("sound.index", sheet=False)
def key_lost(all_: Decay, one: One) -> None:
    one.key_lost = True


@decay("sound.handle", sheet=False)
def handle_at_odds(all_: Decay, one: One) -> None:
    one.handle_lost = True


def _same_person(one: One, other: One) -> None:
    one.given, one.family, one.street = other.given, other.family, other.street
    one.city, one.state, one.zip5, one.site = other.city, other.state, other.zip5, other.site
    one.handle = other.handle.rstrip("0123456789") + str(90_000 + one.id)


def _new_handle(all_: Decay, wanted: str, one: One) -> str:
    return f"{wanted.rstrip('0123456789')}{90_000 + one.id}"


# ---------------------------------------------------------------- written

AT_ONCE = 5000


def into_store(engine_url: str, made: list[One]) -> None:
    """Write the members as the program records them, without its checks."""
    first = FirstPassword("an-invented-phrase-of-words", TODAY)
    (good,) = passwords.hash_all([first])
    engine = store.open_store(engine_url)
    with store.transaction(engine) as connection:
        connection.execute(
            tables.batch.insert(),
            [{"id": 1, "file": "members.csv", "at": "2023-01-01T12:00:00Z", "who": "Robin"}],
        )
        for start in range(0, len(made), AT_ONCE):
            _write(connection, made[start : start + AT_ONCE], good)
        _index(connection)
    engine.dispose()


def _write(connection: Connection, some: list[One], good: str) -> None:
    member, handle, row, person, key, journal, packet = [], [], [], [], [], [], []
    for one in some:
        person_of = _person(one)
        member.append(_member_line(one, good))
        packet.append(_packet_line(one))
        base = (one.handle.rstrip("0123456789") or one.handle).casefold()
        handle.append(
            {
                "text": f"{one.handle}.old" if one.handle_lost else one.handle,
                "base": base,
                "member_id": one.id,
            }
        )
        row.append({
            "key": f"{one.id:024x}", "position": one.id, "batch_id": 1, "file": "members.csv",
            "line": one.id + 1, "cells": [["id", str(one.id)]], "fields": {}, "repairs": [],
            "decision": "enrol", "asks_who": False, "member_id": one.id,
        })  # fmt: skip
        if not one.unspelt:
            person.append({
                "id": one.id, "owner": f"member:{one.id}", "row_key": f"{one.id:024x}",
                "given": person_of.given, "middle": "", "family": person_of.family, "suffix": "",
                "called": "", "former": "", "email": person_of.email, "phone": person_of.phone,
                "street": person_of.street, "unit": "", "city": person_of.city,
                "state": person_of.state, "zip5": person_of.zip5, "born": "", "joint": [],
            })  # fmt: skip
            found = sorted(keys.of(person_of))
            key += [{"key": k, "person_id": one.id} for k in (found[1:] if one.key_lost else found)]
        journal.append({
            "at": f"{one.joined}T12:00:00Z", "who": "Robin", "what": "enrolled",
            "about": "member:0" if one.unwritten else f"member:{one.id}", "why": "", "before": {},
            "after": {"handle": one.handle},
        })  # fmt: skip
    for table, lines in (
        (tables.member, member), (tables.handle, handle), (tables.row, row), (tables.person, person),
        (tables.person_key, key), (tables.journal, journal), (tables.outgoing, packet),
    ):  # fmt: skip
        if lines:
            connection.execute(table.insert(), lines)


def _index(connection: Connection) -> None:
    """The look-up index, if the roster has one."""
    try:
        from onboard.roster import index
    except ImportError:
        return
    index.rebuild(connection)


def _person(one: One) -> Person:
    return Person(
        f"member:{one.id}", given=one.given, family=one.family, email=one.email.casefold(),
        phone=one.phone if len(one.phone) == 12 else "", street=one.street, city=one.city,
        state=one.state, zip5=one.zip5,
    )  # fmt: skip


def _member_line(one: One, good: str) -> dict[str, Any]:
    line = {
        "id": one.id, "handle": one.handle, "handle_steps": [],
        "name": {"given": one.given, "middle": "", "family": one.family, "suffix": "", "title": "",
                 "called": "", "former": "", "joint": []},
        "email": one.email, "phone": f"tel:{one.phone}" if one.phone else "",
        "address": [line for line in (one.street, one.last_line) if line],
        "site": one.site, "language": "en", "consent": True, "extras": {},
        "joined": f"{one.joined}T12:00:00Z", "standing": "open", "password_hash": good,
        "password_expires": str(one.joined + timedelta(days=14)), "must_change": False,
        "page_seen": str(PAGE_SEEN), "last_sign_in": _iso(one.last_sign_in),
        "last_order": _iso(one.last_order), "bounced": None, "closed": None,
    }  # fmt: skip
    return {c: v for c, v in (line | one.more).items() if c in tables.member.c}


def _packet_line(one: One) -> dict[str, Any]:
    at = f"{one.joined}T12:00:00Z"
    return {
        "member_id": one.id, "what": What.PACKET, "way": Way.EMAIL, "made": at, "at": at, "file": "",
        "state": one.more.get("packet", State.SENT), "letter": "", "claim": "", "why": "",
    }  # fmt: skip


def _iso(day: date | None) -> str | None:
    return str(day) if day else None


HEADINGS = (
    "Handle", "First name", "Last name", "Email", "Phone", "Street", "City", "State", "ZIP",
    "Drop site", "Joined", "May we email you?", "Last sign-in", "Last order",
)  # fmt: skip


def into_sheet(file: Path, made: list[One]) -> None:
    """The same members as a spreadsheet, a line each in their order."""
    consent = {True: "yes", False: "no", None: ""}
    with file.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow(HEADINGS)
        for one in made:
            writer.writerow([
                one.handle, one.given, one.family, one.email, one.phone.removeprefix("+1"), one.street,
                one.city, one.state, one.zip5, one.site, one.joined, consent[one.more.get("consent", True)],
                one.last_sign_in or "", one.last_order or "",
            ])  # fmt: skip


def make(folder: Path, count: int, seed: int) -> list[Decayed]:
    """Write all files; the truth."""
    chance = random.Random(seed)
    sites = spots(chance)
    made = people(count, chance, sites)
    state = Decay(made, sites, chance)
    truth = state.all(max(1, count // (4 * len(KINDS))))
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "onboard.toml").write_text(settings(sites, count), "utf-8")
    (folder / "roster.db").unlink(missing_ok=True)
    into_store(f"sqlite:///{folder / 'roster.db'}", made)
    into_sheet(folder / "members.csv", made)
    with (folder / "truth.csv").open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow(("kind", "id", "other", "codes", "in_sheet"))
        writer.writerows((d.kind, d.id, d.other, " ".join(d.codes), int(d.in_sheet)) for d in truth)
    clean = [one.id for one in made if one.id not in state.touched or one.id in state.homes]
    (folder / "clean.json").write_text(json.dumps(clean), "utf-8")
    return truth


if __name__ == "__main__":
    words = sys.argv[1:]
    to = Path(words[words.index("--to") + 1]) if "--to" in words else Path("decayed")
    if len(words) < 3 or words[0] != "members":
        sys.exit(__doc__)
    told = make(to, int(words[1]), int(words[2]))
    print(f"{len(told)} things decayed in {len(KINDS)} ways: {to / 'truth.csv'}")

"""Makes fixtures_demo/: an invented co-op, its members, its join forms, and what each form is.

    python tests/demo/make_demo.py [FOLDER]

Everybody is invented: phones end in 555-01XX and mail goes to reserved domains, but where a slip
in a provider's name is the point. The same seed gives the same bytes. expected.csv says of each
form what a careful person would decide; it is written from what was done to the form, never from
what the program says of it.
"""

from __future__ import annotations

import codecs
import csv
import random
import sys
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from io import StringIO
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
import coop

SEED = 20261125
MEMBERS = 300
FIRST_DAY = datetime(2026, 10, 26, 7, 30)

HEADINGS = (
    "Timestamp", "First name *", "Last Name / Family name", "E-mail address", "Best phone (cell OK)",
    "Mailing Address", "Apt / PO Box", "Town", "ST", "Zip Code", "Which drop site is nearest you?",
    "Language / Idioma", "OK to send you email? (y/n)", "How did you hear about us?",
)  # fmt: skip
TIMESTAMP, GIVEN, FAMILY, EMAIL, PHONE, STREET, UNIT, TOWN, STATE, ZIP, SITE, LANGUAGE, CONSENT, HEARD = (
    range(14)
)  # fmt: skip
HEARD_FROM = (
    "a neighbor",
    "seed swap",
    "poster at the library",
    "farmers market",
    "friend",
    "radio",
    "",
    "",
)


@dataclass(frozen=True)
class Someone:
    """An invented person, as they are before a form gets hold of them."""

    given: str
    family: str
    email: str
    phone: str  # "608-555-0143"
    street: str
    unit: str
    town: str
    state: str
    zip5: str
    site: str
    suffix: str = ""
    handle: str = ""
    joined: str = ""


@dataclass
class Form:
    """A row of the join forms: its cells, and what it is."""

    cells: list[str]
    trap: str
    decision: str  # what a careful person decides: enrol, same, hold, drop, none (no form at all)
    why: str
    also: str = ""  # another decision that nobody could be blamed for
    who: str = ""  # "same": the member's handle, or the form it repeats
    twin: Form | None = None  # the earlier form, whose line is not known yet
    name: str = ""


def handle_of(someone: Someone) -> str:
    plain = unicodedata.normalize("NFKD", someone.given + someone.family)
    return "".join(c for c in plain.casefold() if c.isascii() and c.isalnum())


class People:
    """Draws invented people; nobody shares a name, an email or a phone with another by chance."""

    def __init__(self, dice: random.Random) -> None:
        self.dice = dice
        self.names: set[tuple[str, str]] = set()
        self.emails: set[str] = set()
        self.phones: set[str] = {site.phone for site in coop.SITES} | {"608-555-0100"}

    def draw(self, site: str = "", given: str = "", family: str = "") -> Someone:
        dice = self.dice
        while True:
            name = (given or dice.choice(coop.GIVEN), family or dice.choice(coop.FAMILY))
            if name not in self.names:
                break
        self.names.add(name)
        site = site or dice.choice([s.name for s in coop.SITES if not s.closed])
        town, state, zip5 = dice.choice(coop.TOWNS[site])
        someone = Someone(
            *name, self.email(*name), self.phone(zip5), *self.home(), town, state, zip5, site
        )
        return replace(someone, handle=handle_of(someone))

    def email(self, given: str, family: str) -> str:
        first, last = (
            "".join(c for c in unicodedata.normalize("NFKD", text).casefold() if c.isascii() and c.isalnum())
            for text in (given, family)
        )  # fmt: skip
        first, last = first or "grower", last or str(self.dice.randint(100, 999))
        while True:
            local = self.dice.choice(
                (f"{first}.{last}", f"{first[0]}{last}", f"{last}.{first}", f"{first}{last}{self.dice.randint(2, 99)}",
                 f"{first}_{last}", f"{last}{self.dice.randint(40, 99)}")
            )  # fmt: skip
            address = f"{local}@example.{self.dice.choice(('org', 'org', 'net', 'com'))}"
            if address not in self.emails:
                self.emails.add(address)
                return address

    def phone(self, zip5: str) -> str:
        while True:
            area = coop.AREA_CODES[zip5[:3]]
            if self.dice.random() < 0.3:
                area = self.dice.choice(coop.ELSEWHERE)
            number = f"{area}-555-{self.dice.randint(100, 199):04}"
            if number not in self.phones:
                self.phones.add(number)
                return number

    def home(self) -> tuple[str, str]:
        street = f"{self.dice.randint(2, 2900)} {self.dice.choice(coop.STREETS)}"
        unit = f"Apt {self.dice.randint(1, 40)}" if self.dice.random() < 0.12 else ""
        return street, unit


# ---------------------------------------------------------------- members


def members(people: People) -> tuple[list[Someone], list[tuple[int, str, str]]]:
    """The members, and which of them are in the roster twice: place, handle of the other, why."""
    dice = people.dice
    taken: set[str] = set()
    found: list[Someone] = []

    def join(someone: Someone) -> Someone:
        base = handle_of(someone)
        handle, number = base, 2
        while handle in taken:
            handle, number = f"{base}{number}", number + 1
        taken.add(handle)
        someone = replace(someone, handle=handle)
        found.append(someone)
        return someone

    twice: list[tuple[int, str, str]] = []
    while len(found) < MEMBERS - 6:
        one = join(people.draw())
        luck = dice.random()
        if luck < 0.10:  # a household: one home and one phone, two people
            other = people.draw(site=one.site, family=one.family)
            join(replace(other, phone=one.phone, street=one.street, unit=one.unit,
                         town=one.town, state=one.state, zip5=one.zip5))  # fmt: skip
        elif luck < 0.12:  # father and son at one address
            son = people.draw(site=one.site)
            join(replace(son, given=one.given, family=one.family, suffix="Jr", street=one.street,
                         unit=one.unit, town=one.town, state=one.state, zip5=one.zip5))  # fmt: skip
        elif luck < 0.14:  # the same name far away
            namesake = people.draw()
            if namesake.site != one.site:
                join(replace(namesake, given=one.given, family=one.family))
    for one in [m for m in found if m.given in coop.NICKNAMES][:3]:
        twice.append((len(found), one.handle, "joined again under a nickname, same email"))
        join(replace(one, given=coop.NICKNAMES[one.given]))
    for one in dice.sample(found[:200], 3):
        twice.append(
            (len(found), one.handle, "joined again with another email, same phone and home")
        )
        join(replace(one, email=people.email(one.given, one.family)))
    found = [_aged(dice, someone) for someone in found[:MEMBERS]]
    return found, twice


def _aged(dice: random.Random, someone: Someone) -> Someone:
    """With the day they joined, and now and then what an old roster lacks."""
    joined = datetime(2014, 3, 1) + timedelta(days=dice.randint(0, 4500))
    someone = replace(someone, joined=f"{joined:%Y-%m-%d}")
    luck = dice.random()
    if luck < 0.03:
        return replace(someone, email="")
    if luck < 0.05:
        return replace(someone, phone="")
    return someone


def members_csv(found: Iterable[Someone]) -> str:
    head = ("Handle", "First name", "Last name", "Suffix", "Email", "Phone", "Address", "Unit",
            "City", "State", "ZIP", "Drop site", "Joined")  # fmt: skip
    return _csv(
        [head]
        + [
            (m.handle, m.given, m.family, m.suffix, m.email, m.phone, m.street, m.unit, m.town,
             m.state, m.zip5, m.site, m.joined)
            for m in found
        ]
    )  # fmt: skip


# ---------------------------------------------------------------- join forms


@dataclass
class Forms:
    """The join forms so far. Each `add` says what the form is and why."""

    people: People
    known: list[Someone]
    rows: list[Form] = field(default_factory=list)

    @property
    def dice(self) -> random.Random:
        return self.people.dice

    def cells(self, someone: Someone, **said: str) -> list[str]:
        """The cells of a form filled in by somebody careful, but for what is `said` otherwise."""
        cells = [
            "", someone.given, f"{someone.family} {someone.suffix}".strip(), someone.email,
            someone.phone, someone.street, someone.unit, someone.town, someone.state, someone.zip5,
            someone.site, self.dice.choice(("English", "English", "")), self.dice.choice(("y", "yes", "Yes", "Y")),
            self.dice.choice(HEARD_FROM),
        ]  # fmt: skip
        for place, text in said.items():
            cells[globals()[place]] = text
        return cells

    def add(self, trap: str, decision: str, why: str, someone: Someone | None = None, *,
            also: str = "", who: str = "", twin: Form | None = None, **said: str) -> Form:  # fmt: skip
        someone = someone or self.people.draw()
        cells = self.cells(someone, **said)
        name = f"{cells[GIVEN]} {cells[FAMILY]}".strip()
        form = Form(cells, trap, decision, why, also, who, twin, name)
        self.rows.append(form)
        return form

    def new(self, trap: str, why: str, someone: Someone | None = None, **more: str) -> Form:
        return self.add(trap, "enrol", why, someone, **more)  # type: ignore[arg-type]

    def member(self, choose: Callable[[Someone], object] = bool) -> Someone:
        """A member whom no form has been about yet, with email and phone, alone of that name."""
        names = [(m.given, m.family) for m in self.known]
        homes = [(m.street, m.zip5) for m in self.known]
        told = {form.who for form in self.rows}
        fit = [
            m for m in self.known
            if choose(m) and m.email and m.phone and m.handle not in told and not m.suffix
            and names.count((m.given, m.family)) == 1 and homes.count((m.street, m.zip5)) == 1
        ]  # fmt: skip
        return self.dice.choice(fit)


PHONES: tuple[Callable[[str], str], ...] = (
    lambda n: n,
    lambda n: f"({n[:3]}) {n[4:]}",
    lambda n: n.replace("-", "."),
    lambda n: n.replace("-", ""),
    lambda n: f"1-{n}",
    lambda n: "+1 " + n.replace("-", " "),
    lambda n: f"{n} (cell)",
    lambda n: n.replace("-", "/", 1),
    lambda n: f" {n[:3]} {n[4:]}",
)


def plain(forms: Forms) -> None:
    """New people with no more than everyday untidiness."""
    untidy = {
        "all capitals": lambda c: [t.upper() if n not in (TIMESTAMP, SITE) else t for n, t in enumerate(c)],
        "small letters": lambda c: [t.lower() if n in (GIVEN, FAMILY, STREET, TOWN) else t for n, t in enumerate(c)],
        "blanks around": lambda c: [f"  {t} " if t and n in (GIVEN, EMAIL, TOWN) else t for n, t in enumerate(c)],
    }  # fmt: skip
    for number in range(34):
        form = forms.new("plain", "a new person, everything given")
        form.cells[PHONE] = PHONES[number % len(PHONES)](form.cells[PHONE])
        for at, (trap, change) in enumerate(untidy.items()):
            if number % 11 == at + 2:
                form.trap, form.cells = trap, change(form.cells)


LATIN = "the handle needs Latin letters: ask for the spelling"
JOINT = "two people on one form: ask whose the account is"
CODE = "program text is no name: do not open it, ask"
ODD_NAMES = (  # trap, decision, also, why, first name, last name, and those in plain letters
    ("apostrophe of another key", "enrol", "", "a new person; the mark is an apostrophe", "Maeve", "O`Dell", "", ""),
    ("suffix in the last name", "enrol", "", "a new person; III is no part of the handle", "Lowell", "Bellweather III", "", "Bellweather"),
    ("wrong encoding", "enrol", "", "a new person; the letters were garbled on the way", "JosÃ©", "Peñaloza", "José", ""),
    ("markup in the name", "enrol", "hold", "a new person; markup is no part of a name", "<b>Tilda</b>", "Marchbanks", "Tilda", ""),
    ("other script", "hold", "", LATIN, "小明", "王", "Xiaoming", "Wang"),
    ("other script", "hold", "", LATIN, "Олена", "Шевчук", "Olena", "Shevchuk"),
    ("lost letters", "hold", "", "letters of the name were lost: ask for the spelling", "Jos?", "Garc?a", "José", "García"),
    ("joint sign-up", "hold", "", JOINT, "Ned and Ruthie", "Sandquist", "Ned", ""),
    ("joint sign-up", "hold", "", JOINT, "Carla & Jude", "Pemberton", "Carla", ""),
    ("joint sign-up", "hold", "", JOINT, "Mr. and Mrs. Earl", "Fitzhugh", "Earl", ""),
    ("household", "hold", "", "a home is no person: ask who signs in", "The", "Ostgard Family", "Kristin", "Ostgard"),
    ("organisation", "hold", "enrol", "a farm is no person: ask who signs in", "Crooked Row Farm", "LLC", "Crooked", "Row"),
    ("no name", "hold", "", "without a name there is no handle", "", "", "Quiet", "Grower"),
    ("hand over the keyboard", "hold", "drop enrol", "no name: ask, or drop it", "asdfgh", "jkl", "", ""),
    ("formula as a name", "hold", "drop", CODE, '=HYPERLINK("http://prize.example.com","Click")', "", "Prize", "Winner"),
    ("script in the name", "hold", "drop enrol", CODE, "<script>alert(1)</script>", "x", "Script", "Kiddie"),
)  # fmt: skip


def names(forms: Forms) -> None:
    draw = forms.people.draw
    right = "a new person, whose name is written so"
    for given, family in (
        ("Siobhán", "O'Hara"), ("Declan", "O’Rourke"), ("Gina", "D'Amato"), ("Fiona", "MacAllister"),
        ("Pieter", "van der Meer"), ("Lucía", "de la Cruz"), ("Ana María", "Fuentes Robledo"),
        ("Mary Beth", "Olmstead-Ruiz"), ("Łukasz", "Wójcik"), ("Nguyễn Thị", "Hạnh"),
        ("Pa Houa", "Lor"), ("Zoë", "Brontman"), ("J. R.", "Kettleson"),
    ):  # fmt: skip
        forms.new("name of its own kind", right, draw(given=given, family=family))
    for trap, decision, also, why, given, family, plain_given, plain_family in ODD_NAMES:
        one = draw(given=plain_given or given, family=plain_family or family)
        forms.add(trap, decision, why, one, also=also, GIVEN=given, FAMILY=family)
    swap = forms.people.draw()
    forms.new("email in the name box", "a new person; the email stands after the name", swap,
              also="hold", GIVEN=f"{swap.given} {swap.email}", EMAIL="")  # fmt: skip
    swap = forms.people.draw()
    forms.new("email and last name exchanged", "a new person; two cells are exchanged", swap,
              also="hold", FAMILY=swap.email, EMAIL=swap.family)  # fmt: skip
    swap = forms.people.draw()
    forms.new("whole name in the first box", "a new person; the last name is in the first box", swap,
              also="hold", GIVEN=f"{swap.given} {swap.family}", FAMILY="")  # fmt: skip
    one = forms.people.draw()
    forms.new("last name twice", "a new person; the whole name and the last name again", one,
              also="hold", GIVEN=f"{one.given} {one.family}")  # fmt: skip


def contacts(forms: Forms) -> None:
    draw, slip = forms.people.draw, "a new person; mail may go astray, so the address is asked for"
    for domain in ("gmial.com", "gmail.con", "yaho.com", "hotmial.com", "gmai.com"):
        one = draw()
        forms.new(
            "slip in the mail domain",
            slip,
            one,
            also="hold",
            EMAIL=f"{handle_of(one)}.seeds@{domain}",
        )
    one = draw()
    forms.new("email with other marks", "a new person; brackets and name belong to no address", one,
              EMAIL=f"{one.given} {one.family} <{one.email}>")  # fmt: skip
    one = draw()
    forms.new("comma for a dot", "a new person; one reading only", one, also="hold", EMAIL=one.email.replace(".org", ",org").replace(".net", ",net").replace(".com", ",com"))  # fmt: skip
    one = draw()
    forms.new(
        "spelled-out at",
        "a new person; one reading only",
        one,
        also="hold",
        EMAIL=one.email.replace("@", " at "),
    )
    one = draw()
    forms.new(
        "two emails",
        "a new person with two mailboxes",
        one,
        EMAIL=f"{one.email} or {forms.people.email(one.given, one.family)}",
    )
    one = draw()
    forms.new(
        "mailto and capitals", "a new person; one mailbox", one, EMAIL=f"mailto:{one.email.upper()}"
    )
    for said in ("", "none", ""):
        forms.add(
            "no email",
            "hold",
            "nowhere to mail to: ask, or send a letter",
            also="enrol",
            EMAIL=said,
        )
    forms.add(
        "made-up email",
        "hold",
        "an address to fill the box: ask",
        EMAIL="none@none.com",
        also="enrol",
    )
    forms.add(
        "broken email", "hold", "what follows the @ is lost: ask", EMAIL="seedsaver@", also="enrol"
    )
    one = draw()
    forms.new("email and phone exchanged", "a new person; two cells are exchanged", one, also="hold",
              EMAIL=one.phone, PHONE=one.email)  # fmt: skip
    one = draw()
    damaged = f"{one.phone[0]}.{one.phone.replace('-', '')[1:6]}E+09"
    forms.new(
        "phone spoilt by a spreadsheet",
        "a new person; digits are lost, ask for the phone",
        one,
        PHONE=damaged,
    )
    forms.new("no phone", "a new person without a phone", PHONE="")
    forms.new("no phone", "a new person without a phone", PHONE="n/a")
    forms.new("phone without area code", "a new person; the area code is a guess", PHONE="555-0147")
    one = draw()
    forms.new(
        "letter O in the phone", "a new person; O is a zero", one, PHONE=one.phone.replace("0", "O")
    )
    one = draw()
    forms.new(
        "words beside the phone",
        "a new person; call after six",
        one,
        PHONE=f"{one.phone} call after 6pm",
    )
    one = draw()
    forms.new(
        "two phones",
        "a new person with two phones",
        one,
        PHONE=f"{one.phone} or {forms.people.phone(one.zip5)}",
    )
    one = draw()
    forms.new("extension", "a new person with an extension", one, PHONE=f"{one.phone} x12")
    for said in ("n", "No", "NO", "no thanks"):
        forms.new("said no to mail", "a new person who is written to on paper only", CONSENT=said)
    forms.new(
        "mail: neither yes nor no", "a new person; no mail until asked", CONSENT="maybe later"
    )
    for said in ("Español", "Spanish", "español", "ES"):
        given, family = (
            forms.dice.choice(("Marisol", "Ximena", "Felipe", "Ruben")),
            forms.dice.choice(("Castellanos", "Jaramillo", "Ortega", "Valdez")),
        )
        if (given, family) in forms.people.names:
            given = f"{given} Luz" if given in ("Marisol", "Ximena") else f"{given} Andrés"
        forms.new("Spanish", "a new person who reads Spanish", draw(given=given, family=family), LANGUAGE=said,
                  CONSENT=forms.dice.choice(("sí", "si", "Sí")))  # fmt: skip


def places(forms: Forms) -> None:
    draw = forms.people.draw
    for said, site in (
        ("RR 2 Box 41A", ""), ("PO Box 112", ""), ("General Delivery", ""), ("HC 61 Box 9", ""),
        ("12 1/2 larkspur court", ""), ("c/o Feed Store, 9 N. Granary street", ""),
        ("W4512 County Road NN", "Viroqua Grange Hall"), ("S2341 State Hwy 27", "Viroqua Grange Hall"),
    ):  # fmt: skip
        right = "a new person; mail is delivered to such an address"
        forms.new("address of its own kind", right, draw(site=site), UNIT="", STREET=said)
    one = draw()
    forms.new("whole address in one box", "a new person; town and ZIP are in the street box", one,
              STREET=f"{one.street}, {one.town}, {one.state} {one.zip5}", TOWN="", STATE="", ZIP="")  # fmt: skip
    for site in ("Brattleboro Feed Barn", "Montpelier Meeting House", "Keene Fair Barn"):
        one = draw(site=site)
        forms.new(
            "lost zero of the ZIP",
            "a new person; the spreadsheet dropped the zero",
            one,
            ZIP=one.zip5[1:],
        )
    one = draw()
    forms.new("ZIP of nine digits", "a new person", one, ZIP=f"{one.zip5}-1234")
    one = draw(site="Oshkosh Greenhouse")
    forms.new("ZIP and town at odds", "a new person; ask which is right", one, ZIP="45901")
    one = draw(site="La Crosse Seed Library")
    forms.new(
        "town misspelled",
        "a new person",
        replace(one, town="Onalaska", zip5="54650"),
        TOWN="Onalaksa",
    )
    forms.new("no state", "a new person; the ZIP says which", STATE="")
    forms.new("state in full", "a new person", draw(site="Ames Seed Barn"), STATE="Iowa")
    for site, said in (
        ("Viroqua Grange Hall", "viroqa grange"), ("Montpelier Meeting House", "Montpelier Mtg House"),
        ("Grinnell Town Shed", "Grinell"), ("Keene Fair Barn", "the fair barn in Keene"),
    ):  # fmt: skip
        forms.new("site misspelled", f"a new person; {site} is meant", draw(site=site), SITE=said)
    forms.new("site unknown", "a new person; ask which site", SITE="the old creamery")
    forms.new("no site", "a new person; ask which site", SITE="")
    forms.new(
        "site closed",
        "a new person; that site is closed, ask which other",
        draw(site="Decorah Rail Depot"),
    )
    forms.new(
        "two sites could be meant",
        "a new person; ask which of the two",
        draw(site="Madison East Garage"),
        SITE="Madison",
    )
    forms.new(
        "site far away",
        "a new person; another site is much nearer",
        draw(site="Ames Seed Barn"),
        SITE="Keene Fair Barn",
    )


def again(forms: Forms) -> None:
    """People who are members already, and people who only look like them."""
    people, known = forms.people, "is a member already"
    for _ in range(3):
        one = forms.member()
        forms.add("member again", "same", f"{known}, everything the same", one, who=one.handle)
    for _ in range(3):
        one = forms.member(lambda m: m.given in coop.NICKNAMES)
        short = replace(one, given=coop.NICKNAMES[one.given])
        forms.add(
            "member under a nickname",
            "same",
            f"{known}; same email and phone",
            short,
            who=one.handle,
        )
    for family in ("Rosewood", "Lindgren"):
        one = forms.member(
            lambda m: (
                m.given
                in ("Clara", "Hannah", "Heidi", "Nora", "Julia", "Rachel", "Laura", "Greta", "Ida")
            )
        )
        forms.add("member with a married name", "same", f"{known}; first name, email, phone and home are the same",
                  replace(one, family=family), who=one.handle, also="hold")  # fmt: skip
    for _ in range(2):
        one = forms.member()
        moved = people.draw()
        forms.add("member who moved", "same", f"{known}; same name and email, another home",
                  replace(one, street=moved.street, unit=moved.unit, town=moved.town, state=moved.state,
                          zip5=moved.zip5, site=moved.site, phone=one.phone), who=one.handle)  # fmt: skip
    for _ in range(2):
        one = forms.member()
        forms.add("member with another email", "same", f"{known}; same name, phone and home",
                  replace(one, email=people.email(one.given, one.family)), who=one.handle, also="hold")  # fmt: skip
    one = forms.member(lambda m: len(m.family) > 6)
    slip = one.family[:3] + one.family[4] + one.family[3] + one.family[5:]
    forms.add("member, name misspelled", "same", f"{known}; same email and phone, two letters exchanged",
              replace(one, family=slip), who=one.handle)  # fmt: skip
    for _ in range(2):
        one = forms.member()
        spouse = people.draw(site=one.site, family=one.family)
        forms.add("household of a member", "enrol", f"lives with {one.handle}, shares the phone, and is another person",
                  replace(spouse, phone=one.phone, street=one.street, unit=one.unit, town=one.town, state=one.state,
                          zip5=one.zip5), also="hold")  # fmt: skip
    one = forms.member()
    spouse = people.draw(site=one.site, family=one.family)
    forms.add("household with one mailbox", "hold", f"shares home, phone and email with {one.handle}: ask who is who",
              replace(spouse, email=one.email, phone=one.phone, street=one.street, unit=one.unit, town=one.town,
                      state=one.state, zip5=one.zip5), also="enrol")  # fmt: skip
    for _ in range(2):
        one = forms.member()
        son = people.draw(site=one.site)
        forms.add("son of the same name", "enrol", f"the son of {one.handle}: Jr, same home, other email and phone",
                  replace(son, given=one.given, family=one.family, suffix="Jr", street=one.street, unit=one.unit,
                          town=one.town, state=one.state, zip5=one.zip5), also="hold")  # fmt: skip
    for _ in range(2):
        one = forms.member()
        far = people.draw(site="Keene Fair Barn" if one.state in ("WI", "IA") else "Ames Seed Barn")
        forms.add("same name, another person", "enrol", f"only the name is that of {one.handle}",
                  replace(far, given=one.given, family=one.family))  # fmt: skip


def twice(forms: Forms) -> None:
    """Forms sent twice, and couples who sign up one after the other."""
    fresh = [f for f in forms.rows if f.trap == "plain"]
    for form in fresh[:3]:
        copy = Form(
            list(form.cells), "sent twice", "same", "the same form again", twin=form, name=form.name
        )
        forms.rows.append(copy)
    for form, place, said in (
        (fresh[3], PHONE, ""),
        (fresh[4], UNIT, "Unit 2"),
        (fresh[5], HEARD, "I sent this before!"),
    ):
        copy = Form(
            list(form.cells),
            "sent twice, not alike",
            "same",
            "the same person again",
            twin=form,
            name=form.name,
        )
        copy.cells[place] = said
        forms.rows.append(copy)
    one = forms.people.draw()
    first = forms.new("couple, one mailbox", "a new person", one, also="hold")
    other = forms.people.draw(site=one.site, family=one.family)
    second = forms.add("couple, one mailbox", "hold", "shares home, phone and email with the form before: ask who is who",
                       replace(one, given=other.given), also="enrol")  # fmt: skip
    second.name = f"{other.given} {one.family}"
    assert first.name != second.name


def junk(forms: Forms) -> None:
    def row(trap: str, decision: str, why: str, also: str = "", **said: str) -> None:
        cells = [""] * len(HEADINGS)
        for place, text in said.items():
            cells[globals()[place]] = text
        name = f"{cells[GIVEN]} {cells[FAMILY]}".strip()
        forms.rows.append(Form(cells, trap, decision, why, also, name=name))

    row(
        "test row",
        "drop",
        "somebody tried the form",
        "hold",
        GIVEN="test",
        FAMILY="test",
        EMAIL="test@example.com",
    )
    row(
        "test row",
        "drop",
        "somebody tried the form",
        "hold",
        GIVEN="TEST",
        FAMILY="ignore",
        PHONE="123",
        EMAIL="test2@example.com",
    )
    row("blank row", "none", "there is nothing in it")
    row("blank row", "none", "there is nothing in it", SITE=" ")
    row(
        "only an answer", "drop", "neither a name nor a way to reach anybody", "none", HEARD="radio"
    )
    forms.new("formula beside", "a new person; the formula must never be live", HEARD="=1+1")


def join_forms(people: People, known: list[Someone]) -> list[Form]:
    """All forms in the order they came; a copy comes after what it repeats."""
    forms = Forms(people, known)
    for part in (plain, names, contacts, places, again, twice, junk):
        part(forms)
    first = [
        f
        for f in forms.rows
        if f.trap not in ("sent twice", "sent twice, not alike", "couple, one mailbox")
    ]
    later = [f for f in forms.rows if f not in first]
    people.dice.shuffle(first)
    at = FIRST_DAY
    rows = first + later
    for form in rows:
        at += timedelta(minutes=people.dice.randint(7, 520))
        if any(cell.strip() for cell in form.cells):
            form.cells[TIMESTAMP] = f"{at.month}/{at.day}/{at.year} {at.hour}:{at:%M:%S}"
    return rows


def more_forms(people: People, known: list[Someone]) -> list[Form]:
    """Ten forms of the Spanish page: other headings, names and addresses in one box."""
    rows = []
    for number in range(9):
        one = people.draw(
            family=people.dice.choice(
                ("Aguilar", "Delgado", "Mendoza", "Sandoval", "Torres", "Reyes")
            )
        )
        rows.append(
            Form(
                _spanish(one),
                "Spanish page",
                "enrol",
                "a new person who reads Spanish",
                name=f"{one.given} {one.family}",
            )
        )
        if number == 4:
            rows[-1].cells[2] = ""
            rows[-1].decision, rows[-1].also, rows[-1].why = (
                "hold",
                "enrol",
                "nowhere to mail to: ask",
            )
    told = [m for m in known if m.email and m.phone and not m.suffix]
    one = people.dice.choice(told)
    rows.append(Form(_spanish(one), "member again", "same", "is a member already, everything the same",
                     who=one.handle, name=f"{one.given} {one.family}"))  # fmt: skip
    return rows


SPANISH_HEADINGS = ("Marca temporal", "Nombre completo", "Correo electrónico", "Teléfono", "Dirección",
                    "Ciudad, estado y código postal", "Sitio de entrega", "Idioma", "¿Podemos escribirle?")  # fmt: skip


def _spanish(one: Someone) -> list[str]:
    return ["24/11/2026 9:15", f"{one.given} {one.family}", one.email, one.phone, f"{one.street} {one.unit}".strip(),
            f"{one.town}, {one.state} {one.zip5}", one.site, "español", "sí"]  # fmt: skip


# ---------------------------------------------------------------- files


def _csv(rows: Iterable[Sequence[object]], delimiter: str = ",", end: str = "\n") -> str:
    out = StringIO()
    csv.writer(out, delimiter=delimiter, lineterminator=end).writerows(rows)
    return out.getvalue()


def expected(file: str, rows: Sequence[Form]) -> list[Sequence[object]]:
    """What each form is. No cell here has a line break, so a form's line is its place plus one."""
    lines = {id(form): line for line, form in enumerate(rows, start=2)}
    return [
        (file, lines[id(f)], f.name, f.trap, f.decision, f.also,
         f"line {lines[id(f.twin)]}" if f.twin else f.who, f.why)
        for f in rows
    ]  # fmt: skip


def make() -> dict[str, bytes]:
    """The files by name."""
    people = People(random.Random(SEED))
    known, doubled = members(people)
    forms, more = join_forms(people, known), []
    more = more_forms(people, known)
    truth = [("file", "line", "name", "trap", "decision", "also", "who", "why")]
    truth += expected("join-forms.csv", forms) + expected("more-forms.csv", more)
    truth += [
        ("members.csv", at + 2, f"{known[at].given} {known[at].family}", "twice in the roster", "same", "", other, why)
        for at, other, why in doubled
    ]  # fmt: skip
    spanish = _csv([SPANISH_HEADINGS, *(f.cells for f in more)], delimiter=";", end="\r\n")
    return {
        "onboard.toml": coop.settings().encode(),
        "members.csv": members_csv(known).encode(),
        "join-forms.csv": _csv([HEADINGS, *(f.cells for f in forms)], end="\r\n").encode(
            "utf-8-sig"
        ),
        "more-forms.csv": codecs.BOM_UTF16_LE + spanish.encode("utf-16-le"),
        "expected.csv": _csv(truth).encode(),
    }


if __name__ == "__main__":
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parents[2] / "fixtures_demo"
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in make().items():
        (folder / name).write_bytes(content)
        print(folder / name, f"{len(content):,} bytes")

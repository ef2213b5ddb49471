"""Pairs of people as ordinary families have them, kind by kind, with truth.

Each kind is either two people who share much (a couple with one mailbox, sisters, a father and a son of
one name), or one person who joins again (moved, married, a slip). Everybody is invented: names are as
common as the 1990 US Census has them, mailboxes and phones are reserved ones.

The weights are learned from some draws (`tests/tables/match_weights.py`) and measured on others
(`tests/match/test_families.py`); a draw is known by its seed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from itertools import accumulate
from random import Random

from onboard import tables
from onboard.match import given_names
from onboard.model import Owner, Person

ONE, OTHER = Owner("member:1"), Owner("row:2")
KEYS = "qwertyuiop asdfghjkl zxcvbnm"  # neighbors on a keyboard
NOBODYS = ("garden", "sunny", "bluebird", "quilts", "hiker", "coffee", "mapletree", "riverside")
STREETS = ("ST", "AVE", "RD", "LN", "DR", "CT")


@dataclass(frozen=True)
class Pairs:
    """Names by how common they are, out of which pairs are drawn by one `Random`."""

    chance: Random
    dated: bool  # whether forms ask for the birth date

    def happens(self, share: float) -> bool:
        return self.chance.random() < share

    def given(self, sex: str) -> str:
        names, ends = _names(sex)
        return self.chance.choices(names, cum_weights=ends)[0].title()

    def other_given(self, sex: str, given: str) -> str:
        """Another given name, which is no other spelling of it."""
        while _sound_alike(name := self.given(sex), given):
            pass
        return name

    def family(self, *others: str) -> str:
        names, ends = _names("family")
        while (name := self.chance.choices(names, cum_weights=ends)[0].title()) in others:
            pass
        return name

    def alike(self, sex: str) -> tuple[str, str]:
        """Two given names that merely begin alike, neither of them short for the other."""
        while True:
            one = self.given(sex)
            same = _beginning(sex).get(one.lower()[: self.chance.choice((3, 3, 4))], ())
            other = self.chance.choice(same).title() if same else one
            names = one.lower(), other.lower()
            kin = given_names.is_short_for(*names) or given_names.have_one_full(*names)
            if not kin and not _sound_alike(one, other):
                return one, other

    def sex(self) -> str:
        return self.chance.choice("mw")

    def phone(self) -> str:
        area = self.chance.choice((419, 567, 614, 740))
        return f"+1{area}{self.chance.randrange(200, 990)}{self.chance.randrange(10_000):04}"

    def mailbox(self, who: Person) -> str:
        """A mailbox of the person's own, mostly with their name."""
        given, family = who.given.lower(), who.family.lower()
        names = (
            f"{given}.{family}",
            f"{given}{family}",
            f"{given[0]}{family}",
            given,
            f"{given}{family[0]}",
        )
        name = self.chance.choices((*names, self.chance.choice(NOBODYS)), (5, 4, 3, 2, 2, 2))[0]
        return self._at(name, self.happens(0.6))

    def family_mailbox(self, family: str) -> str:
        form = self.chance.choice(("the{}s", "{}family", "{}.home", "{}house", "{}"))
        return self._at(form.format(family.lower()), self.happens(0.5))

    def nobodys_mailbox(self, *more: str) -> str:
        return self._at(self.chance.choice((*NOBODYS, *more)), True)

    def _at(self, name: str, numbered: bool) -> str:
        number = str(self.chance.randrange(1, 1000)) if numbered else ""
        return f"{name}{number}@example.{self.chance.choice(('org', 'net', 'com'))}"

    def home(self) -> dict[str, str]:
        """The fields of an address; some homes have a box on a rural route."""
        number = self.chance.randrange(1, 9999)
        street = f"{number} {self.family().upper()} {self.chance.choice(STREETS)}"
        if self.happens(0.06):
            street = f"RR {self.chance.randrange(1, 6)} BOX {number % 400 + 1}"
        return {
            "street": street,
            "unit": f"APT {self.chance.randrange(1, 40)}" if self.happens(0.15) else "",
            "city": f"{self.family().upper()}VILLE",
            "zip5": f"45{self.chance.randrange(1000):03}",
        }  # fmt: skip

    def along(self, street: str, *steps: int) -> str:
        """The delivery line of a house some steps along the street, or of a box along the route."""
        words = street.split(" ")
        at = -1 if "BOX" in words else 0
        words[at] = str(abs(int(words[at]) + self.chance.choice(steps)) + 1)
        return " ".join(words)

    def person(self, sex: str, age: int = 0, **known: str) -> Person:
        """Somebody with a name, a home and a phone and mailbox of their own, but for what is known."""
        fields = {"given": self.given(sex), "family": self.family(), "middle": self.given(sex)}
        born = date(2024 - (age or self.chance.randrange(20, 85)), 1, 1)
        born += timedelta(self.chance.randrange(365))
        fields |= {"born": born.isoformat(), "phone": self.phone(), **known}
        if "street" not in fields:
            fields |= self.home()
        who = Person(ONE, **fields)
        return who if "email" in known else who._replace(email=self.mailbox(who))

    def form(self, who: Person, owner: Owner = ONE) -> Person:
        """What the person writes: a middle name is often an initial or missing, and so on."""
        middle = self.chance.choices((who.middle, who.middle[:1], ""), (2, 4, 5))[0]
        said = who._replace(owner=owner, middle=middle, born=who.born if self.dated else "")
        if self.happens(0.06):
            said = said._replace(phone="")
        if self.happens(0.06):
            said = said._replace(email="")
        if self.happens(0.1):
            said = said._replace(unit="")
        return said

    def slip(self, text: str) -> str:
        """The text with one letter twice, left out, turned with the next, or a neighbor on the keyboard."""
        at = self.chance.randrange(1, len(text))
        turned = text[: at - 1] + text[at] + text[at - 1] + text[at + 1 :]
        near = KEYS[(KEYS.index(text[at]) + 1) % len(KEYS)] if text[at] in KEYS else "e"
        wrong = self.chance.choice(
            (text[:at] + text[at:][:1] + text[at:], text[:at] + text[at + 1 :], turned,
             text[:at] + near.strip() + text[at + 1 :])
        )  # fmt: skip
        return wrong if wrong.lower() != text.lower() else text + text[-1]


Said = tuple[Person, Person]


def _two(draw: Pairs, one: Person, other: Person) -> Said:
    """The forms of two people, whoever came first."""
    one, other = draw.chance.sample((one, other), 2)
    return draw.form(one), draw.form(other, OTHER)


def _spouse(draw: Pairs, one: Person, sex: str) -> Person:
    other = draw.person("m" if sex == "w" else "w", **_home_of(one))
    if draw.happens(0.8):
        other = other._replace(family=one.family)
    return other._replace(phone=one.phone) if draw.happens(0.5) else other


def _home_of(who: Person) -> dict[str, str]:
    return {field: getattr(who, field) for field in ("street", "unit", "city", "zip5")}


def _couple_one_mailbox(draw: Pairs) -> Said:
    """The mailbox is named after one of them."""
    sex = draw.sex()
    one = draw.person(sex)
    given, family = one.given.lower(), one.family.lower()
    name = draw.chance.choice(
        (f"{given}.{family}", f"{given}{family}", f"{given[0]}{family}", given)
    )
    one = one._replace(email=draw._at(name, draw.happens(0.5)))
    return _two(draw, one, _spouse(draw, one, sex)._replace(email=one.email))


def _couple_family_mailbox(draw: Pairs) -> Said:
    sex = draw.sex()
    one = draw.person(sex)
    one = one._replace(email=draw.family_mailbox(one.family))
    return _two(draw, one, _spouse(draw, one, sex)._replace(email=one.email))


def _couple_no_mailbox(draw: Pairs) -> Said:
    sex = draw.sex()
    one = draw.person(sex, email="")
    other = _spouse(draw, one, sex)
    return _two(draw, one, other if draw.happens(0.4) else other._replace(email=""))


def _sisters(draw: Pairs) -> Said:
    """Their first names merely begin alike; they give one phone and one mailbox."""
    first, second = draw.alike("w")
    one = draw.person("w", given=first)
    mailbox = draw.chance.choice(
        (one.email, one.email, draw.family_mailbox(one.family), draw.nobodys_mailbox())
    )
    one = one._replace(email=mailbox)
    home = _home_of(one) if draw.happens(0.85) else {}
    other = draw.person(
        "w", given=second, family=one.family, phone=one.phone, email=mailbox, **home
    )
    return _two(draw, one, other)


def _twins(draw: Pairs) -> Said:
    sex = draw.sex()
    other_sex = sex if draw.happens(0.75) else "m" if sex == "w" else "w"
    one = draw.person(sex, draw.chance.randrange(18, 60))
    given = draw.other_given(other_sex, one.given)
    if draw.happens(0.4):
        while given[0] != one.given[0]:
            given = draw.other_given(other_sex, one.given)
    known = {"given": given, "family": one.family, "born": one.born, **_home_of(one)}
    if draw.happens(0.5):
        known["phone"] = one.phone
    if draw.happens(0.3):
        known["email"] = one.email
    return _two(draw, one, draw.person(other_sex, **known))


def _brother_and_sister(draw: Pairs) -> Said:
    one = draw.person("m", draw.chance.randrange(18, 60))
    known = {"family": one.family, **_home_of(one)}
    if draw.happens(0.4):
        known["phone"] = one.phone
    if draw.happens(0.2):
        known["email"] = one.email
    return _two(draw, one, draw.person("w", draw.chance.randrange(18, 60), **known))


def _father_and_son(draw: Pairs) -> tuple[Person, Person]:
    age = draw.chance.randrange(42, 88)
    one = draw.person("m", age)
    known = {"given": one.given, "family": one.family, **_home_of(one)}
    if draw.happens(0.6):
        known["middle"] = one.middle
    if draw.happens(0.4):
        known["phone"] = one.phone
    if draw.happens(0.15):
        known["email"] = one.email
    return one, draw.person("m", age - draw.chance.randrange(20, 38), **known)


def _junior_said(draw: Pairs) -> Said:
    """A father and a son of one name; one or both say which."""
    one, other = _father_and_son(draw)
    elder, younger = draw.chance.choice(
        (("Sr", "Jr"), ("Sr", "Jr"), ("", "Jr"), ("Sr", ""), ("", "III"), ("Jr", "III"))
    )
    return _two(draw, one._replace(suffix=elder), other._replace(suffix=younger))


def _junior_unsaid(draw: Pairs) -> Said:
    return _two(draw, *_father_and_son(draw))


def _child_helps(draw: Pairs) -> Said:
    """A child signs a parent up with the child's phone and mailbox."""
    age, sex = draw.chance.randrange(25, 60), draw.sex()
    child = draw.person(draw.sex(), age)
    known = {
        "phone": child.phone,
        "email": child.email,
        "given": draw.other_given(sex, child.given),
    }
    if draw.happens(0.75):
        known["family"] = child.family
    if draw.happens(0.35):
        known |= _home_of(child)
    elif draw.happens(0.5):
        known |= draw.home() | {"city": child.city, "zip5": child.zip5}
    return _two(draw, child, draw.person(sex, age + draw.chance.randrange(20, 38), **known))


def _neighbor(draw: Pairs) -> Said:
    """A helper or a neighbor gives their own phone, and sometimes their mailbox."""
    one = draw.person(draw.sex())
    known = {"phone": one.phone, "city": one.city, "zip5": one.zip5, "unit": ""}
    near = draw.along(one.street, -5, -3, 1, 3, 9)
    known["street"] = near if draw.happens(0.6) else draw.home()["street"]
    if draw.happens(0.35):
        known["email"] = one.email
    return _two(draw, one, draw.person(draw.sex(), **known))


def _two_families(draw: Pairs) -> Said:
    """Two families in one house."""
    one = draw.person(draw.sex())
    other = draw.person(draw.sex(), **_home_of(one))
    if draw.happens(0.3):
        one, other = one._replace(unit="APT 1"), other._replace(unit="APT 2")
    return _two(draw, one, other)


def _farm(draw: Pairs) -> Said:
    """Several people on one mailbox and phone."""
    one = draw.person(draw.sex())
    mailbox = draw.nobodys_mailbox(
        f"{one.family.lower()}farm", "greenacres", "hilltopfarm", "dairy"
    )
    known = {"phone": one.phone, "email": mailbox, **_home_of(one)}
    if draw.happens(0.5):
        known["family"] = one.family
    sex = draw.sex()
    other = draw.person(sex, given=draw.other_given(sex, one.given), **known)
    return _two(draw, one._replace(email=mailbox), other)


def _relatives(draw: Pairs) -> Said:
    """A brother, a cousin, a grown child some houses along the road; a few of one name."""
    sex = draw.sex()
    one = draw.person(sex)
    begin_alike = [name.title() for name in _beginning(sex).get(one.given.lower()[:3], ())]
    other = draw.other_given(sex, one.given)
    given = draw.chance.choices(
        (one.given, draw.chance.choice((*begin_alike, other)), other), (3, 17, 80)
    )[0]
    home = _home_of(one) | {
        "street": draw.along(one.street, -400, -61, -3, 1, 9, 80, 1500),
        "unit": "",
    }
    known = {"given": given, "family": one.family, **home}
    if draw.happens(0.1):
        known["phone"] = one.phone
    return _two(draw, one, draw.person(sex, **known))


def _in_laws(draw: Pairs) -> Said:
    """A woman and her brother's wife have one first name and one phone."""
    one = draw.person("w")
    known = {"given": one.given, "family": draw.family(one.family), "phone": one.phone}
    if draw.happens(0.4):
        known["email"] = ""
    home = _home_of(one)
    if draw.happens(0.5):
        home["street"] = draw.home()["street"]
    return _two(draw, one, draw.person("w", **known, **home))


def _again(draw: Pairs, who: Person, **changed: str) -> Said:
    """One person's two forms, the second with what has changed."""
    return _two(draw, who, who._replace(**changed))


def _moved(draw: Pairs) -> Said:
    """The same name and mailbox at another address."""
    who = draw.person(draw.sex())
    home = draw.home()
    if draw.happens(0.5):
        home |= {"city": who.city, "zip5": who.zip5}
    return _again(draw, who, **home, phone=who.phone if draw.happens(0.5) else draw.phone())


def _contacts(draw: Pairs, who: Person) -> dict[str, str]:
    """The phone and the mailbox that somebody gives who joins again, of which one is the old one."""
    some = draw.chance.choices(({}, {"phone"}, {"email"}), (6, 2, 2))[0]
    new = {"phone": draw.phone(), "email": draw.mailbox(who)}
    return {field: new[field] for field in some}


def _short_form(draw: Pairs) -> Said:
    while True:
        sex = draw.sex()
        who = draw.person(sex)
        kin = [name for name in sorted(given_names.kin(who.given.lower())) if len(name) > 2]
        direct = [name for name in kin if given_names.is_short_for(name, who.given.lower())]
        if direct:
            break
    return _again(draw, who, given=draw.chance.choice(direct).title(), **_contacts(draw, who))


def _slip(draw: Pairs) -> Said:
    who = draw.person(draw.sex())
    field = draw.chance.choice(("given", "family"))
    wrong = draw.slip(getattr(who, field))
    return _again(draw, who, **_contacts(draw, who) | {field: wrong})


def _swapped(draw: Pairs) -> Said:
    who = draw.person(draw.sex())
    return _again(draw, who, **_contacts(draw, who) | {"given": who.family, "family": who.given})


def _married(draw: Pairs) -> Said:
    """Another last name with the same mailbox and phone."""
    who = draw.person("w")
    family = draw.family(who.family)
    changed = {"family": family if draw.happens(0.75) else f"{who.family}-{family}"}
    return _again(draw, who, **changed, **(draw.home() if draw.happens(0.3) else {}))


def _new_contacts(draw: Pairs) -> Said:
    """The same name and address, with another phone and mailbox."""
    who = draw.person(draw.sex())
    return _again(draw, who, phone=draw.phone(), email=draw.mailbox(who))


TWO_PEOPLE: Mapping[str, Callable[[Pairs], Said]] = {
    "a couple with one mailbox that bears one's name": _couple_one_mailbox,
    "a couple with a family mailbox": _couple_family_mailbox,
    "a couple without a mailbox": _couple_no_mailbox,
    "sisters with first names that begin alike, one phone and mailbox": _sisters,
    "twins": _twins,
    "a brother and a sister": _brother_and_sister,
    "a father and a son of one name, said": _junior_said,
    "a father and a son of one name, unsaid": _junior_unsaid,
    "a child who helps a parent with phone and mailbox": _child_helps,
    "a neighbor who helps with a phone": _neighbor,
    "two families in a house": _two_families,
    "a farm with one mailbox and phone": _farm,
    "relatives on one road": _relatives,
}
# By their forms they are a woman before and after a wedding, who is one.
NOBODY_COULD_TELL: Mapping[str, Callable[[Pairs], Said]] = {
    "two women of one first name at one phone": _in_laws,
}
ONE_PERSON: Mapping[str, Callable[[Pairs], Said]] = {
    "moved, with the same mailbox": _moved,
    "a short form of the first name": _short_form,
    "a slip in a name": _slip,
    "first and last name swapped": _swapped,
    "a married name, with the same mailbox and phone": _married,
    "a new phone and mailbox at the same address": _new_contacts,
}


def pairs(kind: str, count: int, seed: int, *, dated: bool = False) -> list[Said]:
    """So many pairs of a kind; with birth dates on both forms if `dated`."""
    draw = Pairs(Random(f"{seed} {kind}"), dated)
    make = (TWO_PEOPLE | NOBODY_COULD_TELL | ONE_PERSON)[kind]
    return [make(draw) for _ in range(count)]


@cache
def _names(kind: str) -> tuple[tuple[str, ...], tuple[int, ...]]:
    """Names, and the running sum of how many bear them: "m" and "w" are given names, or "family"."""
    rows = [(name, int(given), int(family)) for name, given, family in tables.rows("census_names")]
    if kind == "family":
        some = [(name, family) for name, _, family in rows if family]
    else:
        some = [(name, given) for name, given, _ in rows if given and kind in given_names.sex(name)]
    return tuple(name for name, _ in some), tuple(accumulate(count for _, count in some))


@cache
def _beginning(sex: str) -> Mapping[str, list[str]]:
    """Given names that are not too rare, by their first three and four letters."""
    found: dict[str, list[str]] = defaultdict(list)
    names, ends = _names(sex)
    for name, end, before in zip(names, ends, (0, *ends), strict=False):
        if end - before >= 10:
            found[name[:3]].append(name)
            found[name[:4]].append(name)
    return found


def _sound_alike(one: str, other: str) -> bool:
    """Two spellings of one name, which no two sisters bear: Ann and Anne, Tracy and Tracey."""
    one, other = one.lower(), other.lower()
    return _bare(one) == _bare(other) or given_names.sound(one) == given_names.sound(other)


def _bare(name: str) -> str:
    """The name without what is often not heard."""
    name = name.rstrip("eh").replace("h", "").replace("y", "i")
    return "".join(a for a, b in zip(name, name[1:] + " ", strict=False) if a != b)

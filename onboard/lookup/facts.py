"""What the look-up knows of an owner: every name, mailbox, phone and home they ever had, folded.

Folding is that of `onboard.match.folds`. `as_text` and `of_text` are the form in which the index
keeps it: one line for each kind of fact, so that a thousand are read in a few milliseconds.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from onboard.match import folds, written_names
from onboard.model import Person


@dataclass(frozen=True, slots=True)
class Name:
    """One name somebody goes by, in words.

    >>> Name(("ana",), ("vanderberg", "ruiz")).joined
    'anavanderbergruiz'
    """

    given: tuple[str, ...] = ()
    family: tuple[str, ...] = ()
    former: tuple[str, ...] = ()
    more: tuple[str, ...] = ()  # middle name, what they are called, the others of a joint sign-up
    generation: str = ""  # "jr", "sr", "2" …
    nouns: tuple[str, ...] = ()  # "cruz" of "de la Cruz", of family and former names

    @property
    def joined(self) -> str:
        """Given and family name as one word, as a handle is made."""
        return "".join(self.given + self.family)

    @property
    def joined_in_short(self) -> tuple[str, ...]:
        """The same with each last name without its "de la"."""
        return tuple("".join((*self.given, noun)) for noun in self.nouns)


@dataclass(frozen=True, slots=True)
class Home:
    """Where somebody lives, as far as a caller would say it."""

    number: str = ""
    street: tuple[str, ...] = ()  # the words that name it, without "st" or "n"
    zip5: str = ""
    way: str = ""  # "n" of N Granary St
    unit: str = ""  # "17"
    town: str = ""  # "sun prairie"


@dataclass(frozen=True, slots=True)
class Facts:
    """All that the look-up knows of one owner."""

    site: str = ""  # folded; "" if none is known
    standing: str = "open"  # "open", "closed", "hold", …
    handles: tuple[str, ...] = ()  # those of today and of earlier, in small letters
    names: tuple[Name, ...] = ()
    emails: tuple[str, ...] = ()  # in small letters
    phones: tuple[str, ...] = ()  # digits, without the 1 of North America
    homes: tuple[Home, ...] = ()
    joined: str = ""  # the year


def of(
    people: Iterable[Person], *, site: str = "", standing: str = "open", joined: str = "",
    handles: Iterable[str] = (), emails: Iterable[str] = (), phones: Iterable[str] = (), last_line: str = "",
) -> Facts:  # fmt: skip
    """The facts of an owner: of all their spellings, and what else is on file.

    `last_line` is that of the address on file, as "RIB MOUNTAIN WI 54401": its town may be another than
    the post office's name for the ZIP code, and is what the member says.

    >>> of([Person("member:1", given="José", family="de la Cruz", former="Soto")]).names
    (Name(given=('jose',), family=('delacruz',), former=('soto',), more=(), generation='', nouns=('cruz',)),)
    """
    people = list(people)
    mailboxes = list(dict.fromkeys(filter(None, map(address, emails))))
    boxes = {folds.mailbox(box) for box in mailboxes}
    for person in people:
        box = address(person.email)
        if box and folds.mailbox(box) not in boxes:
            boxes.add(folds.mailbox(box))
            mailboxes.append(box)
    numbers = [*phones, *(person.phone for person in people)]
    homes = list(dict.fromkeys(filter(_is_home, map(_home, people))))
    town = _town(last_line)
    if town and all(town != home.town for home in homes):
        homes.append(Home(town=town))
    return Facts(
        place(site),
        standing,
        tuple(dict.fromkeys(filter(None, (_sound(handle).lower() for handle in handles)))),
        tuple(dict.fromkeys(filter(_says_something, map(_name, people)))),
        tuple(mailboxes),
        tuple(dict.fromkeys(filter(None, map(folds.telephone, numbers)))),
        tuple(homes),
        joined[:4],
    )


def place(text: str) -> str:
    """The name of a drop site in small letters, one blank between words.

    >>> place("  O'Hara's  Grange-Hall ")
    'oharas grange hall'
    """
    return " ".join(folds.words(text))


def address(text: str) -> str:
    """An email address in small letters; "" if it is none."""
    text = _sound(text.strip()).lower()
    return text if 0 < text.find("@") < len(text) - 1 and len(text) <= 3 * folds.LONGEST else ""


def bare(text: str) -> str:
    """Letters and digits only: what is left of a handle or a mailbox when signs are forgotten.

    >>> bare("pat.o'lee_7")
    'patolee7'
    """
    text = folds.plain(text)
    return text if text.isalnum() else "".join(filter(str.isalnum, text))


def _name(person: Person) -> Name:
    given = folds.words(person.given)
    while len(given) > 1 and given[0] in folds.TITLES:
        del given[0]
    written = written_names.in_full(given, person.given)
    in_full = [full for full, word in zip(written, given, strict=True) if full != word]
    further = [person.called, person.middle, *in_full, *person.joint]
    return Name(
        tuple(given),
        tuple(folds.family_name(person.family)[0].split()),
        tuple(folds.family_name(person.former)[0].split()),
        tuple(dict.fromkeys(word for text in further if text for word in folds.words(text))),
        folds.generation(person.suffix),
        folds.last_nouns(person.family) + folds.last_nouns(person.former),
    )


def _says_something(name: Name) -> bool:
    return bool(name.given or name.family or name.former or name.more)


DIRECTIONS = ("n", "s", "e", "w", "ne", "nw", "se", "sw")
_WAYS = frozenset(folds.STREET_WORDS) | frozenset(folds.STREET_WORDS.values()) | {"po", "box"}


def _home(person: Person) -> Home:
    number, street, _ = folds.street_line(person.street)
    named = tuple(word for word in street.split() if word not in _WAYS)
    way = next((word for word in street.split() if word in DIRECTIONS), "")
    town = " ".join(folds.words(person.city))
    return Home(
        number, named, folds.zip_code(person.zip5), way, folds.unit_number(person.unit), town
    )


_LAST_LINE = re.compile(r"(.+) [A-Z]{2} [0-9]{5}(?:-[0-9]{4})?")


def _town(last_line: str) -> str:
    said = _LAST_LINE.fullmatch(last_line)
    return " ".join(folds.words(said[1])) if said else ""


def _is_home(home: Home) -> bool:
    return bool(home.street or home.zip5 or home.town)


# ---------------------------------------------------------------- as text

_BREAKS = str.maketrans("", "", "\n|,\0")


def _sound(text: str) -> str:
    """The text without what divides facts from each other."""
    return text.translate(_BREAKS)


def as_text(facts: Facts) -> str:
    """The facts as the index keeps them; `of_text` reads them back.

    >>> of_text(as_text(Facts("lima grange", names=(Name(("ana",), ("ruiz",)),)))).names
    (Name(given=('ana',), family=('ruiz',), former=(), more=(), generation='', nouns=()),)
    """
    names = (
        ",".join(
            [*map(" ".join, (n.given, n.family, n.former, n.more)), n.generation, " ".join(n.nouns)]
        ).rstrip(",")
        for n in facts.names
    )
    homes = (
        ",".join((h.number, " ".join(h.street), h.zip5, h.way, h.unit, h.town)).rstrip(",")
        for h in facts.homes
    )
    lines = (
        facts.site, "" if facts.standing == "open" else facts.standing, "|".join(facts.handles),
        "|".join(names), "|".join(facts.emails), "|".join(facts.phones), "|".join(homes), facts.joined,
    )  # fmt: skip
    return "\n".join(lines).rstrip("\n")


def of_text(text: str) -> Facts:
    """The facts that `as_text` wrote."""
    lines = text.split("\n")
    lines += [""] * (8 - len(lines))
    site, standing, handles, names, emails, phones, homes, joined = lines
    return Facts(
        site,
        standing or "open",
        _items(handles),
        tuple(map(_read_name, names.split("|"))) if names else (),
        _items(emails),
        _items(phones),
        tuple(map(_read_home, homes.split("|"))) if homes else (),
        joined,
    )


def site_of(text: str) -> str:
    """The drop site in what `as_text` wrote.

    >>> site_of(as_text(Facts("lima grange", phones=("4195550143",))))
    'lima grange'
    """
    return text.partition("\n")[0]


def _items(text: str) -> tuple[str, ...]:
    return tuple(text.split("|")) if text else ()


def _read_name(text: str) -> Name:
    given, family, former, more, generation, nouns = (text.split(",") + [""] * 5)[:6]
    return Name(
        _parts(given), _parts(family), _parts(former), _parts(more), generation, _parts(nouns)
    )


def _parts(text: str) -> tuple[str, ...]:
    return tuple(text.split()) if text else ()


def _read_home(text: str) -> Home:
    number, street, *rest = [*text.split(","), ""]
    return Home(number, tuple(street.split()), *rest[:4])

"""What the look-up knows of an owner: every name, mailbox, phone and home they ever had, folded.

Folding is that of `onboard.match.folds`. `as_text` and `of_text` are the form in which the index
keeps it: one line for each kind of fact, so that a thousand are read in a few milliseconds.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from onboard.match import folds
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

    @property
    def joined(self) -> str:
        """Given and family name as one word, as a handle is made."""
        return "".join(self.given + self.family)


@dataclass(frozen=True, slots=True)
class Home:
    """Where somebody lives, as far as a caller would say it."""

    number: str = ""
    street: tuple[str, ...] = ()  # the words that name it, without "st" or "n"
    zip5: str = ""


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


def of(
    people: Iterable[Person], *, site: str = "", standing: str = "open",
    handles: Iterable[str] = (), emails: Iterable[str] = (), phones: Iterable[str] = (),
) -> Facts:  # fmt: skip
    """The facts of an owner: of all their spellings, and what else is on file.

    >>> of([Person("member:1", given="José", family="de la Cruz", former="Soto")]).names
    (Name(given=('jose',), family=('delacruz',), former=('soto',), more=()),)
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
    return Facts(
        place(site),
        standing,
        tuple(dict.fromkeys(filter(None, (_sound(handle).lower() for handle in handles)))),
        tuple(dict.fromkeys(filter(_says_something, map(_name, people)))),
        tuple(mailboxes),
        tuple(dict.fromkeys(filter(None, map(folds.telephone, numbers)))),
        tuple(dict.fromkeys(filter(_is_home, map(_home, people)))),
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
    further = [person.called, person.middle, *person.joint]
    return Name(
        tuple(given),
        tuple(folds.family_name(person.family)[0].split()),
        tuple(folds.family_name(person.former)[0].split()),
        tuple(dict.fromkeys(word for text in further if text for word in folds.words(text))),
    )


def _says_something(name: Name) -> bool:
    return bool(name.given or name.family or name.former or name.more)


_WAYS = frozenset(folds.STREET_WORDS) | frozenset(folds.STREET_WORDS.values()) | {"po", "box"}


def _home(person: Person) -> Home:
    number, street, _ = folds.street_line(person.street)
    named = tuple(word for word in street.split() if word not in _WAYS)
    return Home(number, named, folds.zip_code(person.zip5))


def _is_home(home: Home) -> bool:
    return bool(home.street or home.zip5)


# ---------------------------------------------------------------- as text

_BREAKS = str.maketrans("", "", "\n|,\0")


def _sound(text: str) -> str:
    """The text without what divides facts from each other."""
    return text.translate(_BREAKS)


def as_text(facts: Facts) -> str:
    """The facts as the index keeps them; `of_text` reads them back.

    >>> of_text(as_text(Facts("lima grange", names=(Name(("ana",), ("ruiz",)),)))).names
    (Name(given=('ana',), family=('ruiz',), former=(), more=()),)
    """
    names = (
        ",".join(map(" ".join, (n.given, n.family, n.former, n.more))).rstrip(",")
        for n in facts.names
    )
    homes = (f"{h.number},{' '.join(h.street)},{h.zip5}" for h in facts.homes)
    lines = (
        facts.site, "" if facts.standing == "open" else facts.standing, "|".join(facts.handles),
        "|".join(names), "|".join(facts.emails), "|".join(facts.phones), "|".join(homes),
    )  # fmt: skip
    return "\n".join(lines).rstrip("\n")


def of_text(text: str) -> Facts:
    """The facts that `as_text` wrote."""
    lines = text.split("\n")
    lines += [""] * (7 - len(lines))
    site, standing, handles, names, emails, phones, homes = lines
    return Facts(
        site,
        standing or "open",
        _items(handles),
        tuple(map(_read_name, names.split("|"))) if names else (),
        _items(emails),
        _items(phones),
        tuple(map(_read_home, homes.split("|"))) if homes else (),
    )


def _items(text: str) -> tuple[str, ...]:
    return tuple(text.split("|")) if text else ()


def _read_name(text: str) -> Name:
    return Name(*(tuple(part.split()) for part in text.split(",")))


def _read_home(text: str) -> Home:
    number, street, zip5 = text.split(",")
    return Home(number, tuple(street.split()), zip5)

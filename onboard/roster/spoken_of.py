"""Where the records of others speak of a member who is deleted, and that said with a neutral word.

What others are themselves (their name, their email, their join form) is theirs, and stays: a household
shares a phone, and two people share a name. What is said in a note, a reason or a change is masked
where it is sure who is meant; where it is not, it is told and left to a person.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import JSON, Column, Connection, Row, Table, Text, cast, delete, select, update

from onboard.clean.trace import spaced
from onboard.lookup.mentions import Known, Whom
from onboard.lookup.reached import LOCAL
from onboard.lookup.spans import digits, fold, forms, words_of
from onboard.model import Owner, Person
from onboard.roster import search, tables
from onboard.roster.search import _person
from onboard.roster.whole import Whole, lines_of

DELETED = "[deleted member]"

# Tables without words about people: numbers, keys, bare handles, and what is made of the others.
WORDLESS = frozenset(
    ("handle", "person_key", "apart", "attempt", "call_cause", "forgotten", "trace")
)
# Columns that hold a code, a key, a day or the name of a file in the outbox.
WORDLESS_COLUMNS = frozenset(
    ("key", "row_key", "owner", "about", "at", "made", "what", "state", "way", "kind", "decision",
     "ended", "code", "field", "weight", "standing", "language", "site", "handle", "handle_steps",
     "claim", "letter", "page_id", "undone_at", "password_hash", "base", "answer")
)  # fmt: skip
HANDED_TO = "handed_to"  # whoever is to come back to a call
SIGNED = ("who", "undone_by", HANDED_TO)  # whoever worked on the roster answers for it
# What a line says of the one whose it is.
OWN = {
    "member": frozenset(("name", "email", "phone", "address")),
    "person": frozenset(column.name for column in tables.person.c),
}
# Values that a way back must not give to anybody.
CONTACTS = frozenset(("name", "email", "phone", "address"))
NOTES = "notes"  # the field of a form that holds remarks
SHOWN = 80  # letters of a text that is told
_ESCAPED = re.compile(r"(?:\\u[0-9a-fA-F]{4})+")


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the roster where something of a member still stands, as somebody else's."""

    table: str
    whose: str  # an `Owner`, or the number of a line
    what: str  # "email", "phone", "name"


@dataclass(frozen=True, slots=True)
class Spoken:
    """A record of somebody else that speaks of the member."""

    table: str
    whose: str  # an `Owner`, or the number of a line
    at: str  # when it was written, as the tables have it; "" if not known
    places: int = 0  # how many there are in it that are surely about the member
    text: str = ""  # of one that is not sure, its beginning


@dataclass(slots=True)
class Found:
    """What a search of others' records found."""

    masked: list[Spoken] = field(default_factory=list)  # given a neutral word, or to be
    unsure: list[Spoken] = field(default_factory=list)  # left as they are: a person decides
    left: list[Place] = field(default_factory=list)  # what is somebody else's too
    signed: set[str] = field(default_factory=set)  # names under which somebody worked here
    # By table, the keys of the lines that were read: in no other line is anything of the member.
    read: dict[str, list[Any]] = field(default_factory=dict)
    # Remarks on others' forms as they were, with where the member was named: by the text.
    remarks: dict[str, list[tuple[int, int]]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Wanted:
    """Who is searched for, and who else has the same."""

    whom: Whom  # what only they have is sure
    unnamed: Whom  # by what they have besides a name
    alone: Whom  # as if nobody else were on the roster
    namesakes: frozenset[str]  # owners who have the first and the last name
    family: frozenset[str]  # owners who have the last name
    sharers: frozenset[str]  # owners who have one of their emails or phones
    addresses: frozenset[tuple[str, ...]]  # that nobody else has


def people(connection: Connection, whole: Whole) -> tuple[Person, ...]:
    """Every spelling of the member, with the email that is written to."""
    mine = select(tables.person).where(*lines_of(whole)["person"])
    found = [_person(line) for line in connection.execute(mine)]
    for member in whole.members:
        name = member.name
        found.append(
            Person(
                member.owner, name.given, name.middle, name.family, called=name.called,
                former=name.former, email=member.email, phone=member.phone.removeprefix("tel:"),
                joint=tuple(other.given for other in name.joint),
            )
        )  # fmt: skip
    return tuple(found)


def wanted(
    connection: Connection, whole: Whole, spelt: tuple[Person, ...], handles: frozenset[str]
) -> Wanted:
    """Who is searched for, once what is their own is removed: whoever has the same now is another."""
    alone = Whom(Known(spelt, handles, frozenset(whole.numbers)))
    ends = {phone[-LOCAL:] for phone in alone.phones}
    namesakes, family, sharers = set(), set(), set()
    shared, relatives, lettered = set(), set(), set()
    for other in map(_person, connection.execute(select(tables.person))):
        phone = digits(other.phone)
        if other.email.casefold() in alone.emails or phone in alone.phones:
            sharers.add(str(other.owner))
            shared.add(other.email)
        if phone[-LOCAL:] in ends:
            shared.add(other.phone)
        lettered |= _lettered(other, alone)
        last = fold(other.family) + fold(other.former)
        if any(name in last for name in alone.family) and _has(
            alone.family, other.family, other.former
        ):
            family.add(str(other.owner))
            firsts = (other.given, other.called, *other.joint)
            relatives |= {form for text in firsts if text for form in forms(text)}
            if _has(alone.given, *firsts):
                namesakes.add(str(other.owner))
    member = tables.member.c
    words: set[str] = set()
    homes = set()
    for site, address in connection.execute(select(member.site, member.address)):
        words |= {fold(word) for word in words_of(site)}
        homes.add(tuple(address))
    theirs = {member.address for member in whole.members if member.address}
    known = Known(
        spelt, handles, frozenset(whole.numbers), frozenset(words), bool(namesakes), bool(family),
        frozenset(relatives - {""}),
        frozenset(lettered), frozenset(shared),
    )  # fmt: skip
    bare = tuple(Person(p.owner, "", email=p.email, phone=p.phone) for p in spelt)
    unnamed = replace(known, people=bare)
    return Wanted(
        Whom(known),
        Whom(unnamed),
        alone,
        frozenset(namesakes),
        frozenset(family),
        frozenset(sharers),
        frozenset(theirs - homes),
    )


def _lettered(other: Person, alone: Whom) -> set[str]:
    """The first names of another that could be a form of theirs, each with a first letter of the last name."""
    heads = {name[:3] for name in alone.given}
    firsts = (name for text in (other.given, other.called, *other.joint) for name in forms(text))
    alike = [name for name in firsts if alone.may_be_called(name) or name[:3] in heads]
    return {f"{name} {last[0]}" for name in alike if name for last in forms(other.family) if last}


def _has(wanted: frozenset[str], *texts: str) -> bool:
    """Whether one of the texts is among the names, or one of its words is."""
    said = {fold(part) for text in texts for part in (text, *words_of(text))}
    return not wanted.isdisjoint(said - {""})


def mask(connection: Connection, who: Wanted) -> Found:
    """What others' records said of the member, given a neutral word where that was sure."""
    found = Found()
    for table in tables.metadata.sorted_tables:
        if table.name not in WORDLESS and not table.name.startswith("index_"):
            found.read[table.name] = _worth_reading(connection, table, who.alone)
    _look(connection, who, found, write=True)
    return found


def left_after(connection: Connection, who: Wanted, masked: Found) -> Found:
    """What the records still say that `mask` looked at: nothing is sure any more, if all is well."""
    found = Found(read=masked.read)
    _look(connection, who, found, write=False)
    return found


def _look(connection: Connection, who: Wanted, found: Found, *, write: bool) -> None:
    for name, keys in found.read.items():
        table = tables.metadata.tables[name]
        (key,) = table.primary_key
        for some in search.parts(keys, search.AT_ONCE):
            query = select(table).where(key.in_(some)).order_by(key)
            for line in connection.execute(query).all():
                if name != "exported" or line.member_id not in who.whom.known.numbers:
                    _Line(connection, table, line, who).look(found, write)


def _worth_reading(connection: Connection, table: Table, alone: Whom) -> list[Any]:
    """The keys of the lines of a table that may speak of the member."""
    (key,) = table.primary_key  # none of these tables has a key of several columns
    texts = [cast(column, Text) for column in table.c if _has_words(column)]
    if not texts:
        return []
    raw = connection.execute(select(key, *texts), execution_options={"yield_per": search.AT_ONCE})
    return [
        line[0] for line in raw
        if alone.may_stand_in(_plain("\n".join(text for text in line[1:] if text)))
    ]  # fmt: skip


def _has_words(column: Column[Any]) -> bool:
    return isinstance(column.type, (Text, JSON)) and column.name not in WORDLESS_COLUMNS


def _plain(raw: str) -> str:
    """Stored JSON without its escapes of letters beyond ASCII (RFC 8259, section 7)."""
    return _ESCAPED.sub(lambda found: _letters(found.group()), raw) if "\\u" in raw else raw


def _letters(escaped: str) -> str:
    return str(json.loads(f'"{escaped}"')).encode("utf-8", "replace").decode()


class _Line:
    """One line of a table, as it speaks of the member."""

    def __init__(self, connection: Connection, table: Table, line: Row[Any], who: Wanted) -> None:
        self.connection, self.table, self.who = connection, table, who
        self.said: Mapping[str, Any] = dict(line._mapping)
        self.whose = _whose(connection, line)
        # In a namesake's own record the name is theirs.
        self.is_namesakes = self.whose in who.namesakes
        self.whom = who.unnamed if self.is_namesakes else who.whom
        self.sure = 0
        self.doubts: list[str] = []
        self.remarks: dict[str, list[tuple[int, int]]] = {}

    def look(self, found: Found, write: bool) -> None:
        """Note what the line says of the member, and mask what is sure of it."""
        found.left += self._shared()
        signed = (self.said.get(column) for column in SIGNED)
        found.signed |= {text for text in signed if text and self.who.alone.mentions(text)}
        new = self._account() if self.table.name == "exported" else self._masked()
        at = str(self.said.get("at") or self.said.get("made") or "")
        found.remarks |= self.remarks
        if self.sure:
            found.masked.append(Spoken(self.table.name, self.whose, at, self.sure))
            if write:
                self._write(new)
        if self.doubts:
            text = " ".join(self.doubts[0].split())[:SHOWN]
            found.unsure.append(Spoken(self.table.name, self.whose, at, 0, text))

    def _shared(self) -> list[Place]:
        """What of the member's is this other one's too."""
        name, said, alone = self.table.name, self.said, self.who.alone
        if name not in ("member", "person"):
            return []
        what = {
            "email": said["email"].casefold() in alone.emails,
            "phone": bool(said["phone"]) and digits(said["phone"]) in alone.phones,
            "name": self.whose in self.who.namesakes,
        }
        return [Place(name, self.whose, text) for text, is_so in what.items() if is_so]

    def _masked(self) -> dict[str, Any]:
        """The columns that speak of the member, as they are without."""
        new = {}
        for column in self.table.c:
            own = column.name in OWN.get(self.table.name, ()) or column.name in SIGNED
            if own or not _has_words(column):
                continue
            value = self.said[column.name]
            in_form = self.table.name == "row" and column.name in ("cells", "fields")
            after = self._form(column.name, value) if in_form else self._value(value)
            if after != value:
                new[column.name] = after
        return new

    def _form(self, column: str, value: Any) -> Any:
        """The cells or fields of a form, where it does not speak of the one who filled it out."""
        fields = self.said["fields"]
        own = {text for name, text in fields.items() if not is_about_anybody(name)}
        if column == "cells":
            return [[head, text if text in own else self._value(text)] for head, text in value]
        return {
            name: self._text(text) if is_about_anybody(name) else text
            for name, text in value.items()
        }

    def _account(self) -> dict[str, Any]:
        """What the page was told: if it had the member's values, it is told all anew."""
        texts = [str(text) for text in self.said["account"].values()]
        self._text(" ".join(texts))
        self.doubts = []
        return {"account": {}} if self.sure else {}

    def _value(self, value: Any) -> Any:
        if isinstance(value, str):
            return self._text(value)
        if isinstance(value, Mapping):
            if "given" in value and "family" in value:
                return self._name(value)
            return {
                key: item if key in WORDLESS_COLUMNS or key == HANDED_TO else self._value(item)
                for key, item in value.items()
            }
        if isinstance(value, list):
            if all(isinstance(one, str) for one in value) and tuple(value) in self.who.addresses:
                self.sure += 1
                return [DELETED]
            return [self._value(item) for item in value]
        return value

    def _text(self, text: str) -> str:
        masked, count = self.whom.masked(text, DELETED)
        if count and self.table.name == "row":
            self._note_remark(spaced(text))
        self.sure += count
        if self._is_doubtful(text):
            self.doubts.append(masked)
        return masked

    def _note_remark(self, text: str) -> None:
        sure = [one for one in self.whom.mentions(text) if one.is_sure]
        self.remarks[text] = [(one.start, one.end) for one in sure]

    def _is_doubtful(self, text: str) -> bool:
        """Whether it could be about the member, or about somebody else; not where it is whose line it is."""
        if self.whose not in self.who.sharers and self.who.whom.reaches_others(text):
            return True
        of_family = self.whose in self.who.family
        return not of_family and any(not one.is_sure for one in self.whom.mentions(text))

    def _name(self, parts: Mapping[str, Any]) -> Mapping[str, Any]:
        """The parts of a name, which are no words of a text."""
        whom, said = self.whom, {key: str(parts.get(key, "")) for key in ("given", "called")}
        last = (str(parts["family"]), str(parts.get("former", "")))
        joint = [self._value(other) for other in parts.get("joint", ())]
        if not (_has(whom.family, *last) and _has(whom.given, *said.values())):
            return {**parts, "joint": joint} if "joint" in parts else parts
        if whom.known.shared_name:
            if self.whose not in self.who.family:
                self.doubts.append(f"{parts['given']} {parts['family']}")
            return parts
        self.sure += 1
        return {key: [] if key == "joint" else "" for key in parts} | {"given": DELETED}

    def _write(self, new: Mapping[str, Any]) -> None:
        (key,) = self.table.primary_key
        mine = key == self.said[key.name]
        is_change = self.table.name == "applied_change" and self.said["field"] in CONTACTS
        if is_change and new.keys() & {"before", "after"}:
            self.connection.execute(delete(self.table).where(mine))
        elif new:
            self.connection.execute(update(self.table).where(mine).values(new))


def is_about_anybody(field: str) -> bool:
    """Whether a field may speak of others: remarks, questions of the co-op's own ("extra:…") and columns
    that are kept aside ("aside:…")."""
    return field == NOTES or ":" in field


def _whose(connection: Connection, line: Row[Any]) -> str:
    """Whose a line is, as far as the line itself says."""
    said = line._mapping
    if "owner" in said or "about" in said:
        return str(said.get("owner") or said.get("about"))
    if said.get("member_id"):
        return Owner.of_member(said["member_id"])
    if "row_key" in said:
        row = tables.row.c
        whose = connection.execute(select(row.member_id).where(row.key == said["row_key"])).scalar()
        return Owner.of_member(whose) if whose else Owner.of_row(said["row_key"])
    if "key" in said:
        return Owner.of_row(said["key"])
    return Owner.of_member(said["id"]) if "handle" in said else f"{said.get('id', '')}"

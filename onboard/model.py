"""The nouns: what a sign-up is at each step of its way, frozen.

A sign-up changes type at each step, so that the type says how far it has come:
`RawRow` as written, `Applicant` as understood, `Decision` as judged, `Member` as recorded.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date, datetime
from enum import StrEnum
from typing import Any, Generic, TypeAlias, TypeVar

T_co = TypeVar("T_co", covariant=True)


_T = TypeVar("_T")


def _quick(noun: type[_T]) -> type[_T]:
    """The frozen dataclass itself, made in half the time, as a batch makes some fifty a row.

    dataclasses looks up each slot anew for each object; here its setter is looked up once. Not for
    fields that have a default_factory.
    """
    names = [each.name for each in fields(noun)]  # type: ignore[arg-type]
    setters = {f"set_{name}": getattr(noun, name).__set__ for name in names}
    lines = "".join(f"    set_{name}(self, {name})\n" for name in names)
    exec(f"def __init__(self, {', '.join(names)}):\n{lines}", setters)  # as dataclasses itself does
    init, was = setters["__init__"], noun.__init__
    init.__defaults__, init.__annotations__ = was.__defaults__, was.__annotations__
    init.__qualname__, init.__module__ = was.__qualname__, noun.__module__
    noun.__init__ = init  # type: ignore[method-assign]
    return noun


# ---------------------------------------------------------------- findings


class Weight(StrEnum):
    """How much a finding matters."""

    MENDED = "mended"  # put right by itself
    DOUBTFUL = "doubtful"  # good enough to enrol, ask when you next can
    BLOCKING = "blocking"  # on hold until someone answers


@_quick
@dataclass(frozen=True, slots=True)
class Finding:
    """One thing noticed about one field of one row."""

    code: str  # stable, "field.what": docs/findings.md has a page for each
    field: str
    weight: Weight
    said: str
    note: str  # what is wrong with this value, then what to do


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of finding: its stable code, its weight, and an example either way.

    Each rule module lists its own in `KINDS`; the catalogue in docs/findings.md and the test
    that runs `wrong` and `right` through the rule are both made from that list.
    """

    code: str
    weight: Weight
    about: str  # one sentence a coordinator understands
    wrong: str  # text in which the rule finds this
    right: str  # text in which it does not
    context: Mapping[str, str] = field(default_factory=dict)  # further arguments of `clean`

    @property
    def field(self) -> str:
        return self.code.partition(".")[0]

    def found(self, said: str, note: str) -> Finding:
        """A finding of this kind about `said`."""
        return Finding(self.code, self.field, self.weight, said, note)


@_quick
@dataclass(frozen=True, slots=True)
class Cleaned(Generic[T_co]):
    """What was said beside what was understood; `value` is None when nothing could be."""

    said: str
    value: T_co | None
    findings: tuple[Finding, ...] = ()

    @property
    def blocked(self) -> bool:
        return any(f.weight is Weight.BLOCKING for f in self.findings)


# ---------------------------------------------------------------- as written


@dataclass(frozen=True, slots=True)
class RawRow:
    """A row of a join-form file, as written.

    `cells` are (column heading, text) in file order. `fields` are the same texts under the
    field each column was recognised as (see `onboard.intake.FIELDS`), nothing changed but that
    a value which the spreadsheet itself had spoilt is repaired, which `findings` then say.
    """

    file: str
    line: int  # of the file, headings included, counted from 1
    cells: tuple[tuple[str, str], ...]
    fields: Mapping[str, str]
    findings: tuple[Finding, ...] = ()
    # The row's identity: the same cells are the same row, in whatever file, line or order.
    key: str = field(init=False, repr=False)

    def __post_init__(self) -> None:
        text = "\x1e".join(f"{head}\x1f{cell}" for head, cell in sorted(self.cells))
        digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
        object.__setattr__(self, "key", digest[:24])


# ---------------------------------------------------------------- as understood


@_quick
@dataclass(frozen=True, slots=True)
class PersonName:
    """A person's name in its parts, in the person's own spelling; "" where there is none."""

    given: str
    middle: str = ""
    family: str = ""
    suffix: str = ""  # "Jr", "III"
    title: str = ""  # "Dr"
    called: str = ""  # 'Robert "Bob" Lee'
    former: str = ""  # "Ana Ruiz (born Soto)"
    joint: tuple[PersonName, ...] = ()  # the others of a joint sign-up, "Pat and Robin Lee"


@_quick
@dataclass(frozen=True, slots=True)
class Email:
    """An email address to write to, and the mailbox it stands for."""

    address: str  # as it is to be written to: local part as typed, domain in small letters
    identity: str  # equal for two spellings of one mailbox; for matching only
    others: tuple[str, ...] = ()  # further addresses found in the same cell


@_quick
@dataclass(frozen=True, slots=True)
class Phone:
    """A telephone number: ITU-T E.164 with the plus sign, extension apart."""

    e164: str
    extension: str = ""
    others: tuple[str, ...] = ()  # further numbers (E.164) found in the same cell


@_quick
@dataclass(frozen=True, slots=True)
class Address:
    """A postal address after USPS Publication 28: capitals, standard abbreviations."""

    kind: str  # "street", "po box", "rural route", "highway contract", "general delivery", …
    lines: tuple[str, ...]  # delivery line or lines, without the last line
    city: str = ""
    state: str = ""  # two letters
    zip5: str = ""
    zip4: str = ""
    number: str = ""
    predirectional: str = ""
    street: str = ""
    suffix: str = ""
    postdirectional: str = ""
    unit: str = ""  # "APT 4"
    urbanization: str = ""  # Puerto Rico
    # how it was understood, which makes no other address of it
    aside: tuple[str, ...] = field(default=(), compare=False)  # attention lines, a second address
    rules: tuple[str, ...] = field(default=(), compare=False)  # sections of Publication 28 used
    readings: tuple[str, ...] = field(default=(), compare=False)  # other lines it could have meant
    confidence: float = field(default=1.0, compare=False)


@_quick
@dataclass(frozen=True, slots=True)
class Place:
    """Where a ZIP code is. Coordinates are of the ZIP's centroid, degrees; None if unknown."""

    zip5: str
    city: str  # capitals, the name that the ZIP uses
    state: str
    latitude: float | None = None
    longitude: float | None = None
    area_codes: tuple[str, ...] = ()


@_quick
@dataclass(frozen=True, slots=True)
class Applicant:
    """A join form as understood."""

    raw: RawRow
    name: Cleaned[PersonName]
    email: Cleaned[Email]
    phone: Cleaned[Phone]
    address: Cleaned[Address]
    place: Cleaned[Place]
    site: Cleaned[str]  # name of the drop site, as the settings write it
    language: Cleaned[str]  # "en", "es"
    consent: Cleaned[bool]  # may we write by email? None: not asked
    extras: Mapping[str, str]  # answers to the co-op's own questions

    def people(self, owner: str = "") -> tuple[Person, ...]:
        """The applicant as matching reads them: one `Person`, and one more for each further
        email or phone that stood in the same cell. `owner` is "row:<key>" unless given."""
        name = self.name.value or PersonName("")
        address = self.address.value
        street = address.lines[0] if address and address.lines else ""
        if address and address.unit:
            street = street.removesuffix(address.unit).rstrip()
        place = self.place.value
        email, phone = self.email.value, self.phone.value
        person = Person(
            owner=owner or f"row:{self.raw.key}",
            given=name.given,
            middle=name.middle,
            family=name.family,
            suffix=name.suffix,
            called=name.called,
            former=name.former,
            email=email.identity if email else "",
            phone=phone.e164 if phone else "",
            street=street,
            unit=address.unit if address else "",
            city=place.city if place else (address.city if address else ""),
            state=place.state if place else (address.state if address else ""),
            zip5=place.zip5 if place else (address.zip5 if address else ""),
            born=self.raw.fields.get("born", ""),
            joint=tuple(other.given for other in name.joint),
        )
        further = (
            [replace(person, email=other.casefold()) for other in email.others] if email else []
        )
        if phone:
            further += [replace(person, phone=other) for other in phone.others]
        return (person, *further)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, those of the row itself first."""
        cleaned: tuple[Cleaned[object], ...] = (
            self.name, self.email, self.phone, self.address, self.place,
            self.site, self.language, self.consent,
        )  # fmt: skip
        return self.raw.findings + tuple(f for c in cleaned if c.findings for f in c.findings)


# ---------------------------------------------------------------- matched


@_quick
@dataclass(frozen=True, slots=True)
class Person:
    """One spelling of one person, flat, as matching reads it.

    A member known by three spellings is three `Person`s of one `owner`. Texts are cleaned but
    not folded; "" where unknown.
    """

    owner: str  # "member:17", or "row:<key>" while on hold
    given: str = ""
    middle: str = ""
    family: str = ""
    suffix: str = ""
    called: str = ""
    former: str = ""
    email: str = ""  # Email.identity
    phone: str = ""  # E.164
    street: str = ""  # delivery line without the unit, "12 N MAIN ST"
    unit: str = ""
    city: str = ""
    state: str = ""
    zip5: str = ""
    born: str = ""  # ISO date if the form asks for it
    joint: tuple[str, ...] = ()  # given names of the others of a joint sign-up


class Verdict(StrEnum):
    """What the evidence says of a pair."""

    SAME = "same"  # may be decided alone
    UNCLEAR = "unclear"  # a person is asked
    DIFFERENT = "different"


@_quick
@dataclass(frozen=True, slots=True)
class Part:
    """One piece of evidence; `weight` is its log-likelihood ratio, in bits."""

    field: str
    here: str
    there: str
    weight: float
    words: str  # "same email", "surname rare: 1 in 40,000"


@_quick
@dataclass(frozen=True, slots=True)
class Evidence:
    """How alike two people are: the parts, their sum, and what that means."""

    parts: tuple[Part, ...]
    weight: float  # bits, prior included
    confidence: float  # probability that they are the same person, 0 to 1
    verdict: Verdict
    household: bool = False  # they share a home or a helper, and are two people

    @property
    def agreeing(self) -> tuple[Part, ...]:
        """The parts that speak for one person, strongest first."""
        return self._strongest(part for part in self.parts if part.weight > 0)

    @property
    def opposing(self) -> tuple[Part, ...]:
        """The parts that speak against it, strongest first.

        Two that are equal can weigh less than nothing beside the rest, as people of one home
        share a name anyway; that is no reason against, and neither is chance.
        """
        return self._strongest(
            part
            for part in self.parts
            if part.weight < 0
            and part.field != "chance"
            and (part.here != part.there or not part.here)
        )

    @property
    def sure(self) -> str:
        """The confidence as people say it; nothing is ever quite certain.

        >>> Evidence((), 13.0, 0.9999, Verdict.SAME).sure
        'over 99% sure'
        """
        if self.confidence > 0.99:
            return "over 99% sure"
        return "under 1% sure" if self.confidence < 0.01 else f"{self.confidence:.0%} sure"

    @staticmethod
    def _strongest(parts: Iterable[Part]) -> tuple[Part, ...]:
        return tuple(sorted(parts, key=lambda part: -abs(part.weight)))


@_quick
@dataclass(frozen=True, slots=True)
class Match:
    """Somebody already known who may be the applicant."""

    person: Person
    evidence: Evidence


# ---------------------------------------------------------------- judged


@dataclass(frozen=True, slots=True)
class Handle:
    """A sign-in handle and the plain-words steps by which it came from the name."""

    text: str
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """One step from a name to a handle.

    `what` is a stable word that the templates translate ("join", "small-letters",
    "apostrophe", …); `before` and `after` are the text on either side of it.
    """

    what: str
    before: str
    after: str


class Answer(StrEnum):
    """What a coordinator may answer to a row on hold."""

    ENROL = "enrol"  # a new person (after the corrections, if any)
    SAME = "same"  # the member named in the ruling
    DROP = "drop"  # not to be enrolled
    WAIT = "wait"  # nothing yet


@dataclass(frozen=True, slots=True)
class Ruling:
    """A coordinator's answer to one row on hold."""

    row: str  # RawRow.key
    answer: Answer
    by: str
    why: str = ""
    member: str = ""  # the owner meant, with `Answer.SAME`
    corrections: Mapping[str, str] = field(default_factory=dict)  # field: corrected text


@dataclass(frozen=True, slots=True)
class Question:
    """What must be known before a row on hold can go on."""

    field: str  # the field to correct, or "match"
    ask: str  # a sentence for the coordinator
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class Enrol:
    """A new member, under this handle."""

    applicant: Applicant
    handle: Handle
    reasons: tuple[str, ...] = ()
    matches: tuple[Match, ...] = ()  # people whom a ruling told apart from this one


@dataclass(frozen=True, slots=True)
class SameAs:
    """A person we know already; the new spelling is kept with them."""

    applicant: Applicant
    owner: str  # "member:17"
    reasons: tuple[str, ...] = ()
    matches: tuple[Match, ...] = ()


@dataclass(frozen=True, slots=True)
class Hold:
    """Waits for a person's answer."""

    applicant: Applicant
    questions: tuple[Question, ...]
    reasons: tuple[str, ...] = ()
    matches: tuple[Match, ...] = ()


@dataclass(frozen=True, slots=True)
class Drop:
    """Not enrolled, on a coordinator's word or because the row holds nothing."""

    applicant: Applicant
    reasons: tuple[str, ...] = ()


Decision: TypeAlias = Enrol | SameAs | Hold | Drop


# ---------------------------------------------------------------- recorded


@dataclass(frozen=True, slots=True)
class Signature:
    """Who made a change, and when (UTC)."""

    who: str
    when: datetime


@dataclass(frozen=True, slots=True)
class Member:
    """A member as the roster holds them."""

    id: int
    handle: Handle
    name: PersonName
    email: str
    phone: str  # RFC 3966 form, or ""
    address: tuple[str, ...]  # lines
    site: str
    language: str
    consent: bool | None
    joined: datetime  # UTC
    standing: str = "open"  # or "closed"

    @property
    def owner(self) -> str:
        return f"member:{self.id}"


@dataclass(frozen=True, slots=True)
class Change:
    """One field of one member, before and after. The values are as JSON has them."""

    member_id: int
    field: str  # a column of the member table
    before: Any
    after: Any
    why: str = ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A change for a person to approve, and whose it is."""

    change: Change
    handle: str = ""
    name: str = ""  # as people write it
    code: str = ""  # of the finding that it would settle


@dataclass(frozen=True, slots=True)
class FirstPassword:
    """A first password in the clear. Its repr does not show it; only a packet may."""

    phrase: str = field(repr=False)
    expires: date  # the last day on which it works

    def __str__(self) -> str:
        return "FirstPassword(hidden)"

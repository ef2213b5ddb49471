"""What is understood of a person, field by field, and the flat form in which matching reads it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from onboard.model.owner import Owner
from onboard.model.sent import by_fields


@by_fields
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

    @property
    def each(self) -> tuple[PersonName, ...]:
        """The names of all who signed up together; the name itself where it is one person's."""
        return (replace(self, joint=()), *self.joint) if self.joint else (self,)


@by_fields
@dataclass(frozen=True, slots=True)
class Email:
    """An email address to write to, and the mailbox it stands for."""

    address: str  # as it is to be written to: local part as typed, domain in small letters
    identity: str  # equal for two spellings of one mailbox; for matching only
    others: tuple[str, ...] = ()  # further addresses found in the same cell


@by_fields
@dataclass(frozen=True, slots=True)
class Phone:
    """A telephone number: ITU-T E.164 with the plus sign, extension apart."""

    e164: str
    extension: str = ""
    others: tuple[str, ...] = ()  # further numbers (E.164) found in the same cell


@by_fields
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


@by_fields
@dataclass(frozen=True, slots=True)
class Place:
    """Where a ZIP code is. Coordinates are of the ZIP's centroid, degrees; None if unknown."""

    zip5: str
    city: str  # capitals, the name that the ZIP uses
    state: str
    latitude: float | None = None
    longitude: float | None = None
    area_codes: tuple[str, ...] = ()


@by_fields
@dataclass(frozen=True, slots=True)
class Person:
    """One spelling of one person, flat, as matching reads it.

    A member known by three spellings is three `Person`s of one `owner`. Texts are cleaned but
    not folded; "" where unknown.
    """

    owner: Owner
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

    @property
    def shown(self) -> str:
        """The name as people read it, "" if there is none."""
        return " ".join(part for part in (self.given, self.family, self.suffix) if part)

"""What is understood of a person, field by field, and the flat form in which matching reads it.

A file has some ten of these a row, which are looked up, compared, and sent from process to process. So they are
tuples with names, which are made in a tenth of the time that a frozen dataclass takes.
"""

from __future__ import annotations

from typing import NamedTuple

from onboard.model.owner import Owner


class PersonName(NamedTuple):
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
        return (self._replace(joint=()), *self.joint) if self.joint else (self,)


class Email(NamedTuple):
    """An email address to write to, and the mailbox it stands for."""

    address: str  # as it is to be written to: local part as typed, domain in small letters
    identity: str  # equal for two spellings of one mailbox; for matching only
    others: tuple[str, ...] = ()  # further addresses found in the same cell


class Phone(NamedTuple):
    """A telephone number: ITU-T E.164 with the plus sign, extension apart."""

    e164: str
    extension: str = ""
    others: tuple[str, ...] = ()  # further numbers (E.164) found in the same cell


class Address(NamedTuple):
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
    aside: tuple[str, ...] = ()  # attention lines, a second address
    rules: tuple[str, ...] = ()  # sections of Publication 28 used
    readings: tuple[str, ...] = ()  # other lines it could have meant
    confidence: float = 1.0

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Address) and self[:_UNDERSTOOD] == other[:_UNDERSTOOD]

    def __ne__(self, other: object) -> bool:
        return not self == other

    def __hash__(self) -> int:
        return hash(self[:_UNDERSTOOD])


_UNDERSTOOD = Address._fields.index("aside")


class Place(NamedTuple):
    """Where a ZIP code is. Coordinates are of the ZIP's centroid, degrees; None if unknown."""

    zip5: str
    city: str  # capitals, the name that the ZIP uses
    state: str
    latitude: float | None = None
    longitude: float | None = None
    area_codes: tuple[str, ...] = ()


class Person(NamedTuple):
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

"""A join form as understood."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from onboard.model.finding import Cleaned, Finding
from onboard.model.form import RawRow
from onboard.model.owner import Owner
from onboard.model.person import Address, Email, Person, PersonName, Phone, Place


class Applicant(NamedTuple):
    """A join form as understood."""

    raw: RawRow
    name: Cleaned[PersonName]
    email: Cleaned[Email]
    phone: Cleaned[Phone]
    address: Cleaned[Address]
    place: Cleaned[Place]
    site: Cleaned[str]  # name of the drop site, as the settings write it
    language: Cleaned[str]  # "en", "es"
    consent: Cleaned[bool]  # may we write by email? None: not asked; no answer is False
    extras: Mapping[str, str]  # answers to the co-op's own questions
    # Days that were said, by column of the member: "born"; of an old roster also "joined" and others.
    days: Mapping[str, Cleaned[date]]

    def people(self, owner: Owner | None = None) -> tuple[Person, ...]:
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
            owner=owner or Owner.of_row(self.raw.key),
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
            born=self._born,
            joint=tuple(other.given for other in name.joint),
        )
        further = (
            [person._replace(email=other.casefold()) for other in email.others] if email else []
        )
        if phone:
            further += [person._replace(phone=other) for other in phone.others]
        return (person, *further)

    @property
    def _born(self) -> str:
        """The birth date in ISO 8601; as it was said where it could not be read."""
        born = self.days.get("born")
        return born.value.isoformat() if born and born.value else self.raw.fields.get("born", "")

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, those of the row itself first."""
        cleaned: tuple[Cleaned[object], ...] = (
            self.name, self.email, self.phone, self.address, self.place,
            self.site, self.language, self.consent, *self.days.values(),
        )  # fmt: skip
        return self.raw.findings + tuple(f for c in cleaned if c.findings for f in c.findings)

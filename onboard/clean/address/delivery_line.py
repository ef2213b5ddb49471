"""One piece of an address as understood: a street line, a box, a route."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

_PIECES = ("number", "predirectional", "street", "suffix", "postdirectional")


class Reading(NamedTuple):
    """Another way to understand a line, or to write it."""

    text: str
    why: str  # a clause for coordinators
    form: bool = False  # the same address in another written form: nobody needs to be asked


@dataclass(slots=True)
class DeliveryLine:
    """A delivery line. `text` is how Publication 28 writes it, units left off."""

    kind: str
    text: str = ""
    number: str = ""
    predirectional: str = ""
    street: str = ""
    suffix: str = ""
    postdirectional: str = ""
    units: list[str] = field(default_factory=list)
    rules: list[str] = field(default_factory=list)
    readings: list[Reading] = field(default_factory=list)  # without units until `whole`
    marks: list[tuple[str, str]] = field(
        default_factory=list
    )  # what was noticed, about which words

    @property
    def line(self) -> str:
        """The whole delivery line, units included."""
        return " ".join((self.text, *self.units)).lstrip() if self.units else self.text

    def written(self, **other: str) -> str:
        """The line of these parts, or with other ones in their place.

        >>> part = DeliveryLine("street", number="12", street="MAIN", suffix="ST")
        >>> part.written(), part.written(suffix="AVE")
        ('12 MAIN ST', '12 MAIN AVE')
        """
        pieces = [self.number, self.predirectional, self.street, self.suffix, self.postdirectional]
        if other:
            pieces = list(map(other.get, _PIECES, pieces))
        return " ".join([piece for piece in pieces if piece])

    def may_be(self, text: str, why: str, form: bool = False) -> None:
        """Notes another reading of this line, or another form."""
        if text != self.text and text not in [reading.text for reading in self.readings]:
            self.readings.append(Reading(text, why, form))

    def line_may_be(self, text: str, why: str, form: bool = True) -> None:
        """Notes another form, or another reading, of the whole line; to be called after `whole`."""
        if text != self.line and text not in [reading.text for reading in self.readings]:
            self.readings.append(Reading(text, why, form))

    def whole(self) -> None:
        """Puts the units, now all known, into the other readings."""
        if self.units and self.readings:
            self.readings = [
                one._replace(text=" ".join((one.text, *self.units))) for one in self.readings
            ]

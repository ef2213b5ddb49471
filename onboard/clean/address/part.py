"""One piece of an address as understood: a street line, a box, a route."""

from __future__ import annotations

from dataclasses import dataclass, field

_PIECES = ("number", "predirectional", "street", "suffix", "postdirectional")


@dataclass(slots=True)
class Part:
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
    readings: list[str] = field(default_factory=list)  # other lines it could have meant, no units
    why: list[str] = field(default_factory=list)  # a clause for each reading
    marks: list[tuple[str, str]] = field(
        default_factory=list
    )  # what was noticed, about which words

    @property
    def line(self) -> str:
        """The whole delivery line, units included."""
        return " ".join((self.text, *self.units)).lstrip() if self.units else self.text

    def written(self, **other: str) -> str:
        """The line of these parts, or with other ones in their place.

        >>> part = Part("street", number="12", street="MAIN", suffix="ST")
        >>> part.written(), part.written(suffix="AVE")
        ('12 MAIN ST', '12 MAIN AVE')
        """
        pieces = [self.number, self.predirectional, self.street, self.suffix, self.postdirectional]
        if other:
            pieces = list(map(other.get, _PIECES, pieces))
        return " ".join([piece for piece in pieces if piece])

    def may_be(self, text: str, why: str) -> None:
        """Notes another reading of this line."""
        if text != self.text and text not in self.readings:
            self.readings.append(text)
            self.why.append(why)

"""One piece of an address as understood: a street line, a box, a unit, words kept aside."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(slots=True)
class Part:
    """A delivery line, without its units."""

    kind: str
    text: str  # the line as Publication 28 writes it, units left off
    number: str = ""
    predirectional: str = ""
    street: str = ""
    suffix: str = ""
    postdirectional: str = ""
    units: list[str] = field(default_factory=list)
    urbanization: str = ""
    rules: list[str] = field(default_factory=list)
    readings: list[str] = field(default_factory=list)  # other lines it could have meant, no units
    why: list[str] = field(default_factory=list)  # a clause for each reading
    marks: list[tuple[str, str]] = field(default_factory=list)  # finding code, note

    @property
    def line(self) -> str:
        return " ".join((self.text, *self.units)).lstrip() if self.units else self.text

    def may_be(self, text: str, why: str) -> None:
        """Notes another reading of this line."""
        if text != self.text and text not in self.readings:
            self.readings.append(text)
            self.why.append(why)

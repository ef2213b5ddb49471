"""Corner addresses (Publication 28, 236): understood, but no place to send mail to."""

from __future__ import annotations

from onboard.clean.address import street
from onboard.clean.address.delivery_line import DeliveryLine

_AND = frozenset(("AND", "&", "AT", "Y"))


def read(words: list[str]) -> DeliveryLine | None:
    """A corner of two streets, or None if the words are none.

    >>> read(["5TH", "&", "HIGH"]).text
    '5TH AND HIGH'
    """
    at = next((i for i, word in enumerate(words) if word in _AND and 0 < i < len(words) - 1), 0)
    if not at:
        return None
    first, second = street.read(words[:at]), street.read(words[at + 1 :])
    if first.number or second.number or not (_of_street(first) or _of_street(second)):
        return None
    one, other = _text(first, words[:at]), _text(second, words[at + 1 :])
    part = DeliveryLine("corner", f"{one} AND {other}", street=first.text, rules=["236"])
    part.may_be(one, "the house may be there")
    part.may_be(other, "the house may be there")
    return part


def _text(part: DeliveryLine, words: list[str]) -> str:
    return " ".join(words) if part.marks else part.line


def _of_street(part: DeliveryLine) -> bool:
    return bool(part.suffix or part.postdirectional or part.street[:1].isdigit())

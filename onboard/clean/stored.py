"""Stored values as people write them, and what people write as it is stored.

A member's columns hold a name part by part, an address line by line, a phone as a URI. Who is
shown a change, and may put it right, reads and writes texts.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any
from unicodedata import category

from onboard.clean import address, day, email, name, phone, row
from onboard.model import Cleaned, PersonName

# What stands for "nothing belongs here" where an empty cell could be a slip.
NOTHING = "(nothing)"


def show(field: str, value: Any) -> str:
    """The value of a member's column as text; "" for nothing.

    >>> show("name", {"given": "Ana", "family": "Ruiz"}), show("address", ["1 ELM ST", "LIMA OH"])
    ('Ana Ruiz', '1 ELM ST\\nLIMA OH')
    >>> show("phone", "tel:+14195550143"), show("consent", False)
    ('+14195550143', 'no')
    """
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case str():
            return value.replace("tel:", "") if field == "phone" else value
        case Mapping() if field == "name":
            return name.show(_name(value))
        case Mapping():
            return "\n".join(f"{key}: {text}" for key, text in value.items())
        case list() | tuple():
            return "\n".join(map(str, value))
        case int() if field == "merged_into":
            return f"member {value}"
    return str(value)


def to_correct(field: str, value: Any) -> str:
    """The value of a member's column as a correction takes it: a name says where the last name begins.

    >>> to_correct("name", {"given": "Ana", "family": "Soto Feliciano"}), to_correct("consent", True)
    ('Soto Feliciano, Ana', 'yes')
    """
    if field != "name" or not value:
        return show(field, value)
    said = _name(value)
    given = " ".join(filter(None, (said.given, said.middle)))
    ends = ", ".join(filter(None, (said.family, given, said.suffix)))
    return ends or name.show(said)


def told_name(said: str) -> dict[str, Any] | None:
    """The name that `to_correct` wrote; None if it is none."""
    value = name.clean(said, hints=name.Hints(told=True)).value
    return _as_stored(value) if value else None


def in_words(field: str, value: Any) -> str:
    """The value of a member's column as people read it on a screen; `show` is what is read back.

    >>> in_words("phone", "tel:+14195550143"), in_words("site", "Lima Grange"), in_words("phone", "")
    ('(419) 555-0143', 'Lima Grange', '')
    >>> in_words("joined", "2015-03-04T12:00:00Z")
    '2015-03-04'
    """
    if field == "joined" and isinstance(value, str):
        return value[:10]  # a person needs no more than the day
    if field == "phone" and isinstance(value, str) and value.startswith("tel:"):
        return phone.stored_aloud(value)
    return show(field, value)


def clean(field: str, said: str, *, region: str = "US") -> Cleaned[Any]:
    """What a text comes to as the value of a member's column; None if it is not understood.

    Texts of columns that have no rule here are taken as they stand. "(nothing)" is nothing. A phone
    comes as RFC 3966 has it; `region` is that of the phone (ISO 3166). Never raises.

    >>> clean("email", "Ana@Example.org").value, clean("consent", "(nothing)").value
    ('Ana@example.org', None)
    """
    rule = _RULES.get(field)
    if said.strip().casefold() in ("", "-", NOTHING):
        return Cleaned(said, _EMPTY.get(field, ""))
    if field == "phone":
        number = phone.clean(said, region=region)
        return Cleaned(said, number.value and phone.show(number.value), number.findings)
    return rule(said) if rule else Cleaned(said, said.strip())


def could_hold(field: str, value: Any) -> bool:
    """Whether a member's column could hold the value: of the right kind, and text that can be shown.

    >>> could_hold("email", "ana@example.org"), could_hold("email", 7), could_hold("name", {})
    (True, False, False)
    >>> could_hold("confirmed", "2026-11-25"), could_hold("confirmed", "2026-99-99")
    (True, False)
    """
    match field:
        case "name":
            return _is_name(value)
        case "address":
            return isinstance(value, list) and all(map(_is_text, value))
        case "extras":
            return isinstance(value, dict) and all(map(_is_text, (*value, *value.values())))
        case "consent":
            return value is None or isinstance(value, bool)
        case "merged_into":
            return value is None or (type(value) is int and 0 < value < 10**9)
        case "confirmed" | "born":
            return value is None or (_is_text(value) and _is_day(value))
    return _is_text(value)


def is_same(field: str, one: Any, other: Any, *, region: str = "US") -> bool:
    """Whether two values of a column are one, perhaps written in two ways; `region` as for `clean`.

    >>> is_same("phone", "(419) 555-0143", "tel:+14195550143"), is_same("email", "", "a@example.org")
    (True, False)
    """
    if one == other:
        return True
    values = [clean(field, show(field, value), region=region).value for value in (one, other)]
    return values[0] is not None and values[0] == values[1]


def _email(said: str) -> Cleaned[Any]:
    cleaned = email.clean(said)
    return Cleaned(said, cleaned.value and cleaned.value.address, cleaned.findings)


def _address(said: str) -> Cleaned[Any]:
    cleaned = address.clean(said)
    lines = address.show(cleaned.value).splitlines() if cleaned.value else None
    return Cleaned(said, lines, cleaned.findings)


def _of_name(said: str) -> Cleaned[Any]:
    cleaned = name.clean(said)
    return Cleaned(said, cleaned.value and _as_stored(cleaned.value), cleaned.findings)


def _as_stored(value: PersonName) -> dict[str, Any]:
    return value._asdict() | {"joint": [_as_stored(other) for other in value.joint]}


def _name(stored: Mapping[str, Any]) -> PersonName:
    """A name as the member table has it, part by part."""
    joint = tuple(map(_name, stored.get("joint", ())))
    return PersonName(**{"given": "", **stored, "joint": joint})


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and not any(
        category(c) in ("Cc", "Cs") and c not in "\n\t" for c in value
    )


def _is_name(value: Any, *, joint: bool = True) -> bool:
    if not isinstance(value, dict) or not value.keys() <= set(PersonName._fields):
        return False
    texts = {part: text for part, text in value.items() if part != "joint"}
    others = value.get("joint", [])
    return (
        all(map(_is_text, texts.values()))
        and any(texts.values())
        and isinstance(others, list)
        and (joint or not others)  # the others of a joint sign-up sign up with nobody
        and all(_is_name(other, joint=False) for other in others)
    )


def _is_day(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _born(said: str) -> Cleaned[Any]:
    cleaned = day.clean(said, field="born")
    return Cleaned(said, cleaned.value and day.show(cleaned.value), cleaned.findings)


def _standing(said: str) -> Cleaned[Any]:
    word = said.strip().casefold()
    return Cleaned(said, word if word in ("open", "closed") else None)


def _number(said: str) -> Cleaned[Any]:
    digits = said.strip().casefold().removeprefix("member").strip().removesuffix(".0")
    return Cleaned(said, int(digits) if digits.isdecimal() and len(digits) < 10 else None)


_RULES: dict[str, Callable[[str], Cleaned[Any]]] = {
    "name": _of_name,
    "email": _email,
    "address": _address,
    "language": row.language,
    "consent": row.consent,
    "born": _born,
    "standing": _standing,
    "merged_into": _number,
}
_EMPTY: dict[str, Any] = {
    "address": [],
    "extras": {},
    **dict.fromkeys(
        ("consent", "born", "closed", "merged_into", "confirmed", "bounced", "page_seen",
         "last_sign_in", "last_order")
    ),
}  # fmt: skip

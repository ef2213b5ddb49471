"""What a form says of the person: their name, how to reach them, where they live, when they were born.

By it a form is known again that came in another file, with a question more or a column less, under
other headings, or with another time on it. What a form asks besides (the drop site, the co-op's own
questions) does not make it another person's.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from enum import Enum, auto

from onboard.clean import listed
from onboard.clean.name import joint
from onboard.model import Finding, Kind, RawRow, Weight

DELETED = Kind(
    "row.deleted",
    Weight.BLOCKING,
    "Somebody whose form said the same was deleted on request.",
    wrong="the email and first name of somebody who was deleted",
    right="those of nobody who was deleted",
)
KINDS = (DELETED,)  # not for a rule's `clean`: finding this takes a roster

NAME = ("full_name", "given", "middle", "family", "second_family", "suffix")
HOME = ("address", "number", "street", "unit", "city", "state", "zip", "last_line")
ALONE = ("email", "phone", "born", "personal")
WHOLE = ("full_name", "address")  # which say what the parts say as well
ENOUGH = 2  # of email, phone, home and birthday that agree, for a form that says more of the person
ENOUGH_FOR_TWO = 1  # father and son may share a name and an email; no other couple has both names


_DIGITS, _WORDS = re.compile(r"\d+").findall, re.compile(r"[^\W_]+").findall


class Likeness(Enum):
    """How what one form says of a person stands to what another says."""

    SAME = auto()  # nothing that the other did not say
    MORE = auto()  # the same, and something that the other did not ask
    OTHER = auto()


def sketch(fields: Mapping[str, str]) -> str:
    """A short text that is equal for forms that could say the same; "" for one that says nobody, and
    for a line of a list of members, which is no form.

    >>> ana = {"full_name": "Ana Ruiz", "email": "ana@example.org"}
    >>> sketch(ana) == sketch(ana | {"email": "Ana@Example.org ", "city": "Lima"})
    True
    """
    if fields.get("handle", "").strip():
        return ""
    words = _together(fields, NAME).split()
    email = folded("email", fields.get("email", ""))
    if email:
        known_by = f"{email}|{words[0] if words else ''}"
    else:  # the first name alone is many people's
        phone = folded("phone", fields.get("phone", ""))
        known_by = "|" + (" ".join(sorted(words)) or phone or _together(fields, HOME))
    if known_by == "|":
        return ""
    return hashlib.sha256(known_by.encode("utf-8", "surrogatepass")).hexdigest()[:24]


def of(raw: RawRow) -> str:
    """The sketch of a form; "" too for a row of a list of members that was not brought in: whoever then fills
    out a form says it themselves."""
    return "" if listed.is_skipped(raw) else sketch(raw.fields)


def was_deleted() -> Finding:
    """What is asked about a form of somebody who was deleted, and may have joined anew."""
    note = (
        "Somebody with this email address and first name, or with this name, was deleted on request. Ask "
        "them: did they fill out a new form themselves? If so, answer enroll. If not, answer drop."
    )
    return DELETED.found("", note)


def compare(new: Mapping[str, str], old: Mapping[str, str]) -> Likeness:
    """How the fields of a form stand to those of an earlier one.

    Only what both forms asked can tell them apart; what one alone asked makes it sure only where
    enough else is the same.
    """
    parts = {group[0]: _compare_group(new, old, group) for group in (NAME, HOME)}
    parts |= {field: _compare_fields(new, old, (field,)) for field in ALONE}
    said = {what: part for what, part in parts.items() if part is not None}
    if len(said) < len(parts):
        return Likeness.OTHER
    agree = {what for what, part in said.items() if "agrees" in part}
    name, others = NAME[0] in agree, agree - {NAME[0]}
    if any("more" in part for part in said.values()):
        enough = ENOUGH_FOR_TWO if _is_for_two(new) else ENOUGH
        return Likeness.MORE if name and len(others) >= enough else Likeness.OTHER
    if any("less" in part for part in said.values()):
        return Likeness.SAME if name and others else Likeness.OTHER
    return Likeness.SAME if others else Likeness.OTHER  # a name alone is many people's


_AND = re.compile(r"\b(?:and|y|e)\b ?")  # a sign may stand for it: "Pat & Kim"


def _is_for_two(fields: Mapping[str, str]) -> bool:
    """Whether a form names several people, "Pat and Kim Lee"."""
    said = " ".join(text for field in NAME if (text := fields.get(field)))
    return len(joint.people(said)) > 1


def _as_compared(field: str, text: str) -> str:
    said = folded(field, text)
    return _AND.sub("", said).strip() if field in NAME else said


def _compare_group(
    new: Mapping[str, str], old: Mapping[str, str], group: tuple[str, ...]
) -> set[str] | None:
    """As `_compare_fields`; where one form has a column for the whole and the other one for each part,
    all is read as one text."""
    whole = group[0] if group[0] in WHOLE else ""
    if (whole in new) == (whole in old):
        return _compare_fields(new, old, group)
    here, there = _together(new, group), _together(old, group)
    if here == there:
        return {"agrees"} if here else set()
    # "Address" beside "City" is the street: without that column, it is the whole address.
    mine, theirs = (
        {("street" if f == "address" else "given" if f == "full_name" else f): t for f, t in said.items()}
        for said in (new, old)
    )  # fmt: skip
    return _compare_fields(mine, theirs, group[1:])


def _compare_fields(
    new: Mapping[str, str], old: Mapping[str, str], group: tuple[str, ...]
) -> set[str] | None:
    """Of the fields of a group: whether one "agrees", whether the new form says "more" or "less" than
    was asked; None where both say something and it is not the same."""
    found = set()
    for field in group:
        mine, theirs = (_as_compared(field, said.get(field, "")) for said in (new, old))
        if field in new and field in old:
            if mine != theirs:
                return None
            found |= {"agrees"} if mine else set()
        elif mine or theirs:
            found.add("more" if mine else "less")
    return found


def _together(fields: Mapping[str, str], group: tuple[str, ...]) -> str:
    said = [folded(field, text) for field in group if (text := fields.get(field))]
    return " ".join(filter(None, said))


def besides(new: Mapping[str, str], old: Mapping[str, str]) -> dict[str, str]:
    """What a form says of how to reach the person that an earlier one of theirs did not ask.

    >>> besides({"email": "a@example.org", "phone": "419-555-0143"}, {"email": "a@example.org"})
    {'phone': '419-555-0143'}
    """
    asked = {*ALONE, *(HOME if not any(map(old.get, HOME)) else ())}
    return {f: text for f, text in new.items() if f in asked and text.strip() and not old.get(f)}


def folded(field: str, text: str) -> str:
    """The text of a field without what makes no difference: capitals, blanks, how a phone is written."""
    if field == "email":
        return "".join(text.split()).casefold()
    if field in ("phone", "personal") and (digits := "".join(_DIGITS(text))):
        return digits
    return " ".join(_WORDS(text.casefold()))

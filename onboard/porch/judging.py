"""What the rules say of a join form, in the words of whoever fills it in: the same rules as for a file."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cache
from importlib import resources
from typing import NamedTuple

from onboard.clean import email, name, phone
from onboard.clean import row as forms_row
from onboard.clean.email.doubts import doubt
from onboard.intake import damage
from onboard.model import Applicant, Finding, Weight
from onboard.porch import forms
from onboard.settings import Settings
from onboard.spool import Answer


class Noticed(NamedTuple):
    """A finding, told to the person."""

    code: str
    field: str  # of the form
    weight: Weight
    note: str
    suggestion: str  # what may be meant; "" for none


# Of these is spoken only where all fields of one of the sets were given: while somebody types, the others are still to come.
_ASKS_FOR: Mapping[str, tuple[tuple[str, ...], ...]] = {
    "address.missing": (("address",), ("street",)), "address.no_street": (("address",), ("street",)),
    "address.no_number": (("address",), ("street",)), "address.no_box": (("address",), ("street",)),
    "address.no_city": (("address",), ("city",)), "address.no_state": (("address",), ("state",)),
    "address.no_zip": (("address",), ("zip",)), "name.one_word": (("full_name",), ("given", "family")),
    "row.filler": (("full_name", "email", "phone"), ("given", "family", "email", "phone")),
}  # fmt: skip
_ABOUT: Mapping[str, tuple[str, ...]] = {
    "name": forms.WHOLE_NAME, "fields": forms.NAME, "address": forms.ADDRESS, "place": forms.ADDRESS,
}  # fmt: skip
# The field of the form at which it is told, the first of these that was given.
_TOLD_AT: Mapping[str, tuple[str, ...]] = {
    "name": ("full_name", "given", "family"), "fields": ("given", "full_name"),
    "address": ("address", "street", "zip", "city", "state", "unit"), "place": ("zip", "address", "city", "state"),
    "address.no_city": ("city", "address"), "address.no_state": ("state", "address"), "address.no_zip": ("zip", "address"),
    "address.bad_zip": ("zip", "address"), "address.unit_number": ("unit", "street", "address"),
    "place.unknown_city": ("city", "address"),
}  # fmt: skip
# Of an address whose first line is still to come, the rest is read as if it were there.
_STREET = Answer("street", forms.FIELDS["street"], "1 Main St")


def judge(given: Sequence[Answer], settings: Settings, language: str) -> list[Noticed]:
    """What is noticed about the answers that were given, in their order of weight; the others count as still to come.

    >>> from types import SimpleNamespace
    >>> coop = SimpleNamespace(region="US", sites=())
    >>> judge([Answer("email", "Email", "pat@gmial.com")], coop, "en")[0].note
    'Did you mean pat@gmail.com?'
    """
    said = {one.field for one in given}
    is_begun = not said.isdisjoint(forms.ADDRESS) and said.isdisjoint(("address", "street"))
    raw = forms.row([*given, _STREET] if is_begun else given)
    applicant = forms_row.clean(raw, region=settings.region, sites=settings.sites)
    found = [one for one in _all(applicant) if _is_heard(one, said)]
    noticed = (_told(one, applicant, said, language) for one in found)
    order = (Weight.BLOCKING, Weight.DOUBTFUL, Weight.MENDED)
    return sorted((one for one in noticed if one), key=lambda one: order.index(one.weight))


def _all(applicant: Applicant) -> Iterator[Finding]:
    yield from applicant.findings
    for field, text in applicant.raw.fields.items():  # what a file would say of such a cell
        for one in damage.clean(text, field).findings:
            if one.code in (damage.CONTROL.code, damage.FORMULA.code):
                yield one._replace(field=field)


def _is_heard(finding: Finding, said: Collection[str]) -> bool:
    if asks := _ASKS_FOR.get(finding.code):
        return any(set(fields).issubset(said) for fields in asks)
    if finding.code.partition(".")[0] == "row":
        return True
    return not set(_ABOUT.get(finding.field, (finding.field,))).isdisjoint(said)


def _told(
    finding: Finding, applicant: Applicant, said: Collection[str], language: str
) -> Noticed | None:
    known = notes()
    words = known.get(finding.code) or known.get(finding.code.partition(".")[0]) or known["row"]
    text = words[language == "es"]
    if text == "-":
        return None
    read = _read(finding, applicant)
    meant = _meant(finding)
    if ("{suggestion}" in text and not meant) or ("{read}" in text and not read):
        text = known[finding.field][language == "es"]
    at = _TOLD_AT.get(finding.code) or _TOLD_AT.get(finding.field, (finding.field,))
    field = next((one for one in at if one in said), at[0])
    if field not in forms.FIELDS and not field.startswith("extra:"):
        field = "notes"
    note = text.format(said=_short(finding.said), read=_short(read), suggestion=_short(meant))
    return Noticed(finding.code, field, finding.weight, note, meant or read)


def _meant(finding: Finding) -> str:
    """What the finding asks whether it is meant, where it does."""
    if finding.field != "email":
        return ""
    asked = doubt(finding.said)
    return asked.suggestions[0] if asked and asked.suggestions else ""


def _read(finding: Finding, applicant: Applicant) -> str:
    """How we read what was said, where the rules put it right."""
    if finding.weight is not Weight.MENDED and finding.code != "email.spelling":
        return ""
    match finding.field:
        case "name" if applicant.name.value:
            return name.show(applicant.name.value)
        case "email" if applicant.email.value:
            return email.show(applicant.email.value)
        case "phone" if applicant.phone.value:
            return phone.show(applicant.phone.value)
        case "address" | "place" if applicant.place.value and "zero" in finding.code:
            return applicant.place.value.zip5
        case "site":
            return applicant.site.value or ""
    return ""


def _short(text: str) -> str:
    shown = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return shown if len(shown) <= 80 else f"{shown[:79]}…"


@cache
def notes() -> dict[str, tuple[str, str]]:
    """By code or field: what is said of it, in English and Spanish."""
    table = resources.files(__package__).joinpath("notes.tsv").read_text("utf-8")
    lines = (line.split("\t") for line in table.splitlines() if line and not line.startswith("#"))
    return {code: (english, spanish) for code, english, spanish in lines}

"""What an audit of a spreadsheet proposes for its cells, so that the old list itself can be put right.

A change is about one cell: what is there, what to put, and why. It is proposed where a rule has fixed
a value and nothing about it is in doubt, and where the spreadsheet had spoilt one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from onboard.audit.observation import Observation
from onboard.audit.record import Record
from onboard.clean import address, name, phone
from onboard.model import Address, PersonName, Phone

# Postal addresses are written in capitals; a list may do as it likes.
OF_ADDRESS = frozenset(("street", "unit", "city", "state", "zip", "last_line", "address"))


class CellChange(NamedTuple):
    """A change of one cell, for a person to approve."""

    file: str
    line: int
    name: str  # whose row it is
    column: str  # the heading
    now: str
    after: str
    why: str
    code: str  # of the finding that it would settle


def proposed(
    account: Record, found: Iterable[Observation], headings: Mapping[str, Sequence[str]]
) -> Iterator[CellChange]:
    """The changes of the cells of an account's row; `headings` are the columns of each field."""
    raw = account.applicant.raw
    cells = dict(raw.cells)
    wanted: dict[str, tuple[str, str, str]] = {}  # by field: the text, why, the code
    for repaired in raw.findings:
        if raw.fields.get(repaired.field):
            said = raw.fields[repaired.field]
            wanted[repaired.field] = (said, repaired.note, repaired.code)
    for one in found:
        if one.change is None:
            continue
        for field, text in _texts(account, one).items():
            wanted[field] = (text, one.finding.note, one.code)
    for field, (text, why, code) in wanted.items():
        column = headings.get(field, ())
        if len(column) != 1 or column[0] not in cells:
            continue  # it was put together of several, or there is none
        now = cells[column[0]]
        if now == text or (field in OF_ADDRESS and now.casefold() == text.casefold()):
            continue
        if text:
            yield CellChange(raw.file, raw.line, account.name, column[0], now, text, why, code)


def _texts(account: Record, one: Observation) -> dict[str, str]:
    """What to put under each field that the row has, for a change of one column of a member."""
    assert one.change is not None
    value = account.cleaned(one.change.field).value
    if one.code == "fields.swapped" and isinstance(value, PersonName):
        texts = {"given": value.family, "family": value.given, "full_name": str(one.change.after)}
    elif isinstance(value, PersonName):
        texts = _of_name(value)
    elif isinstance(value, Address):
        texts = _of_address(value)
    elif isinstance(value, Phone):
        texts = {"phone": phone.read_aloud(value)}
    else:
        texts = {one.change.field: str(one.change.after)}
    has = account.applicant.raw.fields
    if "second_family" in has:
        texts.pop("family", None)  # it would hold both last names
    if isinstance(value, Address) and "unit" not in has and value.unit:
        texts["street"] = " ".join(value.lines)  # else nothing would hold the unit
    return {field: text for field, text in texts.items() if field in has}


def _of_name(value: PersonName) -> dict[str, str]:
    if value.joint or value.title or value.called or value.former:
        return {"full_name": name.show(value)}  # there is more than the columns of parts could hold
    return {
        "given": value.given, "middle": value.middle, "family": value.family, "suffix": value.suffix,
        "full_name": name.show(value),
    }  # fmt: skip


def _of_address(value: Address) -> dict[str, str]:
    zip_code = f"{value.zip5}-{value.zip4}" if value.zip4 else value.zip5
    street = " ".join(value.lines)
    if value.unit and street.endswith(value.unit):
        street = street.removesuffix(value.unit).strip()
    return {
        "street": street, "unit": value.unit, "city": value.city, "state": value.state, "zip": zip_code,
        "last_line": f"{value.city} {value.state} {zip_code}".strip(), "address": address.show(value),
    }  # fmt: skip

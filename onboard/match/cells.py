"""The cells of a spreadsheet's rows as people ready to be compared.

The rows are folded, not cleaned: cleaning a row takes thirty times as long, and what it mends in
plain columns, folding mends as well for this purpose. Only a column that holds a whole name or a
whole address is taken apart by its field rule.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from onboard.clean import address, name
from onboard.match import many
from onboard.match.texts import Texts

Row = tuple[int, Sequence[str]]  # line of the file, cells
Layout = tuple[tuple[int, str], ...]  # place of a column, field it holds


class Cells(NamedTuple):
    """What so many rows say of who somebody is."""

    said: Mapping[str, Sequence[str]]  # field: its cells, a row each
    size: int


class Lost(NamedTuple):
    """Lines that are in one cell of a row, because a quotation mark was not closed: nobody in them is compared."""

    file: str
    line: int  # of the row
    lines: int


class Told(NamedTuple):
    """What is told of some rows."""

    called: Texts  # what each is called
    size: int  # bytes of the file, about
    lost: tuple[Lost, ...]


def ids_of(rows: Sequence[Row], layout: Layout, file: str = "") -> list[str]:
    """What each row is called: its id, or its line if it has none, with the name of its file before it."""
    place = next((place for place, field in layout if field == "id"), -1)
    return [
        (cells[place].strip() if 0 <= place < len(cells) else "") or f"{file}line {line}"
        for line, cells in rows
    ]


def cells_of(rows: Sequence[Row], layout: Layout) -> Cells:
    """The cells of these rows, a field at a time."""
    said: dict[str, list[str]] = {}
    for place, field in layout:
        if field == "id":
            continue
        column = [row[place] if place < len(row) else "" for _, row in rows]
        if field in said:  # several columns may hold one field: year, month and day of birth
            column = [
                f"{one} {two}" if two else one for one, two in zip(said[field], column, strict=True)
            ]
        said[field] = column
    return Cells(said, len(rows))


# Fields of a sheet that are fields of a `Person` as they stand, and what these are called there.
PLAIN = {
    "given": "given", "middle": "middle", "family": "family", "suffix": "suffix", "email": "email",
    "phone": "phone", "street": "street", "unit": "unit", "city": "city", "zip": "zip5",
    "born": "born", "personal": "personal",
}  # fmt: skip


# Fields that say who somebody is; the others are left unread.
TELLING = PLAIN.keys() | {"second_family", "id", "number", "full_name", "address", "last_line"}


def folded(cells: Cells) -> many.Folded:
    """The people of these rows, ready to be compared."""
    said, size = cells
    plain = {PLAIN[field]: column for field, column in said.items() if field in PLAIN}
    if "number" in said:
        streets = plain.get("street", [""] * size)
        plain["street"] = [
            f"{number} {street}" if number else street
            for number, street in zip(said["number"], streets, strict=True)
        ]
    if "family" in said and "second_family" in said:
        plain["family"] = list(map(_both, said["family"], said["second_family"]))
    joint = _fill_names(plain, said["full_name"]) if "full_name" in said else {}
    wholes = [said[field] for field in ("address", "last_line") if field in said]
    if wholes:
        places = _places(["\n".join(filter(None, whole)) for whole in zip(*wholes, strict=True)])
        for at, part in enumerate(("street", "unit", "city", "zip5")):
            many.fill(plain, part, [place[at] for place in places])
    return many.folded_columns(plain, joint, size)


def _both(family: str, second: str) -> str:
    return f"{family} {second}".strip()


def _fill_names(
    columns: dict[str, Sequence[str]], wholes: Sequence[str]
) -> dict[int, tuple[str, ...]]:
    """Put the parts of whole names in their columns; who signed up with whom comes back, by row."""
    found = {text: name.clean(text).value for text in set(wholes) if text}
    names = [found.get(text) for text in wholes]
    for part in ("given", "middle", "family", "suffix", "called", "former"):
        many.fill(columns, part, [getattr(who, part) if who else "" for who in names])
    return {
        row: tuple(other.given for other in who.joint)
        for row, who in enumerate(names)
        if who and who.joint
    }


def _places(wholes: Sequence[str]) -> list[tuple[str, str, str, str]]:
    """Street, unit, city and ZIP of each whole address."""
    found = {"": ("", "", "", "")}
    for text in set(wholes) - {""}:
        where = address.clean(text).value
        if where is None:
            found[text] = found[""]
        else:
            street = where.lines[0].removesuffix(where.unit).rstrip() if where.lines else ""
            found[text] = (street, where.unit, where.city, where.zip5)
    return [found[text] for text in wholes]

"""A row of a join-form file, as written."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from onboard.model.finding import Finding

EXTRA = "extra:"  # before each of the co-op's own questions
ASIDE = "aside:"  # before the heading of a column that is no field: what it says stays with the row


@dataclass(frozen=True, slots=True)
class RawRow:
    """A row of a join-form file, as written.

    `cells` are (column heading, text) in file order. `fields` are the same texts under the
    field each column was recognised as (see `onboard.intake.FIELDS`), nothing changed but that
    a value which the spreadsheet itself had spoilt is repaired, which `findings` then say.
    """

    file: str
    line: int  # of the file, headings included, counted from 1
    cells: tuple[tuple[str, str], ...]
    fields: Mapping[str, str]
    findings: tuple[Finding, ...] = ()
    # The row's identity: the same cells are the same row, in whatever file, line or order.
    key: str = field(init=False, repr=False)

    def __post_init__(self) -> None:
        text = "\x1e".join(f"{head}\x1f{cell}" for head, cell in sorted(self.cells))
        digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
        object.__setattr__(self, "key", digest[:24])

    def __reduce__(self) -> tuple[Any, ...]:
        return _again, (self.file, self.line, self.cells, self.fields, self.findings, self.key)

    def but(self, fields: Mapping[str, str], findings: tuple[Finding, ...]) -> RawRow:
        """The same row, understood otherwise. It keeps its key: since it came, a name may have been taken
        out of its cells."""
        return _again(self.file, self.line, self.cells, fields, findings, self.key)

    def saying(self, new: Mapping[str, str]) -> RawRow:
        """The same row, with other words for some texts. It keeps its key."""
        cells = tuple((head, new.get(text, text)) for head, text in self.cells)
        fields = {field: new.get(text, text) for field, text in self.fields.items()}
        return _again(self.file, self.line, cells, fields, self.findings, self.key)

    @property
    def aside(self) -> dict[str, str]:
        """What the columns that are no field say, by heading; those that say nothing left out."""
        return {
            f.removeprefix(ASIDE): said for f, said in self.fields.items() if f.startswith(ASIDE)
        }

    @property
    def remarks(self) -> tuple[str, ...]:
        """What the member says in their own words: notes, answers to the co-op's questions, and
        whatever is in columns that are no field."""
        fields = self.fields
        return tuple([said for field in _own_words(tuple(fields)) if (said := fields[field])])


@lru_cache(maxsize=1000)  # all rows of a file have the same fields
def _own_words(fields: tuple[str, ...]) -> tuple[str, ...]:
    """Those of the fields that hold what members say in their own words."""
    return tuple(f for f in fields if f == "notes" or f.startswith((ASIDE, EXTRA)))


def _again(
    file: str, line: int, cells: tuple[tuple[str, str], ...], fields: Mapping[str, str],
    findings: tuple[Finding, ...], key: str,
) -> RawRow:  # fmt: skip
    """A row with a key that is known already."""
    row = object.__new__(RawRow)
    said = (file, line, cells, fields, findings, key)
    for name, value in zip(RawRow.__slots__, said, strict=True):
        object.__setattr__(row, name, value)
    return row

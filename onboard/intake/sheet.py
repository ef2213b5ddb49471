"""Opens a file of join forms and gives its rows, one at a time."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from onboard.clean import email
from onboard.clean.email.doubts import is_doubted
from onboard.errors import FileTrouble
from onboard.intake import boxes, damage
from onboard.intake.columns import ColumnQuestion, Columns, recognise
from onboard.intake.fields import BOXES
from onboard.intake.headings import count_known, fold
from onboard.intake.opening import tables_of
from onboard.intake.passed_over import PassedOver, no_form, other_table
from onboard.intake.table import Line, Table
from onboard.intake.values import shares
from onboard.model import Finding, RawRow
from onboard.model.form import ASIDE

_HEAD = 40  # lines in which the headings are looked for
_SAMPLE = 200  # lines that may speak for or against a heading
_WIDEST = 10_000  # columns of a file of forms


@dataclass(frozen=True, slots=True)
class Sheet:
    """An opened file of join forms: its columns now, its rows as they are asked for.

    Ask `columns.questions` first: while one is open, the rows lack the field it asks about.
    """

    file: Path
    name: str  # of the sheet in a workbook, else ""
    columns: Columns
    notes: tuple[str, ...]  # how the file was read, for people
    table: Table = field(repr=False)
    first_line: int = 1  # below the headings
    other_table: tuple[int, int] = (
        0,
        0,
    )  # where another one begins, and its headings are, if one does
    passed_over: PassedOver = field(default_factory=PassedOver)

    def rows(self) -> Iterator[RawRow]:
        """The join forms, read from the file as they are asked for; may be asked again.

        Blank lines, headings that come again, totals and another table below the first are passed over,
        and counted in `passed_over`. Raises `FileTrouble` when the file cannot be read to its end.
        """
        self.passed_over.lines.clear()
        self.passed_over.counts.clear()
        heads = _folded(self.columns.headings)
        begins, its_heads = self.other_table
        other = f"in another table, which has its headings in row {its_heads}. Give it as a file of its own"
        places = _Places.of(self.columns)
        for line in self.table.lines():
            if line.number < self.first_line:
                continue
            why = no_form(line, heads)
            if begins and line.number >= begins and why != "blank":
                why = other
            if why:
                self.passed_over.add(why, line.number)
            else:
                yield self._row(line, places)

    def _row(self, line: Line, places: _Places) -> RawRow:
        labels = places.labels
        texts, findings = list(line.cells), []
        while len(texts) > len(labels) and not texts[-1].strip():
            texts.pop()  # cells that were only formatted
        if len(texts) > len(labels):
            further = texts[len(labels) :]
            note = (
                f"This row has {len(texts)} cells under {len(labels)} headings. Left over: "
                f"{', '.join(damage.short(t) for t in further[:5])}. Make sure that each cell is "
                "under its own heading."
            )
            findings.append(damage.LONGER.found(damage.short(", ".join(further)), note))
        elif len(texts) < len(labels):
            note = (
                f"This row has {len(texts)} cells under {len(labels)} headings. Missing "
                f"at the end: {len(labels) - len(texts)}. What is missing counts as empty. If it was empty, "
                "there is nothing to do."
            )
            findings.append(damage.SHORTER.found(damage.short(", ".join(texts)), note))
            texts += [""] * (len(labels) - len(texts))
        swallowed = lines_swallowed(texts, len(labels), self.table.delimiter)
        if swallowed:
            note = (
                f"One cell of this row holds {swallowed} more lines that look like rows. A "
                f"quotation mark at line {line.number} was not closed. Close or remove it in the "
                "file and give the file again. Until then, nobody in those lines is enrolled."
            )
            findings.append(damage.SWALLOWED.found(damage.short(max(texts, key=len)), note))
        # One line break for all, so that a cell is the same text in CSV and in XLSX.
        texts = [t.replace("\r\n", "\n").replace("\r", "\n") if "\r" in t else t for t in texts]
        cells = list(zip(labels, texts, strict=False))
        cells += [(f"column {n + 1}", texts[n]) for n in range(len(labels), len(texts))]
        fields = self._fields(texts, line.merged, findings, places)
        return RawRow(self.file.name, line.number, tuple(cells), fields, tuple(findings))

    def _fields(
        self,
        texts: Sequence[str],
        merged: Sequence[int],
        findings: list[Finding],
        places: _Places,
    ) -> dict[str, str]:
        boxed = places.boxed
        fields: dict[str, str] = {}
        for place, name in places.known:
            text = texts[place].strip()
            if not damage.is_plain(text, name):
                state = texts[places.state] if places.state is not None else ""
                cleaned = damage.clean(text, name, state)
                findings += cleaned.findings
                text = cleaned.value or ""
            if place in merged:
                note = (
                    f'"{damage.short(text)}" is in a cell merged with the row above. Make sure that '
                    "it belongs to this row too."
                )
                findings.append(damage.MERGED.found(text, note)._replace(field=name))
            if place in boxed:
                said, told = boxes.read(text, name, boxed[place])
                findings += told
                if said is None:
                    continue
                text = said
            before = fields.get(name, "")
            if text and before:  # several columns, because a person said so
                text = before if _says(before, text) else f"{before}\n{text}"
            fields[name] = text or before
        if "phone" in fields:
            more = [texts[place].strip() for place in places.phones]
            for text in (one for one in more if one and not _says(fields["phone"], one)):
                fields["phone"] = "\n".join(filter(None, (fields["phone"], text)))
        if "email" in fields:
            further = [texts[place].strip() for place in places.emails]
            fields["email"] = self._with_second_email(fields["email"], further, findings)
        for place, heading in places.aside:
            if said := texts[place].strip():
                fields[heading] = said
        return fields

    def _with_second_email(self, said: str, further: Sequence[str], findings: list[Finding]) -> str:
        """The email, with those of further columns ("Alternate email") where it leaves open where an
        email would go: one of those may be the right one. Where it is empty, those alone."""
        if not any(further):
            return said
        if not said:
            note = (
                f'The email box is empty. The email address in the box for another one, "{damage.short(further[0])}", '
                "is used. Nothing to do."
            )
            found = damage.OTHER_BOX.found(further[0], note)
            findings.append(found._replace(field="email"))
            return "\n".join(filter(None, further))
        first = email.clean(said)
        if first.value is not None and not any(map(is_doubted, first.findings)):
            return said
        return "\n".join((said, *(one for one in further if one and not _says(said, one))))


class _Places(NamedTuple):
    """Where a line has what, which is the same in all lines of a file."""

    labels: tuple[str, ...]
    known: tuple[tuple[int, str], ...]  # each with its field
    boxed: dict[int, str]  # each with what an empty one means
    state: int | None
    phones: tuple[int, ...]  # further ones
    emails: tuple[int, ...]
    aside: tuple[tuple[int, str], ...]  # each with what it is called in a row

    @classmethod
    def of(cls, columns: Columns) -> _Places:
        every = columns.columns
        return cls(
            labels=columns.headings,
            known=tuple((c.place, c.field) for c in every if c.field),
            boxed={c.place: c.empty for c in every if c.field in BOXES},
            state=next((c.place for c in every if c.field == "state"), None),
            phones=tuple(c.place for c in every if c.second == "phone"),
            emails=tuple(c.place for c in every if c.second == "email"),
            aside=tuple((c.place, ASIDE + c.heading) for c in every if not c.field),
        )


def _folded(headings: Sequence[str]) -> list[str]:
    return [heading.strip().casefold() for heading in headings]


def _says(said: str, again: str) -> bool:
    """Whether one of the lines of a cell says the same: an email address is often to be typed twice."""
    return again.casefold() in (line.strip().casefold() for line in said.split("\n"))


def lines_swallowed(texts: Sequence[str], width: int, delimiter: str) -> int:
    """How many lines inside one cell look like rows of their own, if that shows a lost quote.

    An address of several lines has commas too; an email address among them, or more commas than
    an address has, tell rows from lines of an address.
    """
    if not delimiter or width < 2:
        return 0
    longest = max(texts, key=len, default="")
    if "\n" not in longest and "\r" not in longest:
        return 0
    inner = longest.splitlines()[1:]
    like_rows = [text for text in inner if text.count(delimiter) >= width - 1]
    if width < 5 and not any("@" in text for text in like_rows):
        return 0
    return len(like_rows) if len(like_rows) * 2 > len(inner) else 0


# ---------------------------------------------------------------- opening


def open_rows(
    file: Path,
    *,
    told: Mapping[str, str] | None = None,
    remembered: Mapping[str, str] | None = None,
    extra_questions: Sequence[str] = (),
    needed: Sequence[str] = ("name", "email"),
    sheet: str = "",
) -> Sheet:
    """The join forms in `file` (CSV, XLSX, ODS), columns recognised, rows still unread.

    `told` and `remembered` map headings to fields of `FIELDS`; `sheet` names the sheet of a
    workbook. Raises `FileTrouble`, saying what to do, when the file cannot be read.
    """
    file = Path(file)
    tables = tables_of(file)
    hints = {fold(h) for h in (*(told or {}), *(remembered or {}), *extra_questions)}
    heads = [(table, _headings(table, hints)) for table in tables]
    table, head, question = _choose(file, heads, sheet)
    lines = table.lines()
    sample = [line.cells for line in islice(lines, _SAMPLE + head.number)
              if line.number >= head.first]  # fmt: skip
    columns = recognise(
        head.cells, sample, told=told, remembered=remembered,
        extra_questions=extra_questions, needed=needed,
    )  # fmt: skip
    if question:
        columns = replace(columns, questions=(question, *columns.questions))
    notes = list(table.notes)
    if len(tables) > 1:
        others = ", ".join(f'"{t.name}"' for t in tables if t is not table)
        notes.append(f'Sheet "{table.name}" was read. Not read: {others}.')
    if head.number > 1:
        notes.append(f"The headings are in row {head.number}.")
    if head.first == head.number:
        notes.append("No headings were found. The columns are called column 1, column 2 and so on.")
    other = other_table(table.lines(), head.first, _folded(columns.headings))
    return Sheet(file, table.name, columns, tuple(notes), table, head.first, other)


@dataclass(frozen=True, slots=True)
class _Head:
    """Where the headings are."""

    number: int  # the line of the headings
    first: int  # the first line below; the same line when there are no headings
    cells: list[str]
    known: int  # headings we know
    filled: bool  # something stands below


_NO_HEAD = _Head(0, 1, [], 0, False)


def _headings(table: Table, hints: set[str]) -> _Head:
    """The line with the most headings that we know, the first such."""
    lines = [line for line in islice(table.lines(), _HEAD) if any(c.strip() for c in line.cells)]
    if not lines:
        return _NO_HEAD
    for line in lines:
        filled = sum(1 for cell in line.cells if cell.strip())
        if filled > _WIDEST:
            raise FileTrouble(
                f"Row {line.number} has {filled:,} columns, and a file of forms has {_WIDEST:,} at the most. "
                "Make sure that it is the right file. If it is, give a copy with the columns you need."
            )
    best, most = 0, 0
    for at, line in enumerate(lines):
        if sum(1 for cell in line.cells if cell.strip()) > most:  # else it cannot be better
            known = count_known(line.cells, hints)
            best, most = (at, known) if known > most else (best, most)
    if most == 0:
        wide = [len([c for c in line.cells if c.strip()]) for line in lines]
        best = next((i for i, n in enumerate(wide) if n * 2 > max(wide)), 0)
        line = lines[best]
        if any(max(shares([c]).values()) for c in line.cells if c.strip()):
            # An email address or a phone number is no heading: the file begins with a form.
            return _Head(line.number, line.number, [""] * max(len(n.cells) for n in lines), 0, True)
    line = lines[best]
    if max(map(len, line.cells)) > damage.LONGEST:
        raise FileTrouble(
            f"A heading in row {line.number} has more than {damage.LONGEST:,} characters. A quotation mark"
            " may not be closed there. Close or remove it, and give the file again."
        )
    cells = list(line.cells)
    while len(cells) > 1 and not cells[-1].strip():
        cells.pop()
    return _Head(line.number, line.number + 1, cells, most, best + 1 < len(lines))


def _choose(
    file: Path, heads: Sequence[tuple[Table, _Head]], sheet: str
) -> tuple[Table, _Head, ColumnQuestion | None]:
    """The table to read, its headings, and a question when another could be meant as well."""
    names = [table.name for table, _head in heads]
    if sheet:
        for table, head in heads:
            if table.name.casefold().strip() == sheet.casefold().strip():
                return table, head, None
        listed = (
            ", ".join(f'"{name}"' for name in names if name) or "none, because it is not a workbook"
        )
        raise FileTrouble(f'{file} has no sheet "{sheet}". Its sheets: {listed}.')
    filled = [(table, head) for table, head in heads if head is not _NO_HEAD]
    if not filled:
        raise FileTrouble(f"{file} is empty. Make sure that it is the right file.")
    forms = [(table, head) for table, head in filled if head.known >= 2 and head.filled]
    table, head = forms[0] if forms else max(filled, key=lambda pair: pair[1].known)
    if len(forms) < 2:
        return table, head, None
    rivals = tuple(t.name for t, _head in forms)
    shown = ", ".join(f'"{name}"' for name in rivals)
    options = " or ".join(f"--sheet {shlex.quote(name)}" for name in rivals)
    ask = f"{len(rivals)} sheets look like join forms: {shown}. Which one should the program read? {options}"
    return table, head, ColumnQuestion(("sheet",), rivals, ask)

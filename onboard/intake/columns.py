"""Which column of a form is which field: recognised by heading and by what stands below it.

A column is never guessed at: where two could be the same field, or one could be two fields,
the answer is a question in words with the command-line answer beside it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from onboard.clean import language
from onboard.intake import boxes
from onboard.intake import told as said
from onboard.intake.fields import BOXES, EMPTY, FIELDS
from onboard.intake.headings import IGNORED, UNKNOWN, Meaning, Why, by_heading
from onboard.intake.sample import Sample
from onboard.intake.told import option
from onboard.intake.values import WITNESSES, are_days, shares

_MOST, _HARDLY = 0.6, 0.2  # shares of the filled cells
_TELLING = ("email", "phone", "last_line")  # fields that look like nothing else
_ASKED = Meaning((), words="asked about")
_FEW = 3  # filled cells below which the values do not speak against a heading


@dataclass(frozen=True, slots=True)
class Column:
    """One column: what it is called in the file, and which field it is ("" if none)."""

    place: int  # from 0
    heading: str  # as written; unlike those before it ("Email (2)"), never empty ("column 3")
    field: str = ""
    why: Why = Why.NOTHING
    words: str = ""  # the reason, for people
    empty: str = ""  # of a box to check: what it means if it is not, as `boxes.read` takes it
    second: str = (
        ""  # the field that it says again ("Alternate email"), where another column is that
    )


@dataclass(frozen=True, slots=True)
class ColumnQuestion:
    """Something about the columns that only a person knows."""

    fields: tuple[str, ...]  # what is unsure or missing
    headings: tuple[str, ...]  # the columns that could be meant
    ask: str  # a sentence, then the command-line answers


@dataclass(frozen=True, slots=True)
class Columns:
    """All columns of a file in order, and what must still be asked about them."""

    columns: tuple[Column, ...]
    questions: tuple[ColumnQuestion, ...] = ()

    @property
    def headings(self) -> tuple[str, ...]:
        return tuple(c.heading for c in self.columns)

    @property
    def ignored(self) -> tuple[str, ...]:
        """Headings of the columns that are no field; their cells are kept all the same."""
        return tuple(c.heading for c in self.columns if not c.field)

    def of(self, field: str) -> tuple[Column, ...]:
        """The columns of `field`, in file order; more than one only if told so."""
        return tuple(c for c in self.columns if c.field == field)

    def __contains__(self, field: str) -> bool:
        return any(c.field == field for c in self.columns)


def _weigh(meaning: Meaning, cells: Sequence[str], free: Collection[str]) -> tuple[Meaning, str]:
    """The meaning after hearing the values, and the field that they speak for against it.

    `free`: fields that the values may name by themselves, as the heading says nothing.
    """
    looks_like = shares(cells)
    best = max(looks_like, key=lambda field: looks_like[field])
    looks = best if looks_like[best] >= _MOST else ""
    if meaning.why is Why.WORDS and meaning.fields != (IGNORED,):
        if looks in meaning.fields:
            return replace(meaning, words=f"{meaning.words}, and its values agree"), ""
        if meaning.fields[0] in BOXES and looks not in _TELLING:
            return meaning, ""
        if meaning.fields[0] in BOXES:
            return Meaning((looks,), Why.VALUES, f"its values look like {_many(FIELDS[looks])}"), ""
        if meaning.fields == ("language",) and _mostly(language.is_language, cells):
            return replace(meaning, words=f"{meaning.words}, and its values agree"), ""
        if looks == "email" and "address" in meaning.fields:  # "Electronic addr": either kind
            return Meaning(
                ("email",), Why.VALUES, f"its values look like {_many(FIELDS['email'])}"
            ), ""
        vouched = set(meaning.fields) & set(WITNESSES)
        if len(meaning.alias.split()) < 2 or (vouched and cells):
            # "How many are in your family?" is no surname; one word alone is too little.
            if looks == "last_line":  # "Ciudad, Edo. y C.P."
                return Meaning((looks,), Why.VALUES, f"its values look like {FIELDS[looks]}"), ""
            return UNKNOWN, ""
        return meaning, ""
    if meaning.fields and looks in ("email", "phone") and len(cells) >= _FEW:
        own = [looks_like[f] for f in meaning.fields if f in looks_like]
        checked = {"full_name", "given", "family", "email", "phone", "zip", "street", "city"}
        if set(meaning.fields) <= checked and all(share < _HARDLY for share in own):
            return meaning, looks
    if looks in free:
        return Meaning((looks,), Why.VALUES, f"its values look like {_many(FIELDS[looks])}"), ""
    return meaning, ""


def _mostly(test: Callable[[str], bool], cells: Sequence[str]) -> bool:
    return bool(cells) and sum(map(test, cells)) >= _MOST * len(cells)


def _many(what: str) -> str:
    """Several of it.

    >>> _many("email address"), _many("phone number")
    ('email addresses', 'phone numbers')
    """
    return what + ("es" if what.endswith("s") else "s")


# ---------------------------------------------------------------- all together


def label(headings: Sequence[str]) -> tuple[str, ...]:
    """Headings that can be told apart: "Email", "Email (2)", and "column 3" for none.

    >>> label(["Email", "", "Email"])
    ('Email', 'column 2', 'Email (2)')
    """
    labels: dict[str, None] = {}
    for place, heading in enumerate(headings, start=1):
        name = heading if heading.strip() else f"column {place}"
        unlike, count = name, 1
        while unlike in labels:
            count += 1
            unlike = f"{name} ({count})"
        labels[unlike] = None
    return tuple(labels)


def recognise(
    headings: Sequence[str],
    sample: Iterable[Sequence[str]],
    *,
    told: Mapping[str, str] | None = None,
    remembered: Mapping[str, str] | None = None,
    extra_questions: Sequence[str] = (),
    needed: Sequence[str] = ("name", "email"),
) -> Columns:
    """The field of each column, and questions where that is not sure.

    `sample` are the first rows below the headings. `told` and `remembered` map headings to
    fields; `needed` names what a file cannot do without. Raises `FileTrouble` when `told`
    names a column or field that is not there.

    >>> found = recognise(["E-mail", "Your full name"], [["ana@example.org", "Ana Ruiz"]])
    >>> [(c.heading, c.field, c.words) for c in found.columns]
    [('E-mail', 'email', 'known heading'), ('Your full name', 'full_name', 'known heading')]
    """
    labels = label(headings)
    rows = [[cell.strip()[:2000] for cell in row] for row in sample]
    cells = [[r[i] for r in rows if i < len(r) and r[i]] for i in range(len(labels))]
    shown = Sample(labels, rows, cells)
    settled, empty = said.settled(labels, told or {}, remembered or {})
    questions: list[ColumnQuestion] = []
    meanings = [
        settled.get(i) or _heard(i, heading, extra_questions, shown, questions)
        for i, heading in enumerate(headings)
    ]
    meanings = _what_is_left(meanings, labels, questions)
    meanings = _in_company(meanings, shown)
    meanings = _one_each(meanings, shown, questions)

    columns = [
        Column(i, name, "" if r.fields in ((), (IGNORED,)) else r.fields[0], r.why, r.words)
        if r.fields
        else Column(i, name, words=r.words or _unknown(name, cells[i], needed), second=r.second)
        for i, (name, r) in enumerate(zip(labels, meanings, strict=True))
    ]
    asked = {field for question in questions for field in question.fields}
    questions += _missing(columns, needed, asked)
    if "email" in needed:  # join forms, and no list of people who were asked long ago, or never
        columns = [_box(one, empty.get(one.place, ""), shown, questions) for one in columns]
    return Columns(tuple(columns), tuple(questions))


def _unknown(name: str, cells: Sequence[str], needed: Sequence[str]) -> str:
    """What is said of a column that nothing tells the field of; in a list of members, which days it may have."""
    said = "not recognized; kept with the row"
    if "handle" not in needed or not are_days(cells):
        return said
    joined = option(name, "submitted")
    return f"{said}. It has days in it. If they joined then: {joined}. Else: =born, =last_sign_in or =last_order"


def _box(column: Column, empty: str, shown: Sample, questions: list[ColumnQuestion]) -> Column:
    """A column of boxes to check with what an empty one means; a question while nobody has said."""
    if column.field not in BOXES:
        return column
    is_asked = (
        not empty and shown.has_empty(column.place) and boxes.are_checks(shown.cells[column.place])
    )
    if is_asked:
        options = {what: option(column.heading, boxes.joined(column.field, what)) for what in EMPTY}
        ask = boxes.ask(column.heading, column.field, options)
        questions.append(ColumnQuestion((column.field,), (column.heading,), ask))
    words = f"{column.words}; an empty box means {EMPTY[empty]}" if empty else column.words
    return replace(column, empty=empty or boxes.UNSAID, words=words)


def _heard(
    place: int,
    heading: str,
    extra_questions: Sequence[str],
    shown: Sample,
    questions: list[ColumnQuestion],
) -> Meaning:
    """What the heading means, with what its values say for or against it; a question where they
    speak for another field."""
    meaning = by_heading(heading, extra_questions)
    if set(meaning.fields) == NAME_OR_HANDLE:
        meaning = _name_or_handle(meaning, shown.cells[place])
    free: Collection[str] = ()
    if not meaning.fields:
        # Five digits, or "OK", below a heading of another kind are too little.
        free = _TELLING if heading.strip() else WITNESSES
    if (meaning.why <= Why.WORDS and meaning.fields != (IGNORED,)) or meaning.fields == ("email",):
        meaning = boxes.asked_by(heading, shown.cells[place]) or meaning
    meaning, against = _weigh(meaning, shown.cells[place], free)
    if not against:
        return meaning
    field, name = meaning.fields[0], shown.labels[place]
    questions.append(
        ColumnQuestion(
            (field, against),
            (name,),
            f'The column "{name}" is named like {FIELDS[field]}, but holds what looks '
            f"like {FIELDS[against]}s. Which is it? {option(name, field)} or "
            f"{option(name, against)}",
        )
    )
    return _ASKED


# "Member" may head the members' names, or what they sign in with.
NAME_OR_HANDLE = {"full_name", "handle"}


def _name_or_handle(meaning: Meaning, cells: Sequence[str]) -> Meaning:
    """The meaning after hearing the values: names have several words, sign-in names have one."""
    if not cells or _mostly(lambda cell: " " in cell, cells):
        return replace(meaning, fields=("full_name",))
    if _mostly(str.isdigit, cells):
        return replace(
            meaning, fields=("id",), words=f"{meaning.words}, and its values are numbers"
        )
    return meaning


def _what_is_left(
    meanings: Sequence[Meaning], labels: Sequence[str], questions: list[ColumnQuestion]
) -> list[Meaning]:
    """A column that could be either of two fields is the one that no other column is; a question
    where that is not one."""
    out = list(meanings)
    sure = {r.fields[0] for r in meanings if len(r.fields) == 1}
    if {"given", "family"} <= sure:
        sure.add("full_name")  # the name has columns of its own
    for i, meaning in enumerate(meanings):
        if len(meaning.fields) < 2:
            continue
        left = tuple(f for f in meaning.fields if f not in sure)
        if len(left) == 1:
            by_parts = {"given", "family"} <= sure and set(meaning.fields) == NAME_OR_HANDLE
            why = (
                "the name has columns of its own"
                if by_parts
                else f"another column is {_other(meaning, left[0])}"
            )
            words = f"{meaning.words}; {why}"
            out[i] = Meaning(left, meaning.why, words)
            sure.add(left[0])
            continue
        kinds = " or ".join(FIELDS[f] for f in meaning.fields)
        options = " or ".join(option(labels[i], f) for f in meaning.fields)
        questions.append(
            ColumnQuestion(
                meaning.fields,
                (labels[i],),
                f'The column "{labels[i]}" could be {kinds}. Which is it? {options}',
            )
        )
        out[i] = _ASKED
    return out


def _other(meaning: Meaning, kept: str) -> str:
    return " and ".join(FIELDS[f] for f in meaning.fields if f != kept)


def _in_company(meanings: Sequence[Meaning], shown: Sample) -> list[Meaning]:
    """Meanings that change with what stands beside them: "Address" beside "City" is the street
    alone, and "Name" beside "Last name" the first name."""
    have = {r.fields[0]: i for i, r in reversed(list(enumerate(meanings))) if r.fields}
    changed = list(meanings)
    parts = [f for f in ("zip", "city", "last_line", "unit") if f in have]
    if "address" in have and "street" not in have and parts:
        i, beside = have["address"], have[parts[0]]
        if meanings[i].why < Why.REMEMBERED and not shown.within(beside, i):
            words = f"{meanings[i].words}; {FIELDS[parts[0]]} has a column of its own"
            changed[i] = replace(meanings[i], fields=("street",), words=words)
    if "full_name" in have and "family" in have and "given" not in have:
        i, beside = have["full_name"], have["family"]
        if meanings[i].why < Why.REMEMBERED and not shown.within(beside, i):
            words = f"{meanings[i].words}; the last name has a column of its own"
            changed[i] = replace(meanings[i], fields=("given",), words=words)
    return changed


def _one_each(
    meanings: Sequence[Meaning], shown: Sample, questions: list[ColumnQuestion]
) -> list[Meaning]:
    """At most one column a field, unless told; a question where two are equally good."""
    out = list(meanings)
    by_field: dict[str, list[int]] = {}
    for i, meaning in enumerate(meanings):
        if meaning.fields and meaning.fields[0] not in (IGNORED, "notes"):  # all notes are kept
            by_field.setdefault(meaning.fields[0], []).append(i)
    for field, places in by_field.items():
        best = max(meanings[i].why for i in places)
        rivals = [i for i in places if meanings[i].why is best]
        if len(rivals) > 1 and best < Why.REMEMBERED:
            filled = [i for i in rivals if shown.cells[i]]
            rivals = filled or rivals[:1]
            rivals = [
                i for n, i in enumerate(rivals) if not any(shown.alike(i, j) for j in rivals[:n])
            ]
        for i in places:
            if i not in rivals:
                first = shown.labels[rivals[0]]
                words = f'not used: "{first}" is {FIELDS[field]}'
                if field == "email":
                    words = f'only where the one under "{first}" may be wrong'
                elif field == "phone":
                    words = f'another phone number, kept beside the one under "{first}"'
                out[i] = Meaning((), words=words, second=field)
        if len(rivals) > 1 and best < Why.REMEMBERED:
            names = [shown.labels[i] for i in rivals]
            listed = ", ".join(f'"{shown.labels[i]}"{shown.holds(i)}' for i in rivals)
            options = " or ".join(option(name, field) for name in names)
            what = FIELDS.get(field, field)
            questions.append(
                ColumnQuestion(
                    (field,),
                    tuple(names),
                    f"{len(names)} columns could be {what}: {listed}. Which one is it? "
                    f"{options} (give several to keep several)",
                )
            )
            for i in rivals:
                out[i] = _ASKED
    return out


def _missing(
    columns: Sequence[Column], needed: Sequence[str], asked: set[str]
) -> list[ColumnQuestion]:
    have = {c.field for c in columns}
    spare = ("", "notes", "id") if "handle" in needed else ("", "notes")
    idle = tuple(c.heading for c in columns if c.field in spare)
    wanted: list[tuple[str, str]] = []
    if "name" in needed:
        if not have & {"full_name", "given", "family"}:
            wanted.append(("full_name", "the member's name"))
        elif "full_name" not in have and not {"given", "family"} <= have:
            lone = "family" if "given" in have else "given"
            wanted.append((lone, f"the {FIELDS[lone]}"))
    wanted += [(f, f"the {FIELDS[f]}") for f in needed if f != "name" and f not in have]
    questions = []
    for field, what in wanted:
        if field in asked:
            continue
        ask = f"No column looks like {what}."
        if idle:
            shown = ", ".join(f'"{name}"' for name in idle[:8])
            more = f" and {len(idle) - 8} more" if len(idle) > 8 else ""
            ask += f" If it is one of {shown}{more}, say which: {option('HEADING', field)}"
        else:
            ask += " Add it to the file."
        questions.append(ColumnQuestion((field,), idle, ask))
    return questions

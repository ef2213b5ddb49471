"""A part of the settings as a form: what its fields show, and what somebody typed into them."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any

from onboard.desk import day_words
from onboard.desk.visit import Mistake
from onboard.desk.words import setting
from onboard.settings.editing import Added, Edit
from onboard.settings.key import Key, is_many
from onboard.settings.mistakes import Wrong
from onboard.settings.model import KEYS, TABLES
from onboard.tasks.change_settings import NOT_HERE, WrittenSettings

if TYPE_CHECKING:
    from onboard.desk.visit import Visit

MORE = 3  # empty rows for more days
LISTED = {("group", "windows"): "window", ("windows", "moved"): "moved"}  # rows, by what each is
# What is to be known of writing it in the file, and means nothing on a page.
HINTS = {"zip": "", "moved": "", "languages": ""}
FIXED = ("group", "site")  # whose name stays once it is there: the roster knows them by it
_OF_KEY = re.compile(r"\[(?P<table>\w+)\] (?P<lacks>lacks )?(?P<key>\w+)(?P<after>.*)", re.DOTALL)
_NUMBER = re.compile(r"-?\d{1,18}")

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Shown:
    """A field as a page shows it."""

    name: str  # of its key
    key: Key
    kind: str  # text, lines, number, yes, choice, choices, languages, texts, rows
    value: Any
    choices: tuple[str, ...] = ()
    typed: str = ""  # what somebody typed while somebody else changed it
    rows: tuple[tuple[int, Mapping[str, Any]], ...] = ()
    parts: Mapping[str, Key] = field(default_factory=dict)  # of a row
    days: str = ""  # of `day_words.KINDS`: what of days it holds

    @property
    def hint(self) -> str:
        """What else to know of it."""
        return HINTS.get(self.name, self.key.notes)


@dataclass(frozen=True, slots=True)
class Difference:
    """A setting that becomes different: what goes, and what comes, a line each."""

    key: Key
    gone: Sequence[str]
    come: Sequence[str]


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the settings: a table, or one of those that there are several of, by its name."""

    table: str
    of: str = ""  # the name of a group or site; "" for the one to be added
    only: tuple[str, ...] = ()  # just these of its keys; else all that a page may change

    @property
    def is_many(self) -> bool:
        """Whether it is one of several."""
        return is_many(TABLES[self.table])

    @property
    def is_new(self) -> bool:
        """Whether it is to be added."""
        return self.is_many and not self.of

    @property
    def keys(self) -> dict[str, Key]:
        """Its keys that a page may change."""
        if self.only:
            return {name: KEYS[self.table][name] for name in self.only}
        fixed = ("name",) if self.of and self.table in FIXED else ()
        return {
            name: key
            for name, key in KEYS[self.table].items()
            if (self.table, name) not in NOT_HERE and name not in fixed
        }

    def number(self, written: WrittenSettings) -> int | None:
        """Which one it is in the file, from 0; None if it is not there."""
        if not self.is_many:
            return 0
        names = [str(one.get("name")) for one in written.said.get(self.table, [])]
        return names.index(self.of) if self.of in names else None

    def values(self, written: WrittenSettings) -> Values:
        """What the file says, and what counts where it says nothing."""
        said = written.said.get(self.table, {})
        if self.is_many:
            number = self.number(written)
            said = said[number] if number is not None else {}
        return {name: _plain(said.get(name, key.default), key) for name, key in self.keys.items()}

    def typed(self, here: Visit) -> Values:
        """What was typed into its fields, with days as the file has them."""

        def read(text: str, kind: str) -> str:
            return day_words.read(text, kind, here.language)

        return {
            name: self._with_days(name, self._typed(here, name, key), read)
            for name, key in self.keys.items()
        }

    def edits(self, values: Values, written: WrittenSettings) -> list[Edit | Added]:
        """The edits that make the file say so."""
        now = self.values(written)
        values = {name: self._in_file(name, value, now[name]) for name, value in values.items()}
        if self.is_new:
            required = [name for name, key in self.keys.items() if key.default is None]
            chosen = {k: _dates(v) for k, v in values.items() if k in required or v != now[k]}
            return [Added(self.table, chosen)]
        number = self.number(written) or 0
        return [
            Edit(self.table, name, _dates(value), number)
            for name, value in values.items()
            if value != now[name]
        ]

    def differences(
        self, values: Values, written: WrittenSettings, language: str
    ) -> list[Difference]:
        """What becomes different, setting by setting, as people write it; of a list, only what goes and comes."""
        now = self.values(written)
        after = {name: self._in_file(name, value, now[name]) for name, value in values.items()}
        changed = {name for name, value in after.items() if value != now[name]}
        was, becomes = (
            self.as_people_write({name: of[name] for name in changed}, language)
            for of in (now, after)
        )
        found = []
        for name, key in self.keys.items():
            if name in changed:
                gone, come = _lines(was[name]), _lines(becomes[name])
                kept = set(gone) & set(come) if isinstance(becomes[name], list) else set()
                found.append(
                    Difference(
                        key,
                        [one for one in gone if one not in kept],
                        [one for one in come if one not in kept],
                    )
                )
        return found

    def shown(
        self, values: Values, written: WrittenSettings, language: str, typed: Values | None = None
    ) -> list[Shown]:
        """Its fields with these values, as people write them."""
        said = self.as_people_write(values, language)
        beside = self.as_people_write(typed or {}, language)
        return [
            self._shown(name, key, said[name], written, in_words(beside.get(name, "")))
            for name, key in self.keys.items()
        ]

    def as_people_write(self, values: Values, language: str) -> Values:
        """The values with days, months, times and rules as people write them."""

        def shown(text: str, kind: str) -> str:
            return day_words.show(text, kind, language)

        return {name: self._with_days(name, value, shown) for name, value in values.items()}

    def _with_days(self, name: str, value: Any, change: Callable[[str, str], str]) -> Any:
        """The value with each text in it that holds a day, month, time or rule changed."""
        if row := LISTED.get((self.table, name)):
            return [
                {p: change(said, k) if (k := day_words.KINDS.get((row, p))) else said for p, said in one.items()}
                for one in value
            ]  # fmt: skip
        kind = day_words.KINDS.get((self.table, name))
        if not kind:
            return value
        return (
            [change(one, kind) for one in value] if isinstance(value, list) else change(value, kind)
        )

    def _in_file(self, name: str, value: Any, now: Any) -> Any:
        """The value, with the file's own words for each day that it has already."""
        known: list[str] = []

        def remember(text: str, kind: str) -> str:
            known.append(text)
            return text

        def as_it_was(text: str, kind: str) -> str:
            return next((one for one in known if day_words.is_same(one, text, kind)), text)

        self._with_days(name, now, remember)

        return self._with_days(name, value, as_it_was)

    def mistakes(
        self, wrong: tuple[Wrong, ...], written: WrittenSettings, values: Values, language: str
    ) -> list[Mistake]:
        """What is wrong, each beside the field that it is about."""
        if (number := self.number(written)) is None:
            number = len(written.said.get(self.table, []))
        return [self._mistake(one, number, values, language) for one in wrong]

    def _mistake(self, wrong: Wrong, number: int, values: Values, language: str) -> Mistake:
        key = self.keys.get(wrong.key)
        if (wrong.table, wrong.number) != (self.table, number) or key is None:
            return self._mistake_of_all(wrong.words, language)
        about, field = key.what, f"f-{wrong.key}"
        if wrong.item is not None and (kind := LISTED.get((self.table, wrong.key))):
            rows = values[wrong.key]
            row = wrong.item if wrong.item < len(rows) else 0
            part = wrong.part or next(iter(KEYS[kind]))
            about, field = KEYS[kind][part].what, f"f-{wrong.key}-{row}-{part}"
            if row < len(rows) and rows[row].get(part) == "":
                return Mistake(f"“{setting(about, language)}” is empty: fill it in.", field)
        words = (
            f"“{setting(about, language)}” {wrong.after}" if wrong.after else _capital(wrong.words)
        )
        return Mistake(words, field)

    def _mistake_of_all(self, words: str, language: str) -> Mistake:
        """A mistake in what several keys say together: beside the one that its sentence begins with."""
        found = _OF_KEY.fullmatch(words)
        if not found or found["table"] != self.table or found["key"] not in self.keys:
            return Mistake(_capital(words))
        label = setting(self.keys[found["key"]].what, language)
        after = " is empty: fill it in." if found["lacks"] else found["after"]
        return Mistake(f"“{label}”{after}", f"f-{found['key']}")

    def _shown(
        self, name: str, key: Key, value: Any, written: WrittenSettings, typed: str
    ) -> Shown:
        kind, choices = _kind(self.table, name, key), key.choices
        if (self.table, name) == ("site", "group"):
            choices = tuple(str(one.get("name")) for one in written.said.get("group", []))
            kind = "choice"
        if kind != "rows":
            joined = {"texts": "\n", "languages": " "}.get(kind)
            shown = value if joined is None else joined.join(map(str, value))
            days = day_words.KINDS.get((self.table, name), "")
            return Shown(name, key, kind, shown, choices, typed, days=days)
        parts = KEYS[LISTED[self.table, name]]
        rows = [*value, *(dict.fromkeys(parts, "") for _ in range(MORE))]
        return Shown(name, key, kind, value, (), typed, tuple(enumerate(rows)), parts)

    def _typed(self, here: Visit, name: str, key: Key) -> Any:
        field = f"f-{name}"
        match _kind(self.table, name, key):
            case "rows":
                return self._rows(here, name)
            case "yes":
                return here.said(field) == "yes"
            case "choices":
                return [one for one in key.choices if one in here.all_said(field)]
            case "languages":
                return here.said(field).split()
            case "texts":
                return [line.strip() for line in here.said(field).splitlines() if line.strip()]
            case "number":
                said = here.said(field)
                return int(said) if _NUMBER.fullmatch(said) else said
        return here.said(field).replace("\r\n", "\n")

    def _rows(self, here: Visit, name: str) -> list[dict[str, str]]:
        parts = KEYS[LISTED[self.table, name]]
        found, row = [], 0
        while f"f-{name}-{row}-{next(iter(parts))}" in here.form:
            said = {part: here.said(f"f-{name}-{row}-{part}") for part in parts}
            found += [said] if any(said.values()) else []
            row += 1
        return found


# ---------------------------------------------------------------- somebody else changed it


@dataclass(frozen=True, slots=True)
class Merged:
    """What was typed, beside what the file says by now."""

    values: Values
    typed: Values  # of what both changed: what was typed; the value is the file's


def merged(was: Values, typed: Values, now: Values) -> Merged:
    """What somebody typed who started from `was`, where the file says something else now."""
    values: Values = {}
    both: Values = {}
    for name, said in typed.items():
        started, there = was.get(name), now[name]
        values[name] = there if said == started else said
        if said not in (started, there) and there != started:
            values[name], both[name] = there, said
    return Merged(values, both)


def in_words(value: Any) -> str:
    """A value as a line of text."""
    if isinstance(value, list):
        return "; ".join(
            " – ".join(map(str, one.values())) if isinstance(one, Mapping) else str(one)
            for one in value
        )
    return str(value)


def _lines(value: Any) -> list[str]:
    """A value as lines of text; "" is none."""
    if isinstance(value, list):
        return [" – ".join(one.values()) if isinstance(one, Mapping) else str(one) for one in value]
    if isinstance(value, bool):
        return ["yes" if value else "no"]
    return str(value).splitlines()


def packed(values: Values) -> str:
    """The values as a field of a form carries them."""
    return json.dumps(values, ensure_ascii=False)


def unpacked(text: str) -> Values:
    """The values that a field of a form carried; empty for what is none of ours."""
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


# ---------------------------------------------------------------- kinds


def _kind(table: str, name: str, key: Key) -> str:
    if (table, name) in LISTED:
        return "rows"
    if key.type is bool:
        return "yes"
    if key.type is int:
        return "number"
    if (table, name) == ("coop", "languages"):  # the usual one first, so it is no list of boxes
        return "languages"
    if is_many(key):
        return "choices" if key.choices else "texts"
    return "choice" if key.choices else "lines" if key.lines else "text"


def _plain(value: Any, key: Key) -> Any:
    """A value as a form can carry and compare it."""
    if value is None:
        return "" if not is_many(key) else []
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, list | tuple):
        return [
            {k: str(v) for k, v in one.items()} if isinstance(one, Mapping) else str(one).strip()
            for one in value
        ]
    return value


def _dates(value: Any) -> Any:
    """Days of rows as days; what is none is left for the settings to judge."""
    if isinstance(value, list):
        return [
            {part: _date(said) if part != "month" else said for part, said in one.items()}
            if isinstance(one, Mapping) else one
            for one in value
        ]  # fmt: skip
    return value


def _date(said: str) -> date | str:
    try:
        return date.fromisoformat(said)
    except ValueError:
        return said


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

"""A key of the settings: what is stated of it beside its name, type and default."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any, get_args, get_origin

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler
    from pydantic_core import CoreSchema

    from onboard.settings.checks import Check, Earlier, Info

LONGEST_TEXT = 500  # letters; no name, address or question of a co-op comes near it
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")  # but tab and the ends of lines
_KINDS: Mapping[object, str] = {
    str: "text in double quotes",
    int: "a whole number",
    bool: "true or false",
    date: "a day, written 2026-12-01",
    tuple[str, ...]: 'a list of texts, ["like", "this"]',
}


def _as_it_is(value: Any, _: Info) -> Any:
    return value


@dataclass(frozen=True, slots=True)
class Key:
    """Stands beside a type, as `Annotated[int, Key(…)]`; what its check is, `checks` tells."""

    what: str  # what it is, in a line
    note: str = ""  # what else to know of it
    check: Check = _as_it_is
    example: Any = None  # what the starter writes, unless it is the default
    kind: str = ""  # the type in words, unless the type says enough
    bounds: tuple[int, int] | None = None  # of a number, both allowed
    why: str = ""  # follows the bounds where a message tells them
    blank: bool = False  # whether text may be empty
    lines: bool = False  # whether text may have several lines
    choices: tuple[str, ...] = ()  # the only texts that it may be, or have
    start: Callable[[Earlier], None] | None = None  # told before the parts of the value are read
    type: Any = None  # from here on: what the class says, filled in by `keys`
    default: Any = None  # None: required

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        from pydantic_core import core_schema

        schema: Any = handler(source)
        if source in (int, bool, date):
            schema["strict"] = True  # "3" is no number, and 1 is not true
        return core_schema.with_info_wrap_validator_function(self._read, schema)

    def _read(self, said: object, understand: Callable[[object], Any], info: Info) -> Any:
        if self.start:
            self.start(info.context)
        value = understand(said)
        if isinstance(value, str):
            if not (self.blank or value.strip()):
                raise ValueError("is empty: fill it in.")
            if not self.lines and not value.isprintable():
                raise ValueError("must be one line of plain text.")
        if self.bounds and not self.bounds[0] <= value <= self.bounds[1]:
            raise ValueError(f"must be {self._bounds_in_words}{self.why}.")
        for text in value if isinstance(value, tuple) else (value,):
            if isinstance(text, str):
                _check_plain(text)
        return self.check(value, info)

    @property
    def _bounds_in_words(self) -> str:
        return "from {} to {}".format(*self.bounds) if self.bounds else ""

    @property
    def notes(self) -> str:
        """The note, after the bounds of a number."""
        return "; ".join(words for words in (self._bounds_in_words, self.note) if words)

    @property
    def kind_in_words(self) -> str:
        """What kind of value it has, as a message asks for it."""
        return self.kind or _KINDS[self.type]


def _check_plain(text: str) -> None:
    if _CONTROL.search(text):
        raise ValueError("must be plain text.")
    if len(text) > LONGEST_TEXT:
        raise ValueError(f"is too long, {len(text):,} letters: use at most {LONGEST_TEXT}.")


def keys(table: type) -> dict[str, Key]:
    """The keys of a table, by the name that the file has for each."""
    assert is_dataclass(table)
    found: dict[str, Key] = {}
    for field in fields(table):
        kind, *stated = get_args(field.type)
        if stated:
            default = None if field.default is MISSING else field.default
            found[field.metadata.get("alias", field.name)] = replace(
                stated[0], type=kind, default=default
            )
    return found


def parts(key: Key) -> type:
    """The class of the table, or tables, that a key holds."""
    found: type = get_args(key.type)[0] if is_many(key) else key.type
    return found


def is_many(key: Key) -> bool:
    """Whether a key holds several."""
    return get_origin(key.type) is tuple

"""What pydantic found wrong, in words for whoever fills in the file."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from onboard.settings.key import Key, is_many
from onboard.settings.lines import Lines
from onboard.settings.model import KEYS, TABLES
from onboard.settings.words import Sentence, nearest, shown

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

_UNKNOWN = "unexpected_keyword_argument"  # what pydantic calls a key that a dataclass lacks


@dataclass(frozen=True, slots=True)
class Wrong:
    """What is wrong, and with which value. Tables and items of one name are counted from 0."""

    words: str  # the whole sentence
    table: str = ""
    number: int = 0
    key: str = ""  # "" for the table itself
    item: int | None = None  # of a list of tables
    part: str = ""  # key of that item
    after: str = ""  # what follows the key in the sentence; "" where that is a sentence of its own


def wrong(errors: Iterable[ErrorDetails]) -> tuple[Wrong, ...]:
    """The mistakes, each with what it is about."""
    return tuple(dict.fromkeys(map(_wrong, errors)))


def _wrong(error: ErrorDetails) -> Wrong:
    table, *rest = error["loc"]
    number = rest.pop(0) if rest and isinstance(rest[0], int) else 0
    key, item, part = (*rest, "", None, "")[:3] if rest else ("", None, "")
    if not isinstance(item, int):
        item, part = None, ""
    words, about = _words(error), part or key
    stands_alone = isinstance(error.get("ctx", {}).get("error"), Sentence)
    has_key = about and not stands_alone and error["type"] not in (_UNKNOWN, "missing")
    after = words.partition(f" {about} ")[2] if has_key else ""
    return Wrong(words, str(table), int(number), str(key), item, str(part), after)


def told(errors: Iterable[ErrorDetails], lines: Lines) -> list[str]:
    """The mistakes, a line each, in the order of the file's lines."""
    found = {(_line(error["loc"], lines), _words(error)) for error in errors}
    return [f"line {line}: {words}" for line, words in sorted(found)]


def _line(place: tuple[int | str, ...], lines: Lines) -> int:
    match place:
        case ("group", int(group), "windows", int(number), *_):
            return lines.of_item("group", group, number)
        case ("windows", "moved", int(number), *_):
            return lines.of_item("windows", 0, number)
        case (table, int(number), *rest):
            return lines.of(str(table), number, str(rest[0]) if rest else "")
        case (table, *rest):
            return lines.of(str(table), 0, str(rest[0]) if rest else "")
    return 1


def _words(error: ErrorDetails) -> str:
    context: dict[str, Any] = error.get("ctx", {})
    if isinstance(context.get("error"), Sentence):
        return str(context["error"])
    match error["loc"]:
        case (table,) if error["type"] == _UNKNOWN:
            return f"there is no [{shown(str(table))}]{nearest(str(table), TABLES)}"
        case (table,) | (table, int()):
            return _no_table(str(table))
        case ("group", int(), "windows", int()):
            return f"write a window as {KEYS['group']['windows'].kind.removeprefix('a list of ')}."
        case ("group", int(), "windows", int(), key, *_):
            return _of_key("a window", KEYS["window"], str(key), error)
        case ("windows", "moved", int()):
            return f"write a moved window as {KEYS['windows']['moved'].kind.removeprefix('a list of ')}."
        case ("windows", "moved", int(), key, *_):
            return _of_key("a moved window", KEYS["moved"], str(key), error)
        case (table, int(), key, *_):
            return _of_key(f"[[{table}]]", KEYS[str(table)], str(key), error)
        case (table, key, *_):
            return _of_key(f"[{table}]", KEYS[str(table)], str(key), error)
    raise AssertionError(error["loc"])


def _no_table(name: str) -> str:
    if is_many(TABLES[name]):
        return f"write [[{name}]], in double brackets, above each {name}."
    return f"{name} is a table: write [{name}] on a line of its own."


def _of_key(table: str, known: dict[str, Key], key: str, error: ErrorDetails) -> str:
    match error["type"]:
        case "unexpected_keyword_argument":
            return f"{table} has no {shown(key)}{nearest(key, known)}"
        case "missing":
            return f"{table} lacks {key}: add it ({known[key].kind_in_words})."
        case "value_error":
            return f"{table} {key} {error['ctx']['error']}"
    return f"{table} {key} must be {known[key].kind_in_words}."

"""The commented settings file that `onboard start` writes: every key, with what it is."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from textwrap import wrap
from typing import Any

from onboard.settings.key import Key, is_many
from onboard.settings.model import KEYS, TABLES, Coop, Settings

_HEAD = """\
# The settings of your buying co-op. Lines that begin with # are notes for you.
# Text goes in double quotes. Days are written year-month-day: 2026-12-01.
"""


def starter() -> str:
    """The commented settings file that `onboard start` writes; it reads cleanly as it is."""
    return "\n".join([_HEAD, *(_table(name, table) for name, table in TABLES.items())])


def samples(settings: Settings) -> list[str]:
    """The keys that still say what the starter says and nobody else would, each with its value."""
    found = [
        f"[coop] {name} is still the sample “{_in_one_line(key.example)}”"
        for name, key in KEYS["coop"].items()
        if key.default is None and name not in _ANYBODYS
        and getattr(settings, _FIELDS.get(name, name)) == key.example
    ]  # fmt: skip
    sample = {name: key.example for name, key in KEYS["site"].items()}
    return found + [
        f"[[site]] {site.name}: the {name.replace('_', ' ')} is still the sample “{_in_one_line(said)}”"
        for site in settings.sites
        for name, said in (("address", site.address), ("host_phone", site.host_phone))
        if said == sample[name]
    ]


_ANYBODYS = ("time_zone",)  # required, and the starter's value is right for many
_FIELDS = {field.metadata["alias"]: field.name for field in fields(Coop) if field.metadata}


def _in_one_line(text: str) -> str:
    return ", ".join(text.splitlines())


def _table(name: str, table: Key) -> str:
    many = is_many(table)
    what = f"{table.what}, one [[{name}]] for each" if many else table.what
    head = f"[[{name}]]" if many else f"[{name}]"
    return "\n".join([_note(what), head, *_keys(KEYS[name])]) + "\n"


def _keys(known: Mapping[str, Key]) -> list[str]:
    return [
        line
        for name, key in known.items()
        for line in (
            _note(key.what, key.notes),
            f"{name} = {_toml(key.default if key.example is None else key.example)}",
        )
    ]


def _note(*said: str) -> str:
    words = " ".join(text[0].upper() + text[1:] + "." for text in said if text)
    return "\n".join(f"# {line}" for line in wrap(words, 98))


def _toml(value: Any) -> str:
    """A value as TOML writes it; JSON writes text, numbers and truth the same way."""
    if isinstance(value, date):
        return value.isoformat()
    if is_dataclass(value):
        said = (f"{f.name} = {_toml(getattr(value, f.name))}" for f in fields(value))
        return f"{{ {', '.join(said)} }}"
    if isinstance(value, tuple) and any(is_dataclass(item) for item in value):
        return "[\n" + "".join(f"    {_toml(item)},\n" for item in value) + "]"
    if isinstance(value, str) and "\n" in value:
        return f'"""\n{value}\n"""'
    return json.dumps(value, ensure_ascii=False)

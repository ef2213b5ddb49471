"""The text of a settings file with some of its values changed, and every other line as it was."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from difflib import SequenceMatcher
from typing import Any

from onboard.errors import SettingsTrouble
from onboard.settings.layout import Block, Layout, Span


@dataclass(frozen=True, slots=True)
class Edit:
    """A value for a key of a table; `number` tells tables of one name apart, from 0."""

    table: str
    key: str
    value: Any
    number: int = 0


@dataclass(frozen=True, slots=True)
class Added:
    """One more table of those that there are several of, such as a drop site."""

    table: str
    values: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Removed:
    """One of those tables taken out, with what is written below it; the notes above it stay."""

    table: str
    number: int


Change = Edit | Added | Removed


def edited(text: str, edits: Sequence[Change]) -> str:
    """The text with these values, as little changed as can be.

    Raises `SettingsTrouble` where the file writes a value in a way that can't be changed so.
    """
    is_windows = 0 < text.count("\n") == text.count("\r\n")
    wanted = deepcopy(tomllib.loads(text))
    made = text.replace("\r\n", "\n") if is_windows else text
    for edit in edits:
        if isinstance(edit, Added):
            wanted.setdefault(edit.table, []).append(dict(edit.values))
            made = _added(made, edit)
        elif isinstance(edit, Removed):
            del wanted[edit.table][edit.number]
            if not wanted[edit.table]:
                del wanted[edit.table]
            made = _removed(made, edit)
        else:
            _table(wanted, edit)[edit.key] = edit.value
            made = _set(made, edit)
    made = made.replace("\n", "\r\n") if is_windows else made
    try:
        is_so = tomllib.loads(made) == wanted
    except tomllib.TOMLDecodeError:
        is_so = False
    if not is_so:
        where = ", ".join(dict.fromkeys(f"[{edit.table}]" for edit in edits))
        raise SettingsTrouble(
            f"{where} is written in a way that this page can't change. Change it in the file itself."
        )
    return made


def written(value: Any) -> str:
    """A value as TOML writes it.

    >>> written('say "hi"'), written(True), written(["a", "b"])
    ('"say \\\\"hi\\\\""', 'true', '["a", "b"]')
    """
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {written(said)}" for key, said in value.items()) + " }"
    if isinstance(value, list):
        if any(isinstance(item, Mapping) for item in value):
            return "[\n" + "".join(f"    {written(item)},\n" for item in value) + "]"
        return "[" + ", ".join(map(written, value)) + "]"
    lines = value.split("\n") if isinstance(value, str) else []
    if len(lines) > 1 and not any(
        set(line) & {"\\", '"'} or not line.isprintable() for line in lines
    ):
        return f'"""\n{value}"""'
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _table(wanted: dict[str, Any], edit: Edit) -> dict[str, Any]:
    found = wanted.setdefault(edit.table, {})
    table: dict[str, Any] = found[edit.number] if isinstance(found, list) else found
    return table


def _set(text: str, edit: Edit) -> str:
    layout = Layout(text)
    block = layout.block(edit.table, edit.number)
    if block is None:
        ended = text if text.endswith("\n") or not text else f"{text}\n"
        return f"{ended}\n[{edit.table}]\n{edit.key} = {written(edit.value)}\n"
    if isinstance(edit.value, list) and layout.below(edit.table, edit.number, edit.key):
        return _set_tables(text, edit)
    span = block.values.get(edit.key)
    if span is None:
        line = f"\n{block.indent}{edit.key} = {written(edit.value)}"
        at = text.find("\n", block.last.end)
        return text + line + "\n" if at < 0 else text[:at] + line + text[at:]
    if isinstance(edit.value, list) and text[span.start] == "[":
        return _set_list(text, edit)
    return text[: span.start] + written(edit.value) + text[span.end :]


def _added(text: str, added: Added) -> str:
    lines = "".join(f"{key} = {written(value)}\n" for key, value in added.values.items())
    last = Layout(text).last_of(added.table)
    at = text.find("\n", last.last.end) if last else -1
    before, after = (text, "") if at < 0 else (text[: at + 1], text[at + 1 :])
    ended = before if before.endswith("\n") or not before else f"{before}\n"
    return f"{ended}\n[[{added.table}]]\n{lines}{after}"


def _removed(text: str, removed: Removed) -> str:
    blocks = Layout(text).blocks
    (first,) = (
        n for n, b in enumerate(blocks) if (b.table, b.number) == (removed.table, removed.number)
    )
    last = first
    while last + 1 < len(blocks) and blocks[last + 1].table.startswith(f"{removed.table}."):
        last += 1
    return _cut(text, blocks[first], blocks[last])


def _cut(text: str, first: Block, last: Block) -> str:
    """Without the lines of these tables, and without the blank lines after them."""
    end = text.find("\n", last.last.end)
    before, after = text[: first.head.start], "" if end < 0 else text[end + 1 :]
    while after.startswith("\n"):
        after = after[1:]
    return before + after


# ---------------------------------------------------------------- lists, table by table


def _set_tables(text: str, edit: Edit) -> str:
    """A list that is written as [[table.key]] for each of its items."""
    before = _table(tomllib.loads(text), edit)[edit.key]
    old, new = [written(item) for item in before], [written(item) for item in edit.value]
    if not new:
        blocks = Layout(text).below(edit.table, edit.number, edit.key)
        for block in reversed(blocks):
            text = _cut(text, block, block)
        return _set(text, edit)
    steps = SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
    for _, first, end, new_first, new_end in reversed([s for s in steps if s[0] != "equal"]):
        both = min(end - first, new_end - new_first)
        for item in reversed(edit.value[new_first + both : new_end]):
            text = _add_table(text, edit, first + both, item)
        for at in reversed(range(first + both, end)):
            block = Layout(text).below(edit.table, edit.number, edit.key)[at]
            text = _cut(text, block, block)
        for at in reversed(range(both)):
            text = _change_table(text, edit, first + at, edit.value[new_first + at])
    return text


def _add_table(text: str, edit: Edit, at: int, item: Mapping[str, Any]) -> str:
    """With the item in front of the table that stands at that place now."""
    lines = "".join(f"{key} = {written(said)}\n" for key, said in item.items())
    made = f"[[{edit.table}.{edit.key}]]\n{lines}"
    blocks = Layout(text).below(edit.table, edit.number, edit.key)
    if at < len(blocks):
        return text[: blocks[at].head.start] + f"{made}\n" + text[blocks[at].head.start :]
    end = text.find("\n", blocks[-1].last.end)
    before, after = (f"{text}\n", "") if end < 0 else (text[: end + 1], text[end + 1 :])
    return f"{before}\n{made}{after}"


def _change_table(text: str, edit: Edit, at: int, item: Mapping[str, Any]) -> str:
    for key, said in item.items():
        block = Layout(text).below(edit.table, edit.number, edit.key)[at]
        span = block.values.get(key)
        if span is None:
            return text  # written in another way: `edited` sees that it does not say so
        text = text[: span.start] + written(said) + text[span.end :]
    return text


# ---------------------------------------------------------------- lists, item by item


def _set_list(text: str, edit: Edit) -> str:
    before = _table(tomllib.loads(text), edit)[edit.key]
    old, new = [written(item) for item in before], [written(item) for item in edit.value]
    steps = SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
    # From the end on, so that what comes before stays where it is.
    for _, first, end, new_first, new_end in reversed([s for s in steps if s[0] != "equal"]):
        both = min(end - first, new_end - new_first)
        for at in reversed(range(first + both, end)):
            text = _drop_item(*_at(text, edit), at)
        for literal in reversed(new[new_first + both : new_end]):
            text = _add_item(*_at(text, edit), first + both, literal)
        for at in reversed(range(both)):
            item = Layout(text).items(_at(text, edit)[1])[first + at]
            text = text[: item.start] + new[new_first + at] + text[item.end :]
    return text


def _at(text: str, edit: Edit) -> tuple[Layout, Span]:
    layout = Layout(text)
    block = layout.block(edit.table, edit.number)
    assert block
    return layout, block.values[edit.key]


def _drop_item(layout: Layout, span: Span, at: int) -> str:
    text, items = layout.text, layout.items(span)
    item = items[at]
    if layout.is_alone(item):
        line = layout.line_of(item)
        return text[: line.start] + text[line.end :]
    if at + 1 < len(items):
        start, end = item.start, items[at + 1].start
    elif at:
        start, end = items[at - 1].end, item.end
    else:
        start, end = item.start, _after_comma(layout, item)
    return text[:start] + text[end:]


def _add_item(layout: Layout, span: Span, at: int, literal: str) -> str:
    """With the item in front of the one that stands at that place now."""
    text, items = layout.text, layout.items(span)
    if not items:
        is_table = literal.startswith("{")
        inside = f"\n    {literal},\n" if is_table else literal
        return text[: span.start + 1] + inside + text[span.start + 1 :].lstrip(" ")
    if at == 0:
        line = layout.line_of(items[0])
        if layout.is_alone(items[0]):
            indent = text[line.start : items[0].start]
            return text[: line.start] + f"{indent}{literal},\n" + text[line.start :]
        return text[: items[0].start] + f"{literal}, " + text[items[0].start :]
    item = items[at - 1]
    if not layout.is_alone(item):
        return text[: item.end] + f", {literal}" + text[item.end :]
    if _after_comma(layout, item) == item.end:
        text = text[: item.end] + "," + text[item.end :]
        layout = Layout(text)
    line = layout.line_of(item)
    indent = text[line.start : item.start]
    return text[: line.end] + f"{indent}{literal},\n" + text[line.end :]


def _after_comma(layout: Layout, item: Span) -> int:
    """Where the comma after an item ends; the end of the item if there is none."""
    after = layout.bare[item.end :]
    blanks = len(after) - len(after.lstrip())
    return item.end + blanks + 1 if after[blanks : blanks + 1] == "," else item.end

"""Where everything stands in the text of a settings file, so that one value can be changed and all else stays.

No note, order or blank of the file may be lost. Libraries that write TOML keep notes, but write a whole list
anew when one item of it changes; so the text is cut at the value, and whoever changes it reads it again.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

_TEXT_OR_NOTE = re.compile(
    r'''"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*''',
    re.DOTALL,
)
_HEAD = re.compile(r"\s*(\[\[?)(.*?)\]")
_KEY = re.compile(r"\s*([\w\-]+|\"+)\s*=\s*")


@dataclass(frozen=True, slots=True)
class Span:
    """Part of a text: where it begins, and where it has ended."""

    start: int
    end: int


@dataclass(slots=True)
class Block:
    """A table as it stands: its head, its keys and their values, and where what is written of it ends."""

    table: str
    number: int  # of those with the name, from 0
    head: Span
    values: dict[str, Span] = field(default_factory=dict)
    last: Span = Span(0, 0)  # of the line on which the last key, or the head, ends
    indent: str = ""


class Layout:
    """The tables and keys of a sound TOML text, each with its place."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.bare = _TEXT_OR_NOTE.sub(_blank, text)  # as long as the text
        self.blocks: list[Block] = []
        self._read()

    def block(self, table: str, number: int = 0) -> Block | None:
        """The table of that name and number, if it is there."""
        return next((b for b in self.blocks if (b.table, b.number) == (table, number)), None)

    def last_of(self, table: str) -> Block | None:
        """The last block of all tables with that name, and of what is below them."""
        of = [b for b in self.blocks if b.table == table or b.table.startswith(f"{table}.")]
        return of[-1] if of else None

    def below(self, table: str, number: int, key: str) -> list[Block]:
        """The tables [[table.key]] that stand below the one with that number: a list that is written out in tables."""
        found: list[Block] = []
        at = -1
        for block in self.blocks:
            if block.table == table:
                at = block.number
            elif block.table == f"{table}.{key}" and at == number:
                found.append(block)
        return found

    def items(self, span: Span) -> list[Span]:
        """The items of the list that stands there."""
        found: list[Span] = []
        depth, start = 0, -1
        for at in range(span.start, span.end):
            sign = self.bare[at]
            if sign in "]}":
                depth -= 1
            if depth == 1 and not sign.isspace() and sign not in ",]" and start < 0:
                start = at
            if start >= 0 and ((depth == 1 and sign == ",") or (depth == 0 and sign == "]")):
                found.append(Span(start, start + len(self.bare[start:at].rstrip())))
                start = -1
            if sign in "[{":
                depth += 1
        return found

    def line_of(self, span: Span) -> Span:
        """The whole lines on which it stands, with their ends."""
        start = self.text.rfind("\n", 0, span.start) + 1
        end = self.text.find("\n", span.end)
        return Span(start, len(self.text) if end < 0 else end + 1)

    def is_alone(self, span: Span) -> bool:
        """Whether nothing else stands on its lines but a comma, and a note."""
        line = self.line_of(span)
        around = self.bare[line.start : span.start], self.bare[span.end : line.end]
        return not around[0].strip() and around[1].strip() in ("", ",")

    def _read(self) -> None:
        counts: dict[str, int] = {}
        block, at, depth, begun = Block("", 0, Span(0, 0)), 0, 0, ""
        self.blocks.append(block)
        for line in self.bare.split("\n"):
            end = at + len(line.rstrip())
            if not depth and (head := _HEAD.match(line)):
                name = self.text[at + head.start(2) : at + head.end(2)].strip(" \t\"'")
                number = counts[name] = counts.get(name, -1) + 1 if head[1] == "[[" else 0
                block = Block(name, number, Span(at, end), last=Span(at, end))
                self.blocks.append(block)
            else:
                if not depth and (key := _KEY.match(line)):
                    begun = self.text[at + key.start(1) : at + key.end(1)].strip("\"'")
                    block.values[begun] = Span(at + key.end(), end)
                    block.indent = line[: len(line) - len(line.lstrip())]
                elif depth and end > at:
                    block.values[begun] = Span(block.values[begun].start, end)
                if line.strip():
                    block.last = Span(at, end)
                signs = [sign for sign in line if sign in "[]{}"]
                depth += sum(1 if sign in "[{" else -1 for sign in signs)
            at += len(line) + 1


def _blank(found: re.Match[str]) -> str:
    """Notes as blanks; of texts no letter that means something, not even the end of a line."""
    return (" " if found[0].startswith("#") else '"') * len(found[0])

"""The lines of a settings file on which its tables and keys stand, so that a mistake can say where it is."""

from __future__ import annotations

import re
from collections.abc import Iterable

_LISTS = {"group": "windows", "windows": "moved"}  # by table, its key that holds a list of tables


class Lines:
    """The line on which each table and key of a TOML text stands."""

    _HEAD = re.compile(r"""\s*(\[\[?)\s*(?:"([^"]*)"|'([^']*)'|([\w.\-]+))\s*\]""")
    _KEY = re.compile(r"""\s*(?:"([^"]*)"|'([^']*)'|([\w\-]+))\s*[=.]""")

    def __init__(self, text: str) -> None:
        self._at: dict[tuple[str, int, str], int] = {}
        # By table and its number: the lines that open an item of its list of tables.
        self._items: dict[tuple[str, int], list[int]] = {}
        counts: dict[str, int] = {}
        table, number, depth = "", 0, 0
        for line, words in _blanked(text):
            if not depth and (head := self._HEAD.match(words)):
                table = head[2] or head[3] or head[4]
                number = counts.get(table, -1) + 1 if head[1] == "[[" else 0
                counts[table] = number
                self._at.setdefault((table, number, ""), line)
                above = table.partition(".")[0]
                self._at.setdefault((above, counts.get(above, 0), ""), line)
                if table == f"{above}.{_LISTS.get(above)}":
                    self._items.setdefault((above, counts.get(above, 0)), []).append(line)
                continue
            if not depth and (key := self._KEY.match(words)):
                self._at.setdefault((table, number, key[1] or key[2] or key[3]), line)
            if table in _LISTS:
                items = self._items.setdefault((table, number), [])
                items.extend([line] * _bare(words).count("{"))
            depth = max(0, depth + _bare(words).count("[") - _bare(words).count("]"))

    def of(self, table: str, number: int = 0, key: str = "") -> int:
        """The line of a key, else of its table, else the first."""
        places = ((table, number, key), (table, number, ""), ("", 0, table))
        return next((self._at[place] for place in places if place in self._at), 1)

    def of_item(self, table: str, which: int, number: int) -> int:
        """The line of an item of the list of tables that a table has, both counted from 0."""
        lines = self._items.get((table, which), [])
        return lines[number] if number < len(lines) else self.of(table, which, _LISTS[table])


_TEXT_OR_NOTE = re.compile(
    r'''"""(?:\\.|[^\\])*?"""|\'\'\'.*?\'\'\'|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*''', re.DOTALL
)


def _blanked(text: str) -> Iterable[tuple[int, str]]:
    """The lines of a sound TOML text with their numbers; texts of several lines and notes are
    blank, so that nothing in them looks like a key."""

    def blank(found: re.Match[str]) -> str:
        if found[0].startswith("#"):
            return ""
        return "\n" * found[0].count("\n") or found[0]

    return enumerate(_TEXT_OR_NOTE.sub(blank, text).split("\n"), start=1)


def _bare(words: str) -> str:
    """The line without its texts, whose brackets mean nothing."""
    return _TEXT_OR_NOTE.sub("", words)

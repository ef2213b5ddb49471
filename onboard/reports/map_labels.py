"""Where the labels of a map stand: none on another, none on a mark.

A label stands beside its mark, or further off with a line to it. Marks on one spot share a label; where
there is no room for all, so do marks close to each other, the further apart the less room there is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin
from typing import TypeAlias

LETTER, LINE_HIGH = 8.4, 14.0  # of a label: as wide as it gets, so that nothing overlaps
MARK = 5.0  # half of one
_TOGETHER = (7.0, 12.0, 20.0, 32.0, 60.0, 120.0)  # marks nearer than this share a label
_OFF = (0, 8, 18, 30, 44, 60, 80, 105, 135, 170, 210, 260)  # how far from its mark one may stand
_LONGEST = 24  # letters in a line

Box: TypeAlias = tuple[float, float, float, float]  # left, top, right, bottom
Line: TypeAlias = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Label:
    """A label: its lines, where the first begins, and the line to its mark, if it stands off."""

    lines: tuple[str, ...]
    x: float
    y: float
    leads: Line | None = None

    @property
    def box(self) -> Box:
        """The room that it takes."""
        wide = max(map(len, self.lines)) * LETTER
        top = self.y - LINE_HIGH + 3
        return self.x, top, self.x + wide, top + len(self.lines) * LINE_HIGH


def place(marks: Sequence[tuple[float, float, str]], box: Box, taken: Sequence[Box]) -> list[Label]:
    """The labels of marks at these spots, within the box and beside what is taken; a mark may have none.

    >>> place([(50, 50, "1"), (51, 50, "2")], (0, 0, 100, 100), [])[0].lines
    ('1, 2',)
    """
    best: list[Label] = []
    for apart in _TOGETHER:
        found = _placed(_shared(marks, apart), box, taken)
        if None not in found:
            return [label for label in found if label]
        best = max(best, [label for label in found if label], key=_named)
    return best  # where there is no room for all, the way that names the most marks


def _named(labels: Sequence[Label]) -> int:
    """How many marks the labels name."""
    return sum(len(", ".join(label.lines).split(",")) for label in labels)


def is_free(spot: Box, box: Box, taken: Sequence[Box]) -> bool:
    """Whether a spot is within the box and lies on nothing."""
    return (
        spot[0] >= box[0] + 1 and spot[1] >= box[1] + 1
        and spot[2] <= box[2] - 1 and spot[3] <= box[3] - 1
        and not any(overlap(spot, one) for one in taken)
    )  # fmt: skip


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes lie on one another."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _shared(
    marks: Sequence[tuple[float, float, str]], apart: float
) -> Iterator[tuple[float, float, tuple[str, ...]]]:
    """Where each label belongs, and its lines."""
    spots: list[tuple[float, float, list[str]]] = []
    for x, y, label in marks:
        near = next((spot for spot in spots if hypot(x - spot[0], y - spot[1]) < apart), None)
        if near and label:
            near[2].append(label)
        elif label:
            spots.append((x, y, [label]))
    for x, y, labels in spots:
        yield x, y, _lines(labels)


def _lines(labels: Sequence[str]) -> tuple[str, ...]:
    """The labels one after the other, in lines that are not too long."""
    lines = [""]
    for label in labels:
        longer = f"{lines[-1]}, {label}" if lines[-1] else label
        if len(longer) > _LONGEST and lines[-1]:
            lines[-1] += ","
            lines.append(label)
        else:
            lines[-1] = longer
    return tuple(lines)


def _placed(
    labels: Iterator[tuple[float, float, tuple[str, ...]]], box: Box, marks: Sequence[Box]
) -> list[Label | None]:
    """The labels, each where it is free; None for one that has no room."""
    taken, placed = list(marks), []
    for x, y, lines in labels:
        label = _free(x, y, lines, box, taken)
        placed.append(label)
        if label:
            taken.append(label.box)
    return placed


def _free(
    x: float, y: float, lines: tuple[str, ...], box: Box, taken: Sequence[Box]
) -> Label | None:
    """The label as near to its mark as there is room; None if there is none."""
    wide, tall = max(map(len, lines)) * LETTER, len(lines) * LINE_HIGH
    others = [one for one in taken if not _holds(one, x, y)]
    for off in _OFF:
        for turn in range(16):
            angle = turn * pi / 8
            at_x = x + cos(angle) * (MARK + 2 + wide / 2 + off)
            at_y = y + sin(angle) * (MARK + tall / 2 + off)
            spot = (at_x - wide / 2, at_y - tall / 2, at_x + wide / 2, at_y + tall / 2)
            if not is_free(spot, box, taken):
                continue
            leads = _line((x, y, at_x, at_y), spot) if off else None
            if leads is None or not any(_crosses(leads, one) for one in others):
                return Label(lines, spot[0], spot[1] + LINE_HIGH - 3, leads)
    return None


def _line(whole: Line, spot: Box) -> Line:
    """The line to a label, cut off where the label begins."""
    x0, y0, x1, y1 = whole
    parts = [
        (limit - start) / (end - start)
        for start, end, limits in ((x0, x1, (spot[0], spot[2])), (y0, y1, (spot[1], spot[3])))
        for limit in limits
        if abs(end - start) > 0.01
    ]
    there = [
        part
        for part in parts
        if 0 < part < 1 and _holds(spot, x0 + (x1 - x0) * part, y0 + (y1 - y0) * part)
    ]
    part = min(there, default=1.0)
    return x0, y0, x0 + (x1 - x0) * part, y0 + (y1 - y0) * part


def _holds(box: Box, x: float, y: float) -> bool:
    return box[0] - 0.1 <= x <= box[2] + 0.1 and box[1] - 0.1 <= y <= box[3] + 0.1


def _crosses(line: Line, box: Box) -> bool:
    """Whether a line goes through a box, seen at points close to each other."""
    x0, y0, x1, y1 = line
    steps = int(max(abs(x1 - x0), abs(y1 - y0)) / 4) + 1
    return any(
        _holds(box, x0 + (x1 - x0) * n / steps, y0 + (y1 - y0) * n / steps)
        for n in range(steps + 1)
    )

"""Charts, laid out: where each bar, line and word stands. templates/charts.svg.j2 draws them.

Nothing is told by colour alone: numbers and words stand at what they are about, a line has its own
stroke and mark, and `told` says the chart in words, for those who hear it. A part is of a style, the
class that it is drawn with, and is told in a word.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from math import ceil

WIDE = 520  # of every drawing, in its own units
_ROW, _LEAST = 50, 3.0  # a bar with its words; the narrowest part of one that is seen
_LEFT, _RIGHT, _TOP, _HIGH = 62, 230, 16, 210  # about the lines: numbers, words; the field of them
_LABEL, _LINE = 64, 19  # room for a day below, and for a word beside another


@dataclass(frozen=True, slots=True)
class Bar:
    """What one thing comes to: its parts from left to right, each (style, from, how wide)."""

    name: str
    told: str
    y: int  # of the words above the bar
    parts: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True, slots=True)
class BarChart:
    """Bars below one another, the longest as wide as the drawing."""

    high: int
    told: str
    bars: tuple[Bar, ...]


def bars(rows: Sequence[tuple[str, Sequence[int]]], words: Mapping[str, str]) -> BarChart:
    """A bar a row: its name, and a number for each of `words` (style to word); no axis, as each bar
    has its numbers. Lengths are in units of the drawing, which is `WIDE` of them wide.

    >>> bars([("Reach", (1, 3))], {"dark": "act", "light": "ask"}).bars[0].told
    '1 act · 3 ask'
    """
    longest = max((sum(numbers) for _, numbers in rows), default=0)
    scale = (WIDE - _LEAST * len(words)) / max(1, longest)
    laid = []
    for at, (name, numbers) in enumerate(rows):
        parts, x = [], 0.0
        for style, number in zip(words, numbers, strict=True):
            wide = max(_LEAST, number * scale) if number else 0.0
            if wide:
                parts.append((style, x, wide))
            x += wide
        told = " · ".join(f"{n:,} {w}" for w, n in zip(words.values(), numbers, strict=True) if n)
        laid.append(Bar(name, told, 16 + at * _ROW, tuple(parts)))
    in_words = "; ".join(f"{bar.name}: {bar.told.replace(' · ', ', ')}" for bar in laid)
    return BarChart(len(rows) * _ROW, f"{in_words}.", tuple(laid))


@dataclass(frozen=True, slots=True)
class Course:
    """How one number went: its points from left to right, and where its word stands at the end."""

    style: str
    told: str
    points: tuple[tuple[float, float], ...]
    label_y: float


@dataclass(frozen=True, slots=True)
class LineChart:
    """Lines above one another, from one time to the next."""

    high: int
    told: str
    left: int
    right: float
    steps: tuple[tuple[str, float], ...]  # the numbers at the left, each with its height
    times: tuple[tuple[str, float], ...]  # below, as many as there is room for
    lines: tuple[Course, ...]


def lines(
    times: Sequence[str], rows: Mapping[str, Sequence[int]], words: Mapping[str, str]
) -> LineChart:
    """A line a row (style to a number a time), told in its word; the last time always has its label.

    >>> lines(["Oct 1", "Nov 1"], {"dark": (4, 2)}, {"dark": "act"}).lines[0].told
    '2 act'
    """
    steps = _steps(max((n for numbers in rows.values() for n in numbers), default=0))
    wide = WIDE - _LEFT - _RIGHT
    apart = wide / max(1, len(times) - 1)

    def y(number: float) -> float:
        return _TOP + _HIGH * (1 - number / steps[-1])

    laid: list[Course] = []
    for style, numbers in sorted(
        rows.items(), key=lambda row: row[1][-1]
    ):  # the lowest at the end first
        label = y(numbers[-1])
        if laid:
            label = min(label, laid[-1].label_y - _LINE)
        points = tuple((_LEFT + at * apart, y(n)) for at, n in enumerate(numbers))
        laid.append(Course(style, f"{numbers[-1]:,} {words[style]}", points, label))
    every = ceil(_LABEL / apart)
    shown = [(day, _LEFT + at * apart) for at, day in enumerate(times)][::-1][::every]
    in_words = "; ".join(f"{words[style]}: from {n[0]:,} to {n[-1]:,}" for style, n in rows.items())
    return LineChart(
        _TOP + _HIGH + 34,
        f"{times[0]} to {times[-1]}. {in_words}.",
        _LEFT,
        WIDE - _RIGHT,
        tuple((f"{step:,}", y(step)) for step in steps),
        tuple(shown),
        tuple(laid),
    )


def _steps(most: int) -> list[int]:
    """Round whole numbers from 0 to `most` or just above, few enough to stand side by side.

    >>> _steps(1), _steps(209), _steps(123_456)
    ([0, 1], [0, 100, 200, 300], [0, 50000, 100000, 150000])
    """
    step = next(n * 10**power for power in count() for n in (1, 2, 5) if 4 * n * 10**power >= most)
    return list(range(0, max(most, 1) + step, step))

"""An audit as one HTML page: nothing in it is fetched from anywhere, and nothing in it runs.

Each chart has its table beside it; the map is of ZIP codes' middles, without
any map behind it. The page holds personal data of the few members it names: keep it as the roster.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from math import cos, radians, sqrt
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from onboard.model import Weight
from onboard.reports import charts, kinds
from onboard.reports.audit import (
    GROUP_ABOUT,
    GROUP_NAMES,
    WEIGHT_WORDS,
    Dot,
    KindOf,
    Report,
    better_and_worse,
    change,
    headline,
)
from onboard.reports.cells import writable
from onboard.reports.charts import BarChart, LineChart
from onboard.reports.counts import counted
from onboard.reports.private import private_file

SHOWN = 12  # findings of a kind that are listed; the spreadsheets have all
PRINTED = 5  # of these, as rows of a printed table
MOST_SITES = 60  # that the map numbers
FEW_SITES = 14  # whose table fits beside the map
# Told apart by lightness as well, for those who see no colours and for grey paper.
COLOURS = {Weight.BLOCKING: "#8f1d4f", Weight.DOUBTFUL: "#d98e04", Weight.MENDED: "#9fb7bd"}
WORDS = {str(weight): WEIGHT_WORDS[weight] for weight in COLOURS}  # by style, of the charts
STYLES = {Weight.BLOCKING: "act", Weight.DOUBTFUL: "ask", Weight.MENDED: "know"}  # of the tags
INK, FAINT = "#16343b", "#5b7279"
_SVG = "http://www.w3.org/2000/svg"


def write_page(report: Report, file: Path) -> None:
    """Write the page, readable by its owner only. Raises `FileTrouble`."""
    with private_file(file) as out:
        for piece in _template().generate(_content(report)):
            out.write(piece)


def _template() -> Any:
    words = Environment(
        loader=PackageLoader("onboard.reports"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    words.filters["plain"] = plain
    words.filters["unbroken"] = unbroken
    words.filters["n"] = lambda number: f"{number:,}"
    return words.get_template("audit.html.j2")


def plain(text: str) -> str:
    """The text without what turns the reading order or cannot be seen."""
    text = writable(text)
    return text if text.isprintable() else "".join(c if c.isprintable() else " " for c in text)


def unbroken(text: str) -> Markup:
    """The text, plain, with days and phone numbers that no line ends within."""
    return Markup(_WHOLE.sub(r'<span class="whole">\g<0></span>', str(escape(plain(text)))))


_WHOLE = re.compile(r"\b\d{4}-\d{2}-\d{2}\b|\(\d{3}\) \d{3}-\d{4}\b")


def _content(report: Report) -> dict[str, Any]:
    better, worse = better_and_worse(report)
    groups = [
        (group, GROUP_NAMES[group], GROUP_ABOUT[group], told)
        for group, found in report.groups()
        if (told := [kind for kind in found if kind.count and not kind.is_nearly_all])
    ]
    table, history = _table(groups), _history(report)
    return {
        "report": report,
        "headline": headline(report),
        "groups": groups,
        "quiet": [GROUP_NAMES[g] for g in GROUP_NAMES if g not in {group for group, *_ in groups}],
        "titled": kinds.titled,
        "weights": WEIGHT_WORDS,
        "styles": STYLES,
        "shown": SHOWN,
        "printed": PRINTED,
        "one_note": _one_note,
        "change": change,
        "better": better[:8],
        "worse": worse[:8],
        "table": table,
        "by_group": _by_group(table),
        "history": history,
        "over_time": _over_time(history) if len(history) > 1 else None,
        "map": _map(report),
        "sites": _numbered(report.sites),
        "many_sites": len(report.sites) > FEW_SITES,
        "more_sites": max(0, len(report.sites) - MOST_SITES),
        "colours": {str(weight): colour for weight, colour in COLOURS.items()},
        "ink": INK,
        "faint": FAINT,
    }


def _one_note(kind: KindOf) -> str:
    """What all the findings shown of a kind say, if they say the same."""
    notes = {item.note for item in kind.items[:SHOWN]}
    return notes.pop() if len(notes) == 1 and kind.count > 1 else ""


# ---------------------------------------------------------------- charts


def _table(groups: Iterable[tuple[str, str, str, list[KindOf]]]) -> list[list[Any]]:
    return [
        [name, *(sum(k.count for k in found if k.weight is weight) for weight in COLOURS)]
        for _, name, _, found in groups
    ]


def _by_group(table: list[list[Any]]) -> BarChart:
    return charts.bars([(name, numbers) for name, *numbers in table], WORDS)


def _over_time(history: list[list[Any]]) -> LineChart:
    days = [date.fromisoformat(day) for day, *_ in history]
    went = {
        style: [row[at] for row in history] for at, style in enumerate(WORDS, start=1) if at < 3
    }
    # The table has the year.
    return charts.lines([f"{day:%b} {day.day}" for day in days], went, WORDS)


def _history(report: Report) -> list[list[Any]]:
    """Day, findings to act on, to ask about, of the last audits, without what nearly all have now."""
    weight = {kind.code: kind.weight for kind in report.kinds if not kind.is_nearly_all}
    return [
        [
            audit["on"],
            *(
                sum(n for code, n in audit["counts"].items() if weight.get(code) is which)
                for which in (Weight.BLOCKING, Weight.DOUBTFUL)
            ),
        ]
        for audit in report.history[-12:]
    ]


# ---------------------------------------------------------------- map

_WIDE = 520.0
_MERGED = 5.0  # dots nearer than this are drawn as one


def _numbered(sites: Sequence[Dot]) -> list[tuple[int, Dot]]:
    """The sites with their numbers on the map, those with most members first."""
    ordered = sorted(sites, key=lambda dot: (-dot.members, dot.name))
    return list(enumerate(ordered[:MOST_SITES], start=1))


def _map(report: Report) -> Markup:
    dots = [*report.homes, *report.sites]
    if not dots:
        return Markup("")
    north, south = max(d.latitude for d in dots), min(d.latitude for d in dots)
    east, west = max(d.longitude for d in dots), min(d.longitude for d in dots)
    shrink = cos(radians((north + south) / 2))  # a degree of longitude beside one of latitude
    span_x, span_y = max((east - west) * shrink, 0.2), max(north - south, 0.2)
    scale = min((_WIDE - 60) / span_x, 620 / span_y)
    high = span_y * scale + 90

    def place(dot: Dot) -> tuple[float, float]:
        off_x = (_WIDE - span_x * scale) / 2
        return (
            off_x + (dot.longitude - west) * shrink * scale,
            30 + (north - dot.latitude) * scale,
        )

    parts = [
        f'<svg xmlns="{_SVG}" viewBox="0 0 {_WIDE:.0f} {high:.0f}" role="img" class="map" '
        'aria-label="Map of drop sites and of members by ZIP code">'
    ]
    parts += _homes_drawn(report.homes, place)
    parts += _sites_drawn(report.sites, place)
    parts += _scale_drawn(scale, high)
    parts.append("</svg>")
    return Markup("".join(parts))


def _homes_drawn(homes: Sequence[Dot], place: Callable[[Dot], tuple[float, float]]) -> list[str]:
    merged: dict[tuple[int, int], list[float]] = {}
    for dot in homes:
        x, y = place(dot)
        spot = merged.setdefault((round(x / _MERGED), round(y / _MERGED)), [x, y, 0, 0])
        spot[2] += dot.members
        spot[3] += dot.odd
    most = max((spot[2] for spot in merged.values()), default=1)
    drawn = []
    for x, y, members, odd in sorted(merged.values(), key=lambda s: -s[2]):
        radius = max(1.6, 13 * sqrt(members / most))
        drawn.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" class="home">'
            f"<title>{counted(round(members), 'member')}</title></circle>"
        )
        if odd:
            inner = max(1.4, 13 * sqrt(odd / most))
            drawn.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{inner:.1f}" class="odd"/>')
    return drawn


def _sites_drawn(sites: Sequence[Dot], place: Callable[[Dot], tuple[float, float]]) -> list[str]:
    drawn, labels = [], []
    taken = [(x - 6, y + 5) for x, y in map(place, sites)]  # no number lies on a site
    for number, dot in _numbered(sites):
        x, y = place(dot)
        kind = "site closed" if dot.closed else "site"
        drawn.append(
            f'<rect x="{x - 4:.1f}" y="{y - 4:.1f}" width="8" height="8" class="{kind}" '
            f'transform="rotate(45 {x:.1f} {y:.1f})"><title>{escape(plain(dot.name))}</title></rect>'
        )
        spot = _free(x, y, taken)
        taken.append(spot)
        labels.append(f'<text x="{spot[0]:.1f}" y="{spot[1]:.1f}" class="label">{number}</text>')
    return drawn + labels


def _free(x: float, y: float, taken: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Where a number can stand beside its site without lying on another."""
    around = (
        (8, 5), (-20, 5), (-5, -8), (-5, 19), (9, -6), (9, 16), (-21, -6), (-21, 16),
        (20, 5), (-32, 5), (-5, -20), (-5, 31), (20, -12), (20, 22), (-32, -12), (-32, 22),
    )  # fmt: skip

    def room(spot: tuple[float, float]) -> float:
        """From 1 on nothing lies below the number."""
        return min((max(abs(spot[0] - a) / 17, abs(spot[1] - b) / 12) for a, b in taken), default=1)

    spots = [(x + right, y + down) for right, down in around]
    return next((spot for spot in spots if room(spot) >= 1), max(spots, key=room))


def _scale_drawn(scale: float, high: float) -> list[str]:
    """A bar of so many miles: a degree of latitude is 69 of them."""
    miles = next((m for m in (100, 50, 20, 10, 5, 2) if m / 69 * scale < _WIDE / 3), 1)
    long = miles / 69 * scale
    y = high - 22
    return [
        f'<path d="M30 {y:.0f}v-5v5h{long:.1f}v-5" class="scale"/>',
        f'<text x="{36 + long:.1f}" y="{y:.0f}" class="words">{miles} miles in a straight line</text>',
    ]

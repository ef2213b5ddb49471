"""An audit as one HTML page: nothing in it is fetched from anywhere, and nothing in it runs.

Each chart has its table beside it, and the map its lists. The page holds personal data of the few members it names: keep it as the roster.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from onboard.model import Weight
from onboard.reports import charts, kinds, maps
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
from onboard.reports.maps import Circle, Map, Mark
from onboard.reports.private import private_file

SHOWN = 12  # findings of a kind that are listed; the spreadsheets have all
PRINTED = 5  # of these, as rows of a printed table
MOST_SITES = 60  # that the map numbers
MOST_ZIPS = 120  # that the list by the map has
FEW_SITES = 14  # whose table fits beside the map
# Told apart by lightness as well, for those who see no colours and for grey paper.
COLOURS = {Weight.BLOCKING: "#8f1d4f", Weight.DOUBTFUL: "#d98e04", Weight.MENDED: "#9fb7bd"}
WORDS = {str(weight): WEIGHT_WORDS[weight] for weight in COLOURS}  # by style, of the charts
STYLES = {Weight.BLOCKING: "act", Weight.DOUBTFUL: "ask", Weight.MENDED: "know"}  # of the tags
INK, FAINT = "#16343b", "#5b7279"


def write_page(report: Report, file: Path) -> None:
    """Write the page, readable by its owner only. Raises `FileTrouble`."""
    with private_file(file) as out:
        for piece in _template().generate(content(report)):
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


def content(report: Report) -> dict[str, Any]:
    """What the page is made of: the report, and what is drawn and listed of it."""
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
        "by_zip": _by_zip(report.homes),
        "sites": _numbered(report.sites),
        "many_sites": len(report.sites) > FEW_SITES,
        "most_zips": MOST_ZIPS,
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


def _numbered(sites: Sequence[Dot]) -> list[tuple[int, Dot]]:
    """The sites with their numbers on the map, those with most members first."""
    ordered = sorted(sites, key=lambda dot: (-dot.members, dot.name))
    return list(enumerate(ordered[:MOST_SITES], start=1))


def _map(report: Report) -> Map | None:
    numbers = {id(dot): str(number) for number, dot in _numbered(report.sites)}
    marks = [
        Mark(dot.latitude, dot.longitude, numbers.get(id(dot), ""), plain(dot.name), dot.closed)
        for dot in sorted(report.sites, key=lambda dot: int(numbers.get(id(dot), "0")))
    ]
    circles = [Circle(dot.latitude, dot.longitude, dot.members, dot.odd) for dot in report.homes]
    told = (
        f"{counted(len(marks), 'drop site')}, and {counted(sum(dot.members for dot in report.homes), 'member')} "
        f"in {counted(len(circles), 'ZIP code')}. The lists by the map have the same."
    )
    return maps.lay(circles, marks, told)


def _by_zip(homes: Sequence[Dot]) -> list[Dot]:
    """The ZIP codes of the map, those with most members first."""
    return sorted(homes, key=lambda dot: (-dot.members, dot.name))

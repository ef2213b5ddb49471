"""An audit as spreadsheets: a workbook with one sheet a kind, and all findings as one CSV."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain
from pathlib import Path

from onboard.reports import cells, kinds, side_by_side
from onboard.reports.audit import GROUP_NAMES, WEIGHT_WORDS, Item, KindOf, Report
from onboard.reports.side_by_side import Both

HEADINGS = (
    "name",
    "handle",
    "drop site",
    "on file",
    "what to do",
    "with",
    "now",
    "proposed",
    "new",
    "account",
)
PAIRS = ("First account", "Second account", "Name", "Other account", "Evidence", "Ruling")
WIDTHS = {
    "name": 24, "handle": 20, "drop site": 22, "on file": 28, "what to do": 60, "with": 36, "now": 24,
    "proposed": 24, "new": 7, "account": 14, "about": 70, "sheet": 31, "group": 12, "weight": 9,
    "whom": 22, "phone": 18, "who that is": 26, "helps members": 10, "why": 34, "what to ask": 56,
    "done": 8,
}  # fmt: skip


def write_workbook(report: Report, file: Path) -> None:
    """Write the workbook: an overview, the calls, and a sheet for each kind. Raises `FileTrouble`."""
    pages = [
        cells.Page(
            "Overview",
            ("sheet", "group", "weight", "about", "found", "before", "new", "gone"),
            _overview(report),
            WIDTHS | {"found": 10, "before": 10, "new": 10, "gone": 10},
        ),
        cells.Page(
            "Calls",
            (
                "no.",
                "whom",
                "phone",
                "who that is",
                "helps members",
                "why",
                "what to ask",
                "about",
                "done",
            ),
            _calls(report),
            WIDTHS | {"no.": 6},
            filled_in=frozenset({"done"}),
        ),
    ]
    pages += [_page(kind) for kind in report.kinds if kind.count and not kind.is_nearly_all]
    cells.write(file, *map(_for_people, pages))


# What people call a column that programs know by another name.
CALLED = {"handle": "sign-in name", "with": "other accounts"}


def _for_people(page: cells.Page) -> cells.Page:
    """The page with its headings as people write them; programs have them in small letters."""

    def called(heading: str) -> str:
        return CALLED.get(heading, heading).capitalize()

    return replace(
        page,
        headings=[called(heading) for heading in page.headings],
        widths={called(heading): width for heading, width in page.widths.items()},
        filled_in=frozenset(called(heading) for heading in page.filled_in),
    )


def write_csv(report: Report, file: Path) -> None:
    """Write every finding as CSV, a row each. Raises `FileTrouble`."""
    headings = ("group", "weight", "code", *HEADINGS)
    lines = (
        [GROUP_NAMES[kind.group], WEIGHT_WORDS[kind.weight], kind.code, *_line(item)]
        for kind in report.kinds
        for item in kind.items
    )
    cells.write(file, cells.Page("Findings", headings, lines))


def write_pairs(
    found: Sequence[KindOf],
    ruled: Sequence[tuple[str, str, str]],
    file: Path,
    beside: Sequence[tuple[int, Sequence[Both]]] = (),
) -> None:
    """Write the pairs of accounts that may be one person's, for somebody to decide, and on a sheet of
    their own both accounts of each side by side.

    `ruled` are pairs decided before; they stay in the list, so that nobody is asked again. The
    columns are those that `onboard duplicates --ruled` reads. Raises `FileTrouble`.
    """
    to_rule = (
        [one, other, item.name, "; ".join(item.others), item.note, ""]
        for one, other, item in pairs_to_rule(found, ruled)
    )
    settled = (
        [one, other, "", "", "You decided this earlier.", ruling] for one, other, ruling in ruled
    )
    page = cells.Page(
        "Pairs", PAIRS, chain(to_rule, settled),
        {"First account": 16, "Second account": 16, "Name": 24, "Other account": 36, "Evidence": 90,
         "Ruling": 14},
        {"Ruling": ("same", "different")}, frozenset({"Ruling"}),
    )  # fmt: skip
    headings = ("Row in Pairs", "First", "Second")
    cells.write(
        file, page, *([side_by_side.page("Side by side", headings, beside)] if beside else [])
    )


def pairs_to_rule(
    found: Sequence[KindOf], ruled: Sequence[tuple[str, str, str]]
) -> Iterator[tuple[str, str, Item]]:
    """The pairs that nobody has decided yet, each with what the two accounts are known by."""
    known = {frozenset(pair[:2]) for pair in ruled}
    for kind in found:
        for item in kind.items:
            # What is only counted has no pair.
            if item.others and frozenset(item.key[1:3]) not in known:
                yield (*_ids(item), item)


def _ids(item: Item) -> tuple[str, str]:
    """What the two accounts of a pair are known by, the one that is named first."""
    one, other = item.key[1:3]
    mine = item.owner if item.owner.startswith("member:") else item.handle or item.name
    return (other, one) if mine == other else (one, other)


def _page(kind: KindOf) -> cells.Page:
    """The sheet of a kind, without columns that none of its lines fill."""
    some = {0}
    for item in kind.items:
        some.update(n for n, text in enumerate(_line(item)) if text)
    filled = sorted(some)
    headings = [HEADINGS[n] for n in filled]
    lines = ([_line(item)[n] for n in filled] for item in kind.items)
    return cells.Page(kinds.titled(kind.code), headings, lines, WIDTHS)


def _line(item: Item) -> list[str]:
    return [
        item.name, item.handle, item.site, item.said, item.note, "; ".join(item.others), item.before,
        item.after, "new" if item.new else "", item.owner.replace(":", " "),
    ]  # fmt: skip


def _overview(report: Report) -> Iterator[list[object]]:
    for kind in report.kinds:
        listed = (
            "(nearly all accounts: not listed)" if kind.is_nearly_all else kinds.titled(kind.code)
        )
        yield [
            listed, GROUP_NAMES[kind.group], WEIGHT_WORDS[kind.weight], kind.about, kind.count,
            *(("", "", "") if kind.before is None else (kind.before, kind.new, kind.gone)),
        ]  # fmt: skip


def _calls(report: Report) -> Iterator[list[object]]:
    for number, call in enumerate(report.calls, start=1):
        yield [
            number, call.whom, call.phone, call.why_them, call.helps, "; ".join(call.reasons),
            "\n".join(call.ask), "\n".join(filter(None, [call.named(), *call.notes])), "",
        ]  # fmt: skip

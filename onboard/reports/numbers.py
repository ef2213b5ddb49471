"""How it goes, in numbers: as tables, for a program, as a workbook and as a page with charts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from onboard.reports import cells, charts
from onboard.reports.audit_page import FAINT, INK, plain
from onboard.reports.charts import BarChart
from onboard.reports.counts import counted
from onboard.reports.dates import day
from onboard.reports.private import private_file
from onboard.reports.small_cells import OTHERS, Cell
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.tasks.numbers import Group, Matter, Numbers, Wording

NOT_SHOWN = "–"
NOT_KNOWN = "not known"
MEASURES = {
    "arrived": "packet arrived", "signed in": "signed in in time", "ordered": "ordered", "called": "called",
}  # fmt: skip
BY = {"all": "all", "month": "month", "site": "drop site", "language": "language", "way": "told by"}
STYLES = {"blocking": "yes", "mended": "no"}  # of the bars: told apart by lightness too
NAMES = {"en": "English", "es": "Spanish", "email": "email", "letter": "letter", "text": "text"}

NOTES = (
    "A packet arrived if the mail server took it or you marked the letter as mailed, and it has not come back. Nobody knows whether "
    "it was read.",
    "“Signed in in time” is before the first ordering window after the packet closed. It is known only from the ordering page's "
    "lists (onboard activity): where no list was taken in, or too late, the member is not among “of how many”. Where that leaves nobody, it says “not known”.",
    "“Ordered” is ever, as far as those lists tell. “Called” counts only calls that somebody wrote down.",
    "Members who were brought in with the sign-in names they had, who were merged into another account, or were deleted for good, are not counted.",
    "Calls after a change of a sentence may be fewer for other reasons: a season, a volunteer who explains well, fewer calls written "
    "down. With few members, a difference of a few calls is chance.",
    f"Groups of fewer than five are counted with others. {NOT_SHOWN} is a number about one to four people, or about all but one to "
    "four, or one that would give such a number away. Someone who knows the members may still guess: share these numbers with care.",
)  # fmt: skip


def pieces(done: Numbers) -> Iterator[Piece]:
    """The numbers as tables."""
    yield Words(headline(done), is_strong=True)
    if not done.groups:
        return
    for by in BY:
        if some := [group for group in done.groups if group.by == by]:
            yield Table.of(*_table(by, some), numbers=("joined", *MEASURES.values()))
    if done.matters:
        rows = [(*_matter(one),) for one in done.matters]
        yield Table.of(
            ("what calls were about", "code", "members", "calls"),
            rows,
            numbers=("members", "calls"),
        )
    if done.wordings:
        yield Table.of(
            ("code", "language", "section", "sentence", "since", "called"),
            [_wording(one) for one in done.wordings],
            title="What the welcome packet says of it, before and after each change",
            note="Called: members who called about it within 60 days, of those who got the packet.",
        )
    yield Words("What these numbers do not show:", is_strong=True)
    yield from (Words(f"- {note}") for note in NOTES)


def headline(done: Numbers) -> str:
    """Who is counted."""
    span = f"from {day(done.first)} to {day(done.last)}"
    if not done.groups:
        return f"Nobody joined {span} whose welcome packet was made here."
    early = (
        f" Of {done.waiting:,} of them, the first ordering window has not closed yet."
        if done.waiting >= 5 and done.groups[0].joined - done.waiting >= 5 else ""
    )  # fmt: skip
    return f"{counted(done.groups[0].joined, 'member')} joined {span}.{early}"


def _table(by: str, groups: Sequence[Group]) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    rows = [
        (_name(one), f"{one.joined:,}", *(said(one.cells[measure]) for measure in MEASURES))
        for one in groups
    ]
    return (BY[by], "joined", *MEASURES.values()), rows


def said(cell: Cell) -> str:
    """How many of how many.

    >>> said(Cell(38, 40)), said(Cell(None, None)), said(Cell(0, 0))
    ('38 of 40', '–', 'not known')
    """
    if cell.count is None:
        return NOT_SHOWN
    return f"{cell.count:,} of {cell.of:,}" if cell.of else NOT_KNOWN


def _name(one: Group) -> str:
    return (
        "all"
        if one.by == "all"
        else one.name
        if one.name == OTHERS
        else NAMES.get(one.name, one.name)
    )


def _matter(one: Matter) -> tuple[str, str, str, str]:
    return one.about, one.cause, f"{one.members:,}", f"{one.calls:,}"


def _wording(one: Wording) -> tuple[str, ...]:
    return (
        one.cause, NAMES.get(one.language, one.language), one.section, one.sentence, day(one.since),
        said(one.called),
    )  # fmt: skip


def as_json(done: Numbers) -> Iterator[dict[str, Any]]:
    """A line for each group, matter and wording; a number that may not be shown is null."""
    for group in done.groups:
        line: dict[str, Any] = {"by": group.by, "group": group.name, "joined": group.joined}
        for measure, cell in group.cells.items():
            name = measure.replace(" ", "_")
            line |= {name: cell.count, f"{name}_of": cell.of}
        yield line
    for one in done.matters:
        yield {"cause": one.cause, "about": one.about, "members": one.members, "calls": one.calls}
    for word in done.wordings:
        yield {
            "cause": word.cause, "language": word.language, "section": word.section, "sentence": word.sentence,
            "since": word.since.isoformat(), "called": word.called.count, "called_of": word.called.of,
        }  # fmt: skip
    yield {"first": done.first.isoformat(), "last": done.last.isoformat(), "notes": list(NOTES)}


# ---------------------------------------------------------------- files


def write(done: Numbers, folder: Path, coop: str) -> list[Path]:
    """Write numbers.html and numbers.xlsx into the folder. Raises `FileTrouble`, and `OSError`."""
    folder.mkdir(parents=True, exist_ok=True)
    page, workbook = folder / "numbers.html", folder / "numbers.xlsx"
    with private_file(page) as out:
        out.write(_template().render(_content(done, coop)))
    cells.write(workbook, *_sheets(done))
    return [page, workbook]


def _sheets(done: Numbers) -> Iterator[cells.Page]:
    widths = {"group": 30, "sentence": 70, "what": 60, "section": 28, "note": 110}
    rows = [
        (
            BY[one.by], _name(one), one.joined,
            *(n for m in MEASURES for n in (_number(one.cells[m].count), _number(one.cells[m].of))),
        )
        for one in done.groups
    ]  # fmt: skip
    headings = [word for measure in MEASURES.values() for word in (measure, f"{measure}, of")]
    yield cells.Page("Members", ("by", "group", "joined", *headings), rows, widths)
    yield cells.Page(
        "Calls",
        ("what", "code", "members", "calls"),
        [(one.about, one.cause, one.members, one.calls) for one in done.matters],
        widths,
    )
    yield cells.Page(
        "Sentences",
        ("code", "language", "section", "sentence", "since", "called", "of"),
        [
            (*_wording(one)[:5], _number(one.called.count), _number(one.called.of))
            for one in done.wordings
        ],
        widths,
    )
    yield cells.Page("Notes", ("note",), [(note,) for note in NOTES], widths, read_only_once=True)


def _number(number: int | None) -> object:
    return NOT_SHOWN if number is None else number


def _template() -> Any:
    words = Environment(
        loader=PackageLoader("onboard.reports"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    words.filters["plain"] = plain
    return words.get_template("numbers.html.j2")


def _content(done: Numbers, coop: str) -> dict[str, Any]:
    tables = [
        (BY[by], *_table(by, some))
        for by in BY
        if (some := [group for group in done.groups if group.by == by])
    ]
    return {
        "coop": coop,
        "headline": headline(done),
        "tables": tables,
        "bar_charts": [chart for measure in MEASURES if (chart := _chart(done, measure))],
        "matters": [_matter(one) for one in done.matters],
        "by_matter": charts.bars([(plain(m.cause or m.about), (m.members,)) for m in done.matters], {"blocking": "members"}),
        "wordings": [_wording(one) for one in done.wordings],
        "notes": NOTES,
        "ink": INK,
        "faint": FAINT,
    }  # fmt: skip


def _chart(done: Numbers, measure: str) -> tuple[str, BarChart] | None:
    """A bar for all, and for each month whose number may be shown: how many did, and how many did not."""
    rows = [
        (_name(one), (cell.count, cell.of - cell.count))
        for one in done.groups
        if one.by in ("all", "month") and (cell := one.cells[measure]).count is not None and cell.of
    ]
    return (MEASURES[measure], charts.bars(rows, STYLES)) if rows else None

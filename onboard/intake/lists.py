"""Lists that a person brings to a search for duplicates: rulings and groups of an earlier one, names.

Each is a spreadsheet with headings of its own; the columns may stand in any order.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from itertools import chain
from pathlib import Path
from types import MappingProxyType

from onboard.errors import FileTrouble
from onboard.guard import unguard
from onboard.intake.opening import tables_of
from onboard.intake.table import Line
from onboard.match import folds, given_names
from onboard.match.found_groups import Group
from onboard.match.frequencies import Frequencies
from onboard.match.given_names import ShortForms
from onboard.match.groups import Rulings

# What a list must be, for who gives another.
PAIRS = "a list of pairs that this command wrote"
# What the columns are called in a workbook, which people read.
CALLED = {
    "first_account": "id_a",
    "second_account": "id_b",
    "first_row": "id_a",
    "second_row": "id_b",
}
GROUPS = "a list of groups that this command wrote"
NAMES = "a list with these headings, and a name a line"
SHORT_FORMS = "a list with these headings, and a name and a short form of it a line"
PLAIN_NUMBER = re.compile(r"[0-9]{1,12}(\.[0-9]{1,12})?", re.ASCII)


def read_rulings(file: Path) -> Rulings:
    """The pairs ruled the same and those ruled different, out of an earlier list of pairs, a file or a
    folder of parts.

    Raises `FileTrouble` if the file is no such list, or says something else under "ruling".
    """
    rulings: dict[str, list[tuple[str, str]]] = {"same": [], "different": []}
    parts = sorted(file.glob("pairs-*.csv")) or [file]
    for number, (one, other, ruling) in chain.from_iterable(
        _table(part, ("id_a", "id_b", "ruling"), PAIRS, CALLED) for part in parts
    ):
        if not ruling:
            continue
        if ruling.casefold() not in rulings:
            raise FileTrouble(
                f'{file}, row {number}: the ruling "{ruling[:40]}" is neither same nor '
                "different. Write one of the two, or leave it empty."
            )
        rulings[ruling.casefold()].append((one, other))
    return Rulings(rulings["same"], rulings["different"])


def read_groups(file: Path) -> list[Group]:
    """The groups out of an earlier list of groups. Raises `FileTrouble` if it is none."""
    members: dict[str, list[str]] = {}
    weakest: dict[str, float] = {}
    for number, (one, group, tie) in _table(file, ("id", "group", "weakest_tie"), GROUPS):
        try:
            weakest[group] = min(float(tie), weakest.get(group, 1.0))
        except ValueError as error:
            raise FileTrouble(
                f'{file}, row {number}: "{tie[:40]}" is not a confidence between 0 and 1. Give the '
                "list as this command made it."
            ) from error
        members.setdefault(group, []).append(one)
    return [Group(group, tuple(of), weakest[group]) for group, of in members.items()]


def read_names(file: Path) -> Frequencies:
    """How common names are, out of a list of names with how many people bear each.

    Columns name, kind (given or family), count. Raises `FileTrouble` if it is no such list.
    """
    counts: dict[str, dict[str, float]] = {"given": {}, "family": {}}
    for number, (said, kind, count) in _table(file, ("name", "kind", "count"), NAMES):
        where = f"{file}, row {number}"
        if kind.casefold() not in counts:
            raise FileTrouble(
                f'{where}: the kind "{kind[:40]}" is neither given nor family. Write one of the '
                "two, or delete the row."
            )
        bearers = float(count) if PLAIN_NUMBER.fullmatch(count) else 0.0
        if not bearers:
            raise FileTrouble(
                f'{where}: the count "{count[:40]}" is not a number above 0. Write it in digits '
                "only, such as 1234 or 0.5, or delete the row."
            )
        fold = folds.given_name if kind.casefold() == "given" else folds.family_name
        name = _folded_name(said, fold, where)
        of = counts[kind.casefold()]
        of[name] = of.get(name, 0.0) + bearers  # two spellings may fold to one name
    return Frequencies.counted(counts["given"], counts["family"])


def read_short_forms(file: Path) -> ShortForms:
    """The short forms that come with the package, and those of this list.

    Columns name, short_form, a pair a line. Raises `FileTrouble` if it is no such list.
    """
    return given_names.besides(
        [
            (
                _folded_name(full, folds.given_name, f"{file}, row {number}"),
                _folded_name(short, folds.given_name, f"{file}, row {number}"),
            )
            for number, (full, short) in _table(file, ("name", "short_form"), SHORT_FORMS)
        ]
    )


def _folded_name(said: str, fold: Callable[[str], tuple[str, str]], where: str) -> str:
    name, _ = fold(said)
    if not name:
        raise FileTrouble(
            f'{where}: "{said[:40]}" is not a name. Write one there, or delete the row.'
        )
    return name


def _table(
    file: Path,
    headings: tuple[str, ...],
    what: str,
    called: Mapping[str, str] = MappingProxyType({}),
) -> Iterator[tuple[int, tuple[str, ...]]]:
    """The cells under these headings, with the number of their line; blank lines are left out.

    `what` is what file is wanted, for who gave another; `called` are headings in words.
    """
    for table in tables_of(file):
        lines = iter(table.lines())
        said = [
            cell.strip().casefold().replace(" ", "_") for cell in next(lines, Line(0, [])).cells
        ]
        said = [called.get(heading, heading) for heading in said]
        if not set(headings) <= set(said):
            continue
        places = [said.index(heading) for heading in headings]
        for line in lines:
            padded = [*line.cells, *[""] * len(said)]
            cells = tuple(unguard(padded[place].strip()) for place in places)
            if any(cells):
                yield line.number, cells
        return
    *first, last = headings
    raise FileTrouble(f"{file} has no columns {', '.join(first)} and {last}. Give {what}.")

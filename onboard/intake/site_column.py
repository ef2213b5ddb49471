"""The column of drop sites, known by what stands in it where its heading does not say so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import islice

from onboard.clean import sites as drop_sites
from onboard.intake.headings import Why
from onboard.intake.sheet import Sheet
from onboard.settings import Site

_SAMPLE = 200  # lines that are read
_SEVERAL, _MOSTLY = 2, 0.6  # cells that name a drop site, for their column to be that


def with_site(sheet: Sheet, sites: Sequence[Site]) -> Sheet:
    """The sheet with the one column whose cells name drop sites as such; as it is where a heading says
    so, or where there is no such column, or several."""
    idle = [c for c in sheet.columns.columns if not c.field and not c.second]
    idle = [c for c in idle if c.why is Why.NOTHING]  # nobody said that it is not used
    if "site" in sheet.columns or not sites or not idle:
        return sheet
    lines = islice(sheet.table.lines(), _SAMPLE + sheet.first_line)
    rows = [line.cells for line in lines if line.number >= sheet.first_line]
    found = [c for c in idle if _name_sites([r[c.place] for r in rows if len(r) > c.place], sites)]
    if len(found) != 1:
        return sheet
    words = "its values are your drop sites"
    column = replace(found[0], field="site", why=Why.VALUES, words=words)
    columns = tuple(column if c is found[0] else c for c in sheet.columns.columns)
    return replace(sheet, columns=replace(sheet.columns, columns=columns))


def _name_sites(cells: Sequence[str], sites: Sequence[Site]) -> bool:
    """Whether most of the cells that say something name a drop site, just as it is called."""
    said = [text for text in cells if text.strip()]
    read = [drop_sites.clean(text, sites) for text in said]
    named = sum(1 for one in read if one.value and not one.findings)
    return named >= max(_SEVERAL, _MOSTLY * len(said))

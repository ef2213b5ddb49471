"""Writes onboard/tables/given_names.tsv from the 1990 Census lists that `names` ships.

Run: .venv/bin/python tests/tables/given_names.py (needs `names` from PyPI).
"""

from __future__ import annotations

from pathlib import Path

import names

LISTS = Path(names.__file__).parent
TABLE = Path(__file__).parents[2] / "onboard" / "tables" / "given_names.tsv"
# A name is of both sexes when at least this share of those who bear the name is of the rarer one.
BOTH = 0.1

HEAD = """\
# Whose given names they are in the United States: m men's, w women's, mw both.
# Source: US Census Bureau, Frequently Occurring Names, 1990, as shipped in names 0.3.0 (PyPI).
# Version: 1990. Licence: public domain. Made by tests/tables/given_names.py, which says what "both" is.
#name	sex
"""


def main() -> None:
    men, women = (shares(sex) for sex in ("male", "female"))
    lines = []
    for name in sorted(men.keys() | women.keys()):
        m, w = men.get(name, 0.0), women.get(name, 0.0)
        sex = "mw" if min(m, w) >= BOTH * (m + w) else "m" if m > w else "w"
        lines.append(f"{name}\t{sex}\n")
    TABLE.write_text(HEAD + "".join(lines), "utf-8")


def shares(sex: str) -> dict[str, float]:
    lines = (LISTS / f"dist.{sex}.first").read_text().splitlines()
    # The lists round to 0.001 %: a name with less than that stands there with nothing.
    return {name.lower(): max(float(share), 0.0005) for name, share, *_ in map(str.split, lines)}


if __name__ == "__main__":
    main()

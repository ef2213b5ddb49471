"""Makes zip_codes.tsv again from the data inside the `zipcodes` package.

    python tests/tables/zip_codes.py

One line a ZIP code, sorted. Coordinates of 0 are left out: the package has none for those.
"""

from __future__ import annotations

import re
from pathlib import Path

import zipcodes

KINDS = {"STANDARD": "S", "PO BOX": "P", "UNIQUE": "U", "MILITARY": "M"}
HEAD = f"""\
# ZIP codes: the name the post office uses, state, kind, centroid, area codes, other names in use.
# Source: the package zipcodes {zipcodes.__version__} (PyPI), made again by tests/tables/zip_codes.py.
# Version: zipcodes {zipcodes.__version__}. Licence: MIT (zipcodes, Sean Pianka).
# kind: S standard, P boxes only, U one receiver, M military; a small letter: no longer in use.
#zip\tcity\tstate\tkind\tlatitude\tlongitude\tarea_codes\tother_names
"""


def line(row: dict[str, object]) -> str:
    """One ZIP code as a line of the table."""
    kind = KINDS[str(row["zip_code_type"])]
    there = float(str(row["lat"] or 0)) != 0
    others = [*row["acceptable_cities"], *row["unacceptable_cities"]]  # type: ignore[misc]
    return "\t".join(
        (
            str(row["zip_code"]),
            plain(str(row["city"])),
            str(row["state"]),
            kind if row["active"] else kind.lower(),
            f"{float(str(row['lat'])):.4f}" if there else "",
            f"{float(str(row['long'])):.4f}" if there else "",
            " ".join(row["area_codes"]),  # type: ignore[arg-type]
            ";".join(dict.fromkeys(plain(str(name)) for name in others)),
        )
    )


def plain(name: str) -> str:
    return " ".join(re.sub(r"[^A-Z0-9 ]", " ", name.upper().replace("'", "")).split())


if __name__ == "__main__":
    rows = zipcodes.list_all()  # type: ignore[no-untyped-call]
    table = Path(__file__).parents[2] / "onboard" / "tables" / "zip_codes.tsv"
    table.write_text(HEAD + "".join(line(r) + "\n" for r in rows), "utf-8")

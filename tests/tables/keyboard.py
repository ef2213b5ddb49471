"""Makes keyboard.tsv: which keys touch which on a US keyboard.

    python tests/tables/keyboard.py > onboard/tables/keyboard.tsv

The rows stand as ANSI INCITS 154 (the US layout) has them: each row begins half a key, a quarter
and half a key further right than the one above. Two keys touch when their middles are no further
apart than 1.26 keys.
"""

from __future__ import annotations

from itertools import product
from math import hypot

ROWS = (("1234567890", 0.0), ("qwertyuiop", 0.5), ("asdfghjkl", 0.75), ("zxcvbnm", 1.25))
TOUCH = 1.26

HEAD = """\
# Keys that touch on a US keyboard (QWERTY), letters and digits.
# Source: ANSI INCITS 154-1988 (R2009), the US layout; the distances are worked out from its rows.
# Version: 2026-11-25. Licence: same as the program. Made by tests/tables/keyboard.py.
#key	touches"""


def main() -> None:
    where = {
        key: (left + column, float(row))
        for row, (keys, left) in enumerate(ROWS)
        for column, key in enumerate(keys)
    }
    touches: dict[str, str] = dict.fromkeys(where, "")
    for one, other in product(where, where):
        (x, y), (u, v) = where[one], where[other]
        if one != other and hypot(x - u, y - v) <= TOUCH:
            touches[one] += other
    print(HEAD)
    for key in sorted(touches):
        print(f"{key}\t{touches[key]}")


if __name__ == "__main__":
    main()
